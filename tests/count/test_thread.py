"""The thread estimate against geometry, published ways of working, and the trade's rules."""

import csv
import math
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from linenleaf.compose.worked import Piece
from linenleaf.core.ground import Fabric, Method, ThreadWorking, Working
from linenleaf.core.key import Kind, Part, Strands, Thread, ThreadKind, Way
from linenleaf.count import stints
from linenleaf.count.joining import DOOR
from linenleaf.count.thread import estimate, estimate_in
from linenleaf.reports.exchange import shares

from ..charts import INK, LAMP, MADDER, SEDGE, cell, part
from ..thread_charts import AT_14, AT_16, ENDLESS, SIDE, chart, crosses, needle, one

DATA = Path(__file__).parent.parent / "data"
DIAGONAL = math.sqrt(2) * SIDE


def rows(name):
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


# Yields: the geometry of each way of working, in mm and in crosses of 8 m of six strands, two
# in the needle. Rows there and back: T. de Dillmont, Encyclopedia of Needlework (Project
# Gutenberg 20776), at fig. 253. Each cross finished: School Sewing, paragraph 124 (attributed
# to Burton, 1916; attribution from memory). The columns with tails: the same with a needleful of
# so many mm of which so many go into tails, arithmetic.
YIELDS = {
    (int(each["per_inch"]), way): each
    for each in rows("thread_yield.csv")
    for way, words in ((Method.ROWS, "rows there and back"), (Method.EACH, "one by one"))
    if each["method"].startswith(words)
}
FABRICS = {14: AT_14, 16: AT_16}


@pytest.mark.parametrize(("per_inch", "method"), YIELDS)
def test_a_long_row_takes_the_published_length_per_cross(per_inch, method):
    use = needle(np.ones((1, 2000)), FABRICS[per_inch], Working(method=method))
    per_cross = (use.front + use.back) / 2000
    assert per_cross == pytest.approx(float(YIELDS[per_inch, method]["mm_per_cross"]), rel=5e-4)


@pytest.mark.parametrize(("per_inch", "method"), YIELDS)
def test_a_skein_without_waste_works_the_published_number_of_crosses(per_inch, method):
    number = int(YIELDS[per_inch, method]["crosses_8m_6strand_2_no_waste"])
    working = Working(needleful=1e9, tail=0, method=method)
    use = needle(np.ones((1, number)), FABRICS[per_inch], working)
    assert use.skeins == pytest.approx(1, abs=1e-3)


@pytest.mark.parametrize(("per_inch", "method"), YIELDS)
@pytest.mark.parametrize(
    ("column", "needleful", "tails"),
    [
        ("L457_tail76", 457.2, 76.2),
        ("L457_tail102", 457.2, 101.6),
        ("L457_tail140", 457.2, 139.7),
        ("L450_tail100", 450, 100),
    ],
)
def test_a_skein_with_tails_works_the_computed_number_of_crosses(
    per_inch, method, column, needleful, tails
):
    number = int(YIELDS[per_inch, method][column])
    working = Working(needleful=needleful, tail=tails / 2, method=method)
    use = needle(np.ones((1, number)), FABRICS[per_inch], working)
    # The table fills each of the skein's last short ends to the last whole cross.
    assert use.skeins == pytest.approx(1, abs=0.02)


@pytest.mark.parametrize("count", [1, 2, 3, 17, 400])
def test_a_row_there_and_back_is_exact(count):
    # (2 sqrt(2) n + 2 n - 1) s: Dillmont, at fig. 253.
    use = needle(np.ones((1, count)))
    assert use.front == pytest.approx(2 * math.sqrt(2) * count * SIDE)
    assert use.back == pytest.approx((2 * count - 1) * SIDE)
    assert use.carried == 0


@pytest.mark.parametrize("count", [1, 2, 3, 17, 400])
def test_crosses_finished_one_by_one_are_exact(count):
    # (3 sqrt(2) + 1) s for each (School Sewing, paragraph 124), without the way to a next one.
    use = needle(np.ones((1, count)), working=Working(method=Method.EACH))
    length = (3 * math.sqrt(2) + 1) * count - math.sqrt(2)
    assert use.front + use.back == pytest.approx(length * SIDE)


