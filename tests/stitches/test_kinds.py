"""Which holes each kind of stitch joins, and that the needle goes on from it as a hand would.

The shapes are those of any handbook of the trade (common practice, no single source): a half cross
joins two opposite corners; a full cross is both halves, the upper legs all one way; a quarter goes
from its corner to the middle; a three-quarter is a quarter with the half cross across its corner;
an upright cross joins the middles of opposite sides.
"""

import math

import pytest
from linenleaf.core.key import Kind, Lies, Part, Way
from linenleaf.stitches.kinds import STITCHES, quarters, strokes

MIDDLE = (0.5, 0.5)
TOP_LEFT, TOP_RIGHT, BOTTOM_LEFT, BOTTOM_RIGHT = (0, 0), (1, 0), (0, 1), (1, 1)
UP, DOWN = {BOTTOM_LEFT, TOP_RIGHT}, {TOP_LEFT, BOTTOM_RIGHT}  # the two half crosses
CELLS = [
    (Kind.FULL, None, [UP, DOWN]),
    (Kind.HALF, Way.UP, [UP]),
    (Kind.HALF, Way.DOWN, [DOWN]),
    (Kind.QUARTER, Way.TOP_LEFT, [{TOP_LEFT, MIDDLE}]),
    (Kind.QUARTER, Way.TOP_RIGHT, [{TOP_RIGHT, MIDDLE}]),
    (Kind.QUARTER, Way.BOTTOM_LEFT, [{BOTTOM_LEFT, MIDDLE}]),
    (Kind.QUARTER, Way.BOTTOM_RIGHT, [{BOTTOM_RIGHT, MIDDLE}]),
    (Kind.THREE_QUARTER, Way.TOP_LEFT, [{TOP_LEFT, MIDDLE}, UP]),
    (Kind.THREE_QUARTER, Way.TOP_RIGHT, [{TOP_RIGHT, MIDDLE}, DOWN]),
    (Kind.THREE_QUARTER, Way.BOTTOM_LEFT, [{BOTTOM_LEFT, MIDDLE}, DOWN]),
    (Kind.THREE_QUARTER, Way.BOTTOM_RIGHT, [{BOTTOM_RIGHT, MIDDLE}, UP]),
    (Kind.UPRIGHT, None, [{(0.5, 0), (0.5, 1)}, {(0, 0.5), (1, 0.5)}]),
]


def test_every_way_of_every_stitch_of_cells_is_looked_at():
    cells = {
        kind: stitch
        for kind, stitch in STITCHES.items()
        if kind.lies is Lies.CELL and not kind.by_strokes
    }
    assert {(kind, way) for kind, stitch in cells.items() for way in stitch.strokes} == {
        (kind, way) for kind, way, _ in CELLS
    }


@pytest.mark.parametrize(("kind", "way", "holes"), CELLS)
def test_each_stroke_joins_its_two_holes_in_working_order(kind, way, holes):
    part = Part(kind, (), way)
    assert [{each.up, each.down} for each in strokes(part)] == holes
    layers = [each.layer for each in strokes(part)]
    assert layers == sorted(set(layers))


@pytest.mark.parametrize(("kind", "way", "holes"), CELLS)
def test_the_needle_never_goes_back_where_it_came_out_and_never_far(kind, way, holes):
    # The next stitch lies to the right. A thread that comes up where it went down comes loose.
    worked = strokes(Part(kind, (), way))
    further = [each.up for each in worked[1:]] + [(worked[0].up[0] + 1, worked[0].up[1])]
    ways = [math.dist(each.down, up) for each, up in zip(worked, further, strict=True)]
    assert all(0 < each <= math.sqrt(2) for each in ways)


@pytest.mark.parametrize(("kind", "way", "holes"), CELLS)
def test_a_stitch_runs_through_the_quarters_that_it_is_named_for(kind, way, holes):
    touched = quarters(Part(kind, (), way))
    named = {Kind.FULL: 4, Kind.HALF: 2, Kind.QUARTER: 1, Kind.THREE_QUARTER: 3, Kind.UPRIGHT: 0}
    assert len(touched) == named[kind]
    assert way in touched or kind not in (Kind.QUARTER, Kind.THREE_QUARTER)


@pytest.mark.parametrize("kind", [Kind.BACK, Kind.STRAIGHT])
def test_a_back_stitch_comes_up_ahead_and_goes_down_where_the_last_one_began(kind):
    (stroke,) = strokes(Part(kind, ()))
    assert (stroke.up, stroke.down) == ((1, 0), (0, 0))
