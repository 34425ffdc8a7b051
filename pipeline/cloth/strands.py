"""Thread as it lies on cloth, drawn small: strokes, knots and beads with light and shadow.

A `Swatch` is a little patch of cloth on which threads are laid one over the other. It keeps
light and colour apart, so that one drawing serves every thread of the key: a `Tile` holds how
much of each thread's colour a pixel shows, how much gloss, and how much of the cloth it hides.
All lengths are in mm; x runs right, y runs down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.floating[Any]]
Bytes = NDArray[np.uint8]

STRAND_MM = 0.39  # one strand of stranded cotton as it lies on the cloth (common practice)
LIGHT = np.array([-0.27, -0.64, 0.72], dtype=np.float32)  # from the upper left, towards the eye
AMBIENT = 0.54
DIFFUSE = 0.71
GLOSS = 0.16
DEEPEST_SHADE = 0.42


def thread_width(strands: int) -> float:
    """Return how wide a thread of so many strands lies, in mm.

    Strands pile up, so that the width grows a little slower than their number.
    """
    return float(STRAND_MM * strands**0.85)


def rgb(colour: str) -> Reals:
    """Return the three values of `#rrggbb`, 0 to 255."""
    return np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)], dtype=np.float32)


@dataclass(frozen=True, eq=False)
class Tile:
    """A drawing of stitches, free of colour.

    diffuse: (variants, slots, height, width), share of each slot's colour; over 1 where lit.
    gloss: (variants, height, width), white light added.
    cover: (variants, height, width), share of the cloth hidden by thread or shadow.
    """

    diffuse: Reals
    gloss: Reals
    cover: Reals

    def dyed(self, colours: Reals) -> Bytes:
        """Return the tile in colour: (variants, height, width, 4), premultiplied red to alpha.

        colours: (slots, 3) in 0..255, one for each slot.
        """
        rgb = np.einsum("vshw,sc->vhwc", self.diffuse, colours) + 255 * self.gloss[..., None]
        out = np.empty((*self.cover.shape, 4), dtype=np.uint8)
        out[..., :3] = np.clip(rgb + 0.5, 0, 255)
        out[..., 3] = np.clip(255 * self.cover + 0.5, 0, 255)
        return out


class Swatch:
    """A patch of cloth, several variants at once, drawn finer than its pixels.

    columns, rows: size in pixels. width, height: size in mm. fine: drawn points per pixel.
    """

    def __init__(
        self, columns: int, rows: int, *, width: float, height: float, fine: int, variants: int = 1
    ) -> None:
        self.columns, self.rows, self.fine = columns, rows, fine
        shape = (variants, rows * fine, columns * fine)
        x = (np.arange(shape[2], dtype=np.float32) + 0.5) * np.float32(width / shape[2])
        y = (np.arange(shape[1], dtype=np.float32) + 0.5) * np.float32(height / shape[1])
        self.x, self.y = x[None, None, :], y[None, :, None]
        self.slot = np.full(shape, -1, dtype=np.int8)
        self.shade = np.zeros(shape, dtype=np.float32)
        self.gloss = np.zeros(shape, dtype=np.float32)
        self.shadow = np.zeros(shape, dtype=np.float32)

    def lay(
        self,
        start: Reals,
        end: Reals,
        slots: Sequence[int],
        width: float,
        *,
        twisted: bool = False,
        turn: Reals | None = None,
        lustre: float = 1.0,
    ) -> None:
        """Lay one thread from hole to hole over what is there.

        start, end: (variants, 2) in mm. slots: the colour slot of each strand, side by side.
        width: of the whole thread in mm. twisted: strands wind round each other, as in a
        blend. turn: (variants,) where along the twist the thread starts, in turns.
        """
        variants = self.slot.shape[0]
        phase = np.zeros(variants, np.float32) if turn is None else turn.astype(np.float32)
        phase = phase[:, None, None]
        along = (end - start).astype(np.float32)
        length = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-4).astype(np.float32)
        tx, ty = along[:, 0] / length, along[:, 1] / length
        tx, ty, length = tx[:, None, None], ty[:, None, None], length[:, None, None]
        dx = self.x - start[:, 0, None, None].astype(np.float32)
        dy = self.y - start[:, 1, None, None].astype(np.float32)
        run = dx * tx + dy * ty
        across = dy * tx - dx * ty
        self._cast(across, run, length, width, (tx, ty))

        share = np.clip(run / length, 0, 1)
        beyond = run - share * length
        bend = 2 * share - 1  # -1 and 1 at the holes, where the thread goes down
        steep = bend * bend * bend * np.abs(bend)
        slim = 1 - 0.30 * steep * bend
        many = len(slots)
        spacing = 1.55 if many > 1 else 0.0
        radius = width / (2 + spacing * (many - 1))
        light_across = LIGHT[1] * tx - LIGHT[0] * ty
        light_along = LIGHT[0] * tx + LIGHT[1] * ty
        # Nothing is under this thread's own height yet, so strands only compete with each other.
        best = np.full(self.slot.shape, -1.0, dtype=np.float32)
        for number, slot in enumerate(slots):
            middle: Reals | float = (number - (many - 1) / 2) * spacing * radius
            lift: Reals | float = 0.0
            if twisted and many > 1:
                angle = 2 * np.pi * (run / (3.2 * width) + number / many + phase)
                middle = spacing * radius * (many - 1) / 2 * np.sin(angle)
                lift = radius * np.cos(angle)
            edge = radius * slim
            side = (across - middle * (1 - 0.45 * np.abs(steep))) / edge
            nose = beyond / (0.8 * edge)
            flat = side * side + nose * nose
            top = np.sqrt(np.maximum(1 - flat, 0))
            rise = top * radius + lift
            wins = (flat < 1) & (rise > best)
            dive = nose + 0.55 * steep
            lit = side * light_across + dive * light_along + top * LIGHT[2]
            lit = np.maximum(lit, 0) / np.sqrt(1 + dive * dive)
            # Two plies twisted: fine slanting lines, which fade out as the picture gets smaller.
            plies = np.sin(
                2 * np.pi * (run / (1.15 * STRAND_MM) + 0.42 * side + phase + number / 3)
            )
            # Light does not reach into the groove between two strands.
            shade = AMBIENT * (1.06 - 0.34 * flat) + DIFFUSE * lit + 0.05 * plies
            self.slot[wins] = slot
            self.shade[wins] = np.maximum(shade, DEEPEST_SHADE)[wins]
            shine = lit**12 * (GLOSS * lustre)
            self.gloss[wins] = np.broadcast_to(shine, wins.shape)[wins]
            best[wins] = np.broadcast_to(rise, wins.shape)[wins]

    def _cast(
        self, across: Reals, run: Reals, length: Reals, width: float, way: tuple[Reals, Reals]
    ) -> None:
        """Throw the soft shadow of a thread about to be laid; way: its direction."""
        push = 0.22 * width
        moved_across = across - push * (0.8 * way[0] - 0.55 * way[1])
        moved_run = run - push * (0.55 * way[0] + 0.8 * way[1])
        beyond = moved_run - np.clip(moved_run, 0.12 * length, 0.88 * length)
        gap = np.hypot(moved_across, beyond) - 0.42 * width
        dark = np.clip(1 - gap / (0.42 * width), 0, 1)
        self._darken(dark * dark * (3 - 2 * dark))

    def _darken(self, dark: Reals) -> None:
        covered = self.slot >= 0
        self.shade *= np.where(covered, 1 - 0.36 * dark, 1)
        self.gloss *= np.where(covered, 1 - 0.8 * dark, 1)
        self.shadow = np.maximum(self.shadow, 0.50 * dark * ~covered)

    def hollow(self, depth: float) -> None:
        """Darken the cloth that is still bare, as between the legs of a cross."""
        self.shadow = np.maximum(self.shadow, depth)

    def knot(self, x: float, y: float, radius: float, slots: Sequence[int]) -> None:
        """Lay a wound knot: a little dome of coiled thread with a dimple."""
        dx, dy = (self.x - x) / radius, (self.y - y) / radius
        self._dome_shadow(x, y, radius)
        out = np.hypot(dx, dy)
        turn = np.arctan2(dy, dx) / (2 * np.pi)
        coil = (out * 2.1 + turn) % 1.0  # a spiral of a little over two windings
        inside = np.broadcast_to(out < 1, self.slot.shape)
        top = np.sqrt(np.maximum(1 - out * out, 0))
        lit = LIGHT[0] * dx + LIGHT[1] * dy + LIGHT[2] * top
        ridge = np.sin(np.pi * coil)
        dimple = np.clip(1 - out / 0.22, 0, 1)
        shade = 0.42 + 0.52 * np.maximum(lit, 0) + 0.30 * ridge - 0.30 * dimple
        band = np.floor(out * 2.1 + turn).astype(np.int64) % len(slots)
        self._set(inside, np.asarray(slots)[band], shade, np.maximum(lit, 0) ** 12 * 0.14 * ridge)

    def bead(self, x: float, y: float, radius: float, slot: int) -> None:
        """Lay a glass bead: round, clear at the far edge, with a sharp light and a hole."""
        dx, dy = (self.x - x) / radius, (self.y - y) / radius
        self._dome_shadow(x, y, radius)
        out = np.hypot(dx, dy)
        inside = np.broadcast_to(out < 1, self.slot.shape)
        top = np.sqrt(np.maximum(1 - out * out, 0))
        lit = LIGHT[0] * dx + LIGHT[1] * dy + LIGHT[2] * top
        through = np.clip(-lit + 0.75 * out, 0, 1) * out  # light gathered on the far side
        hole = np.clip(1.25 - np.hypot(dx / 0.30, dy / 0.20), 0, 1)
        shade = 0.62 + 0.34 * np.maximum(lit, 0) + 0.75 * through * out - 0.42 * hole
        shade = shade * (1 - 0.35 * np.clip((out - 0.86) / 0.14, 0, 1))
        spot = np.clip(1 - np.hypot(dx + 0.36, dy + 0.42) / 0.24, 0, 1)
        self._set(inside, np.int64(slot), shade, 0.95 * np.minimum(spot * 1.8, 1) + 0.10 * through)

    def _dome_shadow(self, x: float, y: float, radius: float) -> None:
        gap = np.hypot(self.x - x - 0.26 * radius, self.y - y - 0.38 * radius) - 0.86 * radius
        dark = np.clip(1 - gap / (0.45 * radius), 0, 1)
        self._darken(np.broadcast_to(dark, self.slot.shape))

    def _set(
        self,
        inside: NDArray[np.bool_],
        slot: NDArray[np.int64] | np.int64,
        shade: Reals,
        gloss: Reals,
    ) -> None:
        full = self.slot.shape
        self.slot[inside] = np.broadcast_to(slot, full)[inside]
        self.shade[inside] = np.broadcast_to(np.maximum(shade, 0.2), full)[inside]
        self.gloss[inside] = np.broadcast_to(gloss, full)[inside]

    def tile(self, slots: int) -> Tile:
        """Return the drawing at its true pixel size, for so many colour slots."""
        shown = np.arange(slots, dtype=np.int8)[None, :, None, None] == self.slot[:, None]
        diffuse = self._shrink(np.where(shown, self.shade[:, None], np.float32(0)))
        cover = np.where(self.slot >= 0, np.float32(1), self.shadow)
        return Tile(diffuse, self._shrink(self.gloss), self._shrink(cover))

    def _shrink(self, fine: Reals) -> Reals:
        shape = (*fine.shape[:-2], self.rows, self.fine, self.columns, self.fine)
        shrunk: Reals = fine.reshape(shape).mean(axis=(-3, -1), dtype=np.float32)
        return shrunk
