"""Symbols can be read on their cells, whatever the thread and the ink."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.chart.counted import look
from linenleaf.chart.ink import VEIL, mix, needle_colour, paint
from linenleaf.chart.looks import LOOKS, MARKS, line_styles, point_styles
from linenleaf.chart.options import Ink
from linenleaf.colour.colour import BLACK, WHITE, contrast, luminance
from linenleaf.core.key import KeyEntry, Kind, Part, Strands, Thread, Way
from linenleaf.stitches.kinds import CORNERS

from ..shore import INDEX, cell, design

colours = st.integers(0, 0xFFFFFF).map(lambda value: f"#{value:06x}")
READABLE = 4.5  # WCAG 2.2, success criterion 1.4.3


@given(colours, st.sampled_from(Ink), st.booleans())
def test_every_symbol_stands_out_from_its_cell(colour, ink, veiled):
    printed = paint(cell("m", colour), ink, veiled)
    assert contrast(printed.symbol, printed.fill or WHITE) >= READABLE


@given(colours, st.sampled_from(Ink), st.booleans(), st.sampled_from([*CORNERS]))
def test_the_symbol_of_a_part_stitch_stands_out_from_its_part(colour, ink, veiled, way):
    printed = paint(cell("m", colour, Kind.QUARTER, way), ink, veiled)
    (region,) = printed.regions
    assert contrast(printed.symbol, region.fill or printed.fill or WHITE) >= READABLE


def test_colour_is_the_thread_itself_and_black_print_has_none():
    entry = cell("m", "#22313f")
    assert paint(entry, Ink.COLOUR).fill == "#22313f"
    assert paint(entry, Ink.COLOUR).symbol == WHITE
    assert paint(entry, Ink.SYMBOLS).fill == ""
    assert paint(entry, Ink.SYMBOLS, veiled=True).fill == VEIL
    assert paint(entry, Ink.SYMBOLS).symbol == BLACK


@given(colours)
def test_tints_take_little_ink_and_black_symbols(colour):
    printed = paint(cell("m", colour), Ink.TINTS)
    assert printed.symbol == BLACK
    assert luminance(printed.fill) >= luminance(mix(BLACK, WHITE, 0.62))


@given(colours)
def test_a_needle_of_one_thread_has_its_colour(colour):
    thread = Thread("estuary", "1", "sand", colour)
    assert needle_colour((Strands(thread, 2),)) == colour
    assert needle_colour((Strands(thread, 1), Strands(thread, 1))) == colour


def test_a_blend_mixes_light_by_strands():
    black, white = (Thread("", "", "", each) for each in (BLACK, WHITE))
    # Half the light of white is sRGB 188 (IEC 61966-2-1); a third is 156.
    assert needle_colour((Strands(black, 1), Strands(white, 1))) == "#bcbcbc"
    assert needle_colour((Strands(black, 2), Strands(white, 1))) == "#9c9c9c"


def test_part_stitches_keep_the_colour_of_each_part():
    dark, sand = "#22313f", "#c9a45c"
    entry = KeyEntry(
        "^",
        (
            Part(Kind.THREE_QUARTER, (Strands(Thread("", "", "", dark), 2),), Way.TOP_LEFT),
            Part(Kind.QUARTER, (Strands(Thread("", "", "", sand), 2),), Way.BOTTOM_RIGHT),
        ),
    )
    quarter, three = paint(entry, Ink.COLOUR).regions
    assert (three.kind, three.fill) == (Kind.THREE_QUARTER, dark)
    assert (quarter.kind, quarter.fill) == (Kind.QUARTER, sand)
    assert paint(entry, Ink.COLOUR).symbol == WHITE  # for the three-quarter, where it stands


def test_of_two_crossing_halves_the_one_with_the_symbol_is_drawn_last():
    threads = [Thread("", "", "", each) for each in ("#000000", "#ffffff")]
    halves = tuple(
        Part(Kind.HALF, (Strands(thread, 2),), way)
        for thread, way in zip(threads, (Way.UP, Way.DOWN), strict=True)
    )
    printed = paint(KeyEntry("x", halves), Ink.COLOUR)
    assert [each.fill for each in printed.regions] == ["#ffffff", "#000000"]
    assert printed.symbol == WHITE


@pytest.mark.parametrize("ink", Ink)
def test_lines_differ_by_look_and_points_by_mark(ink):
    made = design(10, 10)
    lines = line_styles(made, ink)
    assert len({each.look for each in lines.values()}) == len(lines) == 5
    points = point_styles(made, ink)
    assert len({(each.bead, each.mark) for each in points.values()}) == len(points) == 4
    colours_used = {each.colour for each in (*lines.values(), *points.values())}
    assert (colours_used == {BLACK}) == (ink is Ink.SYMBOLS)


def test_a_pale_line_gets_a_dark_rim():
    lines = line_styles(design(10, 10), Ink.COLOUR)
    assert lines[INDEX["sand"]].rim
    assert not lines[INDEX["ink"]].rim


def test_there_are_different_looks_and_marks():
    assert len(set(LOOKS)) == len(LOOKS) >= 8
    assert all(look.gap or look.knob for look in LOOKS)  # where holes are can be counted
    assert all(look.rungs for look in LOOKS if look.core)  # else it looks like a gap in the grid
    assert len(set(MARKS)) == len(MARKS)


@pytest.mark.parametrize("ink", Ink)
def test_white_strokes_are_seen_where_a_neighbouring_page_is_grey(ink):
    stroke, edge = look(WHITE, ink, veiled=True)
    assert max(contrast(each, VEIL) for each in (stroke, edge) if each) > 1.5
