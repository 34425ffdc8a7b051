"""What `count` prints, whole: each form of it as it is read."""

import csv
import io
import re
from pathlib import Path
from textwrap import dedent

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from linenleaf.commands.count import fabric_asked
from linenleaf.reports.exchange import HEADER, as_csv, as_data, cell, table
from linenleaf.reports.facts import gather
from linenleaf.reports.kit import kit_of
from linenleaf.reports.kitsheet import as_sheet
from linenleaf.reports.report import account, as_text
from linenleaf.reports.shoplist import as_list

from ..snippets import worked_of

# Mud: 2,400 crosses over two and 12 over one. Water: 60 crosses of a blend, 60 half crosses.
SALTINGS = """
linen 1
booklet "Saltings"
  edition "1"
  needs "A hoop"
fabric linen 32 over 2
  colour #dccbae "raw flax"
  margin 2 in
  also linen 40 over 2, aida 14
range estuary from estuary.csv
key
  m     estuary 207
  z     estuary 343 with estuary 102
  /     estuary 343 half up 1 strand
  rope  estuary 325 back
  eye   estuary 325 knot 1 strand
  lamp  #f2b33d "amber glass" bead
working
  needleful 45 cm
  tail 5 cm
  reserve 10 %
motif mud 10 x 2
  |mmmmmmmmmm|
  |mmmmmmmmmm|
motif water 10 x 2
  |zzzzzzzzzz|
  |//////////|
motif shell 4 x 4 over 1
  |.mm.|
  |mmmm|
  |mmmm|
  |.mm.|
chart 60 x 45
  mud x 6 by 20 at 0,0 step 10,2
  water x 6 at 0,40 step 10,0
  shell at 30,42
  line rope 0,44 12,44
  knot eye 20,44
  bead lamp 21,44 22,44 23,44
"""
RANGE = """\
code,name,colour,metres,strands,put-up
102,salt white,#f7f3ea,8,6,skein
207,mud flat,#8a6a49,8,6,skein
325,night water,#1f3148,20,1,card
343,sea glass,#79aaa3,5,4,hank
"""


@pytest.fixture
def saltings(tmp_path):
    (tmp_path / "estuary.csv").write_text(RANGE, "utf-8")
    return worked_of(SALTINGS, tmp_path)


def test_the_table_for_people(saltings):
    # By hand: 60 crosses at 16 per inch are 3¾ in, 9.525 cm; with 2 in on each side 7¾ in,
    # 19.685 cm, so 20 cm to cut. 2,400 + 60 full crosses; a blend is one cross.
    assert as_text(gather(saltings)) == dedent(
        """\
        Saltings, edition 1
        60 x 45 crosses; 9.5 x 7.1 cm (3¾ x 2¾ in) on linen 32 over 2

        thread       name         symbols   stitches  put-up metres   put-ups
        ---------------------------------------------------------------------
        estuary 207  mud flat     m            2,412            8.1  1.0 of 2
        estuary 343  sea glass    z /            120            0.2  0.1 of 1
        estuary 102  salt white   z               60            0.1  0.1 of 1
        estuary 325  night water  rope eye        13            0.3  0.1 of 1

        2,532 crosses, 12 line stitches, 1 French knot; 4 colours, 3 skeins, 1 hank \
and 1 card to buy.
        Worked as: 2,460 full crosses, 12 full crosses over one, 60 half crosses, \
12 back stitches, 1 French knot.
        Beads: 3 beads, amber glass (lamp).

        fabric           per inch       finished    cut at least  strands  put-ups
        --------------------------------------------------------------------------
        linen 32 over 2        16   9.5 x 7.1 cm    20 x 17.5 cm        2        5
        linen 40 over 2        20   7.6 x 5.7 cm      18 x 16 cm        1        4
        aida 14 *              14  10.9 x 8.2 cm  21.5 x 18.5 cm        2        5
        * off-grid or over-one pieces cannot be worked on this fabric.

        To buy where it differs:
          linen 40 over 2: 1 x estuary 207

        Metres are of the whole put-up, with all its strands, not of one strand.
        Thread: rows there and back, needlefuls of 45 cm, tails of 5 cm,
        carried 1.2 cm on the back, slipped under stitches at most 6 cm,
        8 crosses behind bare fabric, 10 % in reserve.
        Beads are sewn on with sewing thread, which is not counted.
        """
    )


