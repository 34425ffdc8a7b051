"""Offsets of whole crosses from carriers: one global unwrapping.

A carrier tells an offset only up to whole cycles. Between neighbours it changes little, so that the
differences are known; offsets are sought whose differences come nearest to those, by the sum of
absolute deviations (least squares reweighted again and again), so that a few wrong differences are
left aside whole instead of being shared out. On the method: D. C. Ghiglia and L. A. Romero,
"Minimum Lp-norm two-dimensional phase unwrapping", Journal of the Optical Society of America A
13(10), 1996, 1999-2013.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

from .placing import Floats
from .signals import Axis, Carrier

SOLVES = 6  # reweighted, from nothing
AGAIN = 3  # where offsets are near 0 already
_ALONG = 2.0  # differences along the threads weigh so much more: a thread is one piece
_FLOOR = 1e-4  # weight of a difference of which nothing is known
_SMALL = 0.03  # crosses; deviations smaller than this count as squares
_PINNED = 50.0

Pins = Mapping[tuple[int, int], float]  # row and column with the surround -> offset


@dataclass(frozen=True, eq=False)
class Signal:
    """A carrier as the unwrapping weighs it: its offsets, and from 0 to 1 how much they say.

    importance: how much all of it counts.
    """

    carrier: Carrier
    offset: Floats
    weight: Floats
    importance: float

    @classmethod
    def of(cls, carrier: Carrier, level: float, importance: float) -> Signal:
        """Weigh a carrier against a level of strength at which it says half."""
        power = np.square(carrier.strength.astype(np.float64))
        return cls(
            carrier, carrier.offset.astype(np.float64), power / (power + level**2), importance
        )

    def step(self, axis: Axis, usual: Floats) -> tuple[Floats, Floats]:
        """Return differences between neighbours nearest to the usual ones, and their weights."""
        low, high = neighbours(axis)
        rough = self.offset[high] - self.offset[low] - usual
        cycles = self.carrier.cycles
        near: Floats = usual + rough - np.rint(rough * cycles) / cycles
        return near, np.minimum(self.weight[low], self.weight[high])

    def rest(self, offset: Floats) -> Floats:
        """Return how far the nearest of the carrier's answers lies from an offset."""
        rough = self.offset - offset
        nearest: Floats = rough - np.rint(rough * self.carrier.cycles) / self.carrier.cycles
        return nearest


def neighbours(axis: Axis) -> tuple[tuple[slice, slice], tuple[slice, slice]]:
    """Return where the first and the second of all neighbours along an axis stand."""
    whole, first, second = slice(None), slice(None, -1), slice(1, None)
    if axis is Axis.X:
        return (whole, first), (whole, second)
    return (first, whole), (second, whole)


def unwrap(
    edges: Signal, weave: Signal, axis: Axis, pins: Pins, near: bool
) -> tuple[Floats, Floats]:
    """Return the offsets along an axis that two signals have, held fast at pins, and their weight.

    near: whether offsets are known to be near 0.
    """
    first = edges.importance * edges.weight**2
    second = weave.importance * weave.weight**2
    weights = first + second + 1e-12
    sigmas = (1.5, 0.7) if axis is Axis.X else (0.7, 1.5)
    known = gaussian_filter(weights, sigmas)

    def gradient(one: NDArray[np.float32], two: NDArray[np.float32]) -> Floats:
        mixed: Floats = gaussian_filter(first * one + second * two, sigmas) / known
        return mixed

    slope = {
        axis: gradient(edges.carrier.across, weave.carrier.across),
        axis.other: gradient(edges.carrier.along, weave.carrier.along),
    }
    links = _Links(edges.offset.shape)
    for step in Axis:
        low, high = neighbours(step)
        usual = (slope[step][low] + slope[step][high]) / 2
        factor = 1.0 if step is axis else _ALONG
        change, sure = edges.step(step, usual)
        links.add(step, change, edges.importance * (factor * sure) ** 2 + _FLOOR)
        change, sure = weave.step(step, usual)
        links.add(step, change, weave.importance * (factor * sure) ** 2)
    offset = links.solved(pins, near)
    # Onto the nearest answers of the signals, as far as they say anything.
    one, two = 3 * first, second
    offset = offset + (one * edges.rest(offset) + two * weave.rest(offset)) / (one + two + 0.05)
    return offset, np.maximum(edges.weight, 0.5 * weave.weight)


class _Links:
    """Differences between cells of a grid that are to be met, each with its weight."""

    def __init__(self, shape: tuple[int, ...]) -> None:
        self._cells = np.arange(int(np.prod(shape)), dtype=np.int32).reshape(shape)
        self._from: list[NDArray[np.int32]] = []
        self._to: list[NDArray[np.int32]] = []
        self._difference: list[Floats] = []
        self._weight: list[Floats] = []

    def add(self, step: Axis, difference: Floats, weight: Floats) -> None:
        """Add the differences of all neighbours along an axis."""
        low, high = neighbours(step)
        self._from.append(self._cells[low].ravel())
        self._to.append(self._cells[high].ravel())
        self._difference.append(difference.ravel())
        self._weight.append(weight.ravel())

    def solved(self, pins: Pins, near: bool) -> Floats:
        """Return the values (rows, columns) with the least sum of absolute deviations."""
        many = self._cells.size
        one, other = np.concatenate(self._from), np.concatenate(self._to)
        wanted, weight = np.concatenate(self._difference), np.concatenate(self._weight)
        held, level = np.full(many, 1e-9), np.zeros(many)
        for (row, column), value in pins.items():
            held[self._cells[row, column]] += _PINNED
            level[self._cells[row, column]] += _PINNED * value
        rows = np.concatenate([one, other, one, other, np.arange(many, dtype=np.int32)])
        columns = np.concatenate([one, other, other, one, np.arange(many, dtype=np.int32)])
        values = np.zeros(many)
        reweighted = weight / (np.abs(wanted) + _SMALL) if near else weight
        for _ in range(AGAIN if near else SOLVES):
            entries = np.concatenate([reweighted, reweighted, -reweighted, -reweighted, held])
            matrix = coo_matrix((entries, (rows, columns)), shape=(many, many)).tocsc()
            pull = reweighted * wanted
            side = np.bincount(other, pull, many) - np.bincount(one, pull, many) + level
            factors = splu(matrix, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
            values = factors.solve(side)
            reweighted = weight / (np.abs(values[other] - values[one] - wanted) + _SMALL)
        solution: Floats = values.reshape(self._cells.shape)
        return solution
