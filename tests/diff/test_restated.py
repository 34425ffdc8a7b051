"""Texts, notes, pictures, colourways, size and fabric before and after."""

from dataclasses import replace
from datetime import date

import pytest
from linenleaf.core.ground import Fabric, Ground, Method, ThreadWorking, Working
from linenleaf.core.key import Colourway, Strands, Thread, ThreadChange, ThreadKind
from linenleaf.core.matter import Markdown, Note, NoteKind, Picture, Revision
from linenleaf.core.paging import Axis, Break, Orientation, Paging
from linenleaf.diff.facts import Fact, Measure
from linenleaf.diff.phrases import in_terminal
from linenleaf.diff.restated import words
from linenleaf.diff.sentences import Teller

from tests.charts import INK, LAMP, design
from tests.diff.pairs import compared, worked

PLAIN = design(rows=["mms", "s.m"])


def told(old, new, shift=(0, 0)):
    teller = Teller(None, *in_terminal())
    said = [teller.restated(each) for each in words(old, new, shift)]
    return [(each.what, each.old, each.new) for each in said]


def with_booklet(**more):
    return replace(PLAIN, booklet=replace(PLAIN.booklet, **more))


@pytest.mark.parametrize(
    ("what", "value", "word"),
    [
        ("title", "Reeds", "title"),
        ("subtitle", "a border", "subtitle"),
        ("designer", "Tern & Teasel", "designer"),
        ("language", "de", "language"),
        ("rights", "One copy.", "copyright"),
        ("thanks", "To the keeper.", "thanks"),
        ("needs", ("a frame", "a lamp"), "needs"),
        ("about", "Two birds.", "what it is about"),
        ("level", "easy", "level"),
        ("address", ("Wend", "the coast"), "address"),
        ("errata", "at the shop", "where corrections stand"),
        ("gutter", 8.0, "gutter"),
    ],
)
def test_every_text_of_the_booklet(what, value, word):
    [(found, old, new)] = told(PLAIN, with_booklet(**{what: value}))
    assert found == word
    assert new == {"gutter": "8 mm"}.get(
        what, "; ".join(value) if isinstance(value, tuple) else value
    )
    assert old == {"title": "Test", "language": "en-GB"}.get(word, "")


def test_an_edition_is_told_with_its_day():
    old = with_booklet(edition="1", day=date(2026, 3, 4))
    new = with_booklet(edition="2")
    assert told(old, new) == [("edition", "1 (4 March 2026)", "2")]


def test_what_is_known_of_the_original():
    old = with_booklet(original=(("place", "on the coast"), ("date", "1851")))
    new = with_booklet(original=(("date", "1853"), ("place", "on the coast")))
    assert told(old, new) == [("original, date", "1851", "1853")]


def test_a_story_and_sections_are_compared_by_their_text():
    old = with_booklet(story=Markdown("", "story.md", "One.\nTwo.\n"))
    new = with_booklet(
        story=Markdown("", "tale.md", "One.\nTwo.\n"),
        sections=(Markdown("Mud", "mud.md", "Soft."),),
    )
    assert told(old, new) == [("section Mud", "", "Soft.")]


def test_a_picture_is_another_when_its_bytes_are(tmp_path):
    first, second = tmp_path / "a", tmp_path / "b"
    for folder, data in ((first, b"\x89PNG one"), (second, b"\x89PNG two")):
        folder.mkdir()
        (folder / "tern.png").write_bytes(data)
    made = with_booklet(pictures=(Picture("tern.png", "A tern"),), cover=Picture("tern.png"))
    old, new = replace(made, folder=first), replace(made, folder=second)
    found = told(old, new)
    assert [each[0] for each in found] == ["cover picture", "picture 1"]
    assert all("sha256" in part for _, *parts in found for part in parts)
    assert told(old, replace(made, folder=first)) == []
    missing = replace(made, folder=tmp_path)
    assert [each[2] for each in told(old, missing)] == [
        "tern.png, missing",
        'tern.png "A tern", missing',
    ]


def note(text, x=3.0, y=4.0, kind=NoteKind.NOTE, **to):
    return Note(kind, x, y, to.get("x1", x), to.get("y1", y), text)


def test_notes_that_came_went_moved_and_were_reworded():
    old = replace(PLAIN, notes=(note("a"), note("b", 5), note("c", 7), note("d", 9)))
    new = replace(PLAIN, notes=(note("a"), note("b", 6), note("cc", 7), note("e", 1, 2)))
    assert told(old, new) == [
        ("note, place", "at 5,4", "at 6,4"),
        ("note at 7,4", "c", "cc"),
        ("note at 9,4", "d", ""),
        ("note at 1,2", "", "e"),
    ]


