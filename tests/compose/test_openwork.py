"""Withdrawn threads: where they are, what is left standing, what is told and drawn of it."""

from __future__ import annotations

import re

import numpy as np
import pytest
from linenleaf.booklet.openwork import withdrawing
from linenleaf.chart.draw import Drawing, draw_excerpt
from linenleaf.chart.options import Ink
from linenleaf.checks import check
from linenleaf.cloth.cloth import paint
from linenleaf.compose.compose import compose
from linenleaf.compose.openwork import left_standing
from linenleaf.core.model import Threads
from linenleaf.count.size import size
from linenleaf.diff.compare import compare
from linenleaf.diff.entries import entries
from linenleaf.diff.facts import Fact, Measure
from linenleaf.i18n.wording import wording
from linenleaf.reports.facts import gather
from linenleaf.reports.kit import kit_of
from linenleaf.reports.kitsheet import as_sheet
from linenleaf.reports.report import as_text

from ..snippets import design_of, worked_of

HEAD = """linen 2
booklet "Test"
fabric linen 28 over 2
key
  m  #a03a3a "madder"
  h  #5f7a4a "sedge" hemstitch
motif hem 2 x 1 over 3
  |hh|
motif dot 1 x 1
  |m|
chart 12 x 10
  dot at 0,0
"""
GAP = "  withdrawn rows 1,4 to 6,5.5\n"


@pytest.fixture
def chart(tmp_path):
    return lambda *lines: worked_of(HEAD + "".join(lines), tmp_path)


def standing(worked, number=0):
    return left_standing(worked, worked.gaps[number])


def test_positions_become_threads(chart):
    (gap,) = chart("  withdrawn columns 6,5.5 to 1,4\n").gaps  # corners either way round
    assert (gap.threads, gap.box, gap.number) == (Threads.COLUMNS, (2, 8, 12, 11), 10)
    (gap,) = chart(GAP).gaps
    assert (gap.box, gap.number) == ((2, 8, 12, 11), 3)


def test_threads_that_nothing_ties_stand_where_they_were_woven(chart):
    ends = standing(chart(GAP))
    assert ends.tolist() == [[x + 0.5, 8, x + 0.5, 11] for x in range(2, 12)]


def test_a_hemstitch_gathers_threads_at_its_own_edge(chart):
    # Two stitches over three threads each; a group keeps 0.35 of its width about its middle.
    ends = standing(chart(GAP, "  hem at 1,4\n"))
    assert ends[:, 0].tolist() == [x + 0.5 for x in range(2, 12)]  # the upper edge is free
    assert ends[:3, 2] == pytest.approx([3.15, 3.5, 3.85])
    assert ends[3:6, 2] == pytest.approx([6.15, 6.5, 6.85])
    assert ends[6:, 2].tolist() == [8.5, 9.5, 10.5, 11.5]  # no stitch ties these
    above = standing(chart(GAP, "  hem mirrored top-bottom at 1,4\n"))
    assert (above[:, 0] == ends[:, 2]).all()
    assert (above[:, 2] == ends[:, 0]).all()


def test_turned_with_its_motif_it_gathers_threads_that_run_across(chart):
    lying = chart("  withdrawn columns 4,1 to 5.5,6\n", "  hem turned left at 4,1\n")
    ends = standing(lying)
    assert (ends[:, 0] == 8).all()
    assert (ends[:, 2] == 11).all()
    assert ends[:3, 3] == pytest.approx([3.15, 3.5, 3.85])  # turned left its edge lies to the right
    assert ends[:3, 1].tolist() == [2.5, 3.5, 4.5]


def test_where_both_are_withdrawn_nothing_stands(chart):
    crossed = chart(GAP, "  withdrawn columns 3,0 to 4,4.5\n")
    ends = standing(crossed)
    # Threads 6 and 7 are gone from 8 to 9, the others stand from edge to edge.
    assert [end for end in ends.tolist() if end[0] in (6.5, 7.5)] == [
        [6.5, 9, 6.5, 11], [7.5, 9, 7.5, 11]
    ]  # fmt: skip
    assert len(ends) == 10
    # Across the other gap: those of rows 8 begin outside the first gap only.
    assert standing(crossed, 1)[:, 1].max() == 7.5


@pytest.mark.parametrize(
    ("lines", "name"),
    [
        ("  withdrawn rows 1,4 to 6,4\n", "nothing-withdrawn"),
        ("  withdrawn rows 1,4 to 13,5\n", "withdrawn-outside"),
        ("  withdrawn rows 1,4 to 6,5.3\n", "between-threads"),
        (GAP + "  withdrawn rows 5,5 to 9,6\n", "withdrawn-twice"),
        (GAP + "  withdrawn rows 6,4 to 9,5.5\n", None),  # they only touch
        (GAP + "  withdrawn columns 5,2 to 6,8\n", None),
    ],
)
def test_what_cannot_be_withdrawn_is_told(tmp_path, lines, name):
    worked, findings = compose(design_of(HEAD + lines, tmp_path))
    assert [each.name for each in findings] == ([name] if name else [])
    assert (worked is None) == (name is not None)


def test_a_chart_in_the_first_version_may_name_a_motif_so(tmp_path):
    text = HEAD.replace("linen 2", "linen 1").replace('  h  #5f7a4a "sedge" hemstitch\n', "")
    text = re.sub(r"motif hem.*\n.*\n", "", text).replace("dot", "withdrawn")
    assert not worked_of(text, tmp_path).gaps


def test_finished_size_and_cloth_to_cut_stay(chart):
    whole, open_ = chart(), chart(GAP)
    fabric = whole.design.ground.fabric
    assert size(open_, fabric) == size(whole, fabric)
    # 10 crosses over 2 on 28 threads to the inch, with 3 in on both sides, worked by hand
    assert size(open_, fabric).cut_height == pytest.approx((10 * 2 / 28 + 6) * 25.4)


