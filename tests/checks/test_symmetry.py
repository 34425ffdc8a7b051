"""The finer points of stated symmetry."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from linenleaf.checks.symmetry import broken_pairs
from linenleaf.compose.turning import Turn

from ..snippets import found_in
from .cases import HALVES, KEY, LINES


def messages(text, tmp_path, name):
    return [each.message for each in found_in(KEY + text, tmp_path) if each.name == name]


def test_a_half_cross_that_leans_the_same_way_breaks_a_mirror_image(tmp_path):
    found = messages(
        HALVES + "motif leaf 2 x 1 symmetric left-right\n |//|\nchart 2 x 1\n leaf at 0,0\n",
        tmp_path,
        "motif-not-symmetric",
    )
    assert found == [
        "The motif `leaf` is marked symmetric left-right, but 1 cell breaks it: "
        "`/` at 0,0 against `/` at 1,0."
    ]


def test_several_cells_are_named_and_the_rest_counted(tmp_path):
    (found,) = messages(
        "motif leaf 2 x 5 symmetric left-right\n" + " |ms|\n" * 5 + "chart 2 x 5\n leaf at 0,0\n",
        tmp_path,
        "motif-not-symmetric",
    )
    assert "5 cells break it: `m` at 0,0 against `s` at 1,0; `m` at 0,1" in found
    assert found.endswith("; and more.")


def test_the_finding_points_at_the_cell_and_its_image(tmp_path):
    text = "motif leaf 3 x 2 symmetric top-bottom\n |m.s|\n |m.m|\nchart 3 x 2\n leaf at 0,0\n"
    (found,) = (
        each for each in found_in(KEY + text, tmp_path) if each.name == "motif-not-symmetric"
    )
    assert (found.span.source.text[found.span.start], found.span.length) == ("s", 1)
    image = found.hints[0].span
    assert (image.line, image.column) == (found.span.line + 1, found.span.column)


@pytest.mark.parametrize(
    ("shape", "expected"),
    [
        ("line rope 0,0 1,1", "the line `rope` from 0,0 has no counterpart"),
        ("line rope 0,0 2,0 1,1", "the line `rope` from 0,0 has no counterpart"),
        ("line rope 0,2 1,0 2,2", None),
        ("line rope 0,0 2,0", None),
        ("knot eye 0.5,1", "the knot `eye` at 0.5,1 has no counterpart"),
        ("knot eye 0.5,1 1.5,1", None),
        ("knot eye 1,1", None),
    ],
)
def test_lines_and_knots_are_held_to_it_too(shape, expected, tmp_path):
    leaf = f"motif leaf 2 x 2 symmetric left-right\n |mm|\n |ss|\n {shape}\n"
    text = f"{LINES}{leaf}chart 2 x 2\n leaf at 0,0\n"
    found = messages(text, tmp_path, "motif-not-symmetric")
    if expected is None:
        assert found == []
    else:
        assert found == [f"The motif `leaf` is marked symmetric, but {expected}."]


def test_a_chart_may_mirror_its_pieces(tmp_path):
    text = """
motif dot 1 x 1
  |m|
chart 5 x 2 symmetric left-right
  dot at 0.5,0
  dot at {},0
  dot at 2,1
note 0,0 to 5,2 "Half a cross off."
"""
    assert messages(text.format("3.5"), tmp_path, "chart-not-symmetric") == []
    assert messages(text.format("3"), tmp_path, "chart-not-symmetric") == [
        "The chart is marked symmetric left-right, but 1 cell breaks it: "
        "`.` at 1,0 against `m` at 3,0.",
        "The chart is marked symmetric, but `dot` with its stitch at 0.5,0 has no counterpart.",
    ]


def test_a_quarter_turn_wants_a_square(tmp_path):
    text = "chart 2 x 1 symmetric quarter-turn\n |ms|\n"
    assert messages(text, tmp_path, "chart-not-symmetric") == [
        "The chart is marked symmetric by a quarter turn, but is 2 x 1, not square."
    ]


def test_what_is_kept_on_purpose_does_not_count(tmp_path):
    text = "chart 5 x 2 symmetric left-right\n |ms.sm|\n |m.s.s|\n"
    assert messages(text, tmp_path, "chart-not-symmetric")
    kept = text + 'kept 4,1 to 5,2 "Her own corner."\n'
    assert messages(kept, tmp_path, "chart-not-symmetric") == []
    elsewhere = text + 'kept 1,1 to 2,2 "Not there."\n'
    assert messages(elsewhere, tmp_path, "chart-not-symmetric")


@given(
    hnp.arrays(
        np.uint8,
        hnp.array_shapes(min_dims=2, max_dims=2, max_side=5),
        elements=st.integers(0, 1),
    ),
    st.booleans(),
    st.sampled_from([0, 2]),
)
def test_each_broken_pair_is_named_once(grid, flip, quarters):
    turn = Turn(flip, quarters)
    broken = turn.grid(grid) != grid
    pairs, count = broken_pairs(broken, turn)
    assert len(pairs) == count
    named = [cell for pair in pairs for cell in dict.fromkeys(pair)]
    assert sorted(named) == sorted(map(tuple, np.argwhere(broken).tolist()))
    assert all(grid[one] != grid[other] for one, other in pairs)


@given(hnp.arrays(np.uint8, st.integers(1, 5).map(lambda n: (n, n)), elements=st.integers(0, 1)))
def test_a_quarter_turn_brings_the_cell_named_second(grid):
    turn = Turn(quarters=1)
    for one, other in broken_pairs(turn.grid(grid) != grid, turn)[0]:
        assert grid[other] == turn.grid(grid)[one]
