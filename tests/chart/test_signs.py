"""Counted stitches and lines told apart: by their strokes in black, and by signs beside them."""

from __future__ import annotations

import re
from dataclasses import replace
from math import dist
from pathlib import Path

import numpy as np
import pytest
from linenleaf.chart.counted import CountedStitches
from linenleaf.chart.draw import BLACK_GRID, Drawing, draw_excerpt
from linenleaf.chart.looks import CORES, LETTERS, MARK, cores
from linenleaf.chart.options import Ink
from linenleaf.chart.signs import REACH, RIM, Beside
from linenleaf.compose.compose import compose
from linenleaf.core.key import KeyEntry, Kind
from linenleaf.core.matter import Note, NoteKind
from linenleaf.core.source import Source
from linenleaf.resolve.read import read_source

from tests.charts import INK, KEY, design, line, part

HEAD = "linen 2\nfabric linen 32 over 2\nkey\n"
BANDS = """
  x  #20242c "ink" herringbone
  z  #c9a45c "sand" herringbone
  4  #fbf8f1 "white" four-sided
motif cane 2 x 2
  |x.|
  |..|
motif rope 2 x 2
  |z.|
  |..|
motif hole 2 x 2
  |4.|
  |..|
chart 60 wide
  band one gap 4
    cane filling
    rope below filling
  band two gap 4
    hole filling
"""
VIEW = (0.0, 0.0, 30.0, 30.0)
CELL = 2.6


def chart_of(text):
    made, told = read_source(Source("signs.linen", HEAD + text), Path("signs.linen"))
    assert made is not None, told
    chart, told = compose(made)
    assert chart is not None, told
    return chart


@pytest.fixture(scope="module")
def bands():
    return chart_of(BANDS)


def lines(many, *items):
    key = tuple(KeyEntry(f"line{at}", (part(INK, Kind.BACK, strands=1),)) for at in range(many))
    worked, told = compose(design((30, 30), *items, key=(*KEY, *key)))
    assert worked is not None, told
    return worked


def ends_of(worked, index):
    lots = [lot for lot in worked.counted if lot.index == index]
    return np.concatenate([np.stack([lot.strokes.up, lot.strokes.down], 1) / 2 for lot in lots])


# --- in black ------------------------------------------------------------------------------------


def test_threads_of_one_stitch_differ_in_black_by_how_dark_they_are(bands):
    found = cores(bands.design)
    assert found[1] == CORES[0]
    assert found[2] != found[1]
    assert found[3] == CORES[-1]
    # A thread that is dark too leaves what is taken; one at the end of the key changes no other.
    key = bands.design.key
    more = replace(bands.design, key=(*key, replace(key[0], symbol="y")))
    assert cores(more) == {**found, 4: CORES[1]}


def test_strokes_are_as_heavy_as_the_grid_in_black_and_pale_ones_on_dark_in_colour(bands):
    view = (0.0, 0.0, float(bands.width), float(bands.height))
    for drawn in CountedStitches(bands, Ink.SYMBOLS).drawn(view, CELL):
        assert (drawn.width - drawn.core_width) * CELL / 2 >= BLACK_GRID.thin
        assert bool(drawn.core) == (drawn.index != 1)
        assert drawn.bare == (drawn.index == 3) == (not drawn.boxes)  # its strokes lie on the grid
    *_, sand, white = CountedStitches(bands, Ink.COLOUR).drawn(view, CELL)
    assert white.boxes
    assert white.ground < white.colour
    assert sand.ground > sand.colour


# --- signs ---------------------------------------------------------------------------------------


def test_a_sign_is_always_near_along_a_band_and_stands_off_its_stitches(bands):
    view = (0.0, 0.0, float(bands.width), float(bands.height))
    signs = Beside(bands).signs(view, MARK)
    assert {(index, sign.text) for index, sign in signs} == {(1, "x"), (2, "z"), (3, "4")}
    for index in (1, 2, 3):
        middles = ends_of(bands, index).mean(axis=1)
        mine = np.array([(sign.x, sign.y) for at, sign in signs if at == index])
        apart = np.abs(middles[:, None] - mine).max(axis=2).min(axis=1)
        assert apart.max() <= REACH
        assert len(mine) <= 6
        for x, y in mine:
            assert np.hypot(*(middles - (x, y)).T).min() > RIM * MARK
    places = [(sign.x, sign.y) for _, sign in signs]
    assert min(dist(a, b) for n, a in enumerate(places) for b in places[:n]) > 2 * RIM * MARK


