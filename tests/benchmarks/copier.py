"""A copier and a reader of what it gives back, for charts printed in black.

Neither knows how symbols are drawn: pages are drawn by PDFium, and the reader learns the glyphs of
the font in the booklet as FreeType draws them, each copied once by a mild copier.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage
from scipy.special import ndtr

DOTS = 300 / 25.4  # to the mm
GENERATIONS = 2  # a copy of a copy
TURN, SHIFT = 0.5, 0.5  # degrees and pixels a sheet may lie askew, either way
BLUR = 0.8, 1.2  # pixels, of the optics (standard deviation)
THRESHOLD = 0.5, 0.65  # paper is 1: what is darker becomes ink
GAIN = 0.3  # pixels by which an edge of ink may grow or shrink as toner lies on paper
TONER = 0.7  # pixels of that spread
SPECKS = 0.01, 0.02  # share of pixels that come out black or white whatever they were
EDGE = 4  # pixels next to the grid lines that nothing is read in
ASIDE = 2  # pixels that a symbol may stand aside of where it is looked for

Picture = NDArray[np.float32]  # paper 1, ink 0


@dataclass(frozen=True, eq=False)
class Copy:
    """A copied page, and where its points came to lie: turn @ (row, column) + shift."""

    picture: Picture
    turn: NDArray[np.float64]
    shift: NDArray[np.float64]

    def at(self, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return rows and columns of points of the page, (2, n)."""
        placed: NDArray[np.float64] = self.turn @ np.stack([y, x]) + self.shift[:, None]
        return placed


def copied(picture: Picture, chance: np.random.Generator) -> Copy:
    """Return a copy of a copy of a page."""
    turn, shift = np.eye(2), np.zeros(2)
    middle = np.array(picture.shape) / 2
    for _ in range(GENERATIONS):
        angle = np.radians(chance.uniform(-TURN, TURN))
        back = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        offset = middle - back @ middle + chance.uniform(-SHIFT, SHIFT, 2)
        askew = ndimage.affine_transform(picture, back, offset, order=1, mode="nearest")
        seen = ndimage.gaussian_filter(askew, chance.uniform(*BLUR))
        picture = toned(seen, chance.uniform(*THRESHOLD), chance.uniform(-GAIN, GAIN))
        specks = chance.random(picture.shape, np.float32)
        share = chance.uniform(*SPECKS)
        picture[specks < share] = 1
        picture[specks < share / 2] = 0
        turn, shift = back.T @ turn, back.T @ (shift - offset)
    return Copy(picture, turn, shift)


def toned(seen: Picture, threshold: float, gain: float) -> Picture:
    """Return what is printed of a page as seen: black and white, edges moved by the gain."""
    ink = ndimage.gaussian_filter((seen < threshold).astype(np.float32), TONER)
    # Of a straight edge blurred so, this is the ink where the edge is to be.
    return (ink <= ndtr(-gain / TONER)).astype(np.float32)


class Reader:
    """Reads symbols in cells of a size by template matching.

    The normalised correlation of J. P. Lewis, 1995, at the best of all places that a symbol may
    have come to lie.
    """

    def __init__(self, font: bytes, characters: Sequence[str], cell: float) -> None:
        """Take the font of a booklet, the characters of its symbols, and the side of a cell, mm."""
        self._side = round(cell * DOTS)
        face = ImageFont.truetype(io.BytesIO(font), cell * DOTS)
        looks = []
        for character in characters:
            sheet = Image.new("L", (self._side, self._side), 255)
            ImageDraw.Draw(sheet).text((0, self._side), character, 0, face, anchor="ls")
            clean = np.asarray(sheet, np.float32) / 255
            looks.append(toned(ndimage.gaussian_filter(clean, sum(BLUR) / 2, mode="nearest"),
                               sum(THRESHOLD) / 2, 0.0))  # fmt: skip
        steps = range(-ASIDE, ASIDE + 1)
        inner = slice(EDGE, self._side - EDGE)
        self._looks = [
            _normalised(np.roll(1 - np.array(looks), (down, aside), (1, 2))[:, inner, inner])
            for down in steps
            for aside in steps
        ]

    def read(self, copy: Copy, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.int64]:
        """Return the number of the symbol read in each cell, by its middle on the page."""
        pixels = np.arange(EDGE, self._side - EDGE) - self._side / 2 + 0.5
        row, column = copy.at(x, y)
        rows = np.round(row[:, None] + pixels).astype(int)
        columns = np.round(column[:, None] + pixels).astype(int)
        seen = _normalised(1 - copy.picture[rows[:, :, None], columns[:, None, :]])
        likest = np.full((len(self._looks[0]), len(seen)), -1, np.float32)
        for looks in self._looks:
            np.maximum(likest, looks @ seen.T, out=likest)
        return likest.argmax(axis=0)


def _normalised(pictures: NDArray[np.float32]) -> NDArray[np.float32]:
    flat = pictures.reshape(len(pictures), -1)
    flat = flat - flat.mean(axis=1, keepdims=True)
    return flat / np.maximum(np.linalg.norm(flat, axis=1, keepdims=True), np.float32(1e-9))
