"""A band put in is told as that, and not as so many things that moved."""

from pathlib import Path

import pytest
from linenleaf.compose.compose import compose
from linenleaf.core.source import Source
from linenleaf.diff.changes import Inserted
from linenleaf.diff.compare import compare
from linenleaf.diff.difftext import as_text
from linenleaf.resolve.read import read_source

HEAD = """linen 2
fabric linen 28 over 2
key
  m  #a03a3a "madder"
motif reed 3 x 2
  |mmm|
  |m.m|
motif tile 4 x 3
  |mmmm|
  |m..m|
  |mmmm|
motif wave 5 x 3
  |m.m.m|
  |.m.m.|
  |m.m.m|
chart 30 x 60
"""
BANDS = [
    "band gap 1\n reed x 5 step 5,0 at 1,0",
    "band gap 1\n tile at 2,0 12,0",
    "band gap 1\n reed at 9,0",
    "band gap 2\n tile at 20,0\n reed at 3,1",
]
NEW = "band gap 1\n wave x 6 step 5,0"


def worked(*bands):
    text = HEAD + "\n".join(bands) + "\n"
    design, findings = read_source(Source("chart.linen", text), Path("chart.linen"))
    assert design is not None, findings
    return compose(design)[0]


@pytest.mark.parametrize(("at", "things", "row"), [(1, 5, 8), (2, 3, 12)])
def test_a_band_put_in_is_told_once(at, things, row):
    old, new = worked(*BANDS), worked(*BANDS[:at], NEW, *BANDS[at:])
    changes = compare(old, new, thread=False)
    (found,) = changes.of(Inserted)
    assert (found.row, found.by, found.number) == (row, 4, things)
    text = as_text(changes, ("old", "new"))
    assert f"inserted above row {row + 1}: {things} things below moved 4 rows down" in text
    assert "moved 4 rows down; now" not in text
    assert "wave (6 copies) added" in text


@pytest.mark.parametrize("opening", ["0,0 to 9,2", "3,-1 to 15,0", "0,2 to 9,3"])
def test_a_gap_below_a_band_put_in_goes_with_what_is_there(opening):
    def with_gap(stated):
        low = f"{BANDS[2]} named low\n withdrawn rows {stated} in low"
        return [*BANDS[:2], low, BANDS[3]]

    old = with_gap(opening)
    for stated, alike in ((opening, True), (f"{opening}.5", False)):
        bands = with_gap(stated)
        changes = compare(worked(*old), worked(bands[0], NEW, *bands[1:]), thread=False)
        assert (changes.gaps == ((), ())) == alike
        assert ("fabric threads withdrawn" in as_text(changes, ("old", "new"))) != alike


def test_a_band_taken_out_is_told_once():
    old, new = worked(BANDS[0], NEW, *BANDS[1:]), worked(*BANDS)
    text = as_text(compare(old, new, thread=False), ("old", "new"))
    assert "taken out above row 5: 5 things below moved 4 rows up" in text


def test_two_bands_put_in_are_two():
    new = worked(BANDS[0], NEW, BANDS[1], NEW, *BANDS[2:])
    found = compare(worked(*BANDS), new, thread=False).of(Inserted)
    assert [(each.by, each.number) for each in found] == [(4, 5), (4, 3)]


def test_things_of_one_row_that_moved_just_moved():
    lower = [*BANDS[:3], BANDS[3].replace("gap 2", "gap 5")]
    assert compare(worked(*BANDS), worked(*lower), thread=False).of(Inserted) == ()


def test_a_gap_that_grew_moves_all_below():
    wider = [BANDS[0], BANDS[1].replace("gap 1", "gap 3"), *BANDS[2:]]
    (found,) = compare(worked(*BANDS), worked(*wider), thread=False).of(Inserted)
    assert (found.by, found.number) == (2, 5)


def test_a_border_runs_past_the_line():
    frame = "motif dot 1 x 1\n  |m|\nchart 30 x {}\n  border dot"

    def framed(rows, *bands):
        text = HEAD.replace("chart 30 x 60", frame.format(rows)) + "\n".join(bands) + "\n"
        design, findings = read_source(Source("chart.linen", text), Path("chart.linen"))
        assert design is not None, findings
        return compose(design)[0]

    new = "band gap 1\n wave x 5 at 2,0 step 5,0"
    changes = compare(framed(60, *BANDS), framed(64, BANDS[0], new, *BANDS[1:]), thread=False)
    (found,) = changes.of(Inserted)
    assert (found.by, found.number) == (4, 5)
    assert "moved 4 rows down; now" not in as_text(changes, ("old", "new"))
