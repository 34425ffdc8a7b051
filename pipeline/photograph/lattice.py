"""Where the crosses of a piece lie in its photograph, followed from the corners.

A raster is taken as the corners have it; its carriers are unwrapped into offsets; a second raster
is taken with those, and what still lies off is found and added; then small rests are taken away.
Where cloth is mostly bare there are few edges, and the weave has to carry; where it is covered, the
edges have to. So each is weighed against the noise of its own, at every cross.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike
from scipy.ndimage import gaussian_filter, map_coordinates

from .placing import Floats, Placing
from .sampling import PAD, Singles, View
from .signals import (
    EDGES,
    NARROW,
    WEAVE,
    WIDE,
    Axis,
    Carrier,
    Complex,
    Slants,
    carrier,
    edges,
    local_carrier,
    opponent,
    weave,
)
from .unwrapping import Pins, Signal, unwrap

TORN = 0.19  # crosses a cross along the threads; beyond it whole crosses were lost
TEAR_QUANTILE = 0.9995
_ABOVE_NOISE = 2.5  # a signal so many times the noise says half
# How much the weave counts against the edges. Where it is very clear it is seen everywhere, and
# leads; where it only fits between the edges it helps; the dots of a print, or noise, would lead
# astray. Both are counted from none to all, the strength over noise and the agreement.
_WEAVE_CLEAR, _CLEAR = (3.0, 3.6), 6.0
_WEAVE_AGREES, _AGREES = (0.22, 0.35), 4.0
_UNSEEN = 0.25
_RENT_REACH = 1.0  # sigma in crosses of what a rent makes doubtful
_RENT_COSTS = 0.1  # of TORN: by so much more tear, trust falls to a third
_ROUNDS = ((3.0, 1.0), (2.2, 1.0))  # sigmas along and across of the last corrections, in crosses
_WEAVE_LAST = 0.35  # weight of the weave in those
_FAR_LAST = 0.35  # crosses; what lies farther off is no small rest
_LANDMARK_REACH = 0.5  # crosses


@dataclass(frozen=True, eq=False)
class Lattice:
    """Where crosses lie, as far as they could be followed.

    offsets: (2, height + 2 PAD, width + 2 PAD) by how many crosses, in x and y, the middle of each
    cross lies off from where the corners alone would have it.
    weave_over_noise: how clearly the weave is seen; about 1 where it is not.
    edges_over_noise: the same of the edges of crosses.
    """

    placing: Placing
    offsets: Singles
    weave_over_noise: float
    edges_over_noise: float

    def pixels(self, places: ArrayLike) -> Floats:
        """Return the pixels (..., 2) of places (..., 2) of the thing, for drawing the lattice."""
        at = np.asarray(places, dtype=np.float64)
        x, y = at.reshape(-1, 2).T
        where = np.stack([y + PAD - 0.5, x + PAD - 0.5])
        off = [map_coordinates(part, where, order=1, mode="nearest") for part in self.offsets]
        return self.placing.pixels(at + np.stack(off, axis=-1).reshape(at.shape))

    def with_offsets(self, offsets: Singles) -> Lattice:
        """Return the same with other offsets."""
        return replace(self, offsets=offsets)

    @cached_property
    def tear(self) -> Floats:
        """How much the offset changes along the threads beside each cross, (height, width).

        In crosses a cross. A cross that is lost somewhere shows as a rent.
        """
        x, y = self.offsets[:, PAD:-PAD, PAD:-PAD].astype(np.float64)
        rents = np.zeros(x.shape)
        down, right = np.abs(np.diff(x, axis=0)), np.abs(np.diff(y, axis=1))
        for part, cells in ((down, rents[:-1]), (down, rents[1:])):
            np.maximum(cells, part, out=cells)
        for part, cells in ((right, rents[:, :-1]), (right, rents[:, 1:])):
            np.maximum(cells, part, out=cells)
        return rents

    @cached_property
    def tearing(self) -> float:
        """The 99.95 % quantile of the change along the threads: of a good lattice about 0.15."""
        x, y = self.offsets[:, PAD:-PAD, PAD:-PAD]
        changes = [np.abs(np.diff(x, axis=0)).ravel(), np.abs(np.diff(y, axis=1)).ravel()]
        return float(np.quantile(np.concatenate(changes), TEAR_QUANTILE))

    @cached_property
    def trust(self) -> Floats:
        """How far each cross may be trusted to lie where it was found, (height, width), 0 to 1."""
        near = gaussian_filter(np.maximum(self.tear - TORN, 0), _RENT_REACH)
        trust: Floats = np.exp(-near / (_RENT_COSTS * TORN))
        return trust

    @property
    def slipped(self) -> bool:
        """Whether whole crosses were lost somewhere: nothing may then be concluded."""
        return self.tearing > TORN


def follow(view: View) -> Lattice:
    """Follow the crosses of a view from its four corners."""
    corners = _corner_pins(view.placing)
    return follow_from(view, dict.fromkeys(Axis, corners))


def follow_from(view: View, corners: Mapping[Axis, Pins]) -> Lattice:
    """Follow the crosses of a view, held fast at some corners for each axis."""
    first = _seen(view, None, WIDE)
    marks = _landmark_pins(view.placing, first)
    pins = {axis: {**corners[axis], **marks[axis]} for axis in Axis}
    offsets = np.zeros((2, *first[Axis.X].edges.value.shape), np.float32)
    offsets = _added(offsets, first, pins, near=False)
    again = _seen(view, offsets, NARROW)
    held = {
        axis: {cell: value - float(offsets[1 - axis][cell]) for cell, value in pins[axis].items()}
        for axis in Axis
    }
    offsets = _added(offsets, again, held, near=True)
    offsets = corrected(view, offsets, _ROUNDS)
    clear = min(pair.weave_over_noise for pair in again.values())
    edged = min(pair.edges_over_noise for pair in again.values())
    return Lattice(view.placing, offsets, clear, edged)


def _seen(view: View, offsets: Singles | None, slants: Slants) -> dict[Axis, _Carriers]:
    raster = opponent(view.raster(offsets))
    return {axis: _carriers(raster, axis, slants) for axis in Axis}


def corrected(view: View, offsets: Singles, rounds: tuple[tuple[float, float], ...]) -> Singles:
    """Return offsets without the small rests that rasters taken with them show, round by round.

    rounds: sigmas along and across the threads in crosses.
    """
    for long, narrow in rounds:
        offsets = _corrected(offsets, opponent(view.raster(offsets)), long, narrow)
    return offsets


@dataclass(frozen=True, eq=False)
class _Carriers:
    """Both signals along an axis, the weave's angle counted from that of the edges."""

    edges: Carrier
    weave: Carrier

    @property
    def weave_over_noise(self) -> float:
        return float(np.median(self.weave.strength)) / max(self.weave.noise, 1e-9)

    @property
    def edges_over_noise(self) -> float:
        return float(np.median(self.edges.strength)) / max(self.edges.noise, 1e-9)

    @property
    def agreement(self) -> float:
        """How well the weave fits between the edges, from 0 to 1; what is no weave does not."""
        edge, fine = self.edges.value, self.weave.value
        weight = np.square(np.abs(edge))
        together = (fine * weight * np.exp(-2j * np.angle(edge))).sum()
        return float(np.abs(together) / max(float((np.abs(fine) * weight).sum()), 1e-12))

    @property
    def _importance_of_weave(self) -> float:
        clear = _share(self.weave_over_noise, *_WEAVE_CLEAR)
        agrees = _share(self.agreement, *_WEAVE_AGREES)
        return max(_UNSEEN, _AGREES * agrees, _CLEAR * clear)

    def signals(self) -> tuple[Signal, Signal]:
        """Return both as the unwrapping weighs them."""
        return (
            Signal.of(self.edges, _ABOVE_NOISE * self.edges.noise, 1.0),
            Signal.of(self.weave, _ABOVE_NOISE * self.weave.noise, self._importance_of_weave),
        )


