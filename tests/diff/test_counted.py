"""Counted stitches that differ: told of what moved or was redrawn, or by themselves."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from linenleaf.diff.advice import Do
from linenleaf.diff.changes import (
    Added,
    Area,
    KeyChange,
    Moved,
    Redrawn,
    Removed,
    Resewn,
    Reworded,
    Shifted,
    Sort,
    Stretch,
    Tally,
    Turned,
    TurnWords,
)
from linenleaf.diff.diffjson import as_json
from linenleaf.diff.difftext import as_text
from linenleaf.diff.entries import entries
from linenleaf.diff.views import view

from tests.diff.pairs import compared, of_text

SQUARE, EYE, OWN, INK = 1, 2, 3, 4
HEAD = """linen 2
booklet "Reeds"
  language {language}
fabric linen 32 over 2
stitch sprig "sprig" over 4 x 4
  {strokes}
key
  m  #a03a3a "madder"
  o  #223388 "sea" {eye}
  y  #3f4a2c "wrack" sprig
  dd #111111 "ink" double-running
motif spray 6 x 4
  {spray}
motif tile 4 x 4
  |m.y.|
  |m...|
  |mm..|
  |.m..|
motif pane 3 x 3
  |...|
  |...|
  |...|
  line dd 0,0 3,0 3,3
alphabet eyelets height 4
  A |o...|
    |....|
    |..o.|
    |....|
  B |o.o.|
    |....|
    |....|
    |....|
