"""The tidy form, seen: what is brought to one form, what stays, where remarks and rulers go."""

from __future__ import annotations

import re
from pathlib import Path
from textwrap import dedent

import numpy as np
import pytest
from linenleaf.checks import check
from linenleaf.compose.compose import compose
from linenleaf.core.source import Source
from linenleaf.formatting.rulers import Rulers, is_ruler, ruler
from linenleaf.formatting.tidy import bring_forward, difference, tidy
from linenleaf.reports.placements import pins
from linenleaf.resolve.read import read, read_source
from linenleaf.syntax.cutting import NOTATION
from linenleaf.syntax.nodes import Block, ChartFile
from linenleaf.syntax.parse import parse

HOUSE = Path(__file__).resolve().parent.parent.parent


def tidied(text: str, rulers: Rulers = Rulers.KEPT) -> str:
    """The tidy form of a text, which is tidy itself."""
    once, findings = tidy(Source("chart.linen", text), rulers)
    assert once is not None, findings
    assert tidy(Source("chart.linen", once), rulers)[0] == once
    return once


def block(text: str) -> str:
    """The tidy form of what follows the first line."""
    return tidied("linen 1\n" + dedent(text)).removeprefix("linen 1\n\n")


def shown(text: str) -> str:
    return dedent(text).removeprefix("\n")


# --- one form ----------------------------------------------------------------------------------


def test_a_whole_untidy_chart():
    assert tidied(
        dedent(
            """\
            # before the first line
            linen   1 # the version
            booklet "Reed"
            designer  "Tern & Teasel"
                edition "1"   2026-05-30
              story "story.md"
               section "About \\"reeds\\""   "my notes.md"


            fabric linen 36 × 34   over 2
            colour #E9DFCB
            margin 3.0 in
            range shore   from "shore.csv"
            key
            m shore 31
            s     shore 12 1 strands   half up  # wet sand
            lamp #FFCC55 "amber"  1 strand bead note "last"
            chart 6 x 2
            |mm..ss|
            |.mm.s.|# no blank before this
            note at 3, 4.50 "Here."
            departure 0,0 to 2.0,2 "There."
            revision "1" "First edition."
            """
        )
    ) == shown(
        """
        # before the first line
        linen 1  # the version

        booklet "Reed"
          designer "Tern & Teasel"
          edition  "1" 2026-05-30
          story    story.md
          section  "About \\"reeds\\"" "my notes.md"

        fabric linen 36 x 34 over 2
          colour #e9dfcb
          margin 3 in

        range shore from shore.csv

        key
          m     shore 31
          s     shore 12  half up 1 strand  # wet sand
          lamp  #ffcc55 "amber"  bead 1 strand  note "last"

        chart 6 x 2
          |mm..ss|
          |.mm.s.|  # no blank before this

        note      at 3,4.5 "Here."
        departure 0,0 to 2,2 "There."

        revision "1" "First edition."
        """
    )


def test_the_key_of_the_reference_is_tidy():
    key = """\
    key
      m        estuary 417
      s        estuary 220  1 strand
      /        estuary 220  half up
      ^        estuary 417 three-quarter + estuary 220 quarter
      lantern  estuary 512  back 1 strand
      eye      estuary 900  knot 1 strand
    """
    assert block(key) == dedent(key)


def test_threads_symbols_and_notes_stand_in_columns():
    assert block(
        """
        key
        m estuary 7 note "first"
        z estuary 417 with estuary 220 note "second"
        漢 estuary 417 back
        a-word-far-too-long-for-a-column estuary 7 back

        s estuary 7 printed star note "third"
        """
    ) == shown(
        """
        key
          m   estuary 7                     note "first"
          z   estuary 417 with estuary 220  note "second"
          漢  estuary 417  back
          a-word-far-too-long-for-a-column  estuary 7    back

          s   estuary 7  printed star  note "third"
        """
    )


@pytest.mark.parametrize(
    ("written", "tidy_form"),
    [
        (
            "tern over 1 at 3,3 with s as m, t as k mirrored",
            "tern mirrored at 3,3 over 1 with s as m, t as k",
        ),
        (
            "tern replacing step 5,4 centre at 1, 2 turned left x 3 by 2",
            "tern x 3 by 2 turned left centre at 1,2 step 5,4 replacing",
        ),
        (
            'text "A" "B" changeable year with s as m leading 2 centred at 4,4 in marking',
            'text "A" "B" in marking at 4,4 centred leading 2 changeable year with s as m',
        ),
        (
            "border leaf corner sprig mirrored with s as m inset 2",
            "border leaf, corner sprig inset 2 mirrored with s as m",
        ),
        ("line mast 0.50,0 -0,3.0", "line mast 0.5,0 0,3"),
    ],
)
def test_options_stand_in_one_order(written, tidy_form):
    assert block(f"chart 9 x 9\n{written}\n") == f"chart 9 x 9\n  {tidy_form}\n"


