"""The thread estimate between what cannot be gone below and a stated multiple of it."""

import csv
import heapq
import math
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.core.model import Method, Working
from linenleaf.count.thread import estimate
from scipy.ndimage import label
from scipy.sparse.csgraph import connected_components, minimum_spanning_tree

from ..thread_charts import AT_16, SIDE, USUAL, chart, crosses, needle

DATA = Path(__file__).parent.parent / "data"
FAR = 1e9
UNCUT = Working(needleful=FAR, tail=65)
# The most that stitching and carrying may take of the least, rows there and back. On the back an
# area of n crosses takes at most n + sqrt(5) (n - 1) sides (every cross a row of its own, each
# joined by turning off) of at least 2 n - 1. Carries take at most twice their tree, whose edges
# are at most 0.83 sides longer than the way between the nearest holes.
MOST = 2.0


def least_back(places):
    """The least thread on the back, in sides, by trying everything.

    For each cross a bottom leg (bottom left, top right) and then a top leg, each worked from
    either end; the needle never comes up the hole it just went down.
    """
    legs = [(((x, y + 1), (x + 1, y)), ((x, y), (x + 1, y + 1))) for x, y in places]
    start = (0,) * len(legs), None
    queue, best, turn = [(0.0, 0, start)], {start: 0.0}, 0
    while queue:
        length, _, state = heapq.heappop(queue)
        if length > best[state]:
            continue
        done, here = state
        if all(each == 2 for each in done):
            return length
        for number, each in enumerate(done):
            if each == 2:
                continue
            one, two = legs[number][each]
            for up, down in ((one, two), (two, one)):
                if up == here:
                    continue
                further = length + (0 if here is None else math.dist(here, up))
                after = (*done[:number], each + 1, *done[number + 1 :]), down
                if further < best.get(after, math.inf) - 1e-12:
                    best[after] = further
                    turn += 1
                    heapq.heappush(queue, (further, turn, after))
    raise AssertionError


def behind(use, working=USUAL):
    """All that lies behind the fabric in mm; what joins one start to the next is in its tails."""
    return use.back + use.carried + use.tails - 2 * working.tail


# Exact least thread on the back of small shapes: brute force, as stated beside the table.
with (DATA / "thread_min.csv").open(encoding="utf-8", newline="") as file:
    SHAPES = [
        (
            each["shape"],
            [tuple(map(int, pair.split(","))) for pair in each["cells"].strip("()").split(") (")],
            float(each["min_back_over_s"]),
            float(each["front_over_s"]),
        )
        for each in csv.DictReader(file)
    ]


@pytest.mark.parametrize("carry", [12, 1, 200])
@pytest.mark.parametrize("method", Method)
@pytest.mark.parametrize(("name", "places", "least", "front"), SHAPES)
def test_never_below_the_least_of_a_shape(name, places, least, front, method, carry):
    assert least_back(places) == pytest.approx(least)
    working = Working(method=method, carry=carry)
    use = needle(crosses(places), working=working)
    assert use.front == pytest.approx(front * SIDE, rel=1e-6)
    assert behind(use) >= least * SIDE - 1e-6


@pytest.mark.parametrize(("name", "places", "least", "front"), SHAPES)
def test_small_shapes_take_little_more_than_the_least(name, places, least, front):
    # Everything may be carried here: the quarter of a carry that is risked behind bare fabric
    # is more than the widest gap.
    use = needle(crosses(places), working=Working(carry=40))
    assert behind(use) <= 1.42 * least * SIDE


@given(st.sets(st.tuples(st.integers(0, 3), st.integers(0, 3)), min_size=1, max_size=5))
@settings(max_examples=40)
def test_never_below_the_least_of_any_small_shape(places):
    shape = sorted(places)
    least = least_back(shape)
    for method in Method:
        for carry in (12, 40):
            use = needle(crosses(shape), working=Working(method=method, carry=carry))
            assert behind(use) >= least * SIDE - 1e-6


# --- larger charts -------------------------------------------------------------------------------


def groups(grid):
    """Groups of crosses that share a hole: their number, and two ways between them in mm.

    First between the nearest holes of two groups, then the nearest from the end of a cross of
    one (top left, bottom right) to the start of a cross of the other (bottom left, top right).
    """
    named, count = label(grid, np.ones((3, 3)))
    spots = [np.argwhere(named == each + 1) for each in range(count)]
    holes, legs = np.zeros((count, count)), np.zeros((count, count))
    for one, two in product(range(count), repeat=2):
        if one != two:
            off = spots[two][None] - spots[one][:, None]
            y, x = off[..., 0], off[..., 1]
            apart = np.maximum(np.abs(off) - 1, 0)
            holes[one, two] = np.hypot(apart[..., 0], apart[..., 1]).min() * SIDE
            ends_to_starts = [(x, y + 1), (x + 1, y), (x - 1, y), (x, y - 1)]
            legs[one, two] = min(np.hypot(*each).min() for each in ends_to_starts) * SIDE
    return count, holes, legs


