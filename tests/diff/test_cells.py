"""Which cells differ, and in which areas: held to numpy and scipy."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from linenleaf.core.key import Strands
from linenleaf.diff.areas import MOST_AREAS, NEAR
from linenleaf.diff.changes import Area, KeyChange, Moved, Stitches, Strip, Tally
from scipy import ndimage

from tests.charts import FULLS, INK, MADDER, SEDGE, cell, design, part
from tests.diff.pairs import changed, compared, in_areas, of_grid, worked

GRIDS = hnp.array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=12).flatmap(
    lambda shape: st.tuples(
        *(hnp.arrays(np.uint16, shape, elements=st.integers(0, 3)) for _ in range(2))
    )
)


@given(GRIDS)
def test_the_changed_cells_are_those_that_numpy_finds(grids):
    old, new = grids
    found = compared(of_grid(old), of_grid(new), thread=False)
    if found.shift == (0, 0):
        y, x = np.nonzero(old != new)
        assert changed(found) == set(zip(x.tolist(), y.tolist(), strict=True))
    # Whatever else is found, no change may be lost: each is in one area, or a figure moved.
    if not found.of(Moved) and not found.of(Strip):
        assert in_areas(found.of(Area)) == changed(found)


@given(GRIDS)
def test_what_changed_is_counted_by_what_was_and_is(grids):
    old, new = grids
    found = compared(of_grid(old), of_grid(new), thread=False)
    if found.shift != (0, 0):
        return
    pairs, numbers = np.unique(
        np.stack([old[old != new], new[old != new]], axis=1), axis=0, return_counts=True
    )
    expected = {Stitches(*pair, int(n)) for pair, n in zip(pairs.tolist(), numbers, strict=True)}
    assert set(found.stitches) == expected
    if not found.of(Moved):
        totals = {}
        for area in found.of(Area):
            for each in area.stitches:
                totals[each.old, each.new] = totals.get((each.old, each.new), 0) + each.number
        assert totals == {(each.old, each.new): each.number for each in expected}


def test_the_areas_are_those_of_scipy():
    rng = np.random.default_rng(8)
    old = rng.integers(1, 4, (90, 120)).astype(np.uint16)
    new = old.copy()
    mask = rng.random(old.shape) < 0.004
    new[mask] = new[mask] % 3 + 1
    found = compared(of_grid(old), of_grid(new), thread=False)
    grown = np.zeros(mask.shape, bool)
    for down in range(NEAR):
        for across in range(NEAR):
            grown |= np.roll(np.pad(mask, NEAR), (down, across), (0, 1))[NEAR:-NEAR, NEAR:-NEAR]
    labels, many = ndimage.label(np.pad(mask, 0) | grown, np.ones((3, 3)))
    assert len(found.of(Area)) == many
    by_scipy = {
        frozenset(map(tuple, np.argwhere(mask & (labels == n)))) for n in range(1, many + 1)
    }
    by_us = {frozenset((y, x) for x, y in each.cells.tolist()) for each in found.of(Area)}
    assert by_us == by_scipy


def test_areas_are_boxes_on_grid_lines_in_reading_order():
    old = np.ones((60, 100), np.uint16)
    new = old.copy()
    new[43:46, 80:92] = 2
    new[10, 6] = 0
    found = compared(of_grid(old), of_grid(new), thread=False)
    assert [each.box for each in found.of(Area)] == [(6, 10, 7, 11), (80, 43, 92, 46)]
    assert [each.stitches for each in found.of(Area)] == [
        (Stitches(1, 0, 1),),
        (Stitches(1, 2, 36),),
    ]


def test_a_scatter_of_changes_is_told_by_blocks_of_the_chart():
    rng = np.random.default_rng(2)
    old = np.ones((300, 300), np.uint16)
    new = np.where(rng.random(old.shape) < 0.01, 2, 1).astype(np.uint16)
    found = compared(of_grid(old), of_grid(new), thread=False)
    assert 1 < len(found.of(Area)) <= MOST_AREAS
    assert in_areas(found.of(Area)) == changed(found)
    # Each stays within a block, or nearly so: an area lies with the block of its middle.
    assert all(x1 - x0 < 64 and y1 - y0 < 64 for x0, y0, x1, y1 in (a.box for a in found.of(Area)))
    assert sum(len(each.cells) for each in found.of(Area)) == len(found.cells)


def test_a_chart_is_like_itself():
    grid = np.random.default_rng(1).integers(0, 4, (40, 30)).astype(np.uint16)
    found = compared(of_grid(grid), of_grid(grid.copy()))
    assert not found
    assert not len(found.cells)
    assert found.of(Tally) == ()


# --- the key decides what is the same ------------------------------------------------------------


def pair_of(old_key, new_key, old_rows, new_rows=None):
    old = worked(design(rows=old_rows, key=old_key))
    new = worked(design(rows=new_rows or old_rows, key=new_key))
    return compared(old, new, thread=False)


def test_another_symbol_for_the_same_stitch_is_no_change_of_any_cell():
    renamed = (cell("q", part(MADDER)), *FULLS[1:])
    found = pair_of(FULLS, renamed, ["mms", "ssm"], ["qqs", "ssq"])
    assert not len(found.cells)
    [change] = found.of(KeyChange)
    assert (change.old, change.new, change.what) == (1, 1, ("symbol",))


def test_another_thread_for_a_symbol_is_one_change_of_the_key():
    rethreaded = (cell("m", part(INK)), *FULLS[1:2])
    found = pair_of(FULLS[:2], rethreaded, ["mmmm", "ssmm"])
    assert not len(found.cells)
    [change] = found.of(KeyChange)
    assert (change.old, change.new, change.what, change.number) == (1, 1, ("stitch",), 6)


def test_two_symbols_that_change_places_in_key_and_rows_change_nothing():
    swapped = (cell("m", part(SEDGE)), cell("s", part(MADDER)))
    found = pair_of(FULLS[:2], swapped, ["mmms", "mmss"], ["sssm", "ssmm"])
    assert not len(found.cells)
    assert {each.what for each in found.of(KeyChange)} == {("symbol",)}


def test_two_symbols_that_change_places_in_the_key_alone_change_the_key():
    swapped = (cell("m", part(SEDGE)), cell("s", part(MADDER)))
    found = pair_of(FULLS[:2], swapped, ["mmms", "mmss"])
    assert {each.what for each in found.of(KeyChange)} == {("stitch",)}
    assert not len(found.cells)


def test_a_key_in_another_order_changes_nothing():
    found = pair_of(FULLS, FULLS[::-1], ["msk", "kms"])
    assert not found


def test_cells_that_go_to_a_symbol_of_the_same_stitch_are_unchanged():
    twice = (*FULLS[:2], cell("t", part(SEDGE)))
    found = pair_of(twice, twice, ["mst", "sst"], ["mtt", "tss"])
    assert not len(found.cells)


@pytest.mark.parametrize("number", [1, 3])
def test_more_strands_are_a_change_of_the_key(number):
    thick = (cell("m", part(MADDER, strands=number)), *FULLS[1:2])
    found = pair_of(FULLS[:2], thick, ["mms"])
    assert [each.what for each in found.of(KeyChange)] == [("stitch",)]


def test_a_thread_that_is_sold_otherwise_is_no_change_of_a_stitch():
    longer = replace(MADDER, metres=10.0, colour="#a03b3a")
    new = (cell("m", replace(part(MADDER), needle=(Strands(longer, 2),))), FULLS[1])
    found = pair_of(FULLS[:2], new, ["mms"])
    assert not len(found.cells)
    assert not found.of(KeyChange)
    [tally] = found.of(Tally)
    assert (tally.old, tally.new) == (MADDER, longer)