def test_what_is_stated_stays_stated():
    stated = """\
    key
      m  shore 31  full 2 strands

    chart 9 x 9
      tern x 3 by 1 mirrored left-right top-left at 3,3 step 4,0
    """
    assert block(stated) == dedent(stated)


def test_letters_stand_before_their_rows():
    assert block(
        """
        alphabet marking space 3 height 2
        "A" |.s.|
        |s.s|
            "#" |s|
        |s|
        "'" |s|
          # a remark between rows
          |.|
        """
    ) == shown(
        """
        alphabet marking height 2 space 3
          A |.s.|
            |s.s|
          "#" |s|
              |s|
          "'" |s|
          # a remark between rows
              |.|
        """
    )


# --- empty lines and remarks -------------------------------------------------------------------


def test_lines_of_a_letter_stand_below_it():
    untidy = """linen 2
alphabet fine height 2
A   3  wide
line run 0,0   3,0
knot pip 1.50,1
"#"  |m|
|.|
line run 0,0 1,0   # its top
"""
    assert (
        tidied(untidy)
        == """linen 2

alphabet fine height 2
  A 3 wide
    line run 0,0 3,0
    knot pip 1.5,1
  "#" |m|
      |.|
      line run 0,0 1,0  # its top
"""
    )


def test_groups_stay_groups():
    text = """\
    key
      m  shore 31

      # the sand
      s  shore 12

    use marks.linen
    use more.linen

    use other.linen

    note     at 1,1 "a"
    inferred at 2,2 "b"

    note at 3,3 "c"

    expect m 3
    expect s 4
    """
    assert block(text) == dedent(text)


def test_many_empty_lines_become_one_and_those_below_a_first_line_go():
    assert block(
        "key\n\n\n  m shore 31\n\n\n\n  s shore 12\n\n\nchart 3 x 1\n\n|msm|\n\n"
    ) == shown(
        """
        key
          m  shore 31

          s  shore 12

        chart 3 x 1
          |msm|
        """
    )


def test_a_remark_stays_with_what_it_stands_by():
    assert block(
        """
        key
        # above a line
          m shore 31    # behind a line
          s shore 12 #behind another "line" | here
          # below the last line

          # still of the key, since it is indented

        # ---- the figures
        # right above the motif
        motif boat 3 x 2
        # above a row
        |m.m|

        # between rows
        |.m.|
        #
        # above the next block, with no empty line
        chart 3 x 1
          |mmm|
        # at the end
        """
    ) == shown(
        """
        key
          # above a line
          m  shore 31  # behind a line
          s  shore 12  #behind another "line" | here
          # below the last line

          # still of the key, since it is indented

        # ---- the figures
        # right above the motif
        motif boat 3 x 2
          # above a row
          |m.m|

          # between rows
          |.m.|

        #
        # above the next block, with no empty line
        chart 3 x 1
          |mmm|
        # at the end
        """
    )


def test_what_looks_like_a_remark_inside_a_text_is_none():
    text = 'booklet "# no remark \\" # none"  # a "remark"\n  rights "#"  # "\n'
    assert block(text) == text


def test_remarks_that_stand_together_are_aligned():
    assert block(
        f"""
        key
          m shore 31 # one
          s shore 12 half up # two
          t shore 47 note "{"long " * 20}" # three

          u shore 58 # four
        """
    ) == shown(
        f"""
        key
          m  shore 31           # one
          s  shore 12  half up  # two
          t  shore 47  note "{"long " * 20}"  # three

          u  shore 58  # four
        """
    )


def test_a_finding_that_is_kept_quiet_stays_quiet(tmp_path):
    text = dedent(
        """\
        linen 1
        fabric linen 32 over 2
        key
          m #3f4a2c "wrack"
          # meant few-stitches: one light in the window
          t #d9c79a "lamp"
          # meant few-stitches: as on the old piece

          s #aa3344 "sail"
        chart 9 x 3
          |mmmmmmmmm|
          |mmmmtmmmm|
          |mmmmmmsmm|
        """
    )
    found = {}
    for name, each in (("as written", text), ("tidy", tidied(text))):
        path = tmp_path / "chart.linen"
        path.write_text(each, "utf-8")
        design, _ = read(path)
        worked, _ = compose(design)
        found[name] = sorted(finding.message for finding in check(worked))
    assert found["as written"] == found["tidy"]
    assert found["tidy"]


# --- rulers ------------------------------------------------------------------------------------

