"""How alike two printed symbols look, measured from their pixels.

Shapes are rendered as they come out on paper in a cell of 2.5 mm at 300 dots per inch, 30 pixels,
and blurred as an eye at reading distance blurs them. Two pictures are then compared by what ink
they share (the weighted Jaccard index of their pixels, also called Ruzicka similarity), at two
blurs: a fine one that sees outlines, at the best of a few shifts, because nobody measures a symbol
against the edges of its cell, and a coarse one that sees only where the ink lies. A symbol with
more ink than paper is seen as a white figure, so the paper inside is compared in the same way and
the greater difference of the two counts.

`python -m linenleaf.chart.likeness` writes the measures file anew after a drawing was changed.
"""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from .shapes import (
    BOX,
    FOLDER,
    MEASURES,
    Contours,
    Measures,
    all_names,
    drawn_names,
    outline,
    symbol_path,
)

PIXELS = 30  # 2.5 mm at 300 dots per inch
FINE, COARSE = 3, 5  # widths of the blurs in pixels: 0.25 mm and 0.4 mm
SHIFT = 2  # pixels that a symbol may stand aside
INSIDE = 4  # pixels between the edge of the cell and the paper that belongs to the figure
ALIKE = 0.30  # below this two symbols may be taken for one another
ROWS_IN_PIXEL = 8
STEPS_IN_CURVE = 8

Shades = NDArray[np.float64]  # (height, width), 0 paper to 1 ink


def render(shape: Contours, pixels: int = PIXELS) -> Shades:
    """Return the ink of a shape, pixel by pixel: exact across, eight samples down each pixel.

    Contours are filled by the non-zero rule; where none overlap, as in our shapes, the signed
    lengths to the right of each crossing add up to the ink of the row.
    """
    edges = _edges(shape) * (pixels / BOX)
    x0, y0, x1, y1 = edges.T
    heights = (np.arange(pixels * ROWS_IN_PIXEL) + 0.5) / ROWS_IN_PIXEL
    low, high = np.minimum(y0, y1), np.maximum(y0, y1)
    row, edge = np.nonzero((heights[:, None] >= low) & (heights[:, None] < high))
    slope = (x1 - x0)[edge] / (y1 - y0)[edge]
    crossing = x0[edge] + (heights[row] - y0[edge]) * slope
    sign = np.sign(y1 - y0)[edge]
    right_of = np.clip(np.arange(1, pixels + 1) - crossing[:, None], 0, 1)
    ink = np.zeros((pixels * ROWS_IN_PIXEL, pixels))
    np.add.at(ink, row, right_of * sign[:, None])
    picture: Shades = np.abs(ink).reshape(pixels, ROWS_IN_PIXEL, pixels).mean(axis=1)
    return picture


def blur(picture: Shades, width: int) -> Shades:
    """Return the picture under a box blur of an odd width, twice, as near to a lens."""
    kernel = np.ones(width) / width
    spread = np.convolve(kernel, kernel)
    for axis in (-2, -1):
        picture = np.apply_along_axis(np.convolve, axis, picture, spread, mode="same")
    return picture


def differences(pictures: Sequence[Shades]) -> NDArray[np.float64]:
    """Return how different each two pictures look, 0 to 1, as a symmetric (n, n) matrix."""
    ink = np.asarray(pictures)
    live = slice(INSIDE, -INSIDE)
    paper = np.zeros_like(ink)
    paper[:, live, live] = 1 - ink[:, live, live]
    return np.maximum(_apart_at_both_blurs(ink), _apart_at_both_blurs(paper))


def _apart_at_both_blurs(pictures: NDArray[np.float64]) -> NDArray[np.float64]:
    room = COARSE + SHIFT
    framed = np.pad(pictures, ((0, 0), (room, room), (room, room)))
    return (_apart(blur(framed, FINE), SHIFT) + _apart(blur(framed, COARSE), 0)) / 2


def _apart(pictures: NDArray[np.float64], shift: int) -> NDArray[np.float64]:
    # 1 - sum(min) / sum(max) of two pictures, at the shift that makes it least.
    count = len(pictures)
    ink = pictures.sum(axis=(1, 2))
    flat = pictures.reshape(count, -1).astype(np.float32)
    both = ink[:, None] + ink[None, :]
    least = np.ones((count, count))
    for down in range(-shift, shift + 1):
        for aside in range(-shift, shift + 1):
            moved = np.roll(pictures, (down, aside), axis=(1, 2)).reshape(count, -1)
            moved = moved.astype(np.float32)
            apart = np.array([np.abs(flat - one).sum(axis=1) for one in moved])
            # min = (a + b - |a - b|) / 2 and max = (a + b + |a - b|) / 2
            least = np.minimum(least, 2 * apart / (both + apart))
    return np.minimum(least, least.T)


def measure(names: Sequence[str]) -> Measures:
    """Return the measures of these shapes, worked out from their outlines."""
    pictures = [render(outline(name)) for name in names]
    return Measures(
        names=tuple(names),
        coverage=np.array([picture.mean() for picture in pictures]),
        differences=differences(pictures),
        digest=digest(names),
    )


def rank(apart: NDArray[np.float64]) -> list[int]:
    """Return rows of a difference matrix so that each sets itself off well from those before it.

    The first is the one that differs most from all. Half of what counts is the difference from the
    nearest before it, half the mean difference.
    """
    order = [int(apart.sum(axis=1).argmax())]
    while len(order) < len(apart):
        before = apart[:, order]
        merit = before.min(axis=1) + before.mean(axis=1)
        merit[order] = -1
        order.append(int(merit.argmax()))
    return order


def digest(names: Sequence[str]) -> str:
    """Return a fingerprint of the outlines of these shapes and of their names."""
    text = "\n".join(f"{name} {symbol_path(name)}" for name in names)
    return hashlib.sha256(text.encode()).hexdigest()


def write(target: Path) -> None:
    """Measure all shapes in the folder and write the measures file, in steps of 1/255.

    The drawings come in order of rank, then the combined shapes likewise.
    """
    measured = measure(all_names())
    drawn = len(drawn_names())
    later = measured.differences[drawn:, drawn:]
    order = [*rank(measured.differences[:drawn, :drawn]), *(drawn + row for row in rank(later))]
    measured = measure([measured.names[row] for row in order])
    np.savez_compressed(
        target,
        names=np.array(" ".join(measured.names)),
        coverage=np.round(measured.coverage * 255).astype(np.uint8),
        differences=np.round(measured.differences * 255).astype(np.uint8),
        digest=np.array(measured.digest),
    )


def _edges(shape: Contours) -> NDArray[np.float64]:
    # (n, 4) straight pieces: x0, y0, x1, y1, curves cut into equal steps of their parameter.
    steps = np.linspace(0, 1, STEPS_IN_CURVE + 1)[:, None]
    pieces = []
    for contour in shape:
        here = contour.start
        for segment in contour.segments:
            ends = np.array([here, *segment])
            if len(segment) == 2:
                start, control, end = ends
                ends = (1 - steps) ** 2 * start + 2 * steps * (1 - steps) * control + steps**2 * end
            pieces.append(np.hstack([ends[:-1], ends[1:]]))
            here = segment[-1]
    return np.vstack(pieces)


if __name__ == "__main__":
    write(Path(str(FOLDER / MEASURES)))
    sys.stdout.write(f"{FOLDER / MEASURES}\n")
