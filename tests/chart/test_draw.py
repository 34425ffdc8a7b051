"""Chart pages, looked at by readers and renderers that are not ours."""

import re
from dataclasses import replace
from functools import cache
from xml.etree.ElementTree import fromstring

import numpy as np
import pytest
from linenleaf.chart.draw import CLEAR_OF_KNOTS, Drawing, draw_excerpt, draw_page
from linenleaf.chart.edges import RULE, margins
from linenleaf.chart.ink import VEIL, paint
from linenleaf.chart.options import Ink
from linenleaf.chart.paginate import paginate
from linenleaf.chart.plot import Plotter
from linenleaf.compose.worked import Piece, WorkedKnot, WorkedLine
from linenleaf.core.key import Kind
from linenleaf.core.matter import Note, NoteKind

from ..pressed import PT_PER_MM, PX_PER_MM, chart_pages, font_of, letters, pictures, texts
from ..shore import COLOURS, INDEX, KEY, shore, worked
from ..snippets import worked_of

CELL = 4.0
FULL = [INDEX[symbol] for symbol in COLOURS]
ROOM = (27 * CELL, 20 * CELL)  # two pages across, two down


def confetti(width=41, height=32, indices=FULL):
    """A chart of all symbols, a third of it bare."""
    picks = np.random.default_rng(7).integers(-len(indices) // 2, len(indices), (height, width))
    return worked(np.where(picks < 0, 0, np.array(indices)[picks]))


@cache
def confetti_pages(ink):
    chart = confetti()
    pdf, pagination = chart_pages(chart, ink, room=ROOM, cell=CELL)
    return chart, pdf, pagination


def rgb(colour):
    return tuple(int(colour[at : at + 2], 16) for at in (1, 3, 5))


def pixel(picture, chart, x, y):
    """The colour at a place of the page, in cells from its first one."""
    around = margins(chart.height)
    column = round((around.side + x * CELL) * PX_PER_MM)
    row = round((around.end + y * CELL) * PX_PER_MM)
    return tuple(picture[row, column])


def cell_pixels(picture, chart, x, y, size=1.0):
    """The inside of one cell, clear of the grid."""
    around = margins(chart.height)
    left, top = (around.side + x * CELL) * PX_PER_MM, (around.end + y * CELL) * PX_PER_MM
    side, edge = size * CELL * PX_PER_MM, 0.3 * PX_PER_MM
    return picture[
        round(top + edge) : round(top + side - edge), round(left + edge) : round(left + side - edge)
    ]


def ground(chart, index, ink, veiled):
    found = paint(chart.entry(index), ink, veiled).fill if index else (VEIL if veiled else "")
    return rgb(found or "#ffffff")


@pytest.mark.parametrize("ink", Ink)
def test_each_cell_has_its_thread_colour_and_a_symbol(ink):
    chart, pdf, pagination = confetti_pages(ink)
    assert (pagination.across, pagination.down) == (2, 2)
    for page, picture in zip(pagination.pages, pictures(pdf), strict=True):
        for y in range(page.y0, page.y1):
            for x in range(page.x0, page.x1):
                own = page.core_x0 <= x < page.core_x1 and page.core_y0 <= y < page.core_y1
                index = int(chart.grid[y, x])
                seen = cell_pixels(picture, chart, x - page.x0, y - page.y0)
                expected = ground(chart, index, ink, not own)
                assert tuple(seen[0, 0]) == tuple(seen[-1, 0]) == expected, (x, y)
                if index:
                    symbol = rgb(paint(chart.entry(index), ink, not own).symbol)
                    assert (seen == symbol).all(axis=2).mean() > 0.02, (x, y)
                else:
                    assert (seen == expected).all(), (x, y)


def test_the_text_layer_is_the_source_page_by_page():
    chart, pdf, pagination = confetti_pages(Ink.COLOUR)
    rows = ["".join("." if not at else KEY[at - 1].symbol for at in row) for row in chart.grid]
    for page, text in zip(pagination.pages, texts(pdf), strict=True):
        lines = [line for line in text.split() if len(line) == page.columns]
        assert lines == [row[page.x0 : page.x1] for row in rows[page.y0 : page.y1]]


def test_every_character_stands_in_its_cell():
    chart, pdf, pagination = confetti_pages(Ink.COLOUR)
    around = margins(chart.height)
    for page, chars in zip(pagination.pages, letters(pdf), strict=True):
        found = {
            (
                round((each["x0"] / PT_PER_MM - around.side) / CELL, 2),
                round((each["top"] / PT_PER_MM - around.end) / CELL, 2),
            ): each["text"]
            for each in chars
            if each["size"] == pytest.approx(CELL * PT_PER_MM, abs=0.01)
        }
        shown = chart.grid[page.y0 : page.y1, page.x0 : page.x1]
        assert found == {
            (x, y): "." if not at else KEY[at - 1].symbol for (y, x), at in np.ndenumerate(shown)
        }


def test_bare_rows_and_part_stitches_keep_the_text_layer_whole():
    grid = np.zeros((12, 20), int)
    grid[5, 4:16] = [INDEX[symbol] for symbol in "/\\q^+m/\\q^+m"]
    grid[6] = grid[5]
    pdf, _ = chart_pages(worked(grid), room=(200, 200), cell=CELL)
    lines = [line for line in texts(pdf)[0].split() if len(line) == 20]
    assert lines == ["." * 20] * 5 + ["..../\\q^+m/\\q^+m...."] * 2 + ["." * 20] * 5


PARTS = {
    # symbol: places inside the stitch, places of the cell that it leaves bare
    "/": ([(0.08, 0.75), (0.75, 0.08)], [(0.12, 0.12), (0.88, 0.88)]),
    "\\": ([(0.08, 0.25), (0.75, 0.92)], [(0.88, 0.12), (0.12, 0.88)]),
    "q": ([(0.06, 0.06), (0.46, 0.06)], [(0.6, 0.2), (0.2, 0.6), (0.75, 0.75)]),
    "+": ([(0.5, 0.12), (0.12, 0.5)], [(0.12, 0.12), (0.88, 0.88)]),
}


def look_at(symbol, ink):
    chart = worked([[INDEX[symbol]]])
    pdf, _ = chart_pages(chart, ink, room=(50, 50), cell=CELL)
    return chart, next(pictures(pdf)), paint(chart.entry(INDEX[symbol]), ink)


@pytest.mark.parametrize("ink", [Ink.COLOUR, Ink.TINTS])
@pytest.mark.parametrize("symbol", PARTS)
def test_part_stitches_cover_their_part_of_the_cell(symbol, ink):
    chart, picture, printed = look_at(symbol, ink)
    inside, outside = PARTS[symbol]
    fill, mark = rgb(printed.regions[0].fill), rgb(printed.symbol)
    assert {pixel(picture, chart, *place) for place in inside} <= {fill, mark}
    assert {pixel(picture, chart, *place) for place in outside} == {(255, 255, 255)}
    assert (cell_pixels(picture, chart, 0, 0) == fill).all(axis=2).mean() > 0.1


@pytest.mark.parametrize("symbol", PARTS)
def test_the_symbol_of_a_part_stitch_stands_within_it(symbol):
    chart, filled, printed = look_at(symbol, Ink.COLOUR)
    _, black, _ = look_at(symbol, Ink.SYMBOLS)
    # What is black inside the outline without fills is the symbol; filled, it lies on the fill.
    _, bare, _ = look_at(symbol, Ink.TINTS)
    mark = (cell_pixels(black, chart, 0, 0) < 60).all(axis=2)
    paper = (cell_pixels(filled, chart, 0, 0) == 255).all(axis=2)
    tinted = (cell_pixels(bare, chart, 0, 0) == 0).all(axis=2)
    assert tinted.sum() > 100
    if printed.symbol == "#000000":
        assert not (tinted & paper).any()
    else:
        assert (tinted & paper).sum() > 0.8 * tinted.sum()
    assert (mark & tinted).sum() == tinted.sum()  # the same symbol in black alone


@pytest.mark.parametrize("ink", [Ink.COLOUR, Ink.TINTS])
def test_a_three_quarter_and_a_quarter_share_a_cell(ink):
    chart, picture, printed = look_at("^", ink)
    quarter, three = printed.regions
    assert (quarter.kind, three.kind) == (Kind.QUARTER, Kind.THREE_QUARTER)
    for place in ((0.85, 0.1), (0.1, 0.85)):
        assert pixel(picture, chart, *place) == rgb(three.fill)
    for place in ((0.9, 0.5), (0.5, 0.9), (0.8, 0.8)):
        assert pixel(picture, chart, *place) == rgb(quarter.fill)


def test_the_chart_ends_with_two_rules_and_goes_on_without():
    chart, pdf, pagination = confetti_pages(Ink.COLOUR)
    for page, picture in zip(pagination.pages, pictures(pdf), strict=True):
        out = RULE / CELL
        middle_x, middle_y = page.columns / 2 + 0.25, page.rows / 2 + 0.25
        sides = {
            "left": (pixel(picture, chart, -out, middle_y), page.left),
            "right": (pixel(picture, chart, page.columns + out, middle_y), page.right),
            "above": (pixel(picture, chart, middle_x, -out), page.above),
            "below": (pixel(picture, chart, middle_x, page.rows + out), page.below),
        }
        for colour, neighbour in sides.values():
            assert (max(colour) < 60) == (neighbour is None)


def test_a_piece_off_the_grid_stands_at_its_true_place_and_size():
    grid = np.zeros((10, 12), int)
    piece = np.array([[INDEX["k"], 0], [INDEX["b"], INDEX["k"]]], np.uint16)
    chart = worked(grid, pieces=[Piece("fish", 3.5, 4.0, 0.5, 1, piece, None)])
    pdf, _ = chart_pages(chart, room=(60, 60), cell=CELL)
    (picture,) = pictures(pdf)
    red, blue = (163, 59, 46), (111, 147, 181)
    seen = [cell_pixels(picture, chart, x, y, 0.5) for y in (4, 4.5) for x in (3.5, 4)]
    for colour, expected in (
        (red, [True, False, False, True]),
        (blue, [False, False, True, False]),
    ):
        assert [bool((each == colour).all(axis=2).mean() > 0.1) for each in seen] == expected
    everywhere = np.argwhere((picture == red).all(axis=2) | (picture == blue).all(axis=2))
    around = margins(chart.height)
    bounds = (everywhere / PX_PER_MM - (around.end, around.side)) / CELL
    assert bounds.min(axis=0) == pytest.approx((4, 3.5), abs=0.1)
    assert bounds.max(axis=0) == pytest.approx((5, 4.5), abs=0.1)
    small = [each for each in letters(pdf)[0] if each["text"] in "kb"]
    assert {round(each["size"] / PT_PER_MM, 3) for each in small} == {CELL / 2}


def test_lines_lie_over_symbols_with_clear_space_and_stop_at_the_page():
    chart = confetti()
    points = np.array([(-5.0, 3.0), (50.0, 3.0)])
    chart = replace(chart, lines=(WorkedLine(INDEX["ink"], points, 1.0, None),))
    pdf, pagination = chart_pages(chart, room=ROOM, cell=CELL)
    first, second, *_ = pictures(pdf)
    for picture, page in ((first, pagination.pages[0]), (second, pagination.pages[1])):
        for x in np.arange(0.25, page.columns):
            assert pixel(picture, chart, x, 3) == (27, 27, 27)
            assert pixel(picture, chart, x, 3.14) == (255, 255, 255)
    # Before the first and after the last column the page shows no line.
    assert pixel(first, chart, -2.4 / CELL, 3) == (255, 255, 255)


def test_knots_and_beads_differ_in_a_black_and_white_print():
    knots = [
        WorkedKnot(INDEX[word], x, 3.5, None)
        for x, word in ((2.5, "eye"), (4.5, "berry"), (6.5, "pearl"), (8.5, "drop"))
    ]
    chart = worked(np.zeros((7, 12), int), knots=knots)
    pdf, _ = chart_pages(chart, Ink.SYMBOLS, room=(60, 60), cell=CELL)
    (picture,) = pictures(pdf)
    looks = [cell_pixels(picture, chart, knot.x - 0.5, 3) for knot in knots]
    ink = [(look < 128).mean() for look in looks]
    assert len({round(each, 3) for each in ink}) == 4
    assert [look.shape for look in looks] == [looks[0].shape] * 4
    middles = [tuple(look[len(look) // 2, len(look) // 2]) for look in looks]
    assert middles == [(0, 0, 0), (255, 255, 255), (255, 255, 255), (64, 64, 64)]


def test_notes_are_numbered_where_they_belong():
    chart = shore()
    notes = list(enumerate(chart.design.notes, 1))
    pdf, pagination = chart_pages(chart, notes=notes, room=(186, 240))
    found = {}
    for page, chars in zip(pagination.pages, letters(pdf), strict=True):
        small = [each for each in chars if each["size"] == pytest.approx(2.1 * PT_PER_MM, abs=0.05)]
        for each in small:
            found.setdefault(int(each["text"]), []).append(page.number)
    assert found == {1: [2, 3], 2: [1], 3: [3], 4: [1]}  # the first lies where two pages overlap


def test_a_full_cover_chart_stays_small():
    chart = confetti(150, 150)
    drawing = Drawing(chart, Ink.COLOUR)
    pagination = paginate(150, 150, room=(180, 240))
    plotter = Plotter(font_of(chart))
    size = sum(
        len(plotter.plot(draw_page(drawing, page, pagination)).data) for page in pagination.pages
    )
    assert size / np.count_nonzero(chart.grid) < 12


def test_an_excerpt_shows_just_its_cells():
    chart = confetti()
    svg = fromstring(draw_excerpt(Drawing(chart, Ink.COLOUR), (10, 8, 16, 12), 3.0))
    texts = [
        "".join(each.itertext())
        for each in svg.iter("{http://www.w3.org/2000/svg}text")
        if each.get("text-anchor") is None
    ]
    assert texts == [
        "".join("." if not at else KEY[at - 1].symbol for at in row)
        for row in chart.grid[8:12, 10:16]
    ]
    around = margins(chart.height)
    assert float(svg.get("width").removesuffix("mm")) == pytest.approx(18 + 2 * around.side)


def test_numbers_count_from_the_lines_asked_for():
    chart = worked(np.zeros((20, 40), int))
    pagination = paginate(40, 20, room=(200, 200))
    corner = draw_page(Drawing(chart, Ink.COLOUR), pagination.pages[0], pagination)
    centre = draw_page(
        Drawing(chart, Ink.COLOUR, tens_from=(20, 10)), pagination.pages[0], pagination
    )
    numbers = [
        [
            each.text
            for each in fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
            if each.get("text-anchor") == "middle"
        ]
        for svg in (corner, centre)
    ]
    assert numbers[0] == [each for each in ("0", "10", "20", "30", "40") for _ in range(2)]
    assert numbers[1] == [each for each in ("20", "10", "0", "10", "20") for _ in range(2)]


def test_a_page_of_nothing_but_lines_and_a_note():
    line = WorkedLine(INDEX["rust"], np.array([(1.0, 1.0), (4.0, 4.0)]), 1.0, None)
    chart = worked(np.zeros((6, 6), int), lines=[line])
    note = Note(NoteKind.NOTE, 1, 1, 5, 5, "all of it")
    pdf, _ = chart_pages(chart, notes=[(12, note)], room=(100, 100))
    assert [line for line in texts(pdf)[0].split() if "." in line] == ["......"] * 6
    assert "12" in texts(pdf)[0].split()


def test_cells_too_small_for_symbols_are_plain_and_grey_where_only_black_is_printed():
    chart = confetti()
    for ink, greys in ((Ink.COLOUR, False), (Ink.SYMBOLS, True)):
        drawing = Drawing(chart, ink, plain=True)
        svg = fromstring(draw_excerpt(drawing, (10, 8, 16, 12), 1.0))
        fills = {each.get("fill") for each in svg.iter("{http://www.w3.org/2000/svg}path")}
        colours = fills - {None, "none", "#000000", "#ffffff"}
        assert len(colours) >= 2
        assert all(each[1:3] == each[3:5] == each[5:7] for each in colours) == greys
        texts = svg.iter("{http://www.w3.org/2000/svg}text")
        assert all(each.get("text-anchor") for each in texts)  # numbers alone
        regions = [each for entry in KEY for each in paint(entry, ink, plain=True).regions]
        edges = {each.stroke for each in regions}
        assert len(edges) >= 2
        assert all(each[1:3] == each[3:5] == each[5:7] for each in edges) == greys


def test_a_leader_ends_beside_the_knot_it_points_at_and_on_a_bare_point(tmp_path):
    text = 'key\n  eye  #a03a3a "madder" knot\nchart 12 x 12\n'
    text += "  |............|\n" * 12 + "  knot eye 6,6\n"
    for place, away in (("6,6", CLEAR_OF_KNOTS), ("6,9", 0.0)):
        chart = worked_of(text + f'note at {place} "Here."\n', tmp_path)
        notes = list(enumerate(chart.design.notes, 1))
        svg = draw_excerpt(Drawing(chart, Ink.COLOUR), (0, 0, 12, 12), 4.0, notes)
        [leader] = re.findall(r'stroke="#000000"[^>]*linecap="round" d="M[^L]*L([^"]*)"', svg)
        end, at = np.array(leader.split(), float), np.array(place.split(","), float)
        assert np.hypot(*(end - at)) == pytest.approx(away, abs=1e-3)
