"""Planted moves are found as moves, and shifts of a whole chart as shifts."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.core.items import Anchor, Border, Cover, Lettering, Mirror
from linenleaf.core.model import Chart
from linenleaf.core.source import Source
from linenleaf.diff.canvas import agreement, align
from linenleaf.diff.changes import (
    Added,
    Area,
    Moved,
    Patched,
    Removed,
    Renamed,
    Reworded,
    Sort,
    Stretch,
    Strip,
    Turned,
    TurnWords,
)
from linenleaf.diff.facts import Fact, Lettered, Measure

from tests.charts import alphabet, design, line, motif
from tests.diff.pairs import at, changed, compared, in_areas, of_grid, of_items, worked

TERN = motif("tern", "...mm....", ".mmmmmss.", "mmmm.kmmm", "....m....")
REED = motif("reed", "s", "s", "s", "m")
GULL = motif("gull", "mm..mm", ".mmmm.", "..mm..")
MOTIFS = (TERN, REED, GULL)


def chart(*items, size=(60, 40), **more):
    return of_items(size, *items, motifs=MOTIFS, **more)


# --- motifs -------------------------------------------------------------------------------------


@given(st.integers(0, 20), st.integers(0, 30), st.integers(0, 20), st.integers(0, 30))
def test_a_motif_that_moved_is_one_move(x, y, to_x, to_y):
    old = chart(at("tern", x, y), at("gull", 50, 30))
    new = chart(at("tern", to_x, to_y), at("gull", 50, 30))
    found = compared(old, new, thread=False)
    if (x, y) == (to_x, to_y):
        assert not found
        return
    [moved] = found.of(Moved)
    assert (moved.sort, moved.name, moved.by) == (Sort.MOTIF, "tern", (to_x - x, to_y - y))
    [spot] = moved.spots
    assert spot.old == (x, y, x + 9, y + 4)
    assert spot.new == (to_x, to_y, to_x + 9, to_y + 4)
    assert found.of(Area) == ()
    assert found.of(Added) == found.of(Removed) == ()
    assert spot.cells == len(found.cells)


def test_a_row_of_repeats_moves_together():
    old = chart(at("reed", 1, 3, across=12, step=(4, 0)))
    new = chart(at("reed", 1, 5, across=12, step=(4, 0)), at("gull", 40, 30))
    found = compared(old, new, thread=False)
    [moved] = found.of(Moved)
    assert (moved.name, moved.by, len(moved.spots)) == ("reed", (0, 2), 12)
    assert [each.name for each in found.of(Added)] == ["gull"]
    assert found.of(Added)[0].stitches == ((1, 10),)


def test_two_motifs_of_three_that_are_alike_move():
    old = chart(*(at("tern", x, 5) for x in (1, 20, 40)), at("reed", 0, 30))
    new = chart(*(at("tern", x, y) for x, y in ((1, 5), (20, 15), (40, 15))), at("reed", 0, 30))
    [moved] = compared(old, new, thread=False).of(Moved)
    assert (moved.by, len(moved.spots)) == ((0, 10), 2)


def test_whether_a_moved_motif_may_stay_is_told():
    old = chart(at("tern", 1, 1), at("reed", 0, 30), at("reed", 50, 30))
    free = compared(old, chart(at("tern", 30, 20), at("reed", 0, 30), at("reed", 50, 30)))
    assert [spot.free for spot in free.of(Moved)[0].spots] == [True]
    taken = compared(
        old, chart(at("tern", 30, 20), at("gull", 1, 1), at("reed", 0, 30), at("reed", 50, 30))
    )
    assert [spot.free for spot in taken.of(Moved)[0].spots] == [False]


@pytest.mark.parametrize(
    ("how", "turn"),
    [
        ({"mirror": Mirror.LEFT_RIGHT}, TurnWords.LEFT_RIGHT),
        ({"mirror": Mirror.TOP_BOTTOM}, TurnWords.TOP_BOTTOM),
        ({"mirror": Mirror.BOTH}, TurnWords.UPSIDE_DOWN),
        ({"turns": 1}, TurnWords.TO_THE_RIGHT),
        ({"turns": 3}, TurnWords.TO_THE_LEFT),
        ({"turns": 2}, TurnWords.UPSIDE_DOWN),
    ],
)
def test_a_motif_that_was_turned_where_it_stands(how, turn):
    old = chart(at("tern", 10, 10), at("reed", 0, 30))
    new = chart(at("tern", 10, 10, **how), at("reed", 0, 30))
    found = compared(old, new, thread=False)
    [turned] = found.of(Turned)
    assert (turned.name, turned.turn) == ("tern", turn)
    assert in_areas(turned.areas) == changed(found)
    assert found.of(Area) == found.of(Moved) == ()


def test_a_motif_in_other_symbols_is_no_other_motif():
    old = chart(at("tern", 10, 10), at("reed", 0, 30))
    new = chart(at("tern", 10, 10, swap=(("m", "k"),)), at("reed", 0, 30))
    [turned] = compared(old, new, thread=False).of(Turned)
    assert (turned.name, turned.turn) == ("tern", TurnWords.NOT)


def test_what_came_and_what_went():
    old = chart(at("tern", 10, 10), at("reed", 0, 30))
    new = chart(at("gull", 40, 20), at("reed", 0, 30))
    found = compared(old, new, thread=False)
    assert [(each.name, each.spots[0].new) for each in found.of(Added)] == [
        ("gull", (40, 20, 46, 23))
    ]
    assert [(each.name, each.spots[0].old) for each in found.of(Removed)] == [
        ("tern", (10, 10, 19, 14))
    ]


def test_the_same_stitches_from_another_source_are_no_difference():
    placed = chart(at("tern", 10, 10), at("gull", 40, 20))
    drawn = of_grid(placed.grid)
    assert not compared(placed, drawn)
    assert not compared(drawn, placed)
    elsewhere = chart(at("tern", 19, 10, anchor=Anchor.TOP_RIGHT), at("gull", 40, 20))
    assert not compared(placed, elsewhere)


def test_a_renamed_motif_is_only_renamed():
    old = chart(at("tern", 10, 10), at("gull", 40, 20))
    sandpiper = motif("sandpiper", *TERN.rows)
    new = of_items((60, 40), at("sandpiper", 10, 10), at("gull", 40, 20), motifs=(sandpiper, GULL))
    found = compared(old, new)
    assert not found
    assert found.of(Renamed) == (Renamed("tern", "sandpiper"),)


def test_an_inset_border_moves_part_by_part():
    corner = motif("square", "mm", "ms")
    parts = (motif("step", "ms", "m."), corner)
    old = of_items((24, 16), Border("step", "square"), motifs=parts)
    new = of_items((24, 16), Border("step", "square", inset=2), motifs=parts)
    found = compared(old, new, thread=False)
    assert not found.of(Area)
    assert {each.name for each in (*found.of(Moved), *found.of(Removed), *found.of(Turned))} <= {
        "step",
        "square",
    }


def test_a_moved_motif_uncovers_what_lies_below_it():
    rows = ["s" * 40] * 20

    def with_tern(x):
        items = (at("tern", x, 5, cover=Cover.REPLACING),)
        return worked(design((40, 20), motifs=MOTIFS, chart=Chart(40, 20, tuple(rows), items)))

    found = compared(with_tern(3), with_tern(20), thread=False)
    assert [each.by for each in found.of(Moved)] == [(17, 0)]
    assert found.of(Area) == ()
    # What changed in the ground below it is told all the same.
    changed_rows = [*rows[:6], "s" * 5 + "kkk" + "s" * 32, *rows[7:]]
    items = (at("tern", 20, 5, cover=Cover.REPLACING),)
    new = worked(design((40, 20), motifs=MOTIFS, chart=Chart(40, 20, tuple(changed_rows), items)))
    found = compared(with_tern(3), new, thread=False)
    assert [each.by for each in found.of(Moved)] == [(17, 0)]
    assert in_areas(found.of(Area)) == {(5, 6), (6, 6), (7, 6)}


# --- pieces off the grid ------------------------------------------------------------------------


def test_a_piece_off_the_grid_moves_and_changes():
    old = chart(at("tern", 10.5, 10), at("reed", 0, 30))
    found = compared(old, chart(at("tern", 12.5, 10), at("reed", 0, 30)), thread=False)
    [moved] = found.of(Moved)
    assert (moved.name, moved.by, moved.spots[0].new) == ("tern", (2, 0), (12.5, 10, 21.5, 14))
    fine = compared(old, chart(at("tern", 10.5, 10, over=1), at("reed", 0, 30)), thread=False)
    assert [(each.name, each.turn, each.over) for each in fine.of(Turned)] == [
        ("tern", TurnWords.FINER, 1)
    ]
    other = compared(
        old, chart(at("tern", 10.5, 10, swap=(("k", "s"),)), at("reed", 0, 30)), thread=False
    )
    [patched] = other.of(Patched)
    assert (patched.name, patched.x, patched.y) == ("tern", 10.5, 10)
    assert in_areas(patched.areas) == {(5, 2)}


# --- texts --------------------------------------------------------------------------------------

LETTERS = alphabet(
    "marking",
    {
        "S": [".mm", "m..", ".m.", "..m"],
        "E": ["mmm", "mm.", "m..", "mmm"],
        "A": [".m.", "m.m", "mmm", "m.m"],
    },
)


def text(words, x=5, y=5, letters=LETTERS):
    place = Source("test.linen", "text").span(0, 4)
    lettering = Lettering((words,), "marking", x, y, span=place)
    items = (lettering, at("reed", 50, 30))
    return of_items((60, 40), *items, motifs=MOTIFS, alphabets=(letters,))


def test_a_text_moves_as_one():
    found = compared(text("SEA ASE"), text("SEA ASE", x=12, y=8), thread=False)
    [moved] = found.of(Moved)
    assert (moved.sort, moved.name, moved.by) == (Sort.TEXT, "SEA ASE", (7, 3))


def test_a_text_that_reads_otherwise_is_told_once():
    found = compared(text("SEA"), text("SEAS"), thread=False)
    [reworded] = found.of(Reworded)
    assert (reworded.old, reworded.new) == ("SEA", "SEAS")
    assert in_areas(reworded.areas) == changed(found)
    assert found.of(Area) == ()


def test_a_letter_drawn_anew_is_told_of_text_and_alphabet():
    other = alphabet(
        "marking",
        {**{k: v.rows for k, v in LETTERS.letters.items()}, "A": ["mmm", "m.m", "mmm", "m.m"]},
    )
    found = compared(text("SEA"), text("SEA", letters=other), thread=False)
    assert [(each.old, each.new) for each in found.of(Reworded)] == [("SEA", "SEA")]
    assert found.of(Lettered) == (Lettered("marking", ("A",)),)


# --- figures of a chart that is one grid --------------------------------------------------------


def stamp(grid, figure, x, y):
    rows, columns = figure.shape
    view = grid[y : y + rows, x : x + columns]
    view[figure != 0] = figure[figure != 0]


BOAT = np.array(
    [[0, 0, 0, 3, 0, 0, 0], [0, 0, 1, 3, 1, 0, 0], [0, 1, 1, 3, 1, 1, 0], [2, 2, 2, 2, 2, 2, 2],
     [0, 2, 2, 2, 2, 2, 0]], np.uint16)  # fmt: skip


@settings(max_examples=40)
@given(
    st.integers(1, 50), st.integers(1, 30), st.integers(1, 50), st.integers(1, 30), st.booleans()
)
def test_a_figure_moved_in_a_grid_is_a_move(x, y, to_x, to_y, on_water):
    ground = np.full((40, 60), 3 if on_water else 0, np.uint16)
    boat = np.where(BOAT == 3, 1, BOAT).astype(np.uint16)
    # More than the boat, lest it be taken for the whole chart that was shifted.
    ground[:, 59] = np.random.default_rng(3).integers(0, 3, 40)
    old, new = ground.copy(), ground.copy()
    stamp(old, boat, x, y)
    stamp(new, boat, to_x, to_y)
    found = compared(of_grid(old), of_grid(new), thread=False)
    if (x, y) == (to_x, to_y):
        assert not found
        return
    assert found.of(Area) == ()
    [moved] = found.of(Moved)
    assert (moved.sort, moved.name, moved.by) == (Sort.GRID, "", (to_x - x, to_y - y))


def test_a_figure_that_moved_and_a_cell_that_changed_are_told_apart():
    old = np.zeros((40, 60), np.uint16)
    old[:, 0] = 1
    new = old.copy()
    stamp(old, BOAT, 10, 10)
    stamp(new, BOAT, 11, 10)
    new[30, 30] = 2
    found = compared(of_grid(old), of_grid(new), thread=False)
    assert [each.by for each in found.of(Moved)] == [(1, 0)]
    assert in_areas(found.of(Area)) == {(30, 30)}


# --- shifts of the whole chart ------------------------------------------------------------------


def picture(seed, shape):
    y, x = np.mgrid[: shape[0], : shape[1]]
    rng = np.random.default_rng(seed)
    waves = (np.sin(x / 7) + np.cos(y / 5) + rng.normal(0, 0.4, shape)) * 2 + 4
    return np.clip(waves, 1, 8).astype(np.int32)


@settings(max_examples=30)
@given(st.integers(-12, 12), st.integers(-12, 12), st.integers(0, 5))
def test_a_planted_shift_is_found(across, down, seed):
    whole = picture(seed, (90, 100))
    old = whole[12:72, 12:82]
    new = whole[12 - down : 72 - down, 12 - across : 82 - across]
    assert align(old, new) == (across, down)


@pytest.mark.parametrize("grow", list(product((-4, 0, 7), (-3, 0, 5))))
def test_a_chart_with_more_rows_and_columns_on_one_side_was_shifted(grow):
    across, down = grow
    inner = np.zeros((70, 80), np.int32)
    inner[10:60, 10:70] = picture(1, (50, 60))
    new = np.zeros((70 + down, 80 + across), np.int32)
    x, y = max(across, 0), max(down, 0)
    from_x, from_y = max(-across, 0), max(-down, 0)
    part = inner[from_y:, from_x:]
    new[y : y + part.shape[0], x : x + part.shape[1]] = part
    assert align(inner, new) == (x - from_x, y - from_y)


def test_the_shift_found_is_the_best_of_all():
    rng = np.random.default_rng(4)
    old = rng.integers(0, 3, (14, 17)).astype(np.int32)
    new = np.zeros((18, 20), np.int32)
    new[3:17, 2:19] = old
    every = product(range(-16, 20), range(-13, 18))
    best = max(every, key=lambda each: agreement(old, new, each)[0])
    assert align(old, new) == best == (2, 3)


def test_charts_that_have_nothing_in_common_were_not_shifted():
    rng = np.random.default_rng(6)
    one, other = (rng.integers(1, 9, (60, 70)).astype(np.int32) for _ in range(2))
    assert align(one, other) == (0, 0)


def test_a_shifted_chart_differs_only_where_it_differs():
    rng = np.random.default_rng(9)
    old = np.zeros((50, 60), np.uint16)
    old[5:45, 5:55] = rng.integers(1, 4, (40, 50))
    new = np.zeros((57, 70), np.uint16)
    new[5:55, 8:68] = old
    new[30, 40] = new[30, 40] % 3 + 1
    found = compared(of_grid(old), of_grid(new), thread=False)
    assert found.shift == (8, 5)
    assert changed(found) == {(40, 30)}
    assert found.of(Strip) == ()
    assert found.of(Fact)[0].what is Measure.CHART


def test_placed_motifs_shift_with_the_chart():
    places = [(3, 3), (20, 8), (40, 20)]
    old = chart(*(at("tern", *each) for each in places))
    new = chart(*(at("tern", x + 6, y + 2) for x, y in places), size=(70, 44))
    found = compared(old, new, thread=False)
    assert found.shift == (6, 2)
    assert found.of(Moved) == ()
    assert not len(found.cells)


def test_what_a_shift_pushes_over_the_edge_is_told_by_rows_and_columns():
    old = picture(3, (60, 70)).clip(1, 3).astype(np.uint16)
    new = np.ones_like(old)
    new[2:, 5:] = old[:-2, :-5]
    found = compared(of_grid(old), of_grid(new), thread=False)
    assert found.shift == (5, 2)
    assert found.of(Area) == ()
    strips = {(each.box, each.lost) for each in found.of(Strip)}
    assert strips == {
        ((0, 58, 70, 60), True),
        ((65, 0, 70, 58), True),
        ((0, 0, 70, 2), False),
        ((0, 2, 5, 60), False),
    }


def test_lines_shift_with_the_chart():
    def lined(by, size):
        terns = [at("tern", x + by, y) for x, y in ((3, 3), (20, 8), (40, 20))]
        return of_items(size, *terns, line("lantern", (4 + by, 30), (9 + by, 30)), motifs=MOTIFS)

    found = compared(lined(0, (60, 40)), lined(5, (65, 40)), thread=False)
    assert found.shift == (5, 0)
    assert found.of(Stretch) == ()
