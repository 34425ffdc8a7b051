"""Where a thing lies in a photograph: its four corners, its size, a few landmarks; perspective."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .told import Limit, Told

Floats = NDArray[np.float64]
Point = tuple[float, float]

LEAST_PIXELS = 5.0  # a cross; in smaller ones nothing could be read, on real plates either
FEW_PIXELS = 6.0  # a cross; below, more than one cell in a hundred comes out wrong
MOST_CELLS = 250_000  # crosses of one thing: some 60 seconds and 2 GiB
FEWEST = 5  # crosses each way: fewer tell nothing of how they go on
_FLAT = 0.02  # of the mean side squared: triangles of corners as small as that lie in a line
_STRAY = 3.0  # crosses by which a landmark may lie off from where the corners have it, at the least
_STRAY_SHARE = 0.06  # and as a share of the longer side


def homography(places: ArrayLike, pixels: ArrayLike) -> Floats:
    """Return the matrix (3, 3) that takes places to pixels in perspective.

    places, pixels: (n, 2), n >= 4, no three of the first four in a line. Four are met exactly; of
    more, the least squares of the linear form (R. Hartley and A. Zisserman, Multiple View Geometry
    in Computer Vision, 2nd edition, 2003, 4.1, with the last element set to 1), with both sides
    first brought to a mean of 0 and a spread of 1 (4.4).
    """
    from_, to = np.asarray(places, dtype=np.float64), np.asarray(pixels, dtype=np.float64)
    before, after = _normalising(from_), _normalising(to)
    x, y = _moved(before, from_).T
    u, v = _moved(after, to).T
    one, none = np.ones_like(x), np.zeros_like(x)
    rows = np.concatenate(
        [
            np.stack([x, y, one, none, none, none, -u * x, -u * y], axis=-1),
            np.stack([none, none, none, x, y, one, -v * x, -v * y], axis=-1),
        ]
    )
    solved = np.linalg.lstsq(rows, np.concatenate([u, v]), rcond=None)[0]
    matrix = np.linalg.inv(after) @ np.append(solved, 1.0).reshape(3, 3) @ before
    made: Floats = matrix / matrix[2, 2]
    return made


def _normalising(points: Floats) -> Floats:
    middle = points.mean(axis=0)
    scale = 1.0 / max(float(np.abs(points - middle).mean()), 1e-9)
    return np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1.0]])


def _moved(matrix: Floats, points: Floats) -> Floats:
    homogeneous: Floats = points @ matrix[:, :2].T + matrix[:, 2]
    moved: Floats = homogeneous[..., :2] / homogeneous[..., 2:]
    return moved


@dataclass(frozen=True)
class Landmark:
    """A crossing of lines between crosses that the user has shown: place (x, y), pixel (u, v)."""

    x: float
    y: float
    u: float
    v: float


@dataclass(frozen=True)
class Placing:
    """A thing of width x height crosses and where it lies in a photograph.

    corners: pixels of the outer corners of its first and last crosses: top left, top right, bottom
    right, bottom left, as the chart has them (in the photograph they may be turned). landmarks: few
    and sure; each is snapped to the crossing of threads nearest to it.
    """

    width: int
    height: int
    corners: tuple[Point, Point, Point, Point]
    landmarks: tuple[Landmark, ...] = field(default=())

    @cached_property
    def matrix(self) -> Floats:
        """The perspective from places to pixels that the corners alone give."""
        return homography(self._places, self.corners)

    @property
    def _places(self) -> list[Point]:
        right, bottom = float(self.width), float(self.height)
        return [(0.0, 0.0), (right, 0.0), (right, bottom), (0.0, bottom)]

    def pixels(self, places: ArrayLike) -> Floats:
        """Return the pixels (..., 2) of places (..., 2), as the corners alone have them."""
        return _moved(self.matrix, np.asarray(places, dtype=np.float64))

    def places(self, pixels: ArrayLike) -> Floats:
        """Return the places (..., 2) of pixels (..., 2), as the corners alone have them."""
        back: Floats = np.asarray(np.linalg.inv(self.matrix), dtype=np.float64)
        return _moved(back, np.asarray(pixels, dtype=np.float64))

    @property
    def pixels_per_cross(self) -> float:
        """The side of a cross in pixels: the smaller of its two sides, in the middle."""
        x, y = self.width / 2, self.height / 2
        steps = [(x, y), (x + 1, y), (x, y + 1)]
        at, right, below = self.pixels(steps)
        return float(min(np.hypot(*(right - at)), np.hypot(*(below - at))))

    def faults(self, width: int, height: int) -> tuple[Told, ...]:
        """Return what is wrong with corners and landmarks in a photograph of so many pixels."""
        wrong = _corner_faults(self.corners, width, height)
        if wrong:
            return wrong
        return (*self._size_faults(), *self._landmark_faults(width, height))

    def _size_faults(self) -> tuple[Told, ...]:
        if self.width * self.height > MOST_CELLS:
            return (
                Told(
                    Limit.TOO_LARGE,
                    f"{self.width:,} x {self.height:,} crosses are too many for one photograph.",
                    "show the piece by bands or motifs, each in a photograph of its own",
                ),
            )
        if min(self.width, self.height) < FEWEST:
            return (
                Told(
                    Limit.TOO_FEW,
                    f"{self.width} x {self.height} crosses are too few to follow.",
                    f"name a part of at least {FEWEST} crosses each way",
                ),
            )
        side = self.pixels_per_cross
        size = f"A cross is {side:.1f} pixels wide in this photograph"
        advice = "photograph it by bands or motifs, nearer, at 8 to 12 pixels a cross"
        if side < LEAST_PIXELS:
            return (Told(Limit.TOO_SMALL, f"{size}, too few to be read.", advice),)
        if side < FEW_PIXELS:
            return (Told(Limit.SMALL, f"{size}; many cells will be doubtful.", advice),)
        return ()

    def _landmark_faults(self, width: int, height: int) -> tuple[Told, ...]:
        faults = []
        most = max(_STRAY, _STRAY_SHARE * max(self.width, self.height))
        for mark in self.landmarks:
            name = f"The landmark at {mark.x:g},{mark.y:g}"
            if not (0 <= mark.x <= self.width and 0 <= mark.y <= self.height):
                faults.append(
                    Told(
                        Limit.LANDMARK_OUTSIDE,
                        f"{name} is outside the {self.width} x {self.height} crosses.",
                        "columns and rows of a landmark are counted from the thing's top left",
                    )
                )
                continue
            off = float(np.hypot(*(self.places((mark.u, mark.v)) - (mark.x, mark.y))))
            inside = 0 <= mark.u <= width and 0 <= mark.v <= height
            if not inside or off > most:
                faults.append(
                    Told(
                        Limit.LANDMARK_OFF,
                        f"{name} lies {off:.0f} crosses from where the corners have it.",
                        "count it again, or correct the corner that is wrong",
                    )
                )
        return tuple(faults)


def _corner_faults(corners: Sequence[Point], width: int, height: int) -> tuple[Told, ...]:
    points = np.asarray(corners, dtype=np.float64)
    order = "in order: top left, top right, bottom right, bottom left"
    outside = (points < 0).any(axis=1) | (points > (width, height)).any(axis=1)
    if not np.isfinite(points).all() or outside.any():
        number = int(np.flatnonzero(outside | ~np.isfinite(points).all(axis=1))[0])
        u, v = corners[number]
        return (
            Told(
                Limit.CORNERS_OUTSIDE,
                f"The corner at {u:g},{v:g} is outside the photograph, which is "
                f"{width:,} x {height:,} pixels.",
                "give the corners in pixels of this photograph, as it is looked at",
            ),
        )
    sides = np.roll(points, -1, axis=0) - points
    after = np.roll(sides, -1, axis=0)
    turns = sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0]
    # All sides turn the same way at every corner, and by enough: a convex figure.
    least = _FLAT * float(np.square(sides).sum(axis=1).min())
    if (np.abs(turns) <= max(least, 1.0)).any():
        return (
            Told(
                Limit.CORNERS_IN_LINE,
                "Three of the four corners lie in a line.",
                f"give the four outer corners of the thing {order}",
            ),
        )
    if not ((turns > 0).all() or (turns < 0).all()):
        return (
            Told(
                Limit.CORNERS_CROSSED,
                "The corners are crossed.",
                f"give them {order}",
            ),
        )
    if (turns < 0).all():
        return (
            Told(
                Limit.CORNERS_CROSSED,
                "The corners go round the wrong way, so that the thing would be seen from behind.",
                f"give them {order}",
            ),
        )
    return ()
