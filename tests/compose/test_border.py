"""Borders as wholes: what the notation promises of every border that divides."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.compose.border import sides
from linenleaf.compose.compose import compose
from linenleaf.compose.turning import Turn
from linenleaf.core.model import Border

from ..charts import design, motif


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
    _, remainders = sides(border, repeat, corner, (size[0] + more, size[1]), over)
    assert bool(remainders) == bool(more % repeat.width)
    for each in remainders:
        assert each.across
        wrong = size[0] + more
        fitting = [
            width
            for width in range(1, wrong + 10)
            if not sides(border, repeat, corner, (width, size[1]), over)[1]
        ]
        below = [width for width in fitting if width < wrong][-1:]
        above = [width for width in fitting if width > wrong][:1]
        assert list(each.fits) == below + above
