"""Thread for lines, knots and beads, the order in which they are worked, and needlefuls."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.compose.worked import WorkedKnot, WorkedLine
from linenleaf.core.ground import Fabric, Working
from linenleaf.core.key import KeyEntry, Kind, Part, Strands
from linenleaf.count.strokework import order
from linenleaf.count.thread import cut, estimate
from linenleaf.stitches.shipped import shipped

from ..charts import INK, LAMP, part
from ..thread_charts import AT_16, ENDLESS, SIDE, chart, one

BACK, STRAIGHT, KNOT, BEAD = 1, 2, 3, 4
KEY = (
    KeyEntry("lantern", (part(LAMP, Kind.BACK, strands=1),)),
    KeyEntry("rigging", (part(LAMP, Kind.STRAIGHT, strands=1),)),
    KeyEntry("eye", (part(INK, Kind.KNOT, strands=1),)),
    KeyEntry("drop", (part(INK, Kind.BEAD, strands=1),)),
)
BARE = np.zeros((40, 40))


def lines(*given_lines, fabric=AT_16, working=ENDLESS):
    worked = tuple(
        WorkedLine(index, np.array(points, dtype=np.float64), cell, None)
        for index, cell, points in given_lines
    )
    return one(chart(BARE, key=KEY, lines=worked, working=working), fabric)


def knots(index, *places, working=ENDLESS, fabric=AT_16):
    worked = tuple(WorkedKnot(index, x, y, None) for x, y in places)
    return one(chart(BARE, key=KEY, knots=worked, working=working), fabric)


# --- back stitch and straight stitch -------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 2, 3, 30])
@pytest.mark.parametrize(("x", "y"), [(1, 0), (0, -1), (1, 1)])
def test_back_stitch_in_a_straight_line(count, x, y):
    # (3 n - 2) d for n of length d in a line: geometry.
    use = lines((BACK, 1, [(2, 35), (2 + count * x, 35 + count * y)]))
    length = math.hypot(x, y) * SIDE
    assert use.front == pytest.approx(count * length)
    assert use.front + use.back == pytest.approx((3 * count - 2) * length)


def test_a_line_through_many_points_is_one_line():
    straight = lines((BACK, 1, [(0, 0), (5, 0)]))
    pointed = lines((BACK, 1, [(0, 0), (1, 0), (3, 0), (5, 0)]))
    assert pointed == straight


def test_round_a_corner_the_back_goes_the_short_way():
    use = lines((BACK, 1, [(0, 0), (1, 0), (1, 1)]))
    assert use.front == pytest.approx(2 * SIDE)
    assert use.back == pytest.approx(math.sqrt(2) * SIDE)


def test_half_a_cross_of_line_is_one_short_stitch():
    use = lines((BACK, 1, [(0, 0), (2.5, 0)]))
    assert use.front == pytest.approx(2.5 * SIDE)
    assert use.back == pytest.approx((2 + 1.5) * SIDE)  # from 0 to 2 and from 1 to 2.5


def test_back_stitch_in_an_over_one_motif_is_half_as_long_each():
    # Six stitches of half a cross: (3 * 6 - 2) / 2.
    use = lines((BACK, 0.5, [(0, 0), (3, 0)]))
    assert use.front + use.back == pytest.approx(8 * SIDE)


def test_a_straight_stitch_is_as_long_as_its_points_are_apart():
    use = lines((STRAIGHT, 1, [(0, 0), (3, 4)]))
    assert (use.front, use.back) == (pytest.approx(5 * SIDE), 0)


def test_lines_on_an_uneven_fabric():
    fabric = Fabric("linen", 36, 30, 2)
    use = lines((STRAIGHT, 1, [(0, 0), (3, 4)]), fabric=fabric)
    assert use.front == pytest.approx(math.hypot(3 * 25.4 / 18, 4 * 25.4 / 15))


def test_a_line_without_length_takes_nothing():
    use = lines((BACK, 1, [(3, 3), (3, 3)]))
    assert use.front == use.back == 0


def test_from_line_to_line_the_thread_goes_to_the_nearer_end():
    # Begun at the first line; the third lies near, and its far end is nearer still.
    use = lines(
        (BACK, 1, [(0, 0), (1, 0)]),
        (BACK, 1, [(1, 5), (2, 5)]),
        (BACK, 1, [(1, 4), (1, 1)]),
        working=Working(needleful=1e9, tail=10),
    )
    assert use.carried == pytest.approx(2 * SIDE)
    assert use.tails == 20


def test_lines_far_apart_are_begun_anew():
    working = Working(needleful=1e9, tail=10, carry=12)
    use = lines((BACK, 1, [(0, 0), (1, 0)]), (BACK, 1, [(39, 0), (40, 0)]), working=working)
    assert use.carried == 0
    assert use.tails == 40


# --- knots and beads -----------------------------------------------------------------------------


def test_knots_take_half_an_inch_each():
    # Two wraps: common practice, no single source.
    use = knots(KNOT, (1, 1), (1, 2), (1, 3))
    assert use.front == pytest.approx(3 * 12.7)
    assert use.carried == pytest.approx(2 * SIDE)


def test_a_knot_along_a_line_takes_its_wraps_and_its_length_twice():
    # From memory, as grammar/thread.md has it: 8 wraps of a quarter of an inch over four threads.
    stitch = shipped()["bullion"]
    rose = Part(Kind.LINED, (Strands(INK, 1),), stitch=stitch)
    line = WorkedLine(1, np.array([[0.0, 0.0], [4.0, 0.0]]), 1, None)
    use = one(chart(BARE, key=(KeyEntry("rose", (rose,)),), lines=(line,), working=ENDLESS))
    assert use.front == pytest.approx(4 * SIDE + 2 * 8 * 6.35)
    assert use.back == pytest.approx(4 * SIDE)


def test_a_bead_takes_none_of_the_threads_of_the_key():
    # It is sewn on with sewing thread: common practice, no single source.
    beads = tuple(WorkedKnot(BEAD, x, 1, None) for x in range(5))
    assert estimate(chart(np.zeros((9, 9)), key=KEY, knots=beads), AT_16) == ()


def test_far_knots_are_begun_anew_and_cost_their_tails():
    near = knots(KNOT, (1, 1), (3, 1), working=Working())
    far = knots(KNOT, (1, 1), (39, 1), working=Working())
    assert (near.tails, far.tails) == (130, 260)


def test_cells_lines_and_knots_of_one_needle_are_summed():
    key = (KeyEntry("a", (part(INK),)), KeyEntry("ab", (part(INK, Kind.BACK),)))
    line = WorkedLine(2, np.array([(0.0, 0.0), (4.0, 0.0)]), 1, None)
    grid = np.zeros((9, 9))
    grid[0, :4] = 1
    use = one(chart(grid, key=key, lines=(line,)))
    assert use.front == pytest.approx((8 * math.sqrt(2) + 4) * SIDE)
    assert use.needlefuls == 1
    assert [each.index for each in use.entries] == [1, 2]


PLACES = st.lists(
    st.tuples(st.integers(0, 30), st.integers(0, 30)).map(lambda at: (at[0] / 2, at[1] / 2)),
    min_size=1,
    max_size=40,
)


@given(PLACES, st.floats(0, 20), st.floats(0.4, 3))
@settings(max_examples=100)
def test_always_on_to_the_nearest(places, reach, side):
    found, turned, ways = order([[place] for place in places], reach, side)
    assert sorted(found) == list(range(len(places)))
    assert not any(turned)
    left = set(found)
    here = None
    for number, way in zip(found, ways, strict=True):
        ahead = [math.dist(here, places[each]) for each in left] if here else []
        nearest = min((each for each in ahead if each <= reach), default=math.nan)
        assert way == pytest.approx(nearest, nan_ok=True)
        left.remove(number)
        here = places[number]


# --- needlefuls ----------------------------------------------------------------------------------

NONE = math.nan


def cut_up(stitched, carry, step=8.0, **working):
    given_working = Working(**{"needleful": 120, "tail": 10, **working})
    ways = np.array(carry, dtype=float)
    anew = np.isnan(ways).astype(float)
    steps = np.full(len(stitched), step)
    return cut(np.array(stitched, dtype=float), np.nan_to_num(ways), anew, steps, given_working)


def test_one_needleful_that_is_enough():
    found = cut_up([48, 40], [NONE, 12])
    assert (found.carried, found.tails, found.left, found.needlefuls) == (12, 20, 0, 1)


def test_of_a_needleful_half_a_stitch_is_left_over():
    # 100 mm can be worked: twelve stitches of 8 mm, and what a stitch lacks is its half as a mean.
    found = cut_up([112], [NONE])
    assert (found.tails, found.left, found.needlefuls) == (40, 4, 2)
    found = cut_up([100 + 96 + 96], [NONE])
    assert (found.tails, found.left, found.needlefuls) == (60, 8, 3)
    assert cut_up([100 + 96 + 97], [NONE]).needlefuls == 4


def test_a_new_start_takes_both_tails_off_the_needleful():
    found = cut_up([40, 40], [NONE, NONE])
    assert (found.tails, found.left, found.needlefuls) == (40, 0, 1)
    found = cut_up([40, 56], [NONE, NONE])
    assert (found.tails, found.left, found.needlefuls) == (60, 4, 2)


def test_a_needleful_too_short_for_its_tails_still_works_a_stitch():
    found = cut_up([80], [NONE], tail=70)
    assert found.needlefuls == 10
    assert found.left == pytest.approx(0, abs=1e-6)


@given(
    st.lists(
        st.tuples(st.integers(1, 40), st.one_of(st.none(), st.floats(0, 30))),
        min_size=1,
        max_size=30,
    ),
    st.floats(20, 200),
    st.floats(0, 20),
)
@settings(max_examples=100)
def test_needlefuls_add_up(given_areas, needleful, tail):
    step = 7.5
    stitched = np.array([count * step for count, _ in given_areas])
    carry = [NONE if way is None else way for _, way in given_areas]
    found = cut_up(stitched, carry, step, needleful=needleful, tail=tail)
    whole = stitched.sum() + found.carried + found.tails + found.left
    length = max(needleful, step + 2 * tail)
    # All needlefuls but the last are full; the last is cut as long as needed.
    assert (found.needlefuls - 1) * length <= whole + 1e-4
    assert whole <= found.needlefuls * length + 1e-4
    assert found.carried == pytest.approx(np.nansum(carry[1:]))
    assert found.tails >= 2 * tail * found.needlefuls - 1e-6
    # One stitch more takes more, and never so much as one more needleful and itself.
    stitched[-1] += step
    more = cut_up(stitched, carry, step, needleful=needleful, tail=tail)
    further = stitched.sum() + more.carried + more.tails + more.left - whole
    assert step - 1e-6 <= further <= step + 2 * tail + step / 2 + 1e-6


def test_a_chart_of_lines_alone():
    assert estimate(chart(BARE, key=KEY), AT_16) == ()