def test_a_column_takes_the_published_path():
    # (2 sqrt(2) + 3) s for each: the path through the holes 21-3-23-1-41, one cross below the
    # other (The Ladies' Work-Table Book, New York 1844; Project Gutenberg 29382).
    use = needle(np.ones((500, 1)))
    assert (use.front + use.back) / 500 == pytest.approx((2 * math.sqrt(2) + 3) * SIDE, rel=1e-3)


@pytest.mark.parametrize("count", [3, 10, 60])
def test_a_filled_square_adds_one_more_side_for_each_new_row(count):
    use = needle(np.ones((count, count)))
    # Geometry: rows of 2 n - 1, and two sides straight down from each row to the next.
    assert use.back == pytest.approx((count * (2 * count - 1) + 2 * (count - 1)) * SIDE)


def test_uneven_counts_have_crosses_higher_than_wide():
    fabric = Fabric("linen", 36, 30, 2)  # 18 across, 15 down
    width, height = 25.4 / 18, 25.4 / 15
    use = needle(np.ones((1, 50)), fabric)
    assert use.front == pytest.approx(100 * math.hypot(width, height))
    assert use.back == pytest.approx(99 * height)


def test_a_needleful_works_about_36_crosses():
    # 18 in at 14 per inch, two strands, tails included: a designer's published rule, common
    # practice.
    use = needle(np.ones((36, 100)), AT_14)
    assert 3600 / use.needlefuls == pytest.approx(36, abs=1.5)


def crosses_of_the_first_skein(fabric):
    low, high = 1, 5000
    while high - low > 1:
        middle = (low + high) // 2
        grid = np.zeros((math.ceil(middle / 50), 50))
        grid.ravel()[:middle] = 1
        low, high = (middle, high) if needle(grid, fabric).buy == 1 else (low, middle)
    return low


@pytest.mark.parametrize("per_inch", [14, 16])
def test_a_field_needs_its_second_skein_from_about_two_thousand_crosses(per_inch):
    # Common practice, no single source: a second skein from a little over 2,000.
    assert 1700 <= crosses_of_the_first_skein(FABRICS[per_inch]) <= 2500


def test_scattered_crosses_cost_clearly_more_than_a_field():
    field = np.ones((20, 20))
    scattered = np.zeros((100, 100))
    scattered[::5, ::5] = 1
    assert np.count_nonzero(scattered) == field.size
    assert needle(scattered).needle > 1.5 * needle(field).needle


def test_the_farther_apart_the_more_thread():
    lengths = []
    for apart in range(1, 9):
        grid = np.zeros((41, 41 * apart))
        grid[::4, ::apart] = 1
        # A neighbour's thread fills what is between, so that all can be carried.
        grid[grid == 0] = 2
        (use, *_) = estimate(chart(grid, working=ENDLESS), AT_16)
        lengths.append((use.front + use.back + use.carried) / np.count_nonzero(grid == 1))
    assert all(near < far for near, far in pairwise(lengths[1:]))
    # By hand: in a row there and back two sides a cross lie behind, and as many if one is left out
    # between any two; only the ends of each row take a little more, see `DOOR`.
    assert lengths[1] == pytest.approx(lengths[0], rel=0.005)


# --- part stitches, several threads --------------------------------------------------------------

HALF = cell("h", part(MADDER, Kind.HALF, Way.UP))
QUARTER = cell("q", part(MADDER, Kind.QUARTER, Way.TOP_LEFT))
THREE = cell("t", part(MADDER, Kind.THREE_QUARTER, Way.TOP_LEFT))
UPRIGHT = cell("u", part(MADDER, Kind.UPRIGHT))


