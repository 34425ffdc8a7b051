"""Carriers, unwrapping and what is made of them, on signals that are reckoned out."""

from __future__ import annotations

import numpy as np
from linenleaf.photograph.lattice import Lattice
from linenleaf.photograph.placing import Placing
from linenleaf.photograph.sampling import PAD, SAMPLES
from linenleaf.photograph.signals import EDGES, WEAVE, WIDE, Axis, carrier
from linenleaf.photograph.unwrapping import Signal, unwrap

ROWS, COLUMNS = 30, 50


def offsets():
    """Cloth drawn askew by three crosses from top to bottom, and uneven from left to right."""
    y, x = np.mgrid[0:ROWS, 0:COLUMNS] + 0.5
    return 3 * (y / ROWS - 0.5) + 0.6 * np.sin(x / 9)


def signal(cycles: float, noise: float, seed: int) -> np.ndarray:
    """A wave of so many cycles a cross along x, on crosses that lie off, in noise."""
    y, x = np.mgrid[0 : ROWS * SAMPLES, 0 : COLUMNS * SAMPLES] / SAMPLES
    off = 3 * (y / ROWS - 0.5) + 0.6 * np.sin(x / 9)
    wave = np.cos(2 * np.pi * cycles * (x - off))
    return (wave + np.random.default_rng(seed).normal(0, noise, wave.shape)).astype(np.float32)


def carriers(noise: float):
    return (
        carrier(signal(EDGES, noise, 1), EDGES, Axis.X, WIDE),
        carrier(signal(WEAVE, noise, 2), WEAVE, Axis.X, WIDE),
    )


def test_a_carrier_has_the_offset_up_to_a_cycle_and_knows_noise():
    clear, _ = carriers(0.1)
    off = clear.offset - offsets()
    off -= np.rint(off)
    inner = off[6:-6, 6:-6]
    assert np.abs(inner).max() < 0.12
    assert np.median(clear.strength) > 5 * clear.noise
    nothing = np.random.default_rng(3).normal(size=signal(EDGES, 1, 1).shape).astype(np.float32)
    dark = carrier(nothing, EDGES, Axis.X, WIDE)
    assert np.median(dark.strength) < 1.5 * dark.noise


def test_whole_crosses_are_unwrapped_from_one_pin():
    """Offsets run over three whole crosses; one corner is told, the others come out."""
    edge, fine = carriers(0.6)
    true = offsets()
    signals = [Signal.of(each, 2.5 * each.noise, 1.0) for each in (edge, fine)]
    found, _ = unwrap(*signals, Axis.X, {(6, 6): float(true[6, 6])}, near=False)
    assert np.abs(found - true)[6:-6, 6:-6].max() < 0.4


def test_a_lost_cross_is_a_tear_and_is_slipped():
    placing = Placing(30, 20, ((0, 0), (240, 0), (240, 160), (0, 160)))
    whole = np.zeros((2, 20 + 2 * PAD, 30 + 2 * PAD), np.float32)
    whole[0] = np.linspace(0, 3, 20 + 2 * PAD)[:, None]  # drawn askew, evenly
    assert not Lattice(placing, whole, 3.0, 3.0).slipped
    torn = whole.copy()
    torn[0, PAD + 8 :, PAD + 10 : PAD + 20] += 1
    lattice = Lattice(placing, torn, 3.0, 3.0)
    assert lattice.slipped
    rows, columns = np.nonzero(lattice.tear > 0.5)
    assert set(rows.tolist()) == {7, 8}
    assert (columns.min(), columns.max()) == (10, 19)
