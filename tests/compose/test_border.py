"""Borders as wholes: what the notation promises of every border that divides."""

from dataclasses import replace
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.compose.border import mends, sides
from linenleaf.compose.compose import compose
from linenleaf.compose.turning import Turn
from linenleaf.core.items import Border
from linenleaf.core.source import Source
from linenleaf.resolve.read import read_source

from ..charts import design, motif
from ..snippets import rows_of


@st.composite
def borders(draw):
    """A border and a chart that it fits, in full and upright crosses only."""
    depth = draw(st.integers(1, 3))
    square = draw(st.integers(depth, 4))
    length = draw(st.integers(1, 4))
    symbols = st.sampled_from("ms.")

    def rows(width, height):
        row = st.text(symbols, min_size=width, max_size=width)
        return draw(st.lists(row, min_size=height, max_size=height))

    repeat, corner = motif("leaf", *rows(length, depth)), motif("sprig", *rows(square, square))
    inset = draw(st.integers(0, 2))
    across, down = draw(st.integers(0, 3)), draw(st.integers(0, 3))
    size = tuple(2 * inset + 2 * square + each * length for each in (across, down))
    border = Border("leaf", "sprig", inset, draw(st.booleans()))
    return border, repeat, corner, size, (across, down)


def composed(border, repeat, corner, size):
    worked, findings = compose(design(size, border, motifs=[repeat, corner]))
    assert worked is not None, findings
    return worked


@given(borders())
def test_a_border_that_divides_has_its_corners_and_all_its_repeats(made):
    border, repeat, corner, size, (across, down) = made
    worked = composed(border, repeat, corner, size)
    names = [each.name for each in worked.placed]
    assert names.count("sprig") == 4
    assert names.count("leaf") == 2 * across + 2 * down


@given(borders())
def test_nothing_stands_in_the_inset_or_further_in_than_the_corner(made):
    border, repeat, corner, size, _ = made
    grid = composed(border, repeat, corner, size).grid
    edge, inner = border.inset, border.inset + corner.width
    assert not grid[inner:-inner, inner:-inner].any() or min(size) <= 2 * inner
    if edge:
        assert not grid[:edge].any()
        assert not grid[-edge:].any()
        assert not grid[:, :edge].any()
        assert not grid[:, -edge:].any()


@given(borders())
def test_a_turned_border_on_a_square_is_its_own_quarter_turn(made):
    border, repeat, corner, size, _ = made
    if not border.mirrored and size[0] == size[1]:
        grid = composed(border, repeat, corner, size).grid
        assert np.array_equal(Turn(quarters=1).grid(grid), grid)


@given(borders())
def test_a_turned_border_is_its_own_half_turn(made):
    border, repeat, corner, size, _ = made
    if not border.mirrored:
        grid = composed(border, repeat, corner, size).grid
        assert np.array_equal(Turn(quarters=2).grid(grid), grid)


@given(borders())
def test_sides_of_a_mirrored_border_are_mirror_images(made):
    border, repeat, corner, size, _ = made
    if border.mirrored:
        grid = composed(border, repeat, corner, size).grid
        edge = border.inset + corner.width
        depth = border.inset + repeat.height
        # Each side by itself is not symmetric; opposite sides are images of one another.
        assert np.array_equal(grid[:depth, edge:-edge], grid[::-1][:depth, edge:-edge])
        assert np.array_equal(grid[edge:-edge, :depth], grid[:, ::-1][edge:-edge, :depth])
        corner_cells = grid[border.inset : edge, border.inset : edge]
        for mirrored in (grid[:, ::-1], grid[::-1], grid[::-1, ::-1]):
            assert np.array_equal(mirrored[border.inset : edge, border.inset : edge], corner_cells)


@given(borders(), st.integers(0, 9), st.integers(1, 3))
def test_the_sizes_named_do_fit_and_none_lies_nearer(made, more, over):
    border, repeat, corner, size, _ = made
    motifs = {each.name: each for each in (repeat, corner)}
    _, remainders = sides(border, motifs, (size[0] + more, size[1]), over)
    assert bool(remainders) == bool(more % repeat.width)
    for each in remainders:
        assert each.across
        wrong = size[0] + more
        near = mends(border, motifs, (wrong, size[1]), over, each)
        fitting = [
            width
            for width in range(1, wrong + 10)
            if not sides(border, motifs, (width, size[1]), over)[1]
        ]
        below = [width for width in fitting if width < wrong][-1:]
        above = [width for width in fitting if width > wrong][:1]
        assert list(near.sizes) == below + above


# --- what makes a border come out that does not ------------------------------------------------


def plain(name, width, height=1):
    return motif(name, *["m" * width] * height)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("corner", [(2, 2), (3, 2), (1, 3)])
