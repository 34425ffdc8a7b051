"""Lines cut at the edge of a page, held to points sampled along them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.chart.overdrawn import meet, polyline, segment

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
