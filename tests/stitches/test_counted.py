"""Counted stitches: their lengths, how they turn, and in which order a run of them is worked."""

from __future__ import annotations

import csv
from dataclasses import replace
from itertools import pairwise
from math import dist, sqrt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.core.counted import Counted, Stroke
from linenleaf.stitches.counted import TURNS, hole_just_left, own, slope, turned, worked
from linenleaf.stitches.runs import along_lines, chains, in_runs, once, seen, side_by_side, turns
from linenleaf.stitches.shipped import shipped

DATA = Path(__file__).parent.parent / "data"
# The rows of stitches.csv in their order.
NAMES = [
    "cross",
    "cross-over-one",
    "half-cross",
    "tent",
    "broad-cross",
    "square-backed",
    "two-sided-cross",
    "two-sided-italian",
    "long-armed",
    "montenegrin",
    "montenegrin-4",
    "plaited-algerian",
    "spanish-plaited",
    "rice",
    "smyrna",
    "upright-cross",
    "star-six",
    "eye",
    "eyelet-16",
    "half-eyelet",
    "queen",
    "double-running",
    "back-over-two",
    "four-sided",
    "faggot",
    "hemstitch",
    "satin-4",
    "brick",
    "gobelin",
    "florentine",
    "parisian",
    "herringbone",
    "chain",
    "french-knot",
    "scotch",
]
# The crosses, rice, Smyrna, star and herringbone.
ON_THEMSELVES = [
    "cross",
    "cross-over-one",
    "square-backed",
    "two-sided-cross",
    "rice",
    "smyrna",
    "upright-cross",
    "star-six",
    "herringbone",
]


def rows() -> list[dict[str, str]]:
    with (DATA / "stitches.csv").open(encoding="utf-8") as opened:
        return list(csv.DictReader(opened))


def front(way: tuple[tuple[float, float], ...]) -> float:
    return sum(dist(*two) for two in pairwise(way))


@pytest.mark.parametrize(("name", "row"), list(zip(NAMES, rows(), strict=True)), ids=NAMES)
def test_lengths_are_those_of_the_handbooks(name, row):
    """Sources stand in the table, each beside its stitch."""
    stitch = shipped()[name]
    strokes = [*stitch.each, *stitch.second]
    if name == "four-sided":  # the table has the square with its closing side
        strokes += stitch.last
    on_front = sum(front(stroke.way) for stroke in strokes)
    behind = sum(dist(one.down, other.up) for one, other in pairwise(strokes))
    wanted_front = float(row["front length (thread pitches)"])
    [wanted_back] = [float(row[each]) for each in row if each.startswith("back length")]
    if name == "queen":  # straight in the table; its note says about 22.25 with plausible bows
        wanted_front = 22.25
    if name == "double-running":  # as long on the back as on the front
        run = worked(stitch, 40)
        assert run.lengths()[0] == run.lengths()[1] + wanted_back
        behind = wanted_back
    assert on_front == pytest.approx(wanted_front, abs=0.006)
    assert behind == pytest.approx(wanted_back, abs=0.006)


@pytest.mark.parametrize("many", [2, 3, 10])
def test_a_row_of_long_armed_crosses_is_no_sum_of_cells(many):
    """One cross, n - 1 long ones, one cross: n + 1 pairs of strokes, worked by hand."""
    run = worked(shipped()["long-armed"], many)
    long, short = sqrt(20), sqrt(8)
    assert len(run.ways) == 2 * (many + 1)
    # Behind: 2 within either cross and after the first, sqrt(8) within each long one and after it.
    assert run.lengths() == pytest.approx(
        (4 * short + (many - 1) * (long + short), 6 + 2 * (many - 1) * short)
    )


@pytest.mark.parametrize("many", [1, 2, 7])
def test_a_row_of_n_four_sided_squares_takes_12_n_and_4(many):
    """From the note of the table: n squares of 4 take 12 n + 4 threads of front."""
    run = worked(shipped()["four-sided"], many)
    assert len(run.ways) == 3 * many + 1
    assert run.lengths()[0] == 12 * many + 4


def test_a_row_there_and_back_is_dillmonts():
    """A row of n crosses takes 2 sqrt(2) n s before and (2 n - 1) s behind: Dillmont, fig. 253."""
    cross = replace(shipped()["cross"], journeys=2)
    for many in (1, 5):
        assert worked(cross, many).lengths(0.5, 0.5) == pytest.approx(
            (2 * sqrt(2) * many, 2 * many - 1)
        )


def test_a_two_sided_cross_goes_in_four_journeys():
    """Dillmont, figs. 293 to 295: every second diagonal on each journey."""
    ways = worked(shipped()["two-sided-cross"], 4).ways
    assert [way[0] for way in ways] == [
        (0, 2), (4, 2), (7, 1), (8, 0), (4, 0), (0, 0), (4, 0), (8, 2), (4, 2),
    ]  # fmt: skip


def test_rows_of_squares_share_their_sides():
    stitch = shipped()["four-sided"]
    at = np.array([(x, y) for y in (0, 4) for x in (0, 4, 8)])
    strokes = once(in_runs(stitch, at))
    # Twelve sides up and down, nine across.
    assert len(strokes.run) == 8 + 9
    ends = {tuple(sorted((tuple(a), tuple(b)))) for a, b in zip(strokes.up, strokes.down)}  # noqa: B905
    assert len(ends) == 17


# --- turning -----------------------------------------------------------------------------------


WITH_A_BOX = [name for name in NAMES if shipped()[name].each and all(shipped()[name].over)]