def test_signs_stand_beside_what_belongs_to_the_page(bands):
    view = (0.0, 0.0, 40.0, float(bands.height))
    own = (10.0, 0.0, 30.0, float(bands.height))
    signs = Beside(bands).signs(view, MARK, own)
    assert {index for index, _ in signs} == {1, 2, 3}
    assert all(10 < sign.x < 30 for _, sign in signs)


def test_a_figure_has_a_letter_on_each_page_that_shows_it():
    drawn = line("line1", (2, 4), (9, 4), (9, 20)), line("line1", (9, 20), (2, 20))
    beside = Beside(lines(9, *drawn, line("line1", (20, 4), (24, 4))))
    signs = [sign for _, sign in beside.signs(VIEW, MARK)]
    assert {sign.text for sign in signs} == {LETTERS[2]}  # the lantern's is the first
    assert [sign.x > 18 for sign in signs].count(True) == 1
    below = beside.signs((0.0, 12.0, 30.0, 30.0), MARK)
    assert below
    assert all(sign.y >= RIM * MARK for _, sign in below)
    assert not beside.signs((0.0, 22.0, 30.0, 30.0), MARK)


def test_letters_and_the_rings_of_notes_keep_off_each_other():
    # Two by two in the same place, where both letters would like to stand.
    starts = [4 * (at // 2) + 3 for at in range(12)]
    worked = lines(12, *(line(f"line{at}", (x, 5), (x + 1, 6)) for at, x in enumerate(starts)))
    notes = [
        (at, Note(NoteKind.NOTE, sign.x - 3, sign.y + 0.5, sign.x - 0.5, sign.y + 1, ""))
        for at, (_, sign) in enumerate(Beside(worked).signs(VIEW, 0.35), 1)
    ]
    svg = draw_excerpt(Drawing(worked, Ink.SYMBOLS, notes), (0, 0, 30, 30), 4.0)
    rings = [
        tuple(map(float, each))
        for each in re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"', svg)
    ]
    letters, badges = rings[: -len(notes)], rings[-len(notes) :]
    assert len(letters) == 12
    for at, one in enumerate(letters):
        assert all(dist(one[:2], each[:2]) > one[2] + each[2] for each in letters[:at] + badges)
    shown = re.findall(r">([A-Z]|1)</text>", svg)
    assert sorted(shown) == ["1", *LETTERS[1:13]]  # notes have figures; A is the lantern's


CROWDED = """
  h  #fbf8f1 "white" hemstitch
  l  #20442c "yew" long-armed
  t  #b0552c "pot" brick
  n  #20442c "yew" gobelin
  r  #802040 "beet" rice
  g  #20442c "yew" rice
motif hem 2 x 2 over 3
  |hh|
  |..|
motif row 2 x 1
  |ll|
motif bed 6 x 5 over 4
  |..rr..|
  |.rggr.|
  |rg..gr|
  |.rggr.|
  |..rr..|
motif coping 4 x 2 over 1
  |nnnn|
  |....|
motif bricks 4 x 4 over 1
  |t.t.|
  |....|
  |.t.t|
  |....|
chart 36 wide
  band hem
    hem filling
  band row gap 2
    row filling
  band beds gap 3
    bed filling
  band bricks gap 3
    place top 34 x 1 at 1,0
    place wall 34 x 10 at 1,1
    coping filling within top
    bricks filling area within wall
  band foot gap 3
    row filling
"""


def off(ends, place):
    """How far a place is from the nearest of some strokes."""
    way = ends[:, 1] - ends[:, 0]
    share = ((place - ends[:, 0]) * way).sum(1) / (way**2).sum(1)
    return np.hypot(*(ends[:, 0] + share.clip(0, 1)[:, None] * way - place).T).min()


@pytest.fixture(scope="module")
def crowded():
    return chart_of(CROWDED)


@pytest.mark.parametrize(
    ("own", "shown"),
    [
        ((0.0, 0.0, 36.0, 37.0), {1, 2, 3, 4, 5, 6}),
        ((16.0, 0.0, 33.0, 17.0), {1, 2, 5, 6}),  # the page ends within a bed
    ],
)
def test_a_sign_stands_off_all_stitches_and_nearest_its_own(crowded, own, shown):
    signs = Beside(crowded).signs((0.0, 0.0, 36.0, float(crowded.height)), MARK, own)
    assert {index for index, _ in signs} == shown
    for at, (index, sign) in enumerate(signs):
        place = np.array((sign.x, sign.y))
        away = {each: off(ends_of(crowded, each), place) for each in range(1, 7)}
        assert min(away, key=away.__getitem__) == index
        assert min(away.values()) > RIM * MARK + 0.1
        assert all(dist(place, (other.x, other.y)) > 2 * RIM * MARK for _, other in signs[:at])
        assert own[0] < sign.x - RIM * MARK
        assert sign.x + RIM * MARK < own[2]
