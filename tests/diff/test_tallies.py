"""Stitches and skeins before and after: those of a whole count and a whole estimate."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.core.model import Working
from linenleaf.count.count import count
from linenleaf.count.thread import estimate
from linenleaf.diff.canvas import lay
from linenleaf.diff.changes import Tally
from linenleaf.diff.keys import pair, thread_name
from linenleaf.diff.tallying import thread_uses, touched_threads

from tests.charts import line
from tests.diff.pairs import compared, of_grid, worked


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


@settings(max_examples=30, deadline=None)
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


@settings(max_examples=20, deadline=None)
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


def test_a_thread_whose_use_changes_is_among_those_looked_at():
    """Bare fabric that is stitched lets threads of its surroundings be carried behind it."""
    for seed in range(25):
        old_grid = patchy(seed)
        new_grid = old_grid.copy()
        new_grid[12:18, 20:23] = 1
        old, new = of_grid(old_grid), of_grid(new_grid)
        numbers = [0, 0, 0, 0, 0, 0, 0, 0]
        pairs = pair(old.design.key, new.design.key, numbers, numbers)
        touched = touched_threads(old, new, lay(pairs, old.grid, new.grid, (0, 0)), ())
        assert touched is not None
        before, after = by_thread(old), by_thread(new)
        for thread in before.keys() & after.keys():
            if before[thread][1].strand_metres != after[thread][1].strand_metres:
                assert thread in touched


def test_another_working_touches_every_thread():
    grid = patchy(3)
    old = of_grid(grid)
    new = of_grid(grid, working=Working(reserve=60.0))
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
