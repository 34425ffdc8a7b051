"""The thread estimate between what cannot be gone below and a stated multiple of it."""

import csv
import heapq
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.core.ground import Fabric, Method, Working
from linenleaf.count.joining import DOOR
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


@cache
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
            tuple(
                tuple(map(int, pair.split(","))) for pair in each["cells"].strip("()").split(") (")
            ),
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
    # Everything is carried here: the widest gap is narrower than what is always carried.
    use = needle(crosses(places), working=Working(carry=40))
    assert behind(use) <= 1.1 * least * SIDE


@given(st.sets(st.tuples(st.integers(0, 3), st.integers(0, 3)), min_size=1, max_size=5))
@settings(max_examples=60)
def test_never_below_the_least_of_any_small_shape(places):
    shape = tuple(sorted(places))
    least = least_back(shape)
    for method in Method:
        for carry in (12, 40):
            use = needle(crosses(shape), working=Working(method=method, carry=carry))
            assert behind(use) >= least * SIDE - 1e-6


# --- larger charts -------------------------------------------------------------------------------


def groups(grid):
    """Groups of crosses that share a hole: their number, and ways between them in mm.

    First between the nearest holes of two groups, then the nearest from the end of a cross of
    one (top left, bottom right) to the start of a cross of the other (bottom left, top right), and
    what that takes more at each end that lies at a group of several.
    """
    named, count = label(grid, np.ones((3, 3)))
    spots = np.argwhere(grid)
    spots = spots[np.argsort(named[tuple(spots.T)], kind="stable")]
    many = np.bincount(named.ravel())[1:]
    first = np.cumsum(many) - many
    y, x = (spots[None] - spots[:, None]).transpose(2, 0, 1)
    apart = np.hypot(np.maximum(np.abs(x) - 1, 0), np.maximum(np.abs(y) - 1, 0))
    ends_to_starts = [(x, y + 1), (x + 1, y), (x - 1, y), (x, y - 1)]
    way = np.min([np.hypot(*each) for each in ends_to_starts], axis=0)
    holes, legs = (
        np.minimum.reduceat(np.minimum.reduceat(each, first), first, axis=1) * SIDE
        for each in (apart, way)
    )
    np.fill_diagonal(holes, 0)
    np.fill_diagonal(legs, 0)
    doors = np.array(DOOR * SIDE * (many > 1))
    return count, holes, legs, doors[:, None] + doors


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
@settings(max_examples=150)
def test_between_the_bound_and_twice_it(given_chart):
    grid = drawn(given_chart)
    crossed = np.count_nonzero(grid)
    count, holes, legs, doors = groups(grid)
    least = (2 * crossed - count) * SIDE + tree(holes)
    # Another thread lies in every other cell, so that no carry is behind bare fabric; and the
    # longest carry reaches everywhere.
    full = np.where(grid, 1, 2)
    use = estimate(chart(full, working=Working(needleful=FAR, carry=200)), AT_16)[0]
    assert use.tails == pytest.approx(130)
    assert use.back >= (2 * crossed - count) * SIDE - 1e-6
    assert use.back <= (crossed + math.sqrt(5) * (crossed - count)) * SIDE + 1e-6
    assert tree(legs + doors) - 1e-6 <= use.carried <= 2 * tree(legs + doors) + 1e-6
    assert use.back + use.carried >= least - 1e-6
    assert use.front + use.back + use.carried <= MOST * (use.front + least)


@given(CHARTS, st.floats(0, 30))
@settings(max_examples=60)
def test_without_slipping_new_starts_are_as_many_as_carries_too_long(given_chart, carry):
    grid = drawn(given_chart)
    _, _, ways, doors = groups(grid)
    full = np.where(grid, 1, 2)
    working = Working(needleful=FAR, carry=carry, slip=0)
    use = estimate(chart(full, working=working), AT_16)[0]
    short = np.where(ways <= carry + 1e-9, ways + doors, 0)
    np.fill_diagonal(short, 0)
    starts, _ = connected_components(short, directed=False)
    # A new start is worth a carry of two tails, so more than these only to save as much.
    assert 130 * starts - 1e-6 <= use.tails
    assert use.tails + use.carried <= 130 * starts + 2 * tree(short) + 1e-6


