"""What a kit holds, and what so many take."""

import csv
import io
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedLine
from linenleaf.core.ground import Working
from linenleaf.core.key import Kind, Thread
from linenleaf.reports.exchange import as_csv
from linenleaf.reports.facts import gather
from linenleaf.reports.kit import KIT_HEADER, kit_data, kit_of, kit_table, lengths, spare_beads
from linenleaf.reports.kitsheet import as_sheet
from linenleaf.resolve.read import read

from ..charts import cell, part
from ..snippets import worked_of
from ..thread_charts import chart, one


def use_of(thread, strands, side=20, **working):
    worked = chart(
        np.ones((side, side)),
        key=(cell("m", part(thread, strands=strands)),),
        working=Working(**working),
    )
    return one(worked)


PUT_UPS = st.builds(
    Thread,
    st.just("estuary"),
    st.just("1"),
    st.just("mud"),
    st.just("#445566"),
    st.floats(0.5, 200),
    st.integers(1, 12),
)


@given(PUT_UPS, st.integers(1, 4), st.floats(0, 0.5), st.integers(1, 40))
def test_a_kit_holds_all_needlefuls_and_the_reserve_and_no_length_too_many(
    thread, strands, reserve, kits
):
    use = use_of(thread, strands)
    found = lengths(use, reserve, kits)
    needed = use.needlefuls * strands * (1 + reserve)  # single strands of a needleful
    held = found.number * thread.strands * found.length / use.longest
    assert held >= needed - 1e-6
    assert found.number == 1 or held - thread.strands * found.length / use.longest < needed
    assert found.each * found.length <= thread.metres * 1000 + 1e-6
    assert found.put_ups * found.each >= found.number * kits
    assert (found.put_ups - 1) * found.each < found.number * kits


def test_a_field_worked_by_hand():
    # 12 needlefuls of 3 strands, 10 % more: 39.6 strands, of which a length has 6: 7 lengths.
    thread = Thread("estuary", "1", "mud", "#445566", 8, 6)
    use = replace(use_of(thread, 3), needlefuls=12, strand_needlefuls=36)
    found = lengths(use, 0.1, 1)
    assert found.number == math.ceil(39.6 / 6) == 7
    # 8 m give 17 lengths of 18 in (457.2 mm); 5 kits take 35 of them.
    assert (found.each, lengths(use, 0.1, 5).put_ups) == (17, 3)


def test_one_long_stitch_is_given_a_length_that_reaches():
    thread = Thread("estuary", "1", "mud", "#445566", 8, 6)
    key = (cell("m", part(thread)), cell("ray", part(thread, Kind.STRAIGHT, strands=1)))
    ray = WorkedLine(2, np.array([(0.0, 0.0), (400.0, 0.0)]), 1, None)
    use = one(chart(np.zeros((2, 400)), key=key, lines=(ray,)))
    assert lengths(use, 0, 1).length >= 400 * 25.4 / 16 + 2 * Working().tail


def test_beads_have_some_to_spare():
    assert [spare_beads(each, 0.1) for each in (1, 9, 10, 11, 100)] == [2, 10, 11, 13, 110]
    assert spare_beads(5, 0) == 6