def test_every_mend_that_is_named_makes_it_come_out(turned, corner):
    tried = 0
    for length, wide, high, inset in product((2, 3, 4, 5), range(12, 25), (13, 17, 20), (0, 2)):
        motifs = {"leaf": plain("leaf", length), "sprig": plain("sprig", *corner)}
        border = Border("leaf", "sprig", inset, not turned)
        _, remainders = sides(border, motifs, (wide, high), 2)

        def fits(border, extra=(), wide=wide, high=high, motifs=motifs):
            more = {each.name: each for each in extra}
            return not sides(border, {**motifs, **more}, (wide, high), 2)[1]

        for each in remainders:
            near = mends(border, motifs, (wide, high), 2, each)
            # Of all insets the nearest on either side that leave room for the corners.
            all_insets = [i for i in range(20) if i != inset and fits(replace(border, inset=i))]
            below, above = ([i for i in all_insets if (i > inset) == up] for up in (False, True))
            assert near.insets == (*below[-1:], *above[:1])
            if near.centre:
                heart = plain("heart", near.centre)
                assert fits(replace(border, centre="heart"), [heart])
            if near.join:
                assert fits(replace(border, join="bit"), [plain("bit", near.join)])
            if near.halves:
                assert fits(replace(border, from_middle=True))
            tried += bool(near.insets) + bool(near.centre) + bool(near.join) + near.halves
    assert tried > 40


HEAD = """linen 2
fabric linen 28 over 2
key
  m  #a03a3a "madder"
  s  #5f7a4a "sedge"
  k  #20242c "ink"
motif leaf 3 x 1
  |msk|
motif sprig 3 x 2
  |sss|
  |s..|
motif dot 1 x 1
  |k|
motif tile 5 x 3
  |mmmmm|
  |m...m|
  |mmmmm|
"""


def drawn(lines, size):
    text = f"{HEAD}chart {size}\n{lines}\n"
    design, findings = read_source(Source("chart.linen", text), Path("chart.linen"))
    assert design is not None, findings
    worked, more = compose(design)
    if worked is None:
        return [each.name for each in more]
    return ["".join(".msk"[cell] for cell in row) for row in worked.grid]


def test_corners_may_have_unequal_sides_and_are_turned():
    rows = drawn("border leaf, corner sprig", "11 x 11")
    assert rows[:4] == ["sssmskmskss", "s.........s", "k.........s", "s.........m"]
    grid = np.array([list(row) for row in rows])
    assert np.array_equal(np.rot90(grid, 2), grid)


def test_a_centre_piece_stands_in_the_middle_of_each_side():
    rows = drawn("border leaf, corner dot centre dot", "9 x 9")
    assert rows[0] == "kmskkmskk"
    assert "".join(row[0] for row in rows) == "kksmkksmk"


def test_a_join_stands_where_the_repeat_does_not_come_out():
    rows = drawn("border leaf, corner dot join dot", "9 x 8")
    assert rows[0] == "kmskmskkk"
    assert rows[-1] == "kkksmksmk"
    assert "".join(row[-1] for row in rows) == "kmskmskk"


def test_halves_are_mirrored_from_the_middle_and_cut_at_the_corners():
    rows = drawn("border leaf, corner dot mirrored from middle", "10 x 12")
    assert rows[0] == rows[-1] == "kmksmmskmk"
    assert "".join(row[0] for row in rows) == "".join(row[-1] for row in rows)


def test_a_border_runs_round_a_thing_and_along_the_inside_of_a_place():
    rows = drawn("tile at 4,3 named mid\nborder dot round mid gap 1", "13 x 9")
    assert [row.count("k") for row in rows] == [0, 7, 2, 2, 2, 2, 2, 7, 0]
    inside = drawn("place panel 7 x 6 at 2,1\nborder dot within panel inset 1", "13 x 9")
    assert [row.count("k") for row in inside] == [0, 0, 3, 2, 2, 3, 0, 0, 0]


def test_a_border_round_a_thing_is_told_which_gaps_come_out():
    text = f"{HEAD}chart 20 x 20\ntile at 6,6 named mid\nborder leaf, corner dot round mid gap 1\n"
    design, _ = read_source(Source("chart.linen", text), Path("chart.linen"))
    _, findings = compose(design)
    assert {each.name for each in findings} == {"border-remainder"}
    assert not any("gap" in hint.message for each in findings for hint in each.hints)
    square = text.replace("motif tile 5 x 3", "motif tile 5 x 5").replace(
        "  |m...m|\n", "  |m...m|\n" * 3
    )
    design, _ = read_source(Source("chart.linen", square), Path("chart.linen"))
    _, findings = compose(design)
    assert any(hint.message == "so would `gap 2`" for hint in findings[0].hints)
    assert compose(read_source(Source("c", square.replace("gap 1", "gap 2")), Path("c"))[0])[0]


@pytest.mark.parametrize(
    ("lines", "names"),
    [
        ("border leaf within nothing", ["unknown-thing"]),
        ("border leaf join nothing", ["unknown-motif"]),
        ("border leaf from left", ["places-disagree"]),
        ("tile at 3,3 named mid\nborder leaf round mid inset 2", ["places-disagree"]),
        ("tile below bb named aa\nborder dot round aa named bb", ["ring-of-places"]),
    ],
)
def test_a_border_that_runs_round_nothing_is_told(lines, names):
    assert rows_of(f"{HEAD}chart 14 x 14\n{lines}\n") == names