def _share(value: float, none: float, all_: float) -> float:
    return min(1.0, max(0.0, (value - none) / (all_ - none)))


def _carriers(raster: Singles, axis: Axis, slants: Slants) -> _Carriers:
    edge = carrier(edges(raster, axis), EDGES, axis, slants)
    fine = carrier(weave(raster), WEAVE, axis, slants)
    return _Carriers(edge, fine.turned(_between(edge.value, fine.value)))


def _between(edge: Complex, fine: Complex) -> float:
    """Return the angle of the weave where crosses meet, which is the same all over a piece."""
    return float(np.angle((fine * np.abs(edge) * np.exp(-2j * np.angle(edge))).sum()))


def _added(
    offsets: Singles, found: dict[Axis, _Carriers], pins: Mapping[Axis, Pins], *, near: bool
) -> Singles:
    """Return offsets with what carriers tell beyond them."""
    made = offsets.copy()
    for axis, pair in found.items():
        more, weight = unwrap(*pair.signals(), axis, pins[axis], near)
        sigmas = (1.5, 0.4) if axis is Axis.X else (0.4, 1.5)
        smooth = gaussian_filter(more * weight, sigmas) / gaussian_filter(weight, sigmas)
        made[1 - axis] += smooth.astype(np.float32)
    return made