DEW = """\
linen 2
booklet "Dew"
fabric linen 28 over 2
  also aida 14
range shore from shore.csv
key
  m    shore 1   three-quarter top-left
  dew  shore 60  bead
chart 4 x 3
  |mm..|
  |....|
  |...m|
  bead dew 3,1 2,2
"""


def test_where_a_fabric_has_to_be_pierced_and_how_beads_are_sold(tmp_path):
    # A three-quarter stitch goes down in the middle of its cross: a hole of linen over two, none
    # of aida.
    kinds = "code,name,colour,kind,put-up\n1,reed,#445533,,\n60,dew,#dfeaf2,bead,tube\n"
    (tmp_path / "shore.csv").write_text(kinds, "utf-8")
    facts = gather(worked_of(DEW, tmp_path))
    told = as_text(facts)
    assert "\nlinen 28 over 2  " in told
    assert "\naida 14 +  " in told
    assert "\n+ some stitches meet no hole of this fabric: pierce it" in told
    assert "Beads: 2 beads, shore 60 dew (dew), sold as: tube.\n" in told
    assert "Beads: 2 beads, shore 60 dew, sold as: tube\n" in as_list(facts)
    assert [each["to_be_pierced"] for each in as_data(facts)["sizes"]] == [False, True]


def test_another_fabric_and_other_strands_to_suppose(saltings):
    fabric, findings = fabric_asked("linen 36 x 34 over 2")
    assert findings == ()
    shown = as_text(gather(saltings, fabric, 3)).splitlines()
    assert shown[1] == (
        "60 x 45 crosses; 8.5 x 6.7 cm (3⅜ x 2⅝ in) on linen 36 x 34 over 2 with 3 strands"
    )
    cells = [line.split("  ") for line in shown if line.startswith("linen ")]
    rows = [[cell.strip() for cell in row if cell.strip()] for row in cells]
    assert rows[0] == [
        "linen 36 x 34 over 2",
        "18 x 17",
        "8.5 x 6.7 cm",
        "19 x 17 cm",
        "3",
        "5",
    ]
    assert [row[0] for row in rows] == [
        "linen 36 x 34 over 2",
        "linen 32 over 2",
        "linen 40 over 2",
    ]
    mud = gather(saltings, fabric, 3).uses[0]
    thin = gather(saltings, fabric, 1).uses[0]
    assert mud.skeins == pytest.approx(3 * thin.skeins)


def test_a_fabric_of_the_table_is_not_listed_twice(saltings):
    fabric, _ = fabric_asked("linen 40 over 2")
    rows = gather(saltings, fabric).sizes
    assert [row.size.fabric.count_x for row in rows] == [40, 32, 14]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("linnen 36 over 2", "`linnen` is not a kind of fabric."),
        ("linen 36", "`linen` needs the number of threads that a cross goes over."),
        ("", ""),
        ("linen 36 over 2\nkey", "This is not a fabric."),
        ("linen 3600 over 2", "The count cannot be 3600: 2 to 120 is possible."),
        ("#", ""),
        ("x" * 5000, "This is not a fabric."),
    ],
)
def test_what_is_no_fabric_is_told(text, said):
    fabric, findings = fabric_asked(text)
    assert fabric is None
    assert said in findings[0].message


