"""The rule that cuts lines into stitches, and that all who show or reckon stitches keep to it."""

import math
import re
from collections import Counter
from fractions import Fraction
from importlib.resources import files
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.compose.worked import WorkedChart, WorkedLine
from linenleaf.core.ground import Fabric
from linenleaf.core.key import KeyEntry, Kind
from linenleaf.count.count import count
from linenleaf.count.thread import estimate
from linenleaf.diff.stretches import Run, steps
from linenleaf.pictures.piece_svg import piece_svg
from linenleaf.stitches.lines import cut

from ..charts import INK, design, part
from ..thread_charts import ENDLESS

BACK, STRAIGHT = 1, 2
KEY = (KeyEntry("rope", (part(INK, Kind.BACK),)), KeyEntry("ray", (part(INK, Kind.STRAIGHT),)))


def worked(*lines: WorkedLine, over: int = 2) -> WorkedChart:
    fabric = Fabric("linen", 14 * over, 14 * over, over)
    made = design((12, 12), key=KEY, working=ENDLESS, fabric=fabric)
    bare = np.zeros((12, 12), dtype=np.uint16)
    return WorkedChart(made, bare, np.full((12, 12), -1, dtype=np.int32), (), lines, (), ())


def line(points, index=BACK, cell=1.0) -> WorkedLine:
    return WorkedLine(index, np.array(points, dtype=np.float64), cell, None)


# --- by hand -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("over", "points", "holes"),
    [
        (2, "0,0 3,0", "0,0 1,0 2,0 3,0"),
        (2, "0,0 2,2", "0,0 1,1 2,2"),
        # Half-way across a cross a slope of two to one meets a hole between two threads.
        (2, "1,1 3,2 5,3 7,4", "1,1 2,1.5 3,2 4,2.5 5,3 6,3.5 7,4"),
        (2, "0,0 1,3", "0,0 0.5,1.5 1,3"),
        (2, "0,0 5,3", "0,0 2.5,1.5 5,3"),
        (2, "0,0 2.5,1", "0,0 2.5,1"),
        # What is no whole cross is a short stitch, off the grid, from whichever end it is drawn.
        (2, "0,0 2.5,0", "0,0 1,0 2,0 2.5,0"),
        (2, "2.5,0 0,0", "2.5,0 2,0 1,0 0,0"),
        (2, "0.5,0 3,0", "0.5,0 1,0 2,0 3,0"),
        # Off the grid at both ends: crosses long all the same.
        (2, "0.5,0.5 3.5,0.5", "0.5,0.5 1.5,0.5 2.5,0.5 3.5,0.5"),
        # Each written point is the end of a stitch; a point written twice makes none.
        (2, "0,0 0.5,0 0.5,0 2,0", "0,0 0.5,0 1,0 2,0"),
        (3, "0,0 2,1", "0,0 0.667,0.333 1.333,0.667 2,1"),
        (4, "0,0 2,1", "0,0 1,0.5 2,1"),
        (3, "0.333,0 2.667,0", "0.333,0 1.333,0 2.333,0 2.667,0"),
        # A block has no hole inside, but is pierced in its middle where a line is written to there.
        (1, "0,0 2,1", "0,0 2,1"),
        (1, "0,0 4,2", "0,0 2,1 4,2"),
        (1, "0,0 2.5,2.5", "0,0 1,1 2,2 2.5,2.5"),
        (1, "0,0.5 4,2.5", "0,0.5 1,1 3,2 4,2.5"),
        (1, "0.5,0.5 2.5,0.5", "0.5,0.5 1.5,0.5 2.5,0.5"),
    ],
)
def test_back_stitch_goes_from_hole_to_hole(over, points, holes):
    given_points, wanted = (
        [tuple(map(float, each.split(","))) for each in text.split()] for text in (points, holes)
    )
    ends, of = cut([np.array(given_points)], [1.0], [False], over).ends()
    assert len(of) == len(wanted) - 1
    np.testing.assert_allclose(ends[:, 0], wanted[:-1], atol=1e-3)
    np.testing.assert_allclose(ends[:, 1], wanted[1:], atol=1e-3)


def test_over_one_within_over_two_has_stitches_half_as_long():
    assert cut([np.array([[0.0, 0], [3, 0]])], [0.5], [False], 2).many.tolist() == [6]


def test_a_straight_stitch_goes_from_point_to_point():
    lines = [np.array([[0.0, 0], [4, 2], [4, 9]]), np.empty((0, 2)), np.array([[1.0, 1]])]
    ends, of = cut(lines, [1.0] * 3, [True] * 3, 2).ends()
    assert ends.tolist() == [[[0, 0], [4, 2]], [[4, 2], [4, 9]]]
    assert of.tolist() == [0, 0]