GRID = """\
linen 1

motif boat 12 x 2
  |mm..ss..mm..|
  |mm..ss..mm..|

motif tuft 4 x 1
  |m..m|

chart 3 x 1
  |mmm|
"""
RULED = GRID.replace("  |mm..ss", "  #....5...10..\n  |mm..ss", 1)


def test_a_ruler_counts_the_columns_it_stands_over():
    assert ruler(12) == "#....5...10.."
    for width in (5, 99, 100, 2000):
        text = ruler(width)
        assert len(text) == width + 1
        for column in range(5, width + 1, 5):
            figures = str(column)
            # The last figure stands over the column: after the `#`, column n has index n.
            assert text[column + 1 - len(figures) : column + 1] == figures
        assert text.replace(".", "") == "#" + "".join(str(each) for each in range(5, width + 1, 5))


def test_rulers_are_added_kept_and_taken_out():
    assert tidied(GRID, Rulers.ADDED) == RULED
    assert tidied(RULED) == RULED
    assert tidied(RULED, Rulers.NONE) == GRID
    assert tidied(GRID) == GRID
    assert tidied(GRID, Rulers.NONE) == GRID


def test_a_ruler_that_no_longer_fits_is_made_anew():
    wider = RULED.replace("12 x 2", "15 x 2").replace("mm..|", "mm..sss|")
    assert "  #....5...10...15\n  |mm" in tidied(wider)
    assert "#.." not in tidied(RULED.replace("|mm..ss..mm..|", "|mm|"))


def test_a_ruler_goes_below_remarks_and_above_those_that_keep_a_finding_quiet():
    text = GRID.replace("  |mm", "  # the sails\n  |mm", 1)
    assert "  # the sails\n  #....5...10..\n  |mm" in tidied(text, Rulers.ADDED)
    text = GRID.replace("  |mm", "  # meant lone-stitch: it is a star\n  |mm", 1)
    assert "  #....5...10..\n  # meant lone-stitch: it is a star\n  |mm" in tidied(
        text, Rulers.ADDED
    )


def test_a_ruler_between_rows_stays_there_and_is_made_to_fit():
    lines = GRID.split("\n")
    lines.insert(4, "\n    #....5....")
    assert tidied("\n".join(lines)).split("\n")[3:7] == [
        "  |mm..ss..mm..|",
        "",
        "  #....5...10..",
        "  |mm..ss..mm..|",
    ]


def test_only_a_ruler_is_taken_for_one():
    assert is_ruler("#....5...10")
    for other in ("#", "#...", "#....", "#....6", "# ....5", "#....5...10 m", "#....5..10"):
        assert not is_ruler(other)
    text = GRID + "\n#....5...10\n# not above a grid\n"
    assert tidied(text, Rulers.NONE) == text


# --- findings, versions, differences -----------------------------------------------------------


def test_a_source_with_lines_that_cannot_be_read_is_left_alone():
    text, findings = tidy(Source("chart.linen", "linen 1\nchart 3 x 1\n  |mm\n"))
    assert text is None
    assert [each.name for each in findings] == ["unclosed-row"]


def test_names_and_figures_are_not_looked_at():
    text = "linen 1\n\nchart 3 x 9\n  no-such-motif at 999,999\n"
    assert tidied(text) == text


def test_an_older_version_is_brought_forward_step_by_step():
    file, _ = parse(Source("chart.linen", "linen 1\nkey\n  m shore 31\n"))
    seen = []

    def step(name: str):
        def forward(given: ChartFile) -> ChartFile:
            seen.append(name)
            dropped: tuple[Block, ...] = given.blocks[:-1]
            return ChartFile(given.source, dropped, given.comments) if name == "two" else given

        return forward

    made = bring_forward(file, {1: step("one"), 2: step("two")}, newest=3)
    assert seen == ["one", "two"]
    assert [each.word for each in made.blocks] == ["linen"]
    newest, _ = parse(Source("chart.linen", f"linen {NOTATION}\nkey\n  m shore 31\n"))
    assert bring_forward(newest) is newest


def test_a_chart_is_brought_to_the_newest_version_on_request():
    text = "linen 1\n\nmotif stitch 1 x 1\n  |m|\n\nchart 3 x 1\n  stitch at 0,0 with m as s\n"
    assert tidied(text) == text
    newest, findings = tidy(Source("chart.linen", text), newest=True)
    assert findings == ()
    assert newest == text.replace("linen 1", "linen 2").replace("stitch", "my-stitch")
    # A word of the trade that only stands in a text or a code stays.
    text = 'linen 2\n\nbooklet "stitch"\n\nkey\n  m  shore stitch\n'
    older, _ = tidy(Source("chart.linen", text.replace("linen 2", "linen 1")), newest=True)
    assert older == text