WADER = Path(__file__).parents[2] / "examples/first-wader/first-wader.linen"
SHEET = """\
First Wader, edition 1: 25 kits

To order for all kits
  Fabric: 14-count aida, sea mist, 25 pieces of 21 × 20 cm (8¼ × 7¾ in)
    0.9 m from a roll 140 cm (55⅛ in) wide, without its selvedges
    Take all pieces from one roll: another may differ in colour and in count.
  Thread: 13 skeins
    3 x pebble 11 bog oak (skein of 8 m)
    3 x pebble 14 dry sand (skein of 8 m)
    3 x pebble 17 shell white (skein of 8 m)
    2 x pebble 20 plover's leg (skein of 8 m)
    2 x pebble 23 tide (skein of 8 m)
    Buy all the thread of one colour together, from one dye lot.
  Needles: 25 tapestry needles, size 24
  Needles: 25 sharp needles
  Booklet: 25 printed copies

In each kit
  Fabric: 14-count aida, sea mist, 1 piece of 21 × 20 cm (8¼ × 7¾ in)
  Thread: 8 lengths on a card
  Needles: 1 tapestry needle, size 24
  Needles: 1 sharp needle
  Booklet: 1 printed copy

Cutting the fabric
  Cut the end of the roll straight along a thread, then strips across it:
  Strips  Height of a strip  Pieces side by side  Width of each  Left at the side  Pieces
  -----------------------------------------------------------------------------------------------
       3              20 cm                    6          21 cm             14 cm      18
       1              21 cm                    7          20 cm              0 cm       7  turned
  The strips take 81 cm; with 5 cm to straighten the end, buy 0.9 m; 4 cm is left over.
  Pieces may be turned: the fabric has the same count both ways.

  +--------+--------+--------+--------+--------+--------+......
  |        |        |        |        |        |        |......
  |        |        |        |        |        |        |......
  |        |        |        |        |        |        |......  3 × 20 cm
  |        |        |        |        |        |        |......
  +--------+--------+--------+--------+--------+--------+......

  +--------+-------+--------+-------+--------+-------+--------+
  |        |       |        |       |        |       |        |
  |        |       |        |       |        |       |        |
  |        |       |        |       |        |       |        |  1 × 21 cm
  |        |       |        |       |        |       |        |
  +--------+-------+--------+-------+--------+-------+--------+

Cutting the thread
  Cut whole lengths with all strands. An end too short for a length is waste.
  A kit holds 10 % more than the stitches take.
     Thread     Name           Length  In a kit  For all kits  From one skein  Buy  Left over
  -------------------------------------------------------------------------------------------
  1  pebble 11  bog oak       45.7 cm         2            50              17    3          1
  2  pebble 14  dry sand      45.7 cm         2            50              17    3          1
  3  pebble 17  shell white   45.7 cm         2            50              17    3          1
  4  pebble 20  plover's leg  45.7 cm         1            25              17    2          9
  5  pebble 23  tide          45.7 cm         1            25              17    2          9

For the thread card of First Wader, edition 1
  1  pebble 11 bog oak: 2 x 45.7 cm (18 in), 6 strands
  2  pebble 14 dry sand: 2 x 45.7 cm (18 in), 6 strands
  3  pebble 17 shell white: 2 x 45.7 cm (18 in), 6 strands
  4  pebble 20 plover's leg: 1 x 45.7 cm (18 in), 6 strands
  5  pebble 23 tide: 1 x 45.7 cm (18 in), 6 strands

Take care
  Needles and small parts: keep the kits away from small children, and say so on the packing.
  If the chart is not yours, ask the designer before you sell copies of it.
"""


def wader(kits, roll=None, language="en-GB"):
    design, _ = read(WADER)
    design = replace(design, booklet=replace(design.booklet, language=language))
    return kit_of(gather(compose(design)[0]), kits, roll)


def test_a_sheet_for_25_kits_recounted_by_hand():
    # 31 x 24 crosses of 1/14 in and twice 3 in: 208.6 x 195.9 mm, so 21 x 20 cm. On 140 cm lie 6
    # of 21 cm, or, turned, 7 of 20 cm: 3 strips of 20 cm and one of 21 cm hold 18 + 7 in 81 cm;
    # 5 strips of 20 cm would take 100 cm, 4 of 21 cm 84 cm. With 5 cm: 86 cm, so 0.9 m, 4 cm over.
    # Bog oak takes 3 needlefuls of two strands; with 10 % these are 6.6 strands, 2 lengths of six.
    # 8 m give 17 lengths of 18 in (45.72 cm): 50 lengths take 3 skeins and leave 1, 25 take 2 and
    # leave 9.
    assert as_sheet(wader(25, 1400.0)) == SHEET


