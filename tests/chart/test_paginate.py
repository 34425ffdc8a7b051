"""Pages: every cell in one core, no slivers, as large as the pages allow."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.chart.breaks import BAND
from linenleaf.chart.figures import Figures, touching
from linenleaf.chart.paginate import MORE, STEP, Wishes, paginate
from scipy.ndimage import find_objects, label

A4_ROOM = (176.0, 230.0)

sizes = st.integers(1, 400)
rooms = st.tuples(st.floats(40, 280), st.floats(40, 400))
overlaps = st.integers(0, 8)


@given(sizes, sizes, rooms, overlaps)
def test_cores_tile_the_chart_once(width, height, room, overlap):
    pagination = paginate(width, height, room=room, overlap=overlap)
    owners = np.zeros((height, width), int)
    for page in pagination.pages:
        owners[page.core_y0 : page.core_y1, page.core_x0 : page.core_x1] += 1
    assert (owners == 1).all()


@given(sizes, sizes, rooms, overlaps)
def test_every_page_fits_its_room(width, height, room, overlap):
    pagination = paginate(width, height, room=room, overlap=overlap)
    for page in pagination.pages:
        assert page.columns * pagination.cell <= room[0] + 1e-6
        assert page.rows * pagination.cell <= room[1] + 1e-6


@given(sizes, sizes, rooms, overlaps)
def test_pages_are_balanced_to_a_band(width, height, room, overlap):
    pagination = paginate(width, height, room=room, overlap=overlap)
    columns = [page.columns for page in pagination.pages]
    rows = [page.rows for page in pagination.pages]
    assert max(columns) - min(columns) <= BAND
    assert max(rows) - min(rows) <= BAND


@given(sizes, sizes, rooms, overlaps)
def test_no_fewer_pages_would_do(width, height, room, overlap):
    pagination = paginate(width, height, room=room, overlap=overlap, least=3.0)
    for length, pages, mm in (
        (width, pagination.across, room[0]),
        (height, pagination.down, room[1]),
    ):
        # One page less, each as full as the least cell allows, all joins overlapping both ways.
        fewer = pages - 1
        most = int(mm / 3.0 + 1e-9) * fewer - 2 * pagination.overlap * (fewer - 1)
        assert fewer == 0 or most < length


@given(sizes, sizes, rooms)
def test_the_next_larger_cell_would_not_fit(width, height, room):
    pagination = paginate(width, height, room=room, least=3.0, most=6.0)
    assert 3.0 <= pagination.cell <= 6.0
    larger = pagination.cell + STEP
    widest = max(page.columns for page in pagination.pages)
    tallest = max(page.rows for page in pagination.pages)
    assert larger > 6.0 or widest * larger > room[0] or tallest * larger > room[1]


@given(sizes, sizes, rooms, overlaps)
def test_neighbours_name_each_other_and_share_the_overlap(width, height, room, overlap):
    pagination = paginate(width, height, room=room, overlap=overlap)
    pages = {page.number: page for page in pagination.pages}
    assert list(pages) == list(range(1, pagination.across * pagination.down + 1))
    shared = pagination.overlap
    for page in pages.values():
        assert (page.left is None) == (page.x0 == page.core_x0 == 0)
        assert (page.below is None) == (page.y1 == page.core_y1 == height)
        if page.right is not None:
            neighbour = pages[page.right]
            assert neighbour.left == page.number
            assert page.core_x1 == neighbour.core_x0
            assert page.x1 - neighbour.x0 == 2 * shared or page.x1 == width or neighbour.x0 == 0
        if page.below is not None:
            neighbour = pages[page.below]
            assert neighbour.above == page.number
            assert page.core_y1 == neighbour.core_y0


def test_breaks_stand_at_tens():
    pagination = paginate(121, 160, room=A4_ROOM)
    assert pagination.breaks_x == (0, 40, 80, 121)
    assert pagination.breaks_y == (0, 50, 100, 160)
    assert pagination.cell == 3.65


def test_tens_counted_from_the_centre_move_the_breaks():
    pagination = paginate(121, 160, room=A4_ROOM, tens_from=(60, 80))
    assert [each % 10 for each in pagination.breaks_x[1:-1]] == [0, 0]
    shifted = paginate(125, 160, room=A4_ROOM, tens_from=(62, 80))
    assert [each % 10 for each in shifted.breaks_x[1:-1]] == [2, 2]


def test_one_cell_too_many_makes_two_even_pages_and_no_sliver():
    assert paginate(58, 10, room=A4_ROOM).breaks_x == (0, 58)
    assert paginate(59, 10, room=A4_ROOM).breaks_x == (0, 30, 59)


def test_a_given_cell_is_kept():
    pagination = paginate(121, 160, room=A4_ROOM, cell=5.0)
    assert pagination.cell == 5.0
    assert all(page.columns * 5 <= 176 and page.rows * 5 <= 230 for page in pagination.pages)


def test_a_small_chart_is_not_blown_up():
    pagination = paginate(9, 4, room=A4_ROOM)
    assert (pagination.cell, pagination.across, pagination.down) == (6.0, 1, 1)


def test_a_cell_larger_than_the_room_is_refused():
    with pytest.raises(ValueError, match="no cell of 200 mm fits"):
        paginate(10, 10, room=A4_ROOM, cell=200)


def test_a_chart_of_a_million_crosses():
    pagination = paginate(1000, 1000, room=A4_ROOM)
    assert pagination.across * pagination.down == 20 * 15


def reaching(*across, cost=1.0):
    """Figures that reach so far across, and nothing down."""
    boxes = np.array([(x0, 0, x1, 0) for x0, x1 in across], int).reshape(-1, 4)
    return Figures(boxes, np.full(len(boxes), cost))


def test_a_break_moves_to_spare_a_figure():
    room = (40 * 3.0, 100 * 3.0)
    cut = {"room": room, "cell": 3.0, "overlap": 2}
    assert paginate(60, 10, **cut).breaks_x == (0, 30, 60)
    # From column 25 to 35: only left of 27 or right of 33 does one page show it whole.
    assert paginate(60, 10, figures=reaching((25, 35)), **cut).breaks_x == (0, 27, 60)
    assert paginate(60, 10, figures=reaching((25, 35), (20, 31)), **cut).breaks_x == (0, 33, 60)
    # What no page could show whole does not count.
    assert paginate(60, 10, figures=reaching((5, 55)), **cut).breaks_x == (0, 30, 60)


@given(
    st.lists(st.tuples(st.integers(0, 300), st.integers(1, 40)), max_size=30),
    st.integers(1, 300),
    rooms,
    overlaps,
)
def test_figures_cost_no_page_and_are_cut_no_more_often(starts, width, room, overlap):
    across = reaching(*((x, x + long) for x, long in starts))
    plain, spared = (
        paginate(width, 10, room=room, overlap=overlap, figures=each) for each in (None, across)
    )
    assert spared.across == plain.across
    assert all(page.columns * spared.cell <= room[0] + 1e-6 for page in spared.pages)

    def cut(pagination):
        """How many figures that could be shown whole are not, by a plain look at every page."""
        fits = int(room[0] / 3.0 + 1e-9)
        return sum(
            not any(page.x0 <= x and x + long <= page.x1 for page in pagination.pages)
            for x, long in starts
            if x + long <= width and long <= fits
        )

    assert cut(spared) <= cut(plain)


@settings(max_examples=20, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 70), st.integers(1, 24)), min_size=1, max_size=9),
    st.integers(41, 90),
    st.integers(30, 40),
    st.integers(0, 3),
    st.floats(0.01, 0.1),
)
def test_no_break_within_reach_cuts_less_for_its_cells(starts, width, fits, overlap, cost):
    """Every way to two or three pages is tried, each break up to ten from where all are even."""
    across = [(x, x + long) for x, long in starts if x + long <= width]
    room, most = 3.0 * fits, int(3.0 * fits / 2.5 + 1e-9)
    figures = reaching(*across, cost=cost)
    said = {"room": (room, 99.0), "readable": 2.5, "overlap": overlap}
    made = paginate(width, 1, figures=figures, **said)
    cut_at_tens = paginate(width, 1, **said)
    assert made.across == cut_at_tens.across

    def cuts(shared):
        """What a break at each grid line cuts, by a plain look at each figure."""
        return [
            sum(cost for x0, x1 in across if x0 + shared < at < x1 - shared and x1 - x0 <= most)
            for at in range(width)
        ]

    def worth(breaks, shared, spent):
        starts = [max(0, each - shared) for each in (0, *breaks)]
        ends = [min(width, each + shared) for each in (*breaks, width)]
        cell = room / max(end - start for start, end in zip(starts, ends, strict=True))
        cell = min(6.0, int(cell / STEP + 1e-9) * STEP)
        return cell / (1 + spent) if cell >= 2.5 - 1e-9 else 0.0

    plain = sum(cuts(overlap)[each] for each in cut_at_tens.breaks_x[:-1])
    assert sum(cuts(made.overlap)[each] for each in made.breaks_x[:-1]) <= plain + 1e-9
    pages = made.across
    even = [round(width * each / pages) for each in range(1, pages)]
    for shared in range(overlap, overlap + MORE + 1 if plain else overlap):
        spent = cuts(shared)
        for breaks in product(*(range(each - BAND + 1, each + BAND) for each in even)):
            cut = sum(spent[each] for each in breaks)
            if cut <= plain and sorted({*breaks}) == [*breaks]:
                assert worth(breaks, shared, cut) <= made.worth * 1.005


@given(sizes, st.lists(st.integers(1, 399), max_size=5, unique=True), rooms, overlaps)
def test_pages_break_where_that_is_wished_for(width, wished, room, overlap):
    at = tuple(sorted(each for each in wished if each < width))
    pagination = paginate(width, 10, room=room, overlap=3, wishes=Wishes(at, (), overlap))
    assert set(at) <= set(pagination.breaks_x)
    assert pagination.overlap <= overlap
    assert all(page.columns * pagination.cell <= room[0] + 1e-6 for page in pagination.pages)


@given(st.integers(1, 30), st.integers(1, 30), st.integers(0, 2**32 - 1), st.floats(0.1, 0.7))
def test_stitches_that_touch_are_one_figure(width, height, seed, share):
    """SciPy's own labelling of the same cells, diagonal neighbours joined."""
    grid = np.random.default_rng(seed).random((height, width)) < share
    labelled, _ = label(grid, np.ones((3, 3)))
    wanted = sorted((x.start, y.start, x.stop, y.stop) for y, x in find_objects(labelled))
    assert sorted(map(tuple, touching(grid).tolist())) == wanted