def tree(ways):
    return float(minimum_spanning_tree(ways).sum()) if len(ways) > 1 else 0.0


CHARTS = st.tuples(
    st.integers(0, 2**32 - 1), st.integers(1, 24), st.integers(1, 24), st.floats(0.02, 1)
)


def drawn(given_chart):
    seed, width, height, share = given_chart
    grid = (np.random.default_rng(seed).random((height, width)) < share).astype(int)
    grid[0, 0] = 1
    return grid


@given(CHARTS)
@settings(max_examples=80)
def test_between_the_bound_and_twice_it(given_chart):
    grid = drawn(given_chart)
    crossed = np.count_nonzero(grid)
    count, holes, legs = groups(grid)
    least = (2 * crossed - count) * SIDE + tree(holes)
    # Another thread lies in every other cell, so that no carry is behind bare fabric; and the
    # longest carry reaches everywhere.
    full = np.where(grid, 1, 2)
    use = estimate(chart(full, working=Working(needleful=FAR, carry=200)), AT_16)[0]
    assert use.tails == 130
    assert use.back >= (2 * crossed - count) * SIDE - 1e-6
    assert use.back <= (crossed + math.sqrt(5) * (crossed - count)) * SIDE + 1e-6
    assert tree(legs) - 1e-6 <= use.carried <= 2 * tree(legs) + 1e-6
    assert use.back + use.carried >= least - 1e-6
    assert use.front + use.back + use.carried <= MOST * (use.front + least)


@given(CHARTS, st.floats(0, 30))
@settings(max_examples=80)
def test_new_starts_are_as_many_as_carries_too_long(given_chart, carry):
    grid = drawn(given_chart)
    _, _, ways = groups(grid)
    full = np.where(grid, 1, 2)
    use = estimate(chart(full, working=Working(needleful=FAR, carry=carry)), AT_16)[0]
    short = np.where(ways <= carry + 1e-9, ways, 0)
    starts, _ = connected_components(short, directed=False)
    assert use.tails == pytest.approx(130 * starts)
    assert tree(short) - 1e-6 <= use.carried <= 2 * tree(short) + 1e-6


@given(CHARTS, st.sampled_from(Method), st.floats(0, 30), st.floats(5, 70))
@settings(max_examples=80)
def test_with_tails_and_cuts_never_below_the_bound(given_chart, method, carry, tail):
    # Where a new start, or a new needleful, takes the place of a carry, its two tails count for
    # the way that is not carried, if that is longer.
    grid = drawn(given_chart)
    count, holes, _ = groups(grid)
    working = Working(tail=tail, carry=carry, method=method)
    use = needle(grid, working=working)
    least = (2 * np.count_nonzero(grid) - count) * SIDE + tree(np.minimum(holes, 2 * tail))
    assert behind(use, working) >= least - 1e-6


@given(CHARTS)
@settings(max_examples=40)
def test_bare_fabric_is_not_crossed_farther_than_a_quarter_of_a_carry(given_chart):
    grid = drawn(given_chart)
    _, _, ways = groups(grid)
    bare = needle(grid, working=UNCUT)
    short = np.where(ways <= 3, ways, 0)
    starts, _ = connected_components(short, directed=False)
    assert bare.tails == pytest.approx(130 * starts)
    hidden = estimate(chart(np.where(grid, 1, 2), working=UNCUT), AT_16)[0]
    assert hidden.tails <= bare.tails
    assert hidden.back == pytest.approx(bare.back)


def test_a_carry_goes_behind_stitches_of_any_thread_but_not_behind_a_gap():
    behind_stitches = estimate(chart([[1, 2, 2, 2, 2, 1]], working=UNCUT), AT_16)[0]
    assert behind_stitches.carried == pytest.approx(4 * SIDE)
    behind_a_gap = estimate(chart([[1, 2, 0, 2, 2, 1]], working=UNCUT), AT_16)[0]
    assert behind_a_gap.carried == 0
    assert behind_a_gap.tails == 260


@given(st.integers(0, 2**32 - 1), st.integers(1, 4))
@settings(max_examples=40)
def test_each_thread_is_estimated_as_if_alone(seed, colours):
    # With nothing bare in either, the other threads of a chart change nothing.
    grid = np.random.default_rng(seed).integers(1, colours, (15, 18), endpoint=True)
    grid = np.minimum(grid, 3)
    together = {use.thread: use for use in estimate(chart(grid), AT_16)}
    for index in np.unique(grid):
        other = 1 if index != 1 else 2
        alone = np.where(grid == index, index, other)
        thread = chart(grid).entry(int(index)).parts[0].needle[0].thread
        mine = {use.thread: use for use in estimate(chart(alone), AT_16)}[thread]
        for length in ("front", "back", "carried", "tails", "left"):
            assert getattr(together[thread], length) == pytest.approx(getattr(mine, length))
