"""Cells written into rows: the chart is then what was asked for, or nothing is written."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.matter import NoteKind
from linenleaf.core.source import Source
from linenleaf.importing.marks import Whereabouts, mark, whereabouts
from linenleaf.importing.rows import NotInRows, with_cells
from linenleaf.resolve.read import read_source

HEAD = """linen 2
fabric linen 32 over 2
key
  t  #35506b "slate tide"
  m  #a03a3a "madder"
  edge #202020 "ink" back
motif reed 3 x 2
  |.t.|  # its tip
  |ttt|
alphabet small height 1
  A |t|
"""
ROWS = HEAD + "chart 6 x 3\n  |t.....|\n  |......|\n  |.....m|\n"


def worked(text: str) -> WorkedChart:
    design, findings = read_source(Source("a.linen", text), Path("a.linen"))
    assert design is not None, findings
    made, findings = compose(design)
    assert made is not None, findings
    return made


@given(st.dictionaries(st.tuples(st.integers(0, 5), st.integers(0, 2)), st.integers(0, 2)))
def test_cells_of_a_grid_become_what_is_asked_and_nothing_else_changes(cells):
    before = worked(ROWS)
    after = worked(with_cells(before, cells))
    wanted = before.grid.copy()
    for (x, y), index in cells.items():
        wanted[y, x] = index
    assert np.array_equal(after.grid, wanted)


def test_a_motif_that_is_placed_is_written_in_its_own_rows_and_remarks_stay():
    text = HEAD + "chart 6 x 3\n  reed at 1,1\n"
    made = with_cells(worked(text), {(1, 1): 2, (3, 2): 0})
    assert made == text.replace("|.t.|  # its tip", "|mt.|  # its tip").replace("|ttt|", "|tt.|")


def test_a_chart_without_rows_gets_them_below_its_first_line():
    made = with_cells(worked(HEAD + "chart 3 x 2  # small\n"), {(2, 1): 1, (0, 0): 2})
    assert made == HEAD + "chart 3 x 2  # small\n  |m..|\n  |..t|\n"


def test_what_is_not_drawn_in_rows_of_the_chart_is_refused():
    lettered = worked(HEAD + 'chart 6 x 3\n  text "A" in small at 0,0\n')
    with pytest.raises(NotInRows, match="Column 1, row 1 is of"):
        with_cells(lettered, {(0, 0): 2})
    with pytest.raises(NotInRows, match="along lines"):
        with_cells(worked(ROWS), {(0, 0): 3})


@pytest.mark.parametrize(
    ("shows", "part"),
    [
        ("chart", Whereabouts()),
        ("4,5 to 9,9", Whereabouts("", 4, 5)),
        ("initials", Whereabouts("initials")),
        ("initials 2,3 to 9,9", Whereabouts("initials", 2, 3)),
    ],
)
def test_a_mark_counts_from_what_is_shown_and_is_read_as_it_is_meant(shows, part):
    assert whereabouts(shows) == part
    line = mark(NoteKind.KEPT, (1, 0, 2, 1), 'He said "so".', part)
    text = HEAD + "chart 30 x 30\n  reed at 7,8 named initials\n" + line + "\n"
    (note,) = worked(text).design.notes
    x, y = (7, 8) if part.thing else (0, 0)
    assert (note.x0, note.y0) == (x + part.x + 1, y + part.y)
    assert (note.x1 - note.x0, note.y1 - note.y0, note.text) == (1, 1, 'He said "so".')
