import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.compose.positions import corner, middle_start, threads
from linenleaf.core.items import Anchor


@pytest.mark.parametrize(
    ("position", "over", "expected"),
    [
        (3, 2, 6),
        (40.5, 2, 81),
        (40.25, 2, None),
        (-1.5, 2, -3),
        (0.333, 3, 1),
        (0.34, 3, None),
        (7, 1, 7),
    ],
)
def test_positions_in_threads(position, over, expected):
    assert threads(position, over) == expected


@pytest.mark.parametrize("position", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_is_no_position(position):
    assert threads(position, 2) is None


@pytest.mark.parametrize(
    ("position", "length", "cell", "over", "expected"),
    [
        # Nine crosses over two, 18 threads.
        (60, 18, 2, 2, 110),  # 55.5 falls inside a cross: 55
        (60.5, 18, 2, 2, 112),  # 56 exactly
        (60.5, 16, 2, 2, 113),  # eight crosses: 56.5, off the grid as asked
        (60, 9, 1, 2, 115),  # nine crosses over one: 57.75, to the thread before
        (60, 8, 1, 2, 116),
        (12.5, 5, 1, 1, 10),  # over one: the middle of a thread is the middle of five
        (12.5, 4, 1, 1, 10),
        (12.3, 4, 1, 1, None),
    ],
)
def test_where_a_thing_begins_whose_middle_is_given(position, length, cell, over, expected):
    assert middle_start(position, length, cell, over) == expected


@given(st.integers(-50, 50), st.integers(1, 40), st.integers(1, 4))
def test_on_the_grid_the_middle_is_at_most_half_a_cross_off_and_never_right(position, width, over):
    start = middle_start(position, width * over, over, over)
    assert start % over == 0
    assert start / over + width / 2 in (position, position - 0.5)


@given(
    st.sampled_from([each for each in Anchor if each is not Anchor.CENTRE]),
    st.integers(-20, 20),
    st.integers(-20, 20),
    st.integers(1, 9),
    st.integers(1, 9),
)
def test_the_named_corner_stands_at_the_position(anchor, x, y, width, height):
    left, top = corner((x / 2, y / 2), anchor, (width, height), 1, 2)
    assert (left + width if "right" in anchor.value else left) == x
    assert (top + height if "bottom" in anchor.value else top) == y