def test_the_shopping_list(saltings):
    assert as_list(gather(saltings)) == dedent(
        """\
        Saltings, edition 1
        Finished size on 32-count linen over two: 9.5 × 7.1 cm (3¾ × 2¾ in)

        Fabric: 32-count linen over two, raw flax, at least 20 × 17.5 cm (7¾ × 7 in)
        Thread: 3 skeins, 1 hank and 1 card
          2 x estuary 207 mud flat (skein of 8 m)
          1 x estuary 343 sea glass (hank of 5 m)
          1 x estuary 102 salt white (skein of 8 m)
          1 x estuary 325 night water (card of 20 m)
          Buy all the thread of one colour together, from one dye lot.
        Needles: 1 tapestry needle, size 26
        Needles: 1 tapestry needle, size 28
        Needles: 1 beading needle
        Beads: 3 beads, amber glass
        Sewing thread of the colour of the fabric, for the beads
        You will also need: A hoop
        """
    )


def test_csv_for_other_programs(saltings):
    assert as_csv({"": table(gather(saltings))}) == dedent(
        """\
        what,range,code,name,colour,symbols,number,strand_m,undivided_m,put_up,put_up_m,\
put_up_strands,put_ups_used,put_ups_to_buy
        thread,estuary,207,mud flat,#8a6a49,m,2412,48.411,8.068,skein,8,6,1.0086,2
        thread,estuary,343,sea glass,#79aaa3,z /,120,0.991,0.248,hank,5,4,0.0495,1
        thread,estuary,102,salt white,#f7f3ea,z,60,0.662,0.110,skein,8,6,0.0138,1
        thread,estuary,325,night water,#1f3148,rope eye,13,0.267,0.267,card,20,1,0.0133,1
        bead,,,amber glass,#f2b33d,lamp,3,,,,,,,
        """
    )


# OWASP, "CSV Injection": a cell must not begin with = + - @, a tab or a carriage return.
FORMULA = ("=", "+", "-", "@", "\t", "\r")


def test_no_text_is_a_formula_for_a_spreadsheet(tmp_path):
    (tmp_path / "shore.csv").write_text(
        'code,name,colour,metres,strands,put-up\n5,@SUM(1),#aa3344,8,6,"=HYPERLINK(0)"\n', "utf-8"
    )
    chart = """
    range shore from shore.csv
    key
      =  shore 5
      m  #445566 "+1"
      lamp  #ffcc55 "-2+3" bead
    chart 3 x 2
      |===|
      |mmm|
      bead lamp 1,1
    """
    told = as_csv({"=1.linen": table(gather(worked_of(chart, tmp_path)))}, told=True)
    rows = list(csv.DictReader(io.StringIO(told)))
    assert len(rows) == 3
    for row in rows:
        assert not any(each.startswith(FORMULA) for each in row.values())
    assert rows[0] == {
        "chart": "'=1.linen",
        "what": "thread",
        "range": "shore",
        "code": "5",
        "name": "'@SUM(1)",
        "colour": "#aa3344",
        "symbols": "'=",
        "number": "3",
        "strand_m": rows[0]["strand_m"],
        "undivided_m": rows[0]["undivided_m"],
        "put_up": "'=HYPERLINK(0)",
        "put_up_m": "8",
        "put_up_strands": "6",
        "put_ups_used": rows[0]["put_ups_used"],
        "put_ups_to_buy": "1",
    }
    assert float(rows[0]["undivided_m"]) > 0  # a number stays a number
    assert [rows[1]["name"], rows[2]["name"]] == ["'+1", "'-2+3"]


@given(st.text(st.sampled_from("=+-@\t\r\n '\"\0\uff1d\uff0b\uff0d\uff20a1,;"), max_size=6))
@example(" \r")
def test_a_guarded_text_can_be_had_back(text):
    guarded = cell(text)
    assert not guarded.lstrip(" ").startswith((*FORMULA, "\n", "\0", "＝", "＋", "－", "＠"))
    assert guarded.removeprefix("'") == text


