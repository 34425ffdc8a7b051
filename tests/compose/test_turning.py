import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from linenleaf.compose.turning import AS_DRAWN, Turn, turned_key
from linenleaf.core.items import Mirror
from linenleaf.core.key import Kind, Part, Way
from linenleaf.stitches.kinds import turned_way

from ..charts import HALVES, MADDER, SEDGE, cell, part

TURNS = st.builds(Turn, st.booleans(), st.integers(0, 3))
GRIDS = hnp.arrays(np.uint16, hnp.array_shapes(min_dims=2, max_dims=2, max_side=6))


def rows(grid: np.ndarray) -> list[str]:
    return ["".join(map(chr, row)) for row in grid]


def drawn(*lines: str) -> np.ndarray:
    return np.array([[ord(each) for each in line] for line in lines], dtype=np.uint16)


@pytest.mark.parametrize(
    ("mirror", "turns", "expected"),
    [
        (None, 0, ["abc", "def"]),
        (Mirror.LEFT_RIGHT, 0, ["cba", "fed"]),
        (Mirror.TOP_BOTTOM, 0, ["def", "abc"]),
        (Mirror.BOTH, 0, ["fed", "cba"]),
        (None, 1, ["da", "eb", "fc"]),  # turned right: what was left is now on top
        (None, 2, ["fed", "cba"]),
        (None, 3, ["cf", "be", "ad"]),
        (Mirror.LEFT_RIGHT, 1, ["fc", "eb", "da"]),  # mirrored first, then turned
        (Mirror.TOP_BOTTOM, 3, ["fc", "eb", "da"]),
    ],
)
def test_a_grid_is_mirrored_first_and_then_turned_clockwise(mirror, turns, expected):
    assert rows(Turn.of(mirror, turns).grid(drawn("abc", "def"))) == expected


@given(GRIDS, st.sampled_from(Mirror))
def test_mirroring_twice_changes_nothing(grid, mirror):
    turn = Turn.of(mirror)
    assert np.array_equal(turn.grid(turn.grid(grid)), grid)
    assert turn.then(turn) == AS_DRAWN


@given(GRIDS, TURNS)
def test_four_times_the_same_turn_changes_nothing(grid, turn):
    again = grid
    for _ in range(4):
        again = turn.grid(again)
    assert np.array_equal(again, grid)


@given(GRIDS, TURNS, TURNS)
def test_one_turn_then_another_is_a_turn(grid, first, second):
    assert np.array_equal(first.then(second).grid(grid), second.grid(first.grid(grid)))


@given(GRIDS, TURNS, st.data())
def test_points_move_with_the_cells(grid, turn, data):
    height, width = grid.shape
    row, column = data.draw(st.integers(0, height - 1)), data.draw(st.integers(0, width - 1))
    marked = np.zeros_like(grid)
    marked[row, column] = 1
    middle = np.array([[column + 0.5, row + 0.5]])
    x, y = turn.points(middle, width, height)[0] - 0.5
    assert turn.grid(marked)[int(y), int(x)] == 1
    assert turn.size(width, height) == turn.grid(grid).shape[::-1]


CORNERS = {
    Way.TOP_LEFT: (0, 0),
    Way.TOP_RIGHT: (1, 0),
    Way.BOTTOM_LEFT: (0, 1),
    Way.BOTTOM_RIGHT: (1, 1),
}
LEGS = {Way.UP: {(0, 1), (1, 0)}, Way.DOWN: {(0, 0), (1, 1)}}


@given(TURNS, st.sampled_from(sorted(CORNERS)))
def test_a_corner_of_a_cell_goes_where_that_corner_of_a_grid_goes(turn, way):
    grid = np.zeros((2, 2), dtype=np.uint16)
    x, y = CORNERS[way]
    grid[y, x] = 1
    moved = np.argwhere(turn.grid(grid))[0].tolist()
    assert list(CORNERS[turned_way(Part(Kind.QUARTER, (), way), turn)]) == moved[::-1]


@given(TURNS, st.sampled_from([Way.UP, Way.DOWN]))
def test_a_half_cross_goes_where_its_two_holes_go(turn, way):
    holes = np.array(sorted(LEGS[way]), dtype=np.float64)
    moved = {(int(x), int(y)) for x, y in turn.points(holes, 1, 1)}
    assert moved == LEGS[turned_way(Part(Kind.HALF, (), way), turn)]


MIRRORED = Turn.of(Mirror.LEFT_RIGHT)


def test_a_mirrored_half_cross_is_the_other_key_line():
    turned = turned_key(HALVES, MIRRORED)
    assert turned.table.tolist() == [0, 2, 1]
    assert not turned.missing


def test_a_full_cross_stays_itself_though_another_line_holds_the_same():
    key = (cell("m", part(MADDER)), cell("n", part(MADDER)))
    assert turned_key(key, MIRRORED).table.tolist() == [0, 1, 2]


def test_two_stitches_of_a_cell_are_found_in_whatever_order():
    three, one = Kind.THREE_QUARTER, Kind.QUARTER
    key = (
        cell("^", part(MADDER, three, Way.TOP_LEFT), part(SEDGE, one, Way.BOTTOM_RIGHT)),
        cell("v", part(SEDGE, one, Way.BOTTOM_LEFT), part(MADDER, three, Way.TOP_RIGHT)),
    )
    assert turned_key(key, MIRRORED).table.tolist() == [0, 2, 1]


def test_both_half_crosses_in_one_cell_are_their_own_mirror_image():
    key = (cell("x", part(SEDGE, Kind.HALF, Way.UP), part(SEDGE, Kind.HALF, Way.DOWN)),)
    assert turned_key(key, MIRRORED).table.tolist() == [0, 1]


def test_another_thread_or_number_of_strands_is_another_stitch():
    key = (
        cell("/", part(SEDGE, Kind.HALF, Way.UP)),
        cell("a", part(MADDER, Kind.HALF, Way.DOWN)),
        cell("b", part(SEDGE, Kind.HALF, Way.DOWN, strands=1)),
    )
    turned = turned_key(key, MIRRORED)
    assert turned.table.tolist() == [0, 0, 0, 0]
    assert turned.missing[1] == (part(SEDGE, Kind.HALF, Way.DOWN),)
