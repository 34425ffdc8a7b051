"""How cells should look: what is caught, worn and shaded is found again, slips told from it."""

from __future__ import annotations

import numpy as np
import pytest
from linenleaf.photograph.evidence import gather
from linenleaf.photograph.lattice import Lattice
from linenleaf.photograph.looks import around, learned
from linenleaf.photograph.placing import Placing
from linenleaf.photograph.reading import Reading
from linenleaf.photograph.sampling import View
from scipy.ndimage import gaussian_filter1d

THREADS = np.array([(80.0, 1, 18), (45, 20, 10), (60, -8, 25), (62, -7, 24)])


def chart() -> np.ndarray:
    """Blobs of three threads on bare cloth."""
    rng = np.random.default_rng(3)
    return np.where(rng.random((60, 70)) < 0.6, 0, rng.integers(1, 4, (60, 70))).astype(np.int32)


def looks_of(cells: np.ndarray, caught: float, worn: float, shade: np.ndarray) -> np.ndarray:
    """Cells that catch so much of the four beside them, worn on the right half, shaded by rows."""
    rng = np.random.default_rng(4)
    lab = THREADS[cells]
    share = np.where(np.arange(70) > 35, worn, 0)[None, :, None]
    lab = lab + share * (THREADS[0] - lab)
    beside = np.mean([THREADS[each] for each in around(cells)[:4]], axis=0)
    lab = lab + caught * (beside - lab)
    lab[..., 0] += shade[:, None]
    lab = np.concatenate([lab, lab], axis=-1)
    return lab + rng.normal(0, 0.2, lab.shape)


@pytest.mark.parametrize(("caught", "worn"), [(0.0, 0.0), (0.2, 0.0), (0.0, 0.1), (0.15, 0.08)])
def test_what_cells_look_like_is_learned(caught, worn):
    """What is left over is little more than the noise."""
    cells = chart()
    shade = gaussian_filter1d(np.random.default_rng(5).normal(0, 2, 60), 1.0)
    made = learned(looks_of(cells, caught, worn, shade), cells, np.ones(cells.shape, bool), 4)
    inside = np.s_[8:-8, 8:28]
    off = (made.rest - made.expected(cells))[inside]
    assert np.abs(off).mean() < 0.45
    assert made.known.all()


def test_a_few_wrong_cells_have_no_say():
    cells = chart()
    looks = looks_of(cells, 0.1, 0.0, np.zeros(60))
    wrong = cells.copy()
    wrong[np.random.default_rng(6).random(cells.shape) < 0.01] = 1
    plain = np.ones(cells.shape, bool)
    right, learnt = learned(looks, cells, plain, 4), learned(looks, wrong, plain, 4)
    assert np.abs(right.usual - learnt.usual).max() < 0.3


def reading_of(lab: np.ndarray) -> Reading:
    """A reading of cells that look like that, in even light."""
    height, width = lab.shape[:2]
    corners = ((0.0, 0.0), (width * 8.0, 0.0), (width * 8.0, height * 8.0), (0.0, height * 8.0))
    placing = Placing(width, height, corners)
    shape = height + 14, width + 14
    lattice = Lattice(placing, np.zeros((2, *shape), np.float32), 5.0, 2.0)
    levels = np.clip(lab[..., :3] * (2.2, 1, 1) + (0, 60, 60), 5, 250)
    view = View(
        placing,
        np.ascontiguousarray(np.moveaxis(levels.repeat(8, 0).repeat(8, 1), -1, 0).astype(np.uint8)),
        1,
        0,
        0,
    )
    return Reading(view, lattice, levels, np.zeros((height, width), bool), ())


def test_threads_that_look_alike_are_named():
    """And only those."""
    cells = chart()
    lab = THREADS[cells] + np.random.default_rng(7).normal(0, 1.2, (60, 70, 3))
    plain = np.ones(cells.shape, bool)
    assert gather(reading_of(lab), cells, plain).alike == ((2, 3),)
    lab[cells == 3] += (-30, 20, 0)
    assert gather(reading_of(lab), cells, plain).alike == ()
