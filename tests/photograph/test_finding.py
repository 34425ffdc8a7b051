"""Bands, repeats and colours that are found, on cells that are reckoned out."""

from __future__ import annotations

import numpy as np
import pytest
from linenleaf.photograph.bands import bands_off, moved
from linenleaf.photograph.colours import Palette, classify, from_key, surely_named
from linenleaf.photograph.company import company
from linenleaf.photograph.evidence import FARTHEST, Evidence
from linenleaf.photograph.found import JOINED, found_palette
from linenleaf.photograph.light import Even, by_cells, by_cloth
from linenleaf.photograph.repeats import filled

RNG = np.random.default_rng(8)
CELLS = RNG.choice(4, (40, 30), p=[0.6, 0.2, 0.1, 0.1]).astype(np.int32)
PLAIN = np.ones(CELLS.shape, bool)


def evidence(there: np.ndarray) -> Evidence:
    """What a photograph of cells says that is quite clear."""
    cost = np.where(np.arange(4) == there[..., None], 1.0, FARTHEST)
    palette = Palette(np.zeros((4, 3)), np.eye(3), np.full(4, 0.25))
    return Evidence(Even(cost[..., :3], cost[..., :3]), palette, cost, cost, ())


def test_no_band_is_off_where_none_is():
    assert bands_off(evidence(CELLS), CELLS, PLAIN)[0] == ()


@pytest.mark.parametrize("step", [(0, 1), (-1, 0), (1, -1)])
def test_a_band_is_found_with_its_first_and_last_row(step):
    there = CELLS.copy()
    there[10:22] = moved(CELLS, step)[10:22]
    [band], mended, _ = bands_off(evidence(there), CELLS, PLAIN)
    assert (band.rows, band.first, band.last, band.step) == (True, 10, 21, step)
    assert (mended == there).all()


def test_a_band_of_columns_is_found():
    there = CELLS.copy()
    there[:, 5:20] = moved(CELLS, (0, 1))[:, 5:20]
    [band], _, _ = bands_off(evidence(there), CELLS, PLAIN)
    assert (band.rows, band.first, band.last, band.step) == (False, 5, 19, (0, 1))


def test_one_figure_in_a_full_row_is_no_band():
    there = CELLS.copy()
    there[10:22, 5:11] = moved(CELLS, (0, 1))[10:22, 5:11]
    assert bands_off(evidence(there), CELLS, PLAIN)[0] == ()


LETTER = np.array([list(map(int, row)) for row in ("11110", "10001", "11110", "10001", "11110")])


def piece():
    cells = np.zeros((16, 40), np.int32)
    for left in (3, 17, 31):
        cells[5:10, left : left + 5] = LETTER
    return cells


def test_a_worn_figure_is_filled_from_its_sister():
    cells = piece()
    sure = np.ones(cells.shape, bool)
    cells[5:7, 17:19] = 0  # faded
    sure[5:7, 17:19] = False
    told = filled(cells, sure, ~sure)
    places = {
        tuple(place): thread
        for one in told
        for place, thread in zip(one.cells.tolist(), one.threads, strict=True)
    }
    assert places == {(17, 5): 1, (18, 5): 1, (17, 6): 1, (18, 6): 0}
    assert {one.worn for one in told} == {(17, 5)}
    assert {one.sister for one in told} <= {(3, 5), (31, 5)}


def test_sisters_that_disagree_fill_nothing():
    cells = piece()
    cells[5, 3] = 2  # of another thread in one of them
    sure = np.ones(cells.shape, bool)
    sure[5, 17] = False
    cells[5, 17] = 0
    assert filled(cells, sure, ~sure) == ()


def test_nothing_is_filled_where_no_sister_is():
    cells = piece()
    cells[5:10, 17:22] = 3 * LETTER.T
    sure = np.ones(cells.shape, bool)
    sure[5, 17] = False
    assert filled(cells, sure, ~sure) == ()


LABS = np.array([(85, 2, 12), (40, 10, -20), (40, 35, 20), (60, -20, 30.0)])


def colours(spread: float = 1.2) -> np.ndarray:
    return LABS[CELLS] + np.random.default_rng(3).normal(0, spread, (*CELLS.shape, 3))


def test_threads_are_found_apart_and_not_in_pieces():
    """Four clouds are four threads; none that is found lies near another."""
    palette = found_palette(colours(), LABS[0], np.eye(3) / 1.5)
    assert len(palette.lab) == 4
    apart = np.linalg.norm(palette.lab[:, None] - LABS[None], axis=-1)
    assert apart.min(axis=0).max() < 1.5
    between = np.linalg.norm(palette.lab[:, None] - palette.lab[None], axis=-1)
    assert between[~np.eye(4, dtype=bool)].min() >= JOINED


@pytest.mark.parametrize("muted", [1.0, 0.75])
def test_a_faded_key_is_found_again(muted):
    """Also where colours lost more than lightness did."""
    key = LABS[0] + (LABS - LABS[0]) / (0.6, 0.6 * muted, 0.6 * muted)
    palette = from_key(colours(), LABS[0], key, np.eye(3) / 1.5)
    assert np.abs(palette.lab - LABS).max() < 3
    seen = classify(colours(), palette)
    assert (seen.cells == CELLS).mean() > 0.999


def test_a_name_is_doubted_where_an_unseen_thread_may_bear_it():
    """One that would look like what was seen had it faded more; not one far from all."""
    more, far = LABS[0] + (LABS[2] - LABS[0]) * 1.1, (30, 0, 60.0)
    key = Palette(np.array([*LABS, more, far]), np.eye(3) / 1.5, np.full(6, 1 / 6))
    seen = classify(colours(), Palette(LABS, np.eye(3) / 1.5, np.full(4, 0.25)))
    sure = surely_named(key, colours(), seen)
    assert sure[2] < 0.75
    assert sure[[0, 1, 3]].min() > 0.95


def test_company_tells_what_a_cell_most_likely_is():
    """Amid a thread that thread is likelier than one near by; unknown cells have no say."""
    cells = np.zeros((30, 40), np.int32)
    cells[5:15, 5:15], cells[5:15, 15:25] = 1, 2
    cells[10, 20] = 1
    known = np.ones(cells.shape, bool)
    said = company(cells, known, 3)
    assert said[10, 20, 2] > said[10, 20, 1] + 2
    assert said.max() <= 0
    known[20:], other = False, cells.copy()
    other[22:] = RNG.integers(0, 3, (8, 40))
    assert (company(other, known, 3)[:20] == company(cells, known, 3)[:20]).all()


def test_light_is_taken_off_by_cloth_and_by_cells():
    """A piece twice as light on one side as on the other, and warm, is even afterwards."""
    x = np.arange(30) / 30
    light = (1.3 - 0.6 * x)[None, :, None] * (1.05, 1.0, 0.9)
    threads = np.array([(220, 205, 180), (60, 70, 120), (150, 60, 50), (120, 140, 80)])
    means = threads[CELLS] * light * RNG.normal(1, 0.01, (40, 30, 1))
    for even in (by_cloth(means)[0], by_cells(means, CELLS, PLAIN)):
        for thread in range(4):
            own = even.colours[thread == CELLS]
            assert (own.std(axis=0) / own.mean(axis=0)).max() < 0.08