def test_json_tells_the_same(saltings):
    facts = gather(saltings)
    told = as_data(facts)
    assert (told["title"], told["crosses"], told["fabric"], told["strands"]) == (
        "Saltings",
        2532,
        "linen 32 over 2",
        2,
    )
    assert [each["code"] for each in told["threads"]] == ["207", "343", "102", "325"]
    mud = told["threads"][0]
    parts = [
        mud[f"needle_{each}_mm"] for each in ("front", "back", "carried", "tails", "left_over")
    ]
    assert 2 * sum(parts) / 1000 == pytest.approx(mud["strand_m"])
    assert mud["undivided_m"] == pytest.approx(mud["strand_m"] / 6, abs=1e-6)
    assert mud["key"] == [{"symbol": "m", "strand_m": mud["strand_m"]}]
    assert mud["strand_m"] / (8 * 6) == pytest.approx(mud["put_ups_used"], abs=1e-6)
    assert mud["stitches"] == [
        {"kind": "full", "over": 2, "number": 2400},
        {"kind": "full", "over": 1, "number": 12},
    ]
    assert told["beads"] == [
        {"range": "", "code": "", "name": "amber glass", "colour": "#f2b33d", "number": 3}
    ]
    assert [each["put_ups_to_buy"] for each in told["sizes"]] == [5, 4, 5]
    for size in told["sizes"]:
        assert sum(each["put_ups_to_buy"] for each in size["threads"]) == size["put_ups_to_buy"]
    assert told["sizes"][0]["cut_width_mm"] == pytest.approx(7.75 * 25.4)


def test_every_unit_in_a_name_is_explained(saltings):
    page = Path(__file__).parents[2] / "grammar" / "thread.md"
    section = page.read_text("utf-8").split("## Which length a figure is")[1].split("\n## ")[0]
    explained = set(re.findall(r"`(\w+_(?:m|mm|crosses))`", section))
    told = set(re.findall(r"'(\w+_(?:m|mm|crosses))'", repr((as_data(gather(saltings)), HEADER))))
    assert told - {"other_crosses"} == explained


def test_the_account_of_a_build(saltings):
    assert account(saltings, 1) == (
        "1 page, 2,532 crosses, 4 colours, 3 skeins, 1 hank and 1 card, 3 beads."
    )


def test_a_bare_chart_is_told_as_such(tmp_path):
    bare = worked_of('key\n  m  #445566 "mud"\nchart 3 x 1\n  |...|\n', tmp_path)
    facts = gather(bare)
    assert "Nothing is stitched." in as_text(facts).splitlines()
    assert "Thread: " not in as_list(facts)
    assert "Thread: " not in as_sheet(kit_of(facts, 2))
    assert account(bare, 2) == "2 pages, 0 crosses, 0 colours."


def test_cloth_counted_by_the_centimetre_and_a_thread_worked_otherwise(tmp_path):
    (tmp_path / "odd.csv").write_text("code,name,colour,kind\n3,frost,#c9ced6,metallic\n", "utf-8")
    facts = gather(
        worked_of(
            """
            linen 2
            booklet "Frost"
            fabric linen 12 per cm over 2
              also evenweave 10 per cm over 2
            range odd from odd.csv
            key
              f  odd 3
            thread odd 3
              needleful 30 cm
              method each
            chart 3 x 1
              |fff|
            """,
            tmp_path,
        )
    )
    told = as_text(facts)
    assert "on linen 12 per cm over 2 (30 to the inch)\n" in told
    # The threads of other counts are those of one strand on every fabric.
    assert [row.strands for row in facts.sizes] == [1, 1]
    assert "\nevenweave 10 per cm over 2 " in told
    assert "\nodd 3: each cross finished, needlefuls of 30 cm.\n" in told
    data = as_data(facts)
    assert data["fabric"] == "linen 12 per cm over 2"
    assert data["threads"][0]["kind"] == "metallic"
    assert "linen with 12 threads to the cm (30 to the inch), over two" in as_list(facts)
    assert "30.48" not in told + as_list(facts) + as_sheet(kit_of(facts, 2)) + str(data)