@pytest.mark.parametrize(
    ("entry", "front", "back"),
    [
        # Geometry: what shows, and the shortest regular way behind, for a row of 10.
        (HALF, 10 * DIAGONAL, 9 * SIDE),
        (QUARTER, 5 * DIAGONAL, 9 * DIAGONAL / 2),
        (THREE, 15 * DIAGONAL, 10 * DIAGONAL / 2 + 9 * DIAGONAL),
        (UPRIGHT, 20 * SIDE, 19 * DIAGONAL / 2),
    ],
)
def test_part_stitches_in_a_row(entry, front, back):
    use = one(chart(np.ones((1, 10)), key=(entry,)))
    assert (use.front, use.back) == pytest.approx((front, back))


def test_two_part_stitches_of_two_threads_in_one_cell():
    both = cell(
        "b",
        part(MADDER, Kind.THREE_QUARTER, Way.TOP_LEFT),
        part(SEDGE, Kind.QUARTER, Way.BOTTOM_RIGHT),
    )
    madder, sedge = estimate(chart(np.ones((1, 10)), key=(both,)), AT_16)
    assert (madder.thread, sedge.thread) == (MADDER, SEDGE)
    assert madder.front == pytest.approx(3 * sedge.front) == pytest.approx(15 * DIAGONAL)


def test_a_thread_of_two_key_lines_is_worked_together():
    # Half crosses go on where the crosses end: one area, nothing carried, one start.
    key = (cell("m", part(MADDER)), HALF)
    use = one(chart([[1, 1, 2, 2, 1]], key=key))
    assert use.back == pytest.approx((2 + 2 + 1 + 1 + 1) * SIDE)
    assert use.carried == 0
    assert use.needlefuls == 1


def test_other_strands_are_another_needle():
    key = (cell("m", part(MADDER)), cell("n", part(MADDER, strands=1)))
    use = one(chart([[1] * 10 + [2] * 10], key=key))
    assert use.needlefuls == 2
    assert use.back == pytest.approx(2 * 19 * SIDE)
    two, single = use.entries
    assert two.strand_metres == pytest.approx(2 * single.strand_metres)


def test_each_thread_of_a_blend_has_its_own_strands():
    blended = cell("b", part(MADDER))
    blended = type(blended)(
        "b", (type(blended.parts[0])(Kind.FULL, (Strands(SEDGE, 1), Strands(MADDER, 2))),)
    )
    madder, sedge = estimate(chart(np.ones((10, 10)), key=(blended,)), AT_16)
    assert madder.needle == sedge.needle
    assert madder.strand_metres == pytest.approx(2 * sedge.strand_metres)
    assert madder.strand_metres == pytest.approx(2 * madder.needle / 1000)


def test_blends_written_in_another_order_are_one_needle():
    def blend(symbol, *threads):
        entry = cell(symbol, part(MADDER))
        needle_of = tuple(Strands(thread, 1) for thread in threads)
        return type(entry)(symbol, (type(entry.parts[0])(Kind.FULL, needle_of),))

    key = (blend("b", MADDER, SEDGE), blend("c", SEDGE, MADDER))
    uses = estimate(chart([[1, 2, 1, 2]], key=key), AT_16)
    assert [use.back for use in uses] == pytest.approx([7 * SIDE] * 2)


def test_threads_come_in_the_order_of_the_design_and_only_if_used():
    key = tuple(
        cell(sign, part(thread)) for sign, thread in zip("ims", (INK, MADDER, SEDGE), strict=True)
    )
    uses = estimate(chart([[1, 0, 3]], key=key), AT_16)
    assert [use.thread for use in uses] == [SEDGE, INK]


def test_a_bare_chart_takes_no_thread():
    assert estimate(chart(np.zeros((5, 5))), AT_16) == ()


def test_needles_looked_at_a_few_at_a_time_are_the_same(monkeypatch):
    grid = np.random.default_rng(4).integers(0, 5, (40, 50))
    threads = (MADDER, SEDGE, INK, LAMP)
    key = tuple(cell(sign, part(each)) for sign, each in zip("mnop", threads, strict=True))
    whole = estimate(chart(grid, key=key), AT_16)
    for most in (1, 500):
        monkeypatch.setattr(stints, "MOST_AT_ONCE", most)
        apart = estimate(chart(grid, key=key), AT_16)
        for use, other in zip(whole, apart, strict=True):
            assert (use.thread, use.buy) == (other.thread, other.buy)
            assert use.needlefuls == other.needlefuls
            assert use.needle == pytest.approx(other.needle, rel=1e-12)