def test_notes_that_shift_with_the_chart_are_the_same():
    old = replace(PLAIN, notes=(note("a"), note("b", x1=8.0, y1=9.0, kind=NoteKind.KEPT)))
    new = replace(
        PLAIN, notes=(note("a", 5, 5), note("b", 5, 5, x1=10.0, y1=10.0, kind=NoteKind.KEPT))
    )
    assert told(old, new, (2, 1)) == []
    assert told(old, new) == [
        ("note, place", "at 3,4", "at 5,5"),
        ("kept, place", "3,4 to 8,9", "5,5 to 10,10"),
    ]


def test_revisions_of_one_edition_are_told_together():
    first = Revision("2", date(2026, 5, 1), "The reed grew.")
    second = Revision("2", date(2026, 5, 1), "The tern moved.")
    assert told(PLAIN, replace(PLAIN, revisions=(first, second))) == [
        ("revision 2, 1 May 2026", "", "The reed grew. The tern moved.")
    ]


def test_colourways_are_told_as_they_are_written():
    faded = Colourway("faded", "As it is", (ThreadChange("m", ((Strands(INK, 2),),)),))
    other = replace(faded, changes=(ThreadChange("m", ((Strands(LAMP, 1),),)),))
    assert told(PLAIN, replace(PLAIN, colourways=(faded,))) == [
        ("colourway faded", "", '"As it is": m  estuary 900')
    ]
    [(what, old, new)] = told(
        replace(PLAIN, colourways=(faded,)), replace(PLAIN, colourways=(other,))
    )
    assert (what, old, new) == (
        "colourway faded",
        '"As it is": m  estuary 900',
        '"As it is": m  estuary 512 1 strand',
    )


def test_size_fabric_and_working():
    old = worked(PLAIN)
    ground = Ground(
        Fabric("linen", 36, 36, 2), "#ffffff", "white", also=(Fabric("aida", 14, 14, block=True),)
    )
    new = worked(replace(PLAIN, ground=ground, working=Working(method=Method.EACH)))
    changes = compared(old, new, thread=False)
    teller = Teller.in_terminal(changes)
    said = [teller.restated(each) for each in changes.of(Fact)]
    found = {each.what: (each.old, each.new) for each in said}
    assert found["fabric"] == ("linen 32 over 2", "linen 36 over 2")
    assert found["fabric colour"] == ("#f1ebdd", "#ffffff white")
    assert found["other fabrics"] == ("", "aida 14")
    assert found["working"][0].startswith("rows there and back")
    assert found["working"][1].startswith("each cross finished")
    assert "chart" not in found
    # 3 crosses over two at 32 and 36 threads to the inch: 3 x 2 x 25.4 / 32 = 4.76 mm, 4.23 mm.
    assert found["stitched area"][0].startswith("0.5 x 0.3 cm")
    assert found["stitched area"][1].startswith("0.4 x 0.3 cm")


def test_a_chart_with_more_rows_says_so():
    taller = worked(design(rows=["mms", "s.m", "..."]))
    found = compared(worked(PLAIN), taller, thread=False)
    assert [each.what for each in found.of(Fact)] == [Measure.CHART, Measure.STITCHED]
    assert not len(found.cells)
    assert found


def test_what_is_said_of_the_pages_is_told():
    paging = Paging(Orientation.LANDSCAPE, 2, (Break(Axis.COLUMN, 31), Break(Axis.ROW, 3)))
    found = compared(worked(PLAIN), worked(replace(PLAIN, paging=paging)), thread=False)
    (fact,) = found.of(Fact)
    told = Teller(found, *in_terminal()).restated(fact)
    assert (told.what, told.old) == ("pages of the chart", "")
    assert told.new == (
        "landscape; overlap 2; a page begins with row 3; a page begins with column 31"
    )


def test_threads_worked_otherwise_and_what_threads_are():
    perle = Thread("odd", "4", "twine", "#c9ad7e", strands=1, kind=ThreadKind.PERLE)
    way = ThreadWorking(perle, needleful=300.0, tail=50.0, method=Method.EACH)
    threads = (*PLAIN.threads, perle)
    how = "each cross finished, needlefuls of 30 cm, tails of 5 cm"

    def said(new):
        changes = compared(worked(PLAIN), worked(new), thread=False)
        teller = Teller.in_terminal(changes)
        return [(each.what, each.new) for each in map(teller.restated, changes.of(Fact))]

    assert said(replace(PLAIN, threads=threads, working=Working(own=(way,)))) == [
        (
            "threads worked otherwise",
            f"odd 4: {how}",
        ),
        ("kinds of thread", "odd 4: perle thread"),
    ]
    # Its strands alone are told with its key lines.
    assert said(replace(PLAIN, working=Working(own=(ThreadWorking(perle, strands=1),)))) == []