@pytest.mark.parametrize("name", WITH_A_BOX)  # the others lie along a line
@pytest.mark.parametrize("turn", TURNS, ids=str)
def test_strokes_turn_like_a_grid(name, turn):
    """Against numpy: a picture of the strokes, turned, is the picture of the turned strokes."""
    stitch = replace(shipped()[name], keeps=False)

    def picture(of: Counted) -> np.ndarray:
        size = 60
        grid = np.zeros((size, size), dtype=bool)
        for stroke in (*of.each, *of.second):
            for start, end in pairwise(stroke.way):
                for share in np.linspace(0, 1, 33):
                    x, y = np.array(start) + share * (np.array(end) - start)
                    if 0 < x < of.over[0] and 0 < y < of.over[1]:
                        column, row = int(x * size / of.over[0]), int(y * size / of.over[1])
                        grid[row, column] = True
        return grid

    drawn, made = turn.grid(picture(stitch)), picture(turned(stitch, turn))
    if stitch.stands.in_rows:
        return  # repeats reach into each other's boxes
    near = np.pad(made, 2)
    grown = np.any(
        [np.roll(near, (y, x), (0, 1)) for y in (-2, -1, 0, 1, 2) for x in (-2, -1, 0, 1, 2)], 0
    )
    assert not (drawn & ~grown[2:-2, 2:-2]).any()


@pytest.mark.parametrize("name", ON_THEMSELVES)
@pytest.mark.parametrize("turn", TURNS, ids=str)
def test_no_placing_turns_an_upper_leg(name, turn):
    stitch = shipped()[name]
    way = turned(stitch, turn)
    assert slope(way.each[-1]) == slope(stitch.each[-1])
    if turn.quarters % 2 == 0:
        assert way == stitch


@given(
    st.sampled_from([n for n in NAMES if n != "french-knot"]),
    st.sampled_from(TURNS),
    st.integers(1, 5),
)
def test_turning_changes_no_length(name, turn, many):
    stitch = shipped()[name]
    if not all(stitch.over):
        return
    assert sum(front(each.way) for each in turned(stitch, turn).each) == pytest.approx(
        sum(front(each.way) for each in stitch.each)
    )


def test_a_tent_ground_keeps_its_way():
    assert all(turned(shipped()["tent"], turn) is shipped()["tent"] for turn in TURNS)


# --- beside each other -------------------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in NAMES if all(shipped()[name].over)])
def test_no_two_repeats_of_a_field_own_the_same_crossing(name):
    stitch = shipped()[name]
    mine = own(stitch)
    (x, y), (across, down) = stitch.step, stitch.row
    field = np.zeros((200, 200), dtype=int)
    for i in range(-3, 4):
        for j in range(-3, 4):
            left, top = 100 + i * x + j * across, 100 + i * y + j * down
            field[top : top + mine.shape[0], left : left + mine.shape[1]] += mine
    assert field.max() == 1


@given(
    st.lists(
        st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=1, max_size=40, unique=True
    ),
    st.sampled_from([(2, 0), (-4, 0), (2, 2), (0, 3), (1, -3)]),
)
def test_chains_are_found_as_by_walking(places, step):
    at = np.array(places)
    there = set(places)
    starts = [p for p in places if (p[0] - step[0], p[1] - step[1]) not in there]
    lengths = {}
    for x, y in starts:
        many = 0
        while (x + many * step[0], y + many * step[1]) in there:
            many += 1
        lengths[x, y] = many
    first, many = chains(at, step)
    assert dict(zip(map(tuple, at[first].tolist()), many.tolist(), strict=True)) == lengths


def test_bars_side_by_side_are_worked_one_after_the_other():
    satin = shipped()["satin-4"]
    single = in_runs(replace(satin, step=(50, 0)), np.array([(0, 0), (1, 1), (2, 0), (9, 0)]))
    run = side_by_side(single, (1, 0))
    assert run.run.tolist() == [0, 0, 0, 1]
    assert run.up[:, 0].tolist() == [0, 1, 2, 9]


# --- what cannot be worked ---------------------------------------------------------------------


def strokes(*ends: tuple[float, float, float, float]) -> tuple[Stroke, ...]:
    return tuple(Stroke((a, b), (c, d)) for a, b, c, d in ends)


def test_the_needle_never_comes_up_where_it_has_just_gone_down():
    stitch = shipped()["cross"]
    assert hole_just_left(replace(stitch, each=strokes((0, 2, 2, 0), (2, 0, 0, 0)))) == (2, 0)
    # From one repeat to the next.
    assert hole_just_left(replace(stitch, each=strokes((0, 2, 2, 2)))) == (2, 2)
    assert all(hole_just_left(each) is None for each in shipped().values() if each.each)


def test_a_knot_along_a_line_is_wound_so_often_and_a_shorter_one_less():
    stitch = shipped()["bullion"]
    ends = np.array([[[0, 0], [4, 0]], [[4, 0], [4, 2]]], dtype=float)
    strokes = along_lines(stitch, ends, np.array([0, 0]))
    shown = seen(stitch, strokes)
    assert turns(stitch, strokes).tolist() == [8, 4]
    assert np.bincount(shown.stitch).tolist() == [8, 4]
    middle = (shown.up + shown.down) / 2
    assert np.allclose(middle[:8, 1], 0)
    assert np.allclose(middle[8:, 0], 4)
    assert (np.diff([0, *middle[:8, 0], 4]) > 0).all()
    assert hole_just_left(stitch) is None  # each coil holds the thread
