"""Lines cut at the edge of a page, held to points sampled along them, and told apart in black."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.chart.looks import line_styles, point_styles
from linenleaf.chart.options import Ink
from linenleaf.chart.overdrawn import Lines, meet, polyline, segment
from linenleaf.compose.compose import compose
from linenleaf.core.items import Line
from linenleaf.core.key import KeyEntry, Kind

from tests.charts import INK, KEY, design, part

BOX = (0.0, 0.0, 10.0, 8.0)
places = st.tuples(st.integers(-20, 30), st.integers(-20, 30)).map(
    lambda point: (point[0] / 2, point[1] / 2)
)


def inside(points):
    x0, y0, x1, y1 = BOX
    return (points >= (x0, y0)).all(axis=1) & (points <= (x1, y1)).all(axis=1)


@given(places, places)
def test_a_cut_segment_is_the_part_inside(start, end):
    share = np.linspace(0, 1, 257)[:, None]
    along = np.array(start) * (1 - share) + np.array(end) * share
    within = along[inside(along)]
    cut = segment(start, end, BOX)
    if cut is None:
        assert not len(within)
        return
    low, high = np.min(cut, axis=0) - 1e-9, np.max(cut, axis=0) + 1e-9
    assert inside(np.round(np.array(cut), 9)).all()
    assert ((within >= low) & (within <= high)).all()
    if len(within):
        step = np.abs(np.array(end) - start).max() / 256 + 1e-9
        assert np.abs(within.min(axis=0) - np.min(cut, axis=0)).max() <= step
        assert np.abs(within.max(axis=0) - np.max(cut, axis=0)).max() <= step


@pytest.mark.parametrize(
    ("points", "parts"),
    [
        ([(1, 1), (5, 1), (5, 6)], [[(1, 1), (5, 1), (5, 6)]]),
        ([(-4, 2), (4, 2)], [[(0, 2), (4, 2)]]),
        ([(2, 2), (14, 2), (14, 4), (2, 4)], [[(2, 2), (10, 2)], [(10, 4), (2, 4)]]),
        ([(12, 0), (12, 8)], []),
        ([(10, -5), (10, 20)], [[(10, 0), (10, 8)]]),  # along the edge, on both pages
    ],
)
def test_a_line_keeps_its_corners_and_loses_what_is_outside(points, parts):
    assert polyline(points, BOX) == parts


def test_boxes_that_only_touch_meet():
    assert meet((0, 0, 2, 2), (2, 0, 4, 1)) == (2, 0, 2, 1)
    assert meet((0, 0, 2, 2), (3, 0, 4, 1)) is None


# --- told apart without colour -------------------------------------------------------------------


def key(many, kind, word):
    return tuple(KeyEntry(f"{word}{at}", (part(INK, kind, strands=1),)) for at in range(many))


def worked_chart(made):
    worked, findings = compose(made)
    assert worked is not None, findings
    return worked


def of_key(entries, *items):
    return design((30, 30), *items, key=(*KEY, *entries))


@pytest.mark.parametrize("many", [1, 7, 12, 30])
def test_no_two_lines_look_alike_in_black(many):
    lines = line_styles(of_key(key(many, Kind.BACK, "line")), Ink.SYMBOLS).values()
    assert len({(each.look, each.letter) for each in lines}) == len(lines) == many + 1
    assert any(each.letter for each in lines) == (many + 1 > 8)


@pytest.mark.parametrize("kind", [Kind.KNOT, Kind.BEAD])
@pytest.mark.parametrize("many", [1, 6, 20])
def test_no_two_knots_or_beads_look_alike_in_black(many, kind):
    points = point_styles(of_key(key(many, kind, "dot")), Ink.SYMBOLS).values()
    assert len({(each.bead, each.mark, each.letter) for each in points}) == len(points) == many + 1


def segments(path):
    numbers = re.findall(r"-?[\d.]+(?:e-?\d+)?", path)
    return np.array(numbers, dtype=float).reshape(-1, 2, 2)


VIEW = (0.0, 0.0, 30.0, 30.0)


def test_each_stitch_is_one_whole_stroke_with_a_gap_at_its_holes():
    entries = key(7, Kind.BACK, "line")
    drawn = [Line(each.symbol, ((2, 2), (8, 2), (12, 6), (18, 15)), None) for each in entries]
    worked = worked_chart(of_key(entries, *drawn))
    ends, of = worked.stitched.ends()
    for number, stroke in enumerate(
        Lines(worked).strokes(line_styles(worked.design, Ink.SYMBOLS), VIEW)
    ):
        stitches, look = ends[of == number], stroke.style.look
        if not look.gap:
            assert stroke.strokes == stroke.d
            continue
        strokes = segments(stroke.strokes)[: len(stitches)]
        assert strokes.mean(axis=1) == pytest.approx(stitches.mean(axis=1), abs=1e-2)
        inset = np.hypot(*(strokes - stitches).reshape(-1, 2).T)
        assert inset == pytest.approx(np.full(len(inset), look.gap), abs=1e-2)
