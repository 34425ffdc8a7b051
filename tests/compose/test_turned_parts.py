"""Part stitches that are mirrored and turned, with and without key lines of their own."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import numpy as np
import pytest
from linenleaf.chart.draw import Drawing
from linenleaf.chart.font import build_font
from linenleaf.chart.options import Ink
from linenleaf.chart.symbols import choose
from linenleaf.cloth.cloth import paint
from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedChart
from linenleaf.count.count import count
from linenleaf.count.thread import estimate
from linenleaf.resolve.read import read
from linenleaf.stitches.kinds import strokes

KEY = """\
  m  #a03a3a "madder"
  q  #20242c "ink" quarter top-left
  t  #227744 "sedge" three-quarter bottom-right + #c8912e "gold" quarter
  /  #3355aa "tide" half up
"""
ALL_WAYS = """\
  r  #20242c "ink" quarter top-right
  s  #20242c "ink" quarter bottom-right
  u  #20242c "ink" quarter bottom-left
  v  #227744 "sedge" three-quarter bottom-left + #c8912e "gold" quarter
  w  #227744 "sedge" three-quarter top-left + #c8912e "gold" quarter
  x  #227744 "sedge" three-quarter top-right + #c8912e "gold" quarter
  b  #3355aa "tide" half down
"""
CHART = """\
motif leaf 4 x 3
  |qmm/|
  |mmt.|
  |/...|
chart 24 x 12
  leaf at 1,1
  leaf mirrored at 7,1
  leaf turned right at 13,1
  leaf turned half at 18,1
  leaf mirrored top-bottom at 1,7
"""


def made(folder: Path, version: int, key: str) -> WorkedChart:
    path = folder / f"leaf-{version}.linen"
    path.write_text(f"linen {version}\nfabric linen 32 over 2\nkey\n{key}{CHART}", "utf-8")
    design, findings = read(path)
    assert design is not None, findings
    worked, findings = compose(design)
    assert worked is not None, findings
    assert findings == ()
    return worked


@pytest.fixture
def short(tmp_path):
    return made(tmp_path, 2, KEY)


@pytest.fixture
def whole(tmp_path):
    return made(tmp_path, 1, KEY + ALL_WAYS)


def test_the_piece_is_that_of_a_key_with_a_line_for_each_way(short, whole):
    one, other = (np.asarray(paint(each, pixels_per_cross=8)) for each in (short, whole))
    assert np.array_equal(one, other)


def test_a_turned_stitch_is_counted_with_its_line(short, whole):
    entries = {each.entry.symbol: each for each in count(short).entries}
    assert {symbol: each.number for symbol, each in entries.items()} == {
        "m": 20, "q": 5, "t": 5, "/": 10,
    }  # fmt: skip
    assert {symbol for symbol, each in entries.items() if each.turned} == {"q", "t", "/"}
    assert short.used == (1, 2, 3, 4)
    assert count(short).threads == count(whole).threads
    for one, other in zip(
        estimate(short, short.design.ground.fabric),
        estimate(whole, whole.design.ground.fabric),
        strict=True,
    ):
        assert (one.thread, one.skeins) == (other.thread, other.skeins)
        assert len(one.entries) == 1


def test_strokes_of_turned_stitches_are_those_that_a_picture_of_them_has_turned(short):
    """Against numpy: the holes of each cell, turned as an array, are those of the cell there."""

    def holes(index: int) -> np.ndarray:
        found = np.zeros((3, 3), dtype=int)
        for part in short.entry(index).parts:
            for stroke in strokes(part):
                for x, y in (stroke.up, stroke.down):
                    found[int(2 * y), int(2 * x)] += 1
        return found

    leaf = short.grid[1:4, 1:5]
    for turned, way in (
        (short.grid[1:4, 7:11], np.fliplr),
        (short.grid[1:5, 13:16], lambda grid: np.rot90(grid, -1)),
        (short.grid[1:4, 18:22], lambda grid: np.rot90(grid, 2)),
        (short.grid[7:10, 1:5], np.flipud),
    ):
        moved = way(leaf)
        assert (way(leaf != 0) == (turned != 0)).all()
        for row, column in product(*map(range, moved.shape)):
            if moved[row, column]:
                assert (way(holes(moved[row, column])) == holes(turned[row, column])).all()


def test_all_ways_are_printed_as_one_symbol_and_read_as_it(short):
    chosen = choose(short)
    ways = [index for index in chosen if short.line_of[index] == 2]
    assert len(ways) == 4
    assert len({chosen[index] for index in ways}) == 1
    font = build_font(chosen, short.design.key)
    assert {font.character[font.glyph_of[index]] for index in ways} == {"q"}
    points = Drawing(short, Ink.COLOUR, ()).palette.points[ways]
    assert {font.written[chr(point)] for point in points} == {font.glyph_of[each] for each in ways}