def _corrected(offsets: Singles, raster: Singles, long: float, narrow: float) -> Singles:
    """Return offsets with the small rests that a raster taken with them still shows."""
    made = offsets.copy()
    for axis in Axis:
        edge = local_carrier(edges(raster, axis), EDGES, axis, long, narrow)
        fine = local_carrier(weave(raster), WEAVE, axis, long, narrow)
        fine = fine * np.exp(-1j * _between(edge, fine))
        rest = -np.angle(edge) / (2 * np.pi)
        rest = np.where(np.abs(rest) < _FAR_LAST, rest, 0)
        finer = -np.angle(fine) / (4 * np.pi)
        one, two = _against_usual(edge), _WEAVE_LAST * _against_usual(fine)
        weight = one + two
        mean = (one * rest + two * finer) / weight
        sigmas = (1.5, 0.5) if axis is Axis.X else (0.5, 1.5)
        smooth = gaussian_filter(mean * weight, sigmas) / gaussian_filter(weight, sigmas)
        made[1 - axis] += smooth.astype(np.float32)
    return made


def _against_usual(value: Complex) -> Floats:
    power = np.square(np.abs(value)).astype(np.float64)
    ratio = power / (float(np.median(power)) + 1e-12)
    share: Floats = ratio / (1 + ratio) + 1e-9
    return share


def _corner_pins(placing: Placing) -> dict[tuple[int, int], float]:
    top, left = PAD, PAD
    bottom, right = PAD + placing.height - 1, PAD + placing.width - 1
    return dict.fromkeys([(top, left), (top, right), (bottom, right), (bottom, left)], 0.0)


def _landmark_pins(
    placing: Placing, found: dict[Axis, _Carriers]
) -> dict[Axis, dict[tuple[int, int], float]]:
    """Return the offsets at landmarks, snapped to the crossing that the carriers have nearest."""
    pins: dict[Axis, dict[tuple[int, int], float]] = {axis: {} for axis in Axis}
    for mark in placing.landmarks:
        off = placing.places((mark.u, mark.v)) - (mark.x, mark.y)
        # The cell of which the crossing is the first corner; at the far edges, the last.
        row = min(PAD + int(mark.y), PAD + placing.height - 1)
        column = min(PAD + int(mark.x), PAD + placing.width - 1)
        for axis in Axis:
            shown = float(off[1 - axis])
            seen = float(found[axis].edges.offset[row, column])
            pins[axis][row, column] = seen + float(np.rint(shown - seen))
    return pins