def test_the_cloth_shows_the_gap_and_nothing_else_changes(chart):
    whole, open_, tied = (
        np.asarray(paint(chart(*lines), pixels_per_cross=12, margin=1)).astype(int)
        for lines in ((), (GAP,), (GAP, "  hem at 1,4\n", "  hem mirrored top-bottom at 1,4\n"))
    )
    # In pixels, six to a thread, with a cross of cloth around.
    gap = np.s_[5 * 12 : 78, 24 : 7 * 12]
    assert (open_[gap] != whole[gap]).any(axis=(0, 2)).all()  # on every column of pixels
    outside = np.ones(whole.shape[:2], dtype=bool)
    outside[gap] = False
    assert (open_[outside] == whole[outside]).all()
    # Between two groups one looks through: in the middle, and darker than anywhere without them.
    between = tied[5 * 12 + 9, 24 + 3 * 6]
    assert between.sum() < 0.6 * whole.mean(axis=(0, 1)).sum()
    assert open_[5 * 12 + 9, 24 + 3 * 6 + 3].sum() > 0.8 * whole.mean(axis=(0, 1)).sum()


def test_the_chart_shows_the_threads_left_standing_as_far_as_they_are_in_view(chart):
    worked = chart(GAP, "  hem at 1,4\n")
    svg = draw_excerpt(Drawing(worked, Ink.SYMBOLS), (2, 5, 12, 10), 3.0)
    (d,) = set(re.findall(r'stroke="#ffffff" stroke-width="0.21" d="([^"]*)"', svg))
    ends = np.array(re.findall(r"-?[\d.]+", d), dtype=float).reshape(-1, 4)
    drawn = standing(worked) / 2
    # What of each lies below row 5 and right of column 2, from there on.
    assert ends[:, 1].tolist() == [0.0] * len(ends)
    assert 0 < ends[0, 3] < 0.5  # it leans out of view before it comes to the edge
    assert ends[1:, 3] == pytest.approx(0.5)
    assert ends[-1, [0, 2]] == pytest.approx(drawn[-1, [0, 2]] - 2)
    assert (ends[:, [0, 2]] >= 0).all()


def test_the_notes_tell_which_threads(chart):
    worked = chart(GAP, "  withdrawn columns 8,1 to 8.5,9\n")
    rows, columns = withdrawing(worked, wording("en-GB"))
    assert rows.text == (
        "Withdraw 3 fabric threads that run across: from thread 1 of row 5 to thread 1 of row 6."
    )
    assert columns.text == "Withdraw one fabric thread that runs down: thread 1 of column 9."
    assert (rows.x0, rows.y0, rows.x1, rows.y1) == (1, 4, 6, 5.5)
    assert (
        "van draad 1 van rij 5 tot en met draad 1 van rij 6"
        in next(withdrawing(worked, wording("nl"))).text
    )


def test_only_where_they_cross_the_notes_speak_of_the_hole(chart):
    crossed = chart(GAP, "  withdrawn columns 3,0 to 4,5\n", "  withdrawn rows 7,8 to 9,9\n")
    said = ["hole" in note.text for note in withdrawing(crossed, wording("en-GB"))]
    assert said == [True, True, False]


def test_another_gap_is_a_difference(chart):
    old, new = chart(GAP), chart("  withdrawn rows 1,4 to 6,6\n")
    assert Fact(Measure.WITHDRAWN) in compare(old, new).every
    assert not compare(old, chart(GAP))


def test_a_gap_may_have_a_name_and_hang_on_another_thing(chart):
    lines = (
        "  dot at 4,2 named first\n  withdrawn rows 0,1 to 5,2 in first named opening\n"
        "  withdrawn columns 0,2 to 1,4 in opening\n"
    )
    gaps = [gap.box for gap in chart(lines).gaps]
    assert gaps == [(8, 6, 18, 8), (8, 10, 10, 14)]


@pytest.mark.parametrize(
    ("lines", "alike"),
    [
        (GAP, False),
        ("  withdrawn rows 3,4 to 9,5.5\n", True),
        ("  withdrawn columns 1,4 to 2,6\n  withdrawn columns 10,4 to 11,6\n", True),
    ],
)
def test_a_chart_that_is_symmetric_has_its_gaps_so_too(tmp_path, lines, alike):
    text = HEAD.replace("12 x 10", "12 x 10 symmetric left-right") + "  dot at 11,0\n" + lines
    found = [each.message for each in check(worked_of(text, tmp_path))]
    assert any("threads withdrawn from 1,4 on have no counterpart" in one for one in found) != alike


def test_what_is_withdrawn_is_told_with_the_counts_and_in_the_kit(chart):
    facts = gather(chart(GAP, "  withdrawn columns 8,1 to 9,3\n"))
    assert "Withdrawn from the fabric: 3 threads across in 1 place, 2 threads down" in as_text(
        facts
    )
    sheet = as_sheet(kit_of(facts, 2))
    assert sheet.count("part of its size: 3 fabric threads across, 2 fabric threads down") == 2
    assert "ithdraw" not in as_text(gather(chart("")))


def test_a_gap_that_is_another_is_ringed_before_and_after(chart):
    changes = compare(chart(GAP), chart("  withdrawn rows 1,4 to 6,6\n"))
    (item,) = entries(changes).items
    assert (item.old_rings, item.new_rings) == (((1, 4, 6, 5.5),), ((1, 4, 6, 6),))
    (gone,) = entries(compare(chart(GAP), chart(""))).items
    assert (gone.old_rings, gone.new_rings) == (((1, 4, 6, 5.5),), ())