@settings(max_examples=15)
@given(
    arrays(np.uint8, (6, 12), elements=st.integers(0, 5)),
    st.floats(0, 150),
    st.sampled_from(Method),
)
def test_shares_of_the_key_lines_add_up_exactly(grid, tail, method):
    thin = part(MADDER, strands=1)
    blend = Part(Kind.FULL, (Strands(MADDER, 2), Strands(INK, 1)))
    key = (cell("m", part(MADDER)), HALF, cell("t", thin), cell("b", blend), cell("u", thin))
    working = Working(tail=tail, method=method)
    for use in estimate(chart(grid, key=key, working=working), AT_16):
        in_use = {n for n in np.unique(grid).tolist() if n and names(key[n - 1], use.thread)}
        assert [each.index for each in use.entries] == sorted(in_use)
        assert math.fsum(each.strand_metres for each in use.entries) == pytest.approx(
            use.strand_metres, rel=1e-12
        )
        told = shares(use)
        assert sum(Decimal(str(each)) for each in told.values()) == Decimal(
            str(round(use.strand_metres, 6))
        )
        assert all(abs(told[each.index] - each.strand_metres) < 1.001e-6 for each in use.entries)
        alike = {each.index: each.strand_metres for each in use.entries if each.index in (3, 5)}
        if len(alike) == 2:  # the same stitch in the same needle: as their numbers are
            many = [int((grid == each).sum()) for each in alike]
            first, second = alike.values()
            assert first * many[1] == pytest.approx(second * many[0], rel=1e-9)


def names(entry, thread):
    return any(each.thread == thread for part in entry.parts for each in part.needle)


# --- pieces off the grid -------------------------------------------------------------------------


def test_a_piece_over_one_has_crosses_of_half_the_side():
    piece = Piece("fish", 2.5, 1, 0.5, 1, np.ones((1, 40), dtype=np.uint16), None)
    use = one(chart(np.zeros((10, 30)), pieces=(piece,)))
    assert use.front == pytest.approx(2 * 40 * DIAGONAL / 2)
    assert use.back == pytest.approx(79 * SIDE / 2)


def test_pieces_on_one_lattice_are_worked_like_one_grid():
    def halves(first, second):
        shape = np.ones((4, 5), dtype=np.uint16)
        pieces = (
            Piece("a", first, 0.5, 1, 2, shape, None),
            Piece("b", second, 0.5, 1, 2, shape, None),
        )
        return one(chart(np.zeros((10, 30)), pieces=pieces, working=ENDLESS))

    whole = Piece("c", 3.5, 0.5, 1, 2, np.ones((4, 10), dtype=np.uint16), None)
    together = one(chart(np.zeros((10, 30)), pieces=(whole,), working=ENDLESS))
    assert halves(3.5, 8.5) == together
    assert halves(8.5, 3.5) == together
    # Apart: over to the other when the one is worked.
    assert halves(3.5, 9.5).carried == pytest.approx((1 + 2 * DOOR) * SIDE)


def test_thirds_of_a_cross_are_one_lattice():
    def beside(x):
        shape = np.ones((3, 3), dtype=np.uint16)
        pieces = tuple(Piece("a", at, 2 / 3, 1 / 3, 1, shape, None) for at in (2 / 3, x))
        return one(chart(np.zeros((20, 20)), pieces=pieces))

    assert beside(5 / 3).tails == 130  # next to each other
    assert beside(50 / 3).tails == 260


def test_pieces_at_the_ends_of_a_great_chart():
    shape = np.ones((2, 2), dtype=np.uint16)
    pieces = tuple(Piece("a", at, at, 0.25, 1, shape, None) for at in (0.5, 1990.5))
    use = one(chart(np.zeros((2000, 2000)), pieces=pieces))
    assert use.front == pytest.approx(16 * DIAGONAL / 4)
    assert use.tails == 260