def test_the_table_of_the_reference_holds():
    text = files("linenleaf.grammar").joinpath("notation.md").read_text("utf-8")
    table = text.partition("| written | over two threads |")[2].partition("\n\n")[0]
    rows = re.findall(
        r"^\| `([\d., ]+)`( in `straight`)? \| (\d+).*? \| (\d+)", table, re.MULTILINE
    )
    assert len(rows) == 5
    for written, straight, *numbers in rows:
        points = np.array([each.split(",") for each in written.split()], dtype=np.float64)
        for over, number in zip((2, 1), numbers, strict=True):
            assert cut([points], [1.0], [bool(straight)], over).many.sum() == int(number)


# --- everywhere the same -------------------------------------------------------------------------


def slow(one, other, over, cell):
    """The holes of a stretch of back stitch on linen, one by one: exact, by the rule as told."""
    one, other = ([Fraction(round(each * over)) for each in point] for point in (one, other))
    way = [b - a for a, b in zip(one, other, strict=True)]
    many = math.gcd(*map(int, way))
    if not many:
        return []
    side = round(cell * over)
    step = max(abs(each) for each in way) / many
    at_once = max(1, int(side / step))
    axis = 0 if abs(way[0]) >= abs(way[1]) else 1
    on = [point[axis] % side == 0 for point in (one, other)]
    turned = on[1] if on[0] != on[1] else (one[1], one[0]) > (other[1], other[0])
    stops = [*range(0, many, at_once), many]
    if turned:
        stops = [many - each for each in reversed(stops)]
    return [
        tuple((a + w * at / many) / over for a, w in zip(one, way, strict=True)) for at in stops
    ]


@st.composite
def charts(draw):
    over = draw(st.integers(1, 4))
    place = st.integers(0, 12 * over).map(lambda at: at / over)
    lines = draw(
        st.lists(
            st.builds(
                line,
                st.lists(st.tuples(place, place), min_size=2, max_size=4),
                st.sampled_from([BACK, STRAIGHT]),
                st.sampled_from([1.0, 1 / over]),
            ),
            min_size=1,
            max_size=4,
        )
    )
    return worked(*lines, over=over)


def expected(chart):
    """The holes of each line, worked out slowly, without stretches of no length."""
    over = chart.design.ground.fabric.over
    for each in chart.lines:
        holes = [tuple(each.points[0].tolist())]
        for one, other in pairwise(each.points.tolist()):
            if one != other:
                straight = each.index == STRAIGHT
                holes += [tuple(other)] if straight else slow(one, other, over, each.cell)[1:]
        yield each.index, [tuple(map(float, hole)) for hole in holes]


def drawn(chart):
    """How many stitches the drawn piece shows: each is a stroke of its own."""
    paths = re.findall(r'<path id="[^"]*" d="([^"]*)"', piece_svg(chart, 200))
    return sum(path.count("M") for path in paths)


@given(charts())
@settings(max_examples=30, deadline=None)
def test_count_thread_picture_and_differences_hold_to_one_rule(chart):
    wanted = list(expected(chart))
    number = sum(len(holes) - 1 for _, holes in wanted)

    counts = count(chart)
    assert counts.line_stitches == number
    assert {each.index: each.stitches for each in counts.entries} == {
        index: many
        for index in (BACK, STRAIGHT)
        if (many := sum(len(holes) - 1 for at, holes in wanted if at == index))
    }

    fabric = chart.design.ground.fabric
    side = fabric.cross_width
    front = sum(math.dist(*pair) for _, holes in wanted for pair in pairwise(holes))
    back = sum(
        math.dist(*pair) for _, holes in wanted for pair in zip(holes, holes[2:], strict=False)
    )
    uses = estimate(chart, fabric)
    assert sum(use.front for use in uses) == pytest.approx(front * side)
    assert sum(use.back for use in uses) == pytest.approx(back * side)

    assert drawn(chart) == number

    runs = [Run(each.index, each.index, each.points, each.cell) for each in chart.lines]
    lines = dict(enumerate(KEY, 1))
    assert Counter(steps(runs, lines, fabric.over)) == Counter(
        (index, tuple(sorted((round(x, 3), round(y, 3)) for x, y in pair)))
        for index, holes in wanted
        for pair in pairwise(holes)
    )


@given(charts(), st.integers(0, 7), st.integers(0, 7))
@settings(max_examples=30, deadline=None)
def test_a_motif_has_as_many_stitches_wherever_and_however_it_is_placed(chart, x, y):
    over = chart.design.ground.fabric.over
    cells = [each.cell for each in chart.lines]
    straight = [each.index == STRAIGHT for each in chart.lines]
    written = [each.points for each in chart.lines]
    many = cut(written, cells, straight, over).many
    moved = [each + np.array([x, y]) / over for each in written]
    mirrored = [np.array([12.0, 0]) + each * (-1, 1) for each in written]
    turned = [np.stack([12 - each[:, 1], each[:, 0]], axis=1) for each in written]
    backwards = [each[::-1] for each in written]
    for other in (moved, mirrored, turned):
        assert cut(other, cells, straight, over).many.tolist() == many.tolist()
    assert cut(backwards, cells, straight, over).many.sum() == many.sum()
