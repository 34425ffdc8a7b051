"""Stitches and skeins before and after: those of a whole count and a whole estimate."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.core.ground import Fabric, Working
from linenleaf.count.count import count
from linenleaf.count.thread import estimate
from linenleaf.diff.canvas import lay
from linenleaf.diff.changes import Tally
from linenleaf.diff.keys import pair, thread_name
from linenleaf.diff.tallying import thread_uses, touched_threads

from tests.charts import MADDER, line, motif
from tests.diff.pairs import at, compared, of_grid, worked


def by_thread(worked):
    uses = {each.thread: each for each in estimate(worked, worked.design.ground.fabric)}
    return {each.thread: (each.number, uses[each.thread]) for each in count(worked).threads}


def patchy(seed, shape=(40, 50)):
    rng = np.random.default_rng(seed)
    grid = np.zeros(shape, np.uint16)
    for _ in range(18):
        x, y = rng.integers(0, shape[1] - 6), rng.integers(0, shape[0] - 6)
        grid[y : y + rng.integers(1, 6), x : x + rng.integers(1, 6)] = rng.integers(1, 4)
    return grid


@settings(max_examples=15)
@given(st.integers(0, 60), st.integers(0, 44), st.integers(0, 34), st.integers(0, 3))
def test_what_is_told_of_a_thread_is_what_a_whole_estimate_says(seed, x, y, symbol):
    old_grid = patchy(seed)
    new_grid = old_grid.copy()
    new_grid[y : y + 3, x : x + 2] = symbol
    old, new = of_grid(old_grid), of_grid(new_grid)
    before, after = by_thread(old), by_thread(new)
    told = {each.thread: each for each in compared(old, new).of(Tally)}
    for thread in {*before, *after}:
        was, now = before.get(thread), after.get(thread)
        same = was is not None and now is not None and was[0] == now[0] and was[1].buy == now[1].buy
        assert (thread in told) == (not same)
        if same:
            continue
        assert told[thread].stitches == (was[0] if was else 0, now[0] if now else 0)
        assert told[thread].buy == (was[1].buy if was else 0, now[1].buy if now else 0)
        assert told[thread].skeins == pytest.approx(
            (was[1].skeins if was else 0, now[1].skeins if now else 0), rel=1e-9
        )


@settings(max_examples=8)
@given(st.integers(0, 60))
def test_the_estimate_of_some_threads_is_that_of_all(seed):
    worked = of_grid(patchy(seed))
    every = {
        thread_name(each.thread): each for each in estimate(worked, worked.design.ground.fabric)
    }
    for name, use in every.items():
        some = thread_uses(worked, frozenset({use.thread}))
        assert some.keys() == {name}
        assert some[name].skeins == pytest.approx(use.skeins, rel=1e-12)
        assert some[name].buy == use.buy


def touched(old, new):
    numbers = [0] * (len(old.design.key) + 1)
    pairs = pair(old.design.key, new.design.key, numbers, numbers)
    return touched_threads(old, new, lay(pairs, old.grid, new.grid, (0, 0)), ())


def changed_and_not_looked_at(old, new):
    """The threads of which a whole estimate tells another length, but for those looked at."""
    before, after = by_thread(old), by_thread(new)
    return {
        each
        for each in before.keys() & after.keys()
        if before[each][1].strand_metres != after[each][1].strand_metres
    } - touched(old, new)


FABRICS = {8: Fabric("linen", 32, 32, 2), 10: Fabric("linen", 40, 20, 2)}
FARTHEST = Working(
    carry=200, slip=200, bare=0
)  # mm: forty crosses behind stitches, none behind a hole


@pytest.mark.parametrize("share", [0.25, 0.5, 0.75])
@pytest.mark.parametrize(("across", "down"), [(40, 0), (0, 40), (28, 28), (36, 17)])
def test_a_hole_behind_the_longest_carry_touches_its_thread(across, down, share):
    """Behind a hole the thread shows, so it begins anew on the other side."""
    grid = np.full((down + 7, across + 7), 2, np.uint16)
    grid[3, 3] = grid[3 + down, 3 + across] = 1
    steps = max(across, down)
    step = round(share * steps)
    hole = tuple(3 + (2 * each * step + steps) // (2 * steps) for each in (down, across))
    grids = grid.copy(), grid.copy()
    grids[0][hole], grids[1][hole] = 0, 3
    made = {"fabric": FABRICS[8], "working": FARTHEST}
    old, new = (of_grid(each, **made) for each in grids)
    assert MADDER in touched(old, new) & touched(new, old)
    [was], [now] = (
        {each[1].strand_metres for thread, each in by_thread(one).items() if thread == MADDER}
        for one in (old, new)
    )
    assert was > now


@settings(max_examples=25)
@given(
    st.integers(0, 2**32 - 1),
    st.sampled_from([0.01, 0.1]),
    st.sampled_from([5.0, 12.0, 30.0]),
    st.sampled_from(list(FABRICS)),
)
def test_what_is_not_looked_at_takes_what_it_took(seed, rare, carry, columns):
    """Single crosses of two threads among those of a third, of which some are left bare."""
    rng = np.random.default_rng(seed)
    grid = rng.choice([1, 2, 3], (20, 30), p=[rare, rare, 1 - 2 * rare]).astype(np.uint16)
    grids = grid.copy(), grid.copy()
    grids[0][(grid == 3) & (rng.random(grid.shape) < 0.003)] = 0
    made = {"fabric": FABRICS[columns], "working": Working(carry=carry)}
    old, new = (of_grid(each, **made) for each in grids)
    assert changed_and_not_looked_at(old, new) == set()


def test_pieces_on_either_side_of_a_hole_are_looked_at():
    dot = motif("dot", "m", over=1)
    grids = np.full((2, 3, 9), 2, np.uint16)
    grids[:, 1, 1] = grids[:, 1, 7] = 0  # where the pieces lie
    grids[0, 1, 4] = 0
    grids[1, 1, 4] = 3
    old, new = (of_grid(each, at("dot", 1, 1), at("dot", 7, 1), motifs=[dot]) for each in grids)
    assert changed_and_not_looked_at(old, new) == set()


def test_another_working_touches_every_thread():
    grid = patchy(3)
    old = of_grid(grid)
    new = of_grid(grid, working=Working(reserve=200.0))
    assert {each.thread.name for each in compared(old, new).of(Tally)} == {"madder", "sedge", "ink"}


def test_without_thread_stitches_are_counted_and_skeins_are_not():
    old = of_grid(np.ones((4, 4), np.uint16))
    new = of_grid(np.ones((4, 5), np.uint16))
    [told] = compared(old, new, thread=False).of(Tally)
    assert told.stitches == (16, 20)
    assert told.skeins is told.buy is None


def test_a_line_counts_for_its_thread():
    grid = np.ones((6, 6), np.uint16)
    old, new = of_grid(grid), of_grid(grid)
    lined = replace(
        new.design, chart=replace(new.design.chart, items=(line("lantern", (0, 0), (4, 0)),))
    )
    [told] = compared(old, worked(lined)).of(Tally)
    assert (told.thread.name, told.stitches, told.buy) == ("lamp", (0, 4), (0, 1))