# --- skeins --------------------------------------------------------------------------------------


def test_strands_and_skeins_follow_from_the_length_in_the_needle():
    thread = Thread("", "", "bare", "#445566", metres=5, strands=4)
    worked = chart(np.ones((30, 30)), key=(cell("m", part(thread, strands=3)),))
    use = one(worked)
    assert use.strand_metres == pytest.approx(3 * use.needle / 1000)
    assert use.skeins == pytest.approx(use.strand_metres / 20)
    assert use.buy == math.ceil(use.skeins * 1.1)
    assert use.needle == use.front + use.back + use.carried + use.tails + use.left


def test_one_cross_still_needs_a_whole_skein():
    use = needle(crosses([(0, 0)]))
    assert use.buy == 1
    assert 0 < use.skeins < 0.02
    assert use.needlefuls == 1
    assert use.tails == 130


@given(
    grid=arrays(np.uint16, (6, 9), elements=st.integers(0, 4)),
    before=st.lists(st.sampled_from((MADDER, SEDGE, LAMP, INK)), min_size=4, max_size=4),
    after=st.lists(st.sampled_from((MADDER, SEDGE, LAMP, INK)), min_size=4, max_size=4),
)
def test_other_colours_take_what_they_would_by_themselves(grid, before, after):
    """Whether needles stay apart, become one or become two."""
    first, other = (
        chart(grid, key=[cell(str(sign), part(thread)) for sign, thread in enumerate(threads)])
        for threads in (before, after)
    )
    assert estimate_in(other, first) == estimate(other, other.design.ground.fabric)


PERLE = Thread("odd", "4", "twine", "#c9ad7e", 25.0, 1, "ball", kind=ThreadKind.PERLE)


def test_perle_by_hand():
    # Ten crosses in a row, each finished: 2 n d before, n h + (n - 1) d behind (School Sewing,
    # paragraph 124), with two tails of 65 mm; its 25 m are one strand.
    key = [cell("t", part(PERLE, strands=1))]
    working = Working(own=(ThreadWorking(PERLE, method=Method.EACH),))
    use = one(chart(np.ones((1, 10)), key=key, working=working))
    assert use.front == pytest.approx(20 * DIAGONAL)
    assert use.back == pytest.approx(10 * SIDE + 9 * DIAGONAL)
    assert use.strand_metres == pytest.approx(0.21098, abs=1e-5)
    assert use.skeins == pytest.approx(0.21098 / 25, rel=1e-4)


def test_a_way_of_its_own_changes_that_thread_alone():
    grid = np.ones((6, 60), dtype=np.uint16)
    grid[3:] = 2
    usual = estimate(chart(grid), AT_16)
    own = ThreadWorking(usual[0].thread, needleful=250.0, tail=40.0, method=Method.EACH)
    first, second = estimate(chart(grid, working=Working(own=(own,))), AT_16)
    assert second == usual[1]
    alone = Working(needleful=250.0, tail=40.0, method=Method.EACH)
    assert first == estimate(chart(grid, working=alone), AT_16)[0]


def test_a_needle_of_several_threads_takes_the_shortest_length_and_the_longest_tail():
    ways = (
        ThreadWorking(MADDER, needleful=300.0, method=Method.ROWS),
        ThreadWorking(SEDGE, needleful=400.0, tail=80.0, method=Method.EACH),
    )
    both = Working(own=ways).of([SEDGE, MADDER])
    assert (both.needleful, both.tail, both.method) == (300.0, 80.0, Method.EACH)
    assert Working(own=ways).of([INK]) == Working(own=ways)


def test_another_method_in_another_colour_is_reckoned_anew():
    old = chart(np.ones((3, 30)), working=Working(own=(ThreadWorking(SEDGE, method=Method.EACH),)))
    other = replace(old, design=replace(old.design, key=(cell("m", part(SEDGE)),)))
    assert estimate_in(other, old) == estimate(replace(other), AT_16)