def test_a_difference_names_the_file_and_shows_only_what_changes():
    source = Source("a/reed.linen", "linen 1\nkey\nm shore 31")
    text, _ = tidy(source)
    assert difference(source, text) == (
        "--- a/reed.linen\n+++ a/reed.linen\n@@ -1,3 +1,4 @@\n linen 1\n+\n key\n-m shore 31\n"
        "\\ No newline at end of file\n+  m  shore 31\n"
    )
    assert difference(Source("reed.linen", text), text) == ""


HANGING = """linen 2
fabric linen 28 over 2
key
  m  #a03a3a "madder"
  rope  #20242c "ink" back
motif tile 4 x 2
  |mmmm|
  |m..m|
alphabet low height 2
  I |m|
    |m|
  T |mmm|
    |.m.|
motif pair fitted
  tile at 0,0 named upper
  tile mirrored below upper gap 1
chart 40 wide
  tile at 0,0 10,0 20,0 named row
  pair at 34,0
  tile below gap 2 centred left on chart named mid
  text "IT" in low right of mid gap 3 centred up
  band reeds gap 3
    tile top-right at 12,0 named reed
    tile right of reed gap 2.5 aligned top
    line rope 0,0 4,2 in reed
    withdrawn rows 30,4 to 38,5.5
    text "T" "IT" in low aligned right on chart leading 1
  band
    tile turned right
    place spot 3 x 3 below gap 2
    tile centred left up on spot replacing over 1
  band gap 1
    tile at 3,1 filling from left
    tile below gap 1 filling inset 2
    tile filling height within spot cut replacing
note in reed "All of it."
kept in spot at 1,1 "A place."
expect m 6 in reed
expect m 4 in reed 0,0 to 4,1
"""


def test_places_are_written_out_when_asked_for():
    path = Path("chart.linen")
    source = Source("chart.linen", HANGING)
    design, _ = read_source(source, path)
    places, _ = pins(design)
    text, _ = tidy(source, pins=places)
    assert not re.search(r"\b(below|gap|band |centred|on|wide|fitted|in (?!low|\d)|tied)", text)
    again, findings = read_source(Source("chart.linen", text), path)
    assert findings == ()
    before, _ = compose(design)
    after, _ = compose(again)
    assert np.array_equal(before.grid, after.grid)
    assert [piece.x for piece in before.pieces] == [piece.x for piece in after.pieces]
    assert np.array_equal(before.lines[0].points, after.lines[0].points)
    assert before.gaps == after.gaps
    assert before.gaps[0].y0 > 8
    assert before.design.notes == after.design.notes
    assert before.design.expectations == after.design.expectations
    assert tidy(source)[0] != text


def test_a_band_that_becomes_a_place_keeps_a_height_of_half_crosses():
    text = """linen 2
fabric linen 28 over 2
key
  m  #a03a3a "madder"
motif tile 3 x 3
  |mmm|
  |m.m|
  |mmm|
chart 12 wide
  band half
    tile at 0,0 over 1
  band gap 1
    tile filling area within half from left over 1 replacing
"""
    path = Path("chart.linen")
    source = Source("chart.linen", text)
    places, _ = pins(read_source(source, path)[0])
    pinned, _ = tidy(source, pins=places)
    assert "place half 12 x 1.5 at 0,0" in pinned
    again, findings = read_source(Source("chart.linen", pinned), path)
    assert findings == ()
    assert compose(again)[1] == ()
    odd = Source("chart.linen", pinned.replace("12 x 1.5", "12 x 1.3"))
    assert [each.name for each in read_source(odd, path)[1]] == ["between-threads"]


def test_names_that_became_words_are_changed_and_words_are_not():
    text = (
        'linen 1\n\nbooklet "Bands"\n  original place "Here"\n\nmotif band 1 x 1\n  |m|\n\n'
        "motif place 1 x 1\n  |m|\n\nchart 3 x 1\n  band at 0,0\n  place at 2,0\n"
    )
    newest, _ = tidy(Source("chart.linen", text), newest=True)
    new = text.replace("linen 1", "linen 2").replace("motif place", "motif my-place")
    assert newest == new.replace("place at", "my-place at").replace("band", "my-band")


def test_a_thread_worked_otherwise_and_a_range_of_one_kind():
    untidy = """linen 2
range odd from odd.csv
 kind   perle
 yards 27.3
thread odd   4
   tail 5   cm
   method    each
   strands 1
thread #C9AD7E "twine"
  needleful 30.0 cm
"""
    assert (
        tidied(untidy)
        == """linen 2

range odd from odd.csv
  kind  perle
  yards 27.3

thread odd 4
  tail    5 cm
  method  each
  strands 1

thread #c9ad7e "twine"
  needleful 30 cm
"""
    )