@given(CHARTS, st.sampled_from(Method), st.floats(0, 30), st.floats(5, 70))
@settings(max_examples=150)
def test_with_tails_and_cuts_never_below_the_bound(given_chart, method, carry, tail):
    # Where a new start, or a new needleful, takes the place of a carry, its two tails count for
    # the way that is not carried, if that is longer.
    grid = drawn(given_chart)
    count, holes, _, _ = groups(grid)
    working = Working(tail=tail, carry=carry, method=method)
    use = needle(grid, working=working)
    least = (2 * np.count_nonzero(grid) - count) * SIDE + tree(np.minimum(holes, 2 * tail))
    assert behind(use, working) >= least - 1e-6


def test_a_carry_goes_behind_stitches_of_any_thread_but_not_behind_a_gap():
    behind_stitches = estimate(chart([[1, 2, 2, 2, 2, 1]], working=UNCUT), AT_16)[0]
    assert behind_stitches.carried == pytest.approx(4 * SIDE)
    nothing_bare = replace(UNCUT, bare=0)
    assert estimate(chart([[1, 2, 2, 2, 2, 1]], working=nothing_bare), AT_16)[0].tails == 130
    behind_a_gap = estimate(chart([[1, 2, 0, 2, 2, 1]], working=nothing_bare), AT_16)[0]
    assert behind_a_gap.carried == 0
    assert behind_a_gap.tails == 260


@pytest.mark.parametrize("per_inch", [11, 20])
def test_behind_bare_cloth_crosses_count_on_any_fabric(per_inch):
    # Always over eight crosses, never over 32, between by the fourth power of how far from the one
    # to the other.
    fabric = Fabric("aida", per_inch, per_inch, 1, block=True)
    for bare, share in ((1, 0.0), (8, 0.0), (20, 1 / 16), (26, 81 / 256), (32, 1.0), (39, 1.0)):
        use = needle(crosses([(0, 0), (bare + 1, 0)]), fabric, replace(UNCUT, carry=200))
        assert use.tails == pytest.approx(130 * (1 + share))
        assert use.carried == pytest.approx((1 - share) * bare * 25.4 / per_inch)


def test_borders_of_flowers_are_slipped_along_behind_the_stems():
    # Flowers a dozen crosses apart, joined by stems of another thread: 9 mm more than `carry`.
    row = ([1, 1, 1] + [2] * 13) * 12
    grid = np.array([row, row, row])
    slipped = estimate(chart(grid, working=UNCUT), AT_16)[0]
    ended = estimate(chart(grid, working=replace(UNCUT, slip=0)), AT_16)[0]
    assert ended.tails == 130 * 12
    assert ended.carried == 0
    # From end to start of the crosses beside the stem; the share that ends off is small.
    share = ((13 * SIDE - 12) / 48) ** 4
    assert slipped.carried == pytest.approx((1 - share) * 11 * (13 + 2 * DOOR) * SIDE)
    assert slipped.tails == pytest.approx(130 * (1 + 11 * share))


@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize("many", [2, 3, 6])
def test_a_slanting_stem_is_near_the_exact_least(way, many):
    places = tuple((step * way + many, step) for step in range(many))
    if many < 4:
        assert least_back(places) == pytest.approx(2 * many - 1)
    # No shape takes less than 2 n - 1 (grammar/thread.md), and each finished in turn takes that.
    assert behind(needle(crosses(places), working=UNCUT)) <= 1.2 * (2 * many - 1) * SIDE


@given(st.integers(0, 2**32 - 1), st.integers(1, 4))
@settings(max_examples=60)
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
