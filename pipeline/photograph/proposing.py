"""A size proposed for a thing whose crosses were not counted, with the evidence for it.

How wide crosses are about is told by what comes back again and again in the photograph: edges once,
the weave twice a cross. With a size that is nearly right the crosses are then followed from one
side to the other, held fast on that one side only: where the far corners then come to lie tells how
many crosses there are. Both far corners have to say the same, and to lie on a line between crosses.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import map_coordinates

from .lattice import Lattice, follow_from
from .picture import Photograph
from .placing import FEWEST, MOST_CELLS, Floats, Placing, Point
from .sampling import PAD, SAMPLES, Singles, View
from .signals import EDGES, WEAVE, Axis, edges, opponent, weave
from .told import Told
from .unwrapping import Pins

_SIDES = (5.5, 7.5, 10.0, 13.5, 18.0, 24.0, 32.0)  # pixels of a cross that are tried
_NARROWER, _WIDER = 0.82, 1.22  # of each of those
_WINDOW = 16  # crosses, over which they are about equally wide
_FINER = 8  # times as fine as a window tells, by filling up
_ROUNDS = 4
# Sizes tried around the first one, in crosses more each way, until one is sure.
_NEAR = ((0, 0), (2, 0), (-2, 0), (0, 1), (0, -1), (4, 1))
_ON_LINE = 0.4  # crosses by which a far corner may lie off a line between crosses

Corners = tuple[Point, Point, Point, Point]


@dataclass(frozen=True)
class SizeProposal:
    """A size in crosses, and what speaks for it.

    across: how many crosses wide the thing is along its top and its bottom edge, as followed, not
    rounded. down: how many high along its left and its right edge. settled: whether following with
    this very size leads to it again. slipped: whether crosses were lost on the way.
    """

    width: int
    height: int
    across: tuple[float, float]
    down: tuple[float, float]
    settled: bool
    slipped: bool

    @property
    def is_sure(self) -> bool:
        """Whether all far corners lie on lines between crosses, and the lattice is whole."""
        return self.settled and not self.slipped and self.off < _ON_LINE

    @property
    def off(self) -> float:
        """By how many crosses the worst of the far corners lies off a line between crosses."""
        off = [abs(edge - self.width) for edge in self.across]
        return max(*off, *(abs(edge - self.height) for edge in self.down))

    @property
    def rank(self) -> tuple[bool, bool, float]:
        """The smaller the better."""
        return not self.settled, self.slipped, self.off

    @property
    def evidence(self) -> str:
        """What speaks for it, as one sentence."""
        top, bottom = self.across
        left, right = self.down
        return (
            f"Followed from the left, the top edge is {top:.1f} crosses long and the bottom edge "
            f"{bottom:.1f}; followed from the top, the left edge is {left:.1f} and the right edge "
            f"{right:.1f}."
        )


def propose_size(
    photograph: Photograph, corners: Corners
) -> tuple[SizeProposal | None, tuple[Told, ...]]:
    """Return the size of the thing between four corners, and what is to be told.

    There is none where the corners are wrong or no pattern comes back.
    """
    lengths = _lengths(corners)
    wide, high = (max(FEWEST, round(length / _SIDES[0])) for length in lengths)
    told = _framed(corners, wide, high).faults(photograph.width, photograph.height)
    told = tuple(each for each in told if each.limit.of_corners)
    if told:
        return None, told
    width, height = _first_guess(photograph, corners, lengths)
    tried: dict[tuple[int, int], SizeProposal] = {}
    for more_wide, more_high in _NEAR:
        best = _led_to(photograph, corners, (width + more_wide, height + more_high), tried)
        if best is None or best.is_sure:
            break
    return best, ()


def size_near(
    photograph: Photograph, corners: Corners, size: tuple[int, int]
) -> SizeProposal | None:
    """Return the size to which following with a size that was counted leads."""
    return _led_to(photograph, corners, size, {})


def _led_to(
    photograph: Photograph,
    corners: Corners,
    size: tuple[int, int],
    tried: dict[tuple[int, int], SizeProposal],
) -> SizeProposal | None:
    """Return the best of all sizes tried, after following from one size to the next."""
    for _ in range(_ROUNDS):
        if size in tried or size[0] * size[1] > MOST_CELLS or min(size) < FEWEST:
            break
        tried[size] = proposal = _followed(photograph, _framed(corners, *size))
        size = proposal.width, proposal.height
    return min(tried.values(), key=lambda each: each.rank, default=None)


def _framed(corners: Corners, width: int, height: int) -> Placing:
    return Placing(width, height, corners)


def _lengths(corners: Corners) -> tuple[float, float]:
    """Return the mean length in pixels of the level and of the upright sides."""
    points = np.asarray(corners, dtype=np.float64)
    sides = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    return float(sides[[0, 2]].mean()), float(sides[[1, 3]].mean())


def _first_guess(
    photograph: Photograph, corners: Corners, lengths: tuple[float, float]
) -> tuple[int, int]:
    best: tuple[float, int, int] | None = None
    for side in _SIDES:
        width, height = (max(FEWEST, round(length / side)) for length in lengths)
        if width * height > MOST_CELLS:
            continue
        view = View.of(photograph, _framed(corners, width, height))
        raster = opponent(view.raster())
        across, clear_across = _comes_back(raster, Axis.X)
        down, clear_down = _comes_back(raster, Axis.Y)
        clear = clear_across + clear_down
        if best is None or clear > best[0]:
            best = clear, round(width * across), round(height * down)
    return (FEWEST, FEWEST) if best is None else best[1:]


def _comes_back(raster: Singles, axis: Axis) -> tuple[float, float]:
    """Return how many crosses there are for each one supposed, and how clearly that shows."""
    inner = raster[:, PAD * SAMPLES : -PAD * SAMPLES, PAD * SAMPLES : -PAD * SAMPLES]
    one = _spectrum(edges(inner, axis), axis)
    two = _spectrum(weave(inner), axis)
    nu = np.arange(len(one)) * SAMPLES / (2 * (len(one) - 1))  # cycles for each cross supposed
    asked = np.arange(_NARROWER, _WIDER, 0.002)
    shows = np.log(np.interp(EDGES * asked, nu, one)) + np.log(np.interp(WEAVE * asked, nu, two))
    at = int(shows.argmax())
    return float(asked[at]), float(shows[at])


def _spectrum(signal: Singles, axis: Axis) -> Floats:
    """Return the amplitudes of a signal along an axis, over what is usual nearby."""
    lines = signal if axis is Axis.X else signal.T
    length = min(_WINDOW * SAMPLES, lines.shape[1])
    starts = range(0, lines.shape[1] - length + 1, max(1, length // 2))
    hann = np.hanning(length).astype(np.float32)
    total = np.zeros(length * _FINER // 2 + 1)
    for start in starts:
        part = lines[:, start : start + length] * hann
        total += np.abs(np.fft.rfft(part, length * _FINER, axis=1)).mean(axis=0)
    reach = 12 * _FINER
    padded = np.pad(total, reach, mode="reflect")
    usual = np.array([np.median(padded[at : at + 2 * reach + 1]) for at in range(len(total))])
    spectrum: Floats = total / np.maximum(usual, 1e-9)
    return spectrum


def _followed(photograph: Photograph, placing: Placing) -> SizeProposal:
    """Return what a size that is nearly right leads to."""
    view = View.of(photograph, placing)
    top, left = PAD, PAD
    bottom, right = PAD + placing.height - 1, PAD + placing.width - 1
    near: Mapping[Axis, Pins] = {
        Axis.X: {(top, left): 0.0, (bottom, left): 0.0},
        Axis.Y: {(top, left): 0.0, (top, right): 0.0},
    }
    lattice = follow_from(view, near)
    width, height = float(placing.width), float(placing.height)
    across = _reached(lattice, 0, (width, 0.0)), _reached(lattice, 0, (width, height))
    down = _reached(lattice, 1, (0.0, height)), _reached(lattice, 1, (width, height))
    size = max(1, round(sum(across) / 2)), max(1, round(sum(down) / 2))
    settled = size == (placing.width, placing.height)
    return SizeProposal(*size, across, down, settled, lattice.slipped)


def _reached(lattice: Lattice, part: int, corner: tuple[float, float]) -> float:
    """Return how many crosses there are up to a far corner, along x (0) or y (1)."""
    x, y = corner
    inside = (
        np.clip([y + PAD - 0.5], PAD, PAD + lattice.placing.height - 1),
        np.clip([x + PAD - 0.5], PAD, PAD + lattice.placing.width - 1),
    )
    off = map_coordinates(lattice.offsets[part], inside, order=1, mode="nearest")
    return float(corner[part] - off[0])
