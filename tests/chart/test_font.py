"""The symbol font, read back by fontTools and drawn by FreeType."""

import io
import os
import subprocess
import sys
from importlib.resources import files

import numpy as np
import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont
from linenleaf.chart.font import CELL, FAMILY, FIGURES, SymbolFont, build_font, symbol_path
from linenleaf.core.key import KeyEntry, Kind, Part, Way
from PIL import Image, ImageDraw, ImageFont

from tests.chart.test_shapes import drawn_by_cairo


def key_of(marks: str) -> list[KeyEntry]:
    return [KeyEntry(mark, (Part(Kind.FULL, ()),)) for mark in marks]


@pytest.fixture(scope="module")
def built() -> SymbolFont:
    return build_font({1: "gusset", 2: "ring", 4: "gusset-in-slab", 5: "crook"}, key_of("m7x^𝌆"))


@pytest.fixture(scope="module")
def opened(built: SymbolFont) -> TTFont:
    return TTFont(io.BytesIO(built.data))


def test_source_characters_lead_to_their_symbols(built, opened):
    order = opened.getGlyphOrder()
    reached = {chr(code): order.index(name) for code, name in opened.getBestCmap().items()}
    assert reached == {
        "m": built.glyph_of[1],
        "7": built.glyph_of[2],
        "^": built.glyph_of[4],
        "𝌆": built.glyph_of[5],
        ".": built.bare,
        " ": built.space,
    }
    assert {built.character[glyph]: glyph for glyph in built.character} == reached


def test_one_cell_is_one_em_and_a_line_set_solid_is_one_row(built, opened):
    assert opened["head"].unitsPerEm == CELL == 1000
    for table, up, down, gap in (
        ("hhea", "ascent", "descent", "lineGap"),
        ("OS/2", "sTypoAscender", "sTypoDescender", "sTypoLineGap"),
    ):
        values = [getattr(opened[table], each) for each in (up, down, gap)]
        assert values == [1000, 0, 0]
    assert (opened["OS/2"].usWinAscent, opened["OS/2"].usWinDescent) == (1000, 0)
    order = opened.getGlyphOrder()
    for glyph in built.character:
        assert opened["hmtx"][order[glyph]][0] == CELL


def test_bare_fabric_and_the_space_are_empty(built, opened):
    order = opened.getGlyphOrder()
    for glyph in (built.bare, built.space):
        assert opened["glyf"][order[glyph]].numberOfContours == 0


@pytest.mark.parametrize(("index", "name", "mark"), [(1, "gusset", "m"), (5, "crook", "𝌆")])
def test_freetype_draws_the_shape_in_its_cell(built, index, name, mark):
    face = ImageFont.truetype(io.BytesIO(built.data), 100)
    picture = Image.new("L", (100, 100), 0)
    # The base line is the bottom edge of the cell.
    ImageDraw.Draw(picture).text((0, 100), mark, 255, face, anchor="ls")
    theirs = np.asarray(picture) / 255
    assert np.abs(theirs - drawn_by_cairo(symbol_path(name), 100)).mean() < 0.01


def test_filled_contours_turn_clockwise_as_truetype_has_them(built, opened):
    # TrueType reference manual: the fill lies to the right of the direction of a contour, so the
    # signed area of a glyph, y upwards, is negative.
    shapes = opened.getGlyphSet()
    for glyph in built.glyph_of.values():
        pen = AreaPen(shapes)
        shapes[opened.getGlyphOrder()[glyph]].draw(pen)
        assert pen.value < 0


def test_figures_are_reached_by_number_alone_and_are_those_of_the_text_face(built, opened):
    # `7` and `x` are threads here, so the figures must not answer to characters.
    assert built.figure["7"][0] != built.glyph_of[2]
    assert not {glyph for glyph, _ in built.figure.values()} & set(built.character)
    face_file = files("font_source_sans_pro") / "files" / "SourceSansPro-Semibold.ttf"
    with face_file.open("rb") as stream, TTFont(stream) as face:
        theirs, names = face.getGlyphSet(), face.getBestCmap()
        ours, order = opened.getGlyphSet(), opened.getGlyphOrder()
        for sign in FIGURES:
            glyph, advance = built.figure[sign]
            one, other = RecordingPen(), RecordingPen()
            theirs[names[ord(sign)]].draw(one)
            ours[order[glyph]].draw(other)
            assert other.value == one.value
            assert opened["hmtx"][order[glyph]][0] == advance == face["hmtx"][names[ord(sign)]][0]


def test_the_font_has_a_name_of_its_own_and_repeats_the_licence_of_the_figures(opened):
    names = opened["name"]
    assert names.getDebugName(1) == FAMILY
    for number in (1, 3, 4, 6):
        assert "Source" not in names.getDebugName(number)  # a reserved name under the OFL
    assert "Reserved Font Name" in names.getDebugName(0)
    assert "SIL Open Font License" in names.getDebugName(13)


def test_part_stitches_have_one_symbol_each():
    half = KeyEntry("/", (Part(Kind.HALF, (), Way.UP),))
    parts = KeyEntry(
        "^",
        (Part(Kind.THREE_QUARTER, (), Way.TOP_LEFT), Part(Kind.QUARTER, (), Way.BOTTOM_RIGHT)),
    )
    font = build_font({1: "oar", 2: "net"}, [half, parts])
    assert [font.character[font.glyph_of[index]] for index in (1, 2)] == ["/", "^"]


def test_an_empty_key_still_gives_a_font():
    font = build_font({}, [])
    assert set(font.character.values()) == {".", " "}
    assert TTFont(io.BytesIO(font.data))["maxp"].numGlyphs == 3 + len(FIGURES)


PROGRAM = """
import hashlib
from linenleaf.chart.font import build_font
from linenleaf.core.key import KeyEntry, Kind, Part
key = [KeyEntry(mark, (Part(Kind.FULL, ()),)) for mark in "abc"]
print(hashlib.sha256(build_font({3: "net", 1: "oar", 2: "gull"}, key).data).hexdigest())
"""


def test_two_processes_build_the_same_bytes(monkeypatch, capsys):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1000000")
    exec(PROGRAM, {})
    there = subprocess.run(
        [sys.executable, "-c", PROGRAM],
        env={**os.environ, "PYTHONHASHSEED": "2", "SOURCE_DATE_EPOCH": "2000000"},
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert there == capsys.readouterr().out
