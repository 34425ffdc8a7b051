"""A key in another range: what touches what, and a colourway that can be pasted as it stands."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.core.key import KeyEntry, Kind, Part, Strands, ThreadKind
from linenleaf.reports.outputnames import range_name
from linenleaf.reports.rekeyed import rekey, threads_of_key, touching_threads
from linenleaf.resolve.read import read
from linenleaf.resolve.threads import read_range

from ..charts import INK, LAMP, MADDER, SEDGE, cell, part
from ..snippets import worked_of
from ..thread_charts import chart

OWN = """\
code,name,colour
10,"sand, pale",#d9c79a
11,wrack,#3f4a2c
12,ebb,#7a96a6
13,ink,#20242c
"""
OTHER = """\
code,name,colour,metres,strands,put-up
1,dune,#d5c090,8,6,skein
2,kelp,#3c4a30,8,6,skein
3,channel,#6f8fa0,8,6,skein
4,midnight,#1c222e,20,1,card
5,rose,#c77f94,8,6,skein
6,jet,#101010,8,6,skein
"""
CHART = """
linen 1
booklet "Ebb"
fabric linen 32 over 2
range estuary from own.csv
key
  s     estuary 10
  w     estuary 11 3 strands
  z     estuary 12 with estuary 10
  ^     estuary 11 three-quarter top-left + estuary 12 1 strand quarter
  i     #aa3344 "madder \\\\ \\"red\\""
  rope  estuary 13 back
  lamp  #f2b33d "amber glass" bead
chart 6 x 2
  |sswwzz|
  |..^^ii|
  line rope 0,0 4,0
  bead lamp 1,2
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "own.csv").write_text(OWN, "utf-8")
    (tmp_path / "other-range.csv").write_text(OTHER, "utf-8")
    return tmp_path


def rekeyed(folder, file="other-range.csv"):
    worked = worked_of(CHART, folder)
    found, findings = read_range(folder / file, range_name(file.removesuffix(".csv"), ()))
    assert findings == ()
    return worked, rekey(worked, found, file)


def test_the_colourway_as_it_is_printed(folder):
    _, found = rekeyed(folder)
    way = found.text[found.text.index("\nrange") + 1 :]
    assert way == (
        'range other-range from "other-range.csv"\n'
        "\n"
        'colourway other-range "In threads of other-range"\n'
        "  s     other-range 1\n"
        "  w     other-range 2\n"
        "  z     other-range 3 with other-range 1\n"
        "  ^     other-range 2 + other-range 3\n"
        "  i     other-range 5\n"
        "  rope  other-range 4\n"
    )
    assert all(line.startswith("# ") for line in found.text.splitlines()[:7])
    assert found.close == ()


def test_pasted_into_the_chart_it_changes_every_thread_and_keeps_strands(folder):
    worked, found = rekeyed(folder)
    path = folder / "test.linen"
    path.write_text(f"{path.read_text('utf-8')}\n{found.text}", "utf-8")
    design, findings = read(path)
    assert findings == ()
    (way,) = design.colourways
    before = {
        entry.symbol: [[each.strands for each in piece.needle] for piece in entry.parts]
        for entry in worked.design.key
    }
    after = {
        change.symbol: [[each.strands for each in needle] for needle in change.needles]
        for change in way.changes
    }
    assert after == {symbol: each for symbol, each in before.items() if symbol != "lamp"}
    new = {each.thread.range for change in way.changes for n in change.needles for each in n}
    assert new == {"other-range"}


def test_a_range_that_the_chart_has_is_not_brought_in_again(folder):
    (folder / "estuary.csv").write_text(f"{OWN}14,gull,#aab0b4\n", "utf-8")
    worked = worked_of(CHART, folder)
    found, _ = read_range(folder / "estuary.csv", "estuary")
    text = rekey(worked, found, "estuary.csv").text
    assert "\nrange" not in text
    assert "  s     estuary 10\n" in text


def test_another_range_of_the_same_name_gets_a_name_of_its_own(folder):
    (folder / "estuary.csv").write_text(OTHER, "utf-8")
    worked = worked_of(CHART, folder)
    found, _ = read_range(folder / "estuary.csv", "estuary")
    text = rekey(worked, found, 'a "b".csv').text
    assert 'range estuary-2 from "a \\"b\\".csv"\n' in text
    assert "  s     estuary-2 1\n" in text


def test_beads_are_no_threads(folder):
    worked, _ = rekeyed(folder)
    assert [each.name for each in threads_of_key(worked.design)] == [
        "sand, pale",
        "wrack",
        "ebb",
        'madder \\ "red"',
        "ink",
    ]


KEY = (
    cell("m", part(MADDER)),
    cell("s", part(SEDGE)),
    cell("k", part(INK)),
    KeyEntry("z", (Part(Kind.FULL, (Strands(MADDER, 1), Strands(LAMP, 1))),)),
)
THREADS = (MADDER, SEDGE, INK, LAMP)
HOLDS = ({0}, {1}, {2}, {0, 3})


@given(
    st.integers(1, 7).flatmap(
        lambda width: st.lists(
            st.lists(st.integers(0, 4), min_size=width, max_size=width), min_size=1, max_size=7
        )
    )
)
def test_touching_threads_as_a_plain_loop_finds_them(rows):
    grid = np.array(rows)
    expected = np.zeros((4, 4), dtype=bool)
    height, width = grid.shape
    for y in range(height):
        for x in range(width):
            for dy, dx in ((0, 1), (1, 0), (1, 1), (1, -1)):
                if not (y + dy < height and 0 <= x + dx < width):
                    continue
                one, other = grid[y, x], grid[y + dy, x + dx]
                if one and other and not HOLDS[one - 1] & HOLDS[other - 1]:
                    for first in HOLDS[one - 1]:
                        for second in HOLDS[other - 1]:
                            expected[first, second] = expected[second, first] = True
    found = touching_threads(chart(grid, key=KEY), THREADS)
    assert np.array_equal(found, expected)


@pytest.mark.parametrize(
    ("stem", "name"),
    [
        ("estuary", "estuary"),
        ("My threads (2026)", "My-threads-2026"),
        ("417", "threads-417"),
        ("x", "threads-x"),
        ("€", "threads"),
        ("key", "key-2"),
        ("shore", "shore-3"),
        ("a" * 99, "a" * 40),
    ],
)
def test_names_of_ranges(stem, name):
    assert range_name(stem, {"shore", "shore-2"}) == name


def test_metal_is_no_substitute_unless_asked_for(folder):
    kinds = OTHER.replace("put-up\n", "put-up,kind\n").replace("channel,#6f8fa0", "channel,#7a96a6")
    frost = kinds.replace("#7a96a6,8,6,skein", "#7a96a6,8,1,skein,metallic") + "7,moss,#5f7a4a\n"
    (folder / "frost.csv").write_text(frost, "utf-8")
    worked = worked_of(CHART, folder)
    target, _ = read_range(folder / "frost.csv", "frost")
    assert "frost 3" not in rekey(worked, target, "frost.csv").text
    asked = rekey(worked, target, "frost.csv", [ThreadKind.STRANDED, ThreadKind.METALLIC]).text
    assert "estuary 12 ebb" in asked
    assert "the same to the eye; metallic for stranded" in asked
