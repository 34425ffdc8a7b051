"""What tells of crosses in a raster: edges, once a cross, and the weave, twice a cross.

Each is brought down to one complex number a cross (its carrier): the angle tells how far the
crosses lie off there, and the length how surely. They are made sure by a bank of slanted filters:
long along the threads, narrow across them, each for cloth that is drawn askew by another gradient.
The strongest answer wins, and tells the gradient too.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from itertools import product

import numpy as np
import scipy.fft
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, uniform_filter

from .sampling import SAMPLES, Singles

Complex = NDArray[np.complex64]

EDGES, WEAVE = 1.0, 2.0  # cycles a cross
# Cycles a cross at which neither edges nor weave have anything: what is there is noise.
_SILENT = {EDGES: (0.72, 1.4), WEAVE: (1.55, 2.5)}
_ALONG, _ACROSS = 4.0, 1.2  # sigma of a filter in crosses
_WEAVE_ALONG = 0.7  # of that for the weave, which is finer
_SLANT, _SPREAD = 0.2, 0.24  # the largest gradients along and across


class Axis(IntEnum):
    """Along which axis of arrays crosses are counted: rows downwards, columns to the right."""

    Y = 0
    X = 1

    @property
    def other(self) -> Axis:
        """The axis along which the threads run that are counted on this one."""
        return Axis(1 - self)


@dataclass(frozen=True)
class Slants:
    """Gradients tried: offsets that grow by so many crosses a cross, along threads and across."""

    along: tuple[float, ...]
    across: tuple[float, ...]
    doubt: float  # how much the largest are held back, so that noise does not look slanted


WIDE = Slants(
    (-0.2, -0.15, -0.1, -0.05, 0.0, 0.05, 0.1, 0.15, 0.2), (-0.24, -0.12, 0.0, 0.12, 0.24), 0.15
)
NARROW = Slants((-0.1, -0.05, 0.0, 0.05, 0.1), (-0.12, 0.0, 0.12), 0.3)
_FEW = Slants((-0.1, 0.0, 0.1), (-0.12, 0.0, 0.12), 0.15)


@dataclass(frozen=True, eq=False)
class Carrier:
    """A signal at one number a cross, (rows, columns) with the surround.

    cycles: a cross. value: complex. along, across: the gradients of the filters that answered.
    noise: the usual length of `value` where there is nothing.
    """

    cycles: float
    value: Complex
    along: Singles
    across: Singles
    noise: float

    @property
    def offset(self) -> Singles:
        """By how many crosses the crosses lie off, up to a whole cycle."""
        return (-np.angle(self.value) / (2 * np.pi * self.cycles)).astype(np.float32)

    @property
    def strength(self) -> Singles:
        """The length of `value`."""
        return np.abs(self.value)

    def turned(self, angle: float) -> Carrier:
        """Return the same with angles counted from another one."""
        value = (self.value * np.exp(-1j * angle)).astype(np.complex64)
        return Carrier(self.cycles, value, self.along, self.across, self.noise)


def opponent(colours: Singles) -> Singles:
    """Return (3, ...) lightness and two opponent colours, 0 to 100, of sRGB channels.

    A rough likeness of Lab that costs nothing: differences count about as the eye has them.
    """
    red, green, blue = colours * np.float32(100 / 255)
    return np.stack([0.3 * red + 0.6 * green + 0.1 * blue, red - green, 0.5 * (red + green) - blue])


def edges(light: Singles, axis: Axis) -> Singles:
    """Return how strongly the colour changes along an axis, freed of what changes slowly."""
    smooth = gaussian_filter(light, (0, 0.07 * SAMPLES, 0.07 * SAMPLES))
    slope = np.sqrt(np.square(np.gradient(smooth, axis=axis + 1)).sum(axis=0))
    return np.asarray(slope - uniform_filter(slope, 4 * SAMPLES), dtype=np.float32)


def weave(light: Singles) -> Singles:
    """Return the fine light and shadow of lightness, with what is glaring cut."""
    fine = light[0] - gaussian_filter(light[0], 0.6 * SAMPLES, truncate=3.0)
    most = 2.5 * float(np.median(np.abs(fine)))
    return np.asarray(np.clip(fine, -most, most), dtype=np.float32)


def _demodulated(signal: Singles, cycles: float, axis: Axis) -> Complex:
    """Return the part of a signal at so many cycles a cross, one number a cross."""
    rows, columns = (side // SAMPLES for side in signal.shape)
    cells = signal.reshape(rows, SAMPLES, columns, SAMPLES)
    mean = cells.mean(axis=1) if axis is Axis.X else cells.mean(axis=3)
    many = columns if axis is Axis.X else rows
    at = (np.arange(many * SAMPLES) + 0.5) / SAMPLES
    wave = np.exp(-2j * np.pi * cycles * at).reshape(many, SAMPLES).astype(np.complex64)
    if axis is Axis.X:
        return np.asarray(np.einsum("rcs,cs->rc", mean, wave) / SAMPLES)
    return np.asarray(np.einsum("rsc,rs->rc", mean, wave) / SAMPLES)


def bank(
    signal: Singles, cycles: float, axis: Axis, slants: Slants, long: float, narrow: float
) -> tuple[Complex, Singles, Singles]:
    """Return the strongest answer of a bank of slanted filters, and its gradients.

    A filter is a Gaussian, turned at every cross as cloth of its gradients would turn the carrier;
    in the frequencies that is a Gaussian moved off the middle.
    """
    carrier = _demodulated(signal, cycles, axis)
    room = [scipy.fft.next_fast_len(side + int(2 * long)) for side in carrier.shape]
    spectrum = scipy.fft.fft2(carrier, room)
    nu = [scipy.fft.fftfreq(side).astype(np.float32) for side in room]
    best: NDArray[np.float32] | None = None
    value = np.zeros_like(carrier)
    along, across = np.zeros(carrier.shape, np.float32), np.zeros(carrier.shape, np.float32)
    rows, columns = carrier.shape
    passes_along = {a: _passes(nu[axis.other], -cycles * a, long) for a in slants.along}
    passes_across = {c: _passes(nu[axis], -cycles * c, narrow) for c in slants.across}
    for a, c in product(slants.along, slants.across):
        one, two = passes_along[a], passes_across[c]
        passes = one[:, None] * two if axis is Axis.X else two[:, None] * one
        answer = scipy.fft.ifft2(spectrum * passes, overwrite_x=True)[:rows, :columns]
        held_back = 1 - slants.doubt * ((a / _SLANT) ** 2 + (c / _SPREAD) ** 2) / 2
        strength = np.abs(answer) * np.float32(held_back)
        better = slice(None) if best is None else strength > best
        if best is None:
            best = strength
        else:
            np.copyto(best, strength, where=better)
        value[better] = answer[better]
        along[better], across[better] = a, c
    return value, along, across


def _passes(nu: Singles, middle: float, sigma: float) -> Singles:
    """Return what a Gaussian of that sigma, turning by `middle` cycles a cross, lets through."""
    off = nu - np.float32(middle)
    off = off - np.rint(off)
    passes: Singles = np.exp(-2 * (np.pi * sigma * off) ** 2).astype(np.float32)
    return passes


def carrier(signal: Singles, cycles: float, axis: Axis, slants: Slants) -> Carrier:
    """Return a signal as one number a cross, made sure by the bank, and its noise."""
    long = _ALONG * (_WEAVE_ALONG if cycles == WEAVE else 1.0)
    value, along, across = bank(signal, cycles, axis, slants, long, _ACROSS)
    silent = [
        float(np.median(np.abs(bank(signal, other, axis, _FEW, long, _ACROSS)[0])))
        for other in _SILENT[cycles]
    ]
    return Carrier(cycles, value, along, across, min(silent))


def local_carrier(
    signal: Singles, cycles: float, axis: Axis, along: float, across: float
) -> Complex:
    """Return a signal as one number a cross, smoothed by sigmas in crosses and no more."""
    value = _demodulated(signal, cycles, axis)
    sigmas = (along, across) if axis is Axis.X else (across, along)
    real, imaginary = (gaussian_filter(part, sigmas) for part in (value.real, value.imag))
    return np.asarray(real + 1j * imaginary, dtype=np.complex64)