chart 40 x 30
"""
STROKES = "up 2,2 down 0,0  up 2,2 down 4,0"
SPRAY = "|o.o...|\n  |......|\n  |....o.|\n  |......|"


@pytest.fixture
def chart(tmp_path):
    def made(*items, eye="eye", strokes=STROKES, spray=SPRAY, language="en-GB", head=HEAD):
        text = head.format(eye=eye, strokes=strokes, spray=spray, language=language)
        return of_text(text + "".join(f"  {each}\n" for each in items), tmp_path / "reeds.linen")

    return made


def told(found):
    """The changes, but for those of how much thread is used."""
    return tuple(each for each in found.every if not isinstance(each, Tally))


def signs(*places):
    """A whole chart that is one grid with signs at some places."""
    rows = [["."] * 30 for _ in range(24)]
    for sign, x, y in places:
        rows[y][x] = sign
    return "".join(f"  |{''.join(row)}|\n" for row in rows)


def of_signs(chart, *places, **more):
    return chart(head=HEAD.replace("chart 40 x 30\n", "chart 30 x 24\n" + signs(*places)), **more)


def test_the_same_stitches_are_no_change(chart):
    items = "spray at 1,1", "tile mirrored at 10,1", 'text "AB" in eyelets at 1,12'
    assert not compared(chart(*items), chart(*items), thread=False)


@pytest.mark.parametrize("name", ["spray", "tile", "pane"])
def test_a_motif_of_any_stitches_that_moved_is_one_change(chart, name):
    found = compared(
        chart(f"{name} at 2,2", "spray at 20,20"),
        chart(f"{name} at 3,6", "spray at 20,20"),
        thread=False,
    )
    (moved,) = told(found)
    assert isinstance(moved, Moved)
    assert (moved.name, moved.by, moved.turn) == (name, (1, 4), TurnWords.NOT)
    assert moved.lines_only == (name == "pane")


@pytest.mark.parametrize("name", ["spray", "tile"])
def test_a_motif_that_was_mirrored(chart, name):
    found = compared(chart(f"{name} at 2,2"), chart(f"{name} mirrored at 2,2"), thread=False)
    (turned,) = told(found)
    assert isinstance(turned, Turned)
    assert turned.turn is TurnWords.LEFT_RIGHT


def test_a_motif_that_came_and_one_that_went(chart):
    found = compared(chart("spray at 2,2"), chart("tile at 20,2"), thread=False)
    (added,), (removed,) = found.of(Added), found.of(Removed)
    assert (removed.name, removed.stitches) == ("spray", ((EYE, 3),))
    assert (added.name, added.stitches) == ("tile", ((SQUARE, 5), (OWN, 1)))
    assert len(told(found)) == 2


def test_a_motif_that_was_redrawn_is_told_once(chart):
    other = SPRAY.replace("o.o", "o.y")
    items = "spray at 2,2", "spray at 20,2", "spray mirrored at 2,12"
    found = compared(chart(*items), chart(*items, spray=other), thread=False)
    (redrawn,) = told(found)
    assert isinstance(redrawn, Redrawn)
    assert redrawn.drawn == (Resewn(EYE, OWN, ((2, 0, 4, 2),)),)
    assert len(redrawn.spots) == 3
    (item,) = entries(found).items
    assert (4, 2, 6, 4) in item.old_rings
    assert (4, 2, 6, 4) in item.new_rings


def test_a_copy_of_a_redrawn_motif_that_is_worked_otherwise_itself(chart):
    other = SPRAY.replace("o.o", "o.y")
    old = chart("spray at 2,2", "spray at 20,2")
    new = chart("spray at 2,2", "spray at 20,2 with o as y", spray=other)
    assert compared(old, new, thread=False).of(Resewn) == (
        Resewn(EYE, OWN, ((20, 2, 22, 4), (22, 2, 24, 4), (24, 4, 26, 6))),
    )


def test_a_text_in_eyelets_that_reads_otherwise(chart):
    found = compared(
        chart('text "AB" in eyelets at 1,12'), chart('text "AA" in eyelets at 1,12'), thread=False
    )
    (text,) = told(found)
    assert isinstance(text, Reworded)
    assert (text.old, text.new) == ("AB", "AA")


@pytest.mark.parametrize("over", [1, 3])
def test_off_the_grid_they_move_with_their_piece(chart, over):
    found = compared(
        chart(f"tile at 2,2 over {over}", f"pane at 12,2 over {over}", "spray at 30,20"),
        chart(f"tile at 2,8 over {over}", f"pane at 14,2 over {over}", "spray at 30,20"),
        thread=False,
    )
    moves = {(each.name, each.by, len(each.spots)) for each in told(found)}
    assert moves == {("tile", (0, 6), 1), ("pane", (2, 0), 1)}


def test_stitches_that_came_and_went_by_themselves(chart):
    old = of_signs(chart, ("o", 3, 3), ("o", 5, 3), ("y", 20, 20))
    new = of_signs(chart, ("o", 3, 3), ("y", 5, 3))
    found = compared(old, new, thread=False)
    assert found.of(Resewn) == (
        Resewn(EYE, OWN, ((5, 3, 7, 5),)),
        Resewn(OWN, 0, ((20, 20, 22, 22),)),
    )
    assert len(told(found)) == 2
    text = as_text(found, ("old", "new"))
    assert "1 x Algerian eye sea -> 1 x sprig wrack, at 5,3" in text
    assert "1 x sprig wrack removed, at 20,20" in text


def test_a_figure_of_them_in_a_grid_that_moved(chart):
    figure = ("o", 0, 0), ("o", 2, 0), ("m", 4, 1), ("y", 0, 2)
    stays = [("o", 2 * x, 20) for x in range(12)]
    old, new = (
        of_signs(chart, *stays, *((sign, x + at, y + at) for sign, x, y in figure))
        for at in (4, 10)
    )
    (moved,) = told(compared(old, new, thread=False))
    assert isinstance(moved, Moved)
    assert (moved.sort, moved.by) == (Sort.GRID, (6, 6))


def test_a_whole_chart_of_them_that_shifted(chart):
    places = [("oy"[x % 3 == 0], 2 * x, 2 * y) for x in range(8) for y in range(6) if (x * y) % 5]
    old = of_signs(chart, *places)
    new = of_signs(chart, *((sign, x + 1, y + 3) for sign, x, y in places))
    found = compared(old, new, thread=False)
    assert found.of(Shifted) == (Shifted((1, 3)),)
    assert not found.of(Resewn)


def test_a_cross_that_made_room_for_one(chart):
    old, new = of_signs(chart, ("m", 5, 5), ("m", 9, 9)), of_signs(chart, ("o", 5, 5), ("m", 9, 9))
    found = compared(old, new, thread=False)
    assert [type(each) for each in told(found)] == [Area, Resewn]
    begun = {item.begun for item in entries(found).items}
    assert begun == {Do.REPLACE_LINES.value, Do.CLEAR.value}
    back = {item.begun for item in entries(compared(new, old, thread=False)).items}
    assert back == {Do.REPLACE_LINES.value, Do.GIVE_WAY.value[0]}


def test_one_that_stands_on_bare_fabric_can_be_added_at_any_time(chart):
    found = compared(of_signs(chart), of_signs(chart, ("o", 5, 5)), thread=False)
    (item,) = entries(found).items
    assert item.begun == Do.STITCH_ANY_TIME.value
    shown = view(found, item)
    assert any(ring[0] <= 5 and ring[2] >= 7 for ring in shown.new.rings)


def test_other_strokes_are_told_of_the_key_alone(chart):
    items = "tile at 2,2", "tile mirrored at 10,2"
    found = compared(chart(*items), chart(*items, strokes="up 2,2 down 0,2"), thread=False)
    (key,) = told(found)
    assert isinstance(key, KeyChange)
    assert (key.what, key.number) == (("stitch",), 2)
    assert "2 strands, worked another way; 2 stitches" in as_text(found, ("old", "new"))


@pytest.mark.parametrize("eye", ["smyrna", "half-eyelet", '\n  ! #223388 "sea"'])
def test_another_stitch_on_a_key_line_is_told_of_the_key_alone(chart, eye):
    items = "spray at 2,2", 'text "AB" in eyelets at 1,12'
    found = compared(chart(*items), chart(*items, eye=eye.partition("\n")[0]), thread=False)
    assert [(each.old, each.new, each.what) for each in found.of(KeyChange)] == [
        (EYE, EYE, ("stitch", "name"))
    ]
    assert len(told(found)) == 1


def test_along_lines_only_the_stretch_that_differs(chart):
    old, new = chart("line dd 2,2 8,2 8,6"), chart("line dd 2,2 8,2 8,4")
    (stretch,) = told(compared(old, new, thread=False))
    assert stretch == Stretch(INK, 0, ((8, 4), (8, 6)))


def test_the_data_has_them(chart):
    old, new = of_signs(chart), of_signs(chart, ("o", 5, 5), ("o", 7, 5))
    (listed,) = json.loads(as_json(compared(old, new, thread=False), ("a", "b")))["counted"]
    assert (listed["old"], listed["new"]) == (None, "o")
    assert listed["boxes"] == [[5, 5, 7, 7], [7, 5, 9, 7]]


@pytest.mark.parametrize("language", ["nl", "de", "fr"])
def test_the_sheet_speaks_of_them_in_each_language(chart, language):
    old = of_signs(chart, ("m", 5, 5), ("y", 12, 5), language=language)
    new = of_signs(chart, ("o", 5, 5), ("o", 20, 5), language=language)
    items = entries(compared(old, new, thread=False)).items
    words = " ".join(each for item in items for each in (*item.told, item.begun))
    assert "added" not in words
    assert Do.CLEAR.value not in words


def test_a_field_of_many_is_compared_one_by_one(chart):
    field = [("o", 2 * x, 2 * y) for x in range(12) for y in range(10)]
    found = compared(
        of_signs(chart, *field), of_signs(chart, *field[:57], *field[58:]), thread=False
    )
    assert told(found) == (Resewn(EYE, 0, ((10, 14, 12, 16),)),)


PLACES = st.lists(
    st.tuples(st.sampled_from(["spray", "tile", "spray mirrored"]), *[st.integers(0, 4)] * 2),
    max_size=4,
    unique_by=lambda each: each[1:],
)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(PLACES, PLACES, st.sampled_from([SPRAY, SPRAY.replace("o.o", "o.y")]))
def test_no_stitch_that_differs_is_left_untold(chart, old, new, spray):
    before, after = ([f"{name} at {8 * x},{6 * y}" for name, x, y in each] for each in (old, new))
    found = compared(chart(*before), chart(*after, spray=spray), thread=False)
    x, y = found.shift
    spots = [spot for each in told(found) for spot in getattr(each, "spots", ())]
    boxes = [box for each in found.of(Resewn) for box in each.boxes]
    olds = [(left + x, top + y) for left, top, *_ in (spot.old for spot in spots if spot.old)]
    news = [spot.new[:2] for spot in spots if spot.new]
    for sewn, corners in zip(found.sewn, (olds, news), strict=True):
        for box in sewn.boxes.tolist():
            near = any(0 <= box[0] - left < 6 and 0 <= box[1] - top < 4 for left, top in corners)
            assert near or tuple(box) in boxes
