"""Joined rectangles cover just the cells they stand for."""

import re

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as grids
from linenleaf.chart.crosses import box_path, by_value, mark_path, rectangles

small_grids = grids.arrays(
    np.uint16, grids.array_shapes(min_dims=2, max_dims=2, max_side=12), elements=st.integers(0, 3)
)


def picture(text):
    """A grid drawn as words, one letter a cell."""
    return np.array([[0 if char == "." else ord(char) for char in row] for row in text.split()])


@given(small_grids)
def test_rectangles_repaint_the_grid_without_overlap(grid):
    painted = np.zeros_like(grid)
    boxes, values = rectangles(grid)
    for (x, y, width, height), value in zip(boxes, values, strict=True):
        spot = painted[y : y + height, x : x + width]
        assert not spot.any()
        spot[...] = value
    assert np.array_equal(painted, grid)
    assert (np.diff(values) >= 0).all()


def test_runs_below_each_other_become_one_rectangle():
    boxes, values = rectangles(picture("aab. aab. .ab. .a.a"))
    found = [(chr(value), *box) for box, value in zip(boxes.tolist(), values, strict=True)]
    assert found == [
        ("a", 0, 0, 2, 2),
        ("a", 1, 2, 1, 2),
        ("a", 3, 3, 1, 1),
        ("b", 2, 0, 1, 3),
    ]


@given(small_grids)
def test_by_value_loses_nothing(grid):
    boxes, values = rectangles(grid)
    apart = list(by_value(boxes, values))
    assert [value for value, _ in apart] == sorted(set(values.tolist()))
    assert sum(len(each) for _, each in apart) == len(boxes)


def test_a_path_of_boxes():
    assert box_path(np.array([[0, 1, 3, 1], [4, 0, 1, 2]])) == "M0 1h3v1h-3zM4 0h1v2h-1z"
    assert box_path(np.array([[0.5, 1, 3, 1]])) == "M0.5 1h3v1h-3z"


def test_a_path_of_marks():
    assert mark_path(np.array([[2, 3], [4, 5]]), (1, 0), "h-1z") == "M3 3h-1zM5 5h-1z"


def test_a_full_chart_takes_few_rectangles():
    grid = np.ones((300, 300), np.uint16)
    grid[100:, 50:] = 2
    boxes, _ = rectangles(grid)
    assert len(boxes) == 3
    assert len(re.findall("M", box_path(boxes))) == 3