def test_what_programs_read_is_what_the_sheet_says():
    kit = wader(25, 1400.0)
    told = kit_data(kit)
    roll = told["cloth"]["roll"]
    assert [(each["number"], each["pieces_side_by_side"]) for each in roll["strips"]] == [
        (3, 6),
        (1, 7),
    ]
    assert (roll["strips_length_mm"], roll["length_to_buy_mm"], roll["spare_pieces"]) == (
        810,
        900,
        0,
    )
    assert [each["put_ups_to_buy"] for each in told["threads"]] == [3, 3, 3, 2, 2]
    assert told["tapestry_needles"] == [{"size": 24, "in_each_kit": 1, "in_all_kits": 25}]
    rows = list(csv.DictReader(io.StringIO(as_csv({"": kit_table(kit)}, KIT_HEADER))))
    assert rows[0] == dict.fromkeys(KIT_HEADER, "") | {
        "what": "fabric",
        "name": "aida 14, sea mist",
        "colour": "#c9d6d4",
        "in_each_kit": "1",
        "in_all_kits": "25",
        "width_mm": "210",
        "length_mm": "200",
        "roll_width_mm": "1400",
        "roll_length_to_buy_mm": "900",
    }
    assert rows[1] == dict.fromkeys(KIT_HEADER, "") | {
        "what": "thread",
        "range": "pebble",
        "code": "11",
        "name": "bog oak",
        "colour": "#2b2724",
        "in_each_kit": "2",
        "in_all_kits": "50",
        "length_mm": "457.2",
        "put_up_strands": "6",
        "put_up": "skein",
        "put_up_m": "8",
        "put_ups_to_buy": "3",
    }
    assert [each["what"] for each in rows[6:]] == ["tapestry needle", "sharp needle", "booklet"]


def test_inches_and_yards_in_america():
    # 8 1/4 x 7 3/4 in on 55 in: 6 or, turned, 7. 3 strips of 7 3/4 and 1 of 8 1/4 are 31 1/2 in,
    # with 2 in 33 1/2 in; an eighth of a yard is 4 1/2 in: 8 of them are 36 in.
    sheet = as_sheet(wader(25, 55 * 25.4, "en-US"))
    assert "25 pieces of 8¼ × 7¾ in (21 × 20 cm)" in sheet
    assert "1 yd from a roll 55 in (139.7 cm) wide" in sheet
    assert "take 31½ in; with 2 in to straighten the end, buy 1 yd; 2½ in is left over" in sheet
    assert "pebble 11 bog oak: 2 x 18 in (45.7 cm), 6 strands" in sheet


def test_all_that_the_chart_needs_stands_on_the_list_so_often_as_there_are_kits(tmp_path):
    chart = """\
    linen 1
    booklet "Lamps"
      needs "A hoop"
      needs "=A lamp"
    fabric linen 32 over 2
    key
      m     #445566 "mud"
      lamp  #ffcc55 "-amber" bead
    motif small 2 x 1 over 1
      |mm|
    chart 3 x 2
      |mmm|
      |...|
      small at 0,1
      bead lamp 1,1
    """
    kit = kit_of(gather(worked_of(chart, tmp_path)), 3)
    sheet = as_sheet(kit)
    for line in (
        "Needles: 3 tapestry needles, size 26",
        "Needles: 3 tapestry needles, size 28",
        "Needles: 3 beading needles",
        "Beads: 6 beads, -amber",
        "  3 x A hoop",
        "  3 x =A lamp",
    ):
        assert f"  {line}\n" in sheet
    assert "Cutting the fabric" not in sheet
    rows = list(csv.DictReader(io.StringIO(as_csv({"": kit_table(kit)}, KIT_HEADER))))
    assert [each["name"] for each in rows[-3:]] == ["A hoop", "'=A lamp", ""]
    assert "'-amber" in [each["name"] for each in rows]
