"""Thread ranges: tables as spreadsheets save them."""

from __future__ import annotations

from pathlib import Path

import pytest
from linenleaf.core.ground import Method
from linenleaf.core.key import Thread, ThreadKind
from linenleaf.resolve.read import read

from tests.sources import SMALL, folder_with


def threads_of(tmp_path: Path, table: str, chart: str = SMALL):
    path = folder_with(tmp_path, chart)
    (tmp_path / "shore.csv").write_text(table, "utf-8")
    return read(path)


REST = "31,wrack,#3F4A2C\n58,rope,#8a6d3b\n"


@pytest.mark.parametrize(
    "table",
    [
        f"code,name,colour\n12,sand,#d9c79a\n{REST}",
        "colour,code,name\n#d9c79a,12,sand\n#3f4a2c,31,wrack\n#8a6d3b,58,rope\n",
        f"\ufeffCode,Name,Colour\n12,sand,#d9c79a\n\n{REST}",
        f'"code","name","colour"\n"12","sand","#D9C79A"\n{REST}',
        f"code, name, colour\n 12 , sand , #d9c79a \n{REST}",
        f"code,name,colour,metres,strands,put-up\n12,sand,#d9c79a,,,\n{REST}",
        f"code,name,colour\r\n12,sand,#d9c79a\r\n{REST}",
    ],
)
def test_tables_that_mean_the_same(tmp_path, table):
    design, findings = threads_of(tmp_path, table)
    assert findings == ()
    assert design is not None
    assert design.key[1].parts[0].needle[0].thread == Thread("shore", "12", "sand", "#d9c79a")


def test_a_thread_says_for_itself_what_differs_from_the_range(tmp_path):
    chart = SMALL.replace("shore.csv\n", 'shore.csv\n  metres 5\n  strands 4\n  put-up "card"\n')
    table = f'code,name,colour,metres,strands,put-up\n12,"a ""b"", c",#d9c79a,20.5,,\n{REST}'
    design, findings = threads_of(tmp_path, table, chart)
    assert findings == ()
    assert design is not None
    wrack, sand, _ = (entry.parts[0].needle[0].thread for entry in design.key)
    assert (wrack.metres, wrack.strands, wrack.put_up) == (5, 4, "card")
    assert (sand.name, sand.metres, sand.strands) == ('a "b", c', 20.5, 4)


@pytest.mark.parametrize(
    ("line", "place", "name"),
    [
        ("12,sand,d9c79a", "2:9", "bad-colour"),
        ("12,sand,", "2:9", "bad-colour"),
        ("12,sand", "2:1", "short-line"),
        ("12,sand,#d9c79a,8,6,skein,more", "2:1", "long-line"),
        (",sand,#d9c79a", "2:1", "bad-code"),
        ("12,sand,#d9c79a,many", "2:17", "bad-number"),
        ("12,sand,#d9c79a,-1", "2:17", "bad-number"),
        ("12,sand,#d9c79a,nan", "2:17", "bad-number"),
        ("12,sand,#d9c79a,1e9", "2:17", "bad-number"),
        ("12,sand,#d9c79a,0", "2:17", "absurd-number"),
        ("12,sand,#d9c79a,8,2.5", "2:19", "not-whole"),
        ('12,"sand,#d9c79a', "2:1", "bad-csv"),
    ],
)
def test_what_is_wrong_with_a_line_is_shown_in_the_table(tmp_path, line, place, name):
    table = f"code,name,colour,metres,strands,put-up\n{line}\n{REST}"
    design, findings = threads_of(tmp_path, table)
    assert design is None
    assert [each.name for each in findings] == [name]  # and the chart is not blamed for it
    span = findings[0].span
    assert span is not None
    assert span.path.endswith("shore.csv")
    assert f"{span.line}:{span.column}" == place


def test_a_code_that_is_not_there_is_answered_with_the_nearest(tmp_path):
    design, findings = threads_of(
        tmp_path, f"code,name,colour\n1200,sand,#d9c79a\n1201,dune,#d9c79b\n{REST}"
    )
    assert design is None
    (finding,) = findings
    assert finding.name == "unknown-thread"
    assert "`1200` (sand)" in finding.hints[0].message


def test_a_long_table_is_read_to_its_bound(tmp_path):
    table = "code,name,colour\n" + "".join(f"{n},n,#d9c79a\n" for n in range(25_000))
    _, findings = threads_of(tmp_path, table)
    assert [each.name for each in findings] == ["range-too-long"]


def test_a_column_that_is_not_read_hides_no_unknown_thread(tmp_path):
    design, findings = threads_of(tmp_path, "code,name,colour,shade\n31,wrack,#3f4a2c,x\n")
    assert design is None
    assert {each.name for each in findings} == {"unknown-thread", "unknown-column"}


NEWER = SMALL.replace("linen 1", "linen 2", 1)
KINDS = "code,name,colour,kind,colours,metres,yards,strands\n"


def thread_of(tmp_path, line: str, chart: str = NEWER) -> Thread:
    design, findings = threads_of(tmp_path, f"{KINDS}{line}\n{REST}", chart)
    assert findings == ()
    assert design is not None
    return design.key[1].parts[0].needle[0].thread


def test_a_range_says_what_its_threads_are(tmp_path):
    dyed = thread_of(tmp_path, "12,rosehip,#b04a3a,overdyed,#B04A3A  #d97a4a,5,,4")
    assert (dyed.kind, dyed.colours) == (ThreadKind.OVERDYED, ("#b04a3a", "#d97a4a"))
    assert (dyed.metres, dyed.strands, dyed.divides) == (5, 4, True)
    frost = thread_of(tmp_path, "12,frost,#c9ced6,Metallic,,,,")
    assert (frost.kind, frost.strands, frost.divides) == (ThreadKind.METALLIC, 1, False)
    assert thread_of(tmp_path, "12,frost,#c9ced6,metallic,,,,3").divides
    plain = thread_of(tmp_path, "12,sand,#d9c79a,,,,,")
    assert plain == Thread("shore", "12", "sand", "#d9c79a")


def test_yards_are_taken_as_metres_exactly(tmp_path):
    # A yard is 0.9144 m: international yard and pound agreement, 1 July 1959.
    assert thread_of(tmp_path, "12,sand,#d9c79a,,,,10,").metres == pytest.approx(9.144, abs=1e-12)
    chart = NEWER.replace("shore.csv\n", "shore.csv\n  yards 8.7\n")
    assert thread_of(tmp_path, "12,sand,#d9c79a,,,,,", chart).metres == pytest.approx(7.95528)


def test_a_range_of_one_kind(tmp_path):
    chart = NEWER.replace("shore.csv\n", "shore.csv\n  kind perle\n  metres 25\n")
    perle = thread_of(tmp_path, "12,twine,#c9ad7e,,,,,", chart)
    assert (perle.kind, perle.strands, perle.metres) == (ThreadKind.PERLE, 1, 25)
    # What is said of the strands of others is not said of those that have one.
    chart = NEWER.replace("shore.csv\n", "shore.csv\n  strands 4\n")
    assert thread_of(tmp_path, "12,twine,#c9ad7e,perle,,,,", chart).strands == 1
    assert thread_of(tmp_path, "12,moss,#3f4a2c,overdyed,#3f4a2c #d9c79a,,,", chart).strands == 4


def test_an_older_chart_reads_an_older_table_as_it_always_did(tmp_path):
    table = f"code,name,colour,kind\n12,sand,#d9c79a,fine wool\n{REST}"
    design, findings = threads_of(tmp_path, table)
    assert [each.name for each in findings] == ["unknown-column"]
    assert design is not None
    assert design.key[1].parts[0].needle[0].thread == Thread("shore", "12", "sand", "#d9c79a")


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("12,sand,#d9c79a,silky,,,,", "unknown-kind"),
        ("12,sand,#d9c79a,overdyed,,,,", "overdyed-colours"),
        ("12,sand,#d9c79a,overdyed,#d9c79a,,,", "overdyed-colours"),
        ("12,sand,#d9c79a,flat,#d9c79a #b08d5f,,,", "overdyed-colours"),
        ("12,sand,#d9c79a,overdyed,#d9c79a b08d5f,,,", "bad-colour"),
        ("12,sand,#d9c79a,,,8,8.7,", "two-lengths"),
        ("12,sand,#d9c79a,,,,0,", "absurd-number"),
        ("12,sand,#d9c79a,perle,,,,2", "strands-of-one"),
    ],
)
def test_what_is_wrong_with_a_kind_is_shown_in_the_table(tmp_path, line, name):
    _, findings = threads_of(tmp_path, f"{KINDS}{line}\n{REST}", NEWER)
    assert [each.name for each in findings] == [name]
    assert findings[0].span is not None
    assert findings[0].span.line == 2


@pytest.mark.parametrize(
    ("lines", "name"),
    [("metres 8\n  yards 9", "two-lengths"), ("kind perle\n  strands 6", "strands-of-one")],
)
def test_what_is_wrong_with_a_whole_range_is_shown_in_the_chart(tmp_path, lines, name):
    chart = NEWER.replace("shore.csv\n", f"shore.csv\n  {lines}\n")
    _, findings = threads_of(tmp_path, f"code,name,colour\n12,sand,#d9c79a\n{REST}", chart)
    assert [each.name for each in findings] == [name]


ODD = f"{KINDS}12,frost,#c9ced6,metallic,,,,\n77,dew,#dfeaf2,bead,,,,\n{REST}"
OPENING = "linen 2\nfabric linen 32 over 2\nrange shore from shore.csv\n"


def key_of(tmp_path, key: str, more: str = "", rows: str = "|mm|"):
    chart = f"{OPENING}key\n  m  shore 31\n{key}{more}chart 2 x 1\n  {rows}\n"
    return threads_of(tmp_path, ODD, chart)


def test_strands_that_are_assumed_are_those_of_the_thread(tmp_path):
    key = "  f  shore 12\n  g  shore 12 2 strands\n  h  shore 31 with shore 12\n"
    design, findings = key_of(tmp_path, key, "thread shore 31\n  strands 3\n")
    assert findings == ()
    assert design is not None
    counts = [[each.strands for each in entry.parts[0].needle] for entry in design.key]
    assert counts == [[3], [1], [2], [3, 1]]


@pytest.mark.parametrize(
    "key", ["  d  shore 77\n", "  dd  shore 77 back\n", "  d  shore 31 with shore 77\n"]
)
def test_nothing_is_stitched_in_beads(tmp_path, key):
    _, findings = key_of(tmp_path, key)
    assert [each.name for each in findings] == ["bead-for-thread"]
    way = "colourway pale\n  m  shore 77\n"
    assert [each.name for each in key_of(tmp_path, "", way)[1]] == ["bead-for-thread"]
    assert key_of(tmp_path, "  dd  shore 77 bead\n")[1] == ()


def test_a_thread_is_worked_in_its_own_way(tmp_path):
    more = "thread shore 31\n  needleful 30 cm\n  tail 5 cm\n  method each\n"
    design, findings = key_of(tmp_path, "", more)
    assert findings == ()
    assert design is not None
    (own,) = design.working.own
    assert (own.needleful, own.tail, own.method, own.strands) == (300, 50, Method.EACH, None)


@pytest.mark.parametrize(
    ("more", "name"),
    [
        ("thread shore 31\n  tail 5 cm\nthread shore 31\n  method each\n", "second-block"),
        ("thread shore 31\n  tail 5 cm\n  tail 6 cm\n", "repeated-line"),
        ("thread shore 31\n  needleful 20 cm\n", "tails-too-long"),
        (
            "working\n  needleful 22 cm\n  tail 5 cm\nthread shore 31\n  tail 6 cm\n",
            "tails-too-long",
        ),
        ("thread shore 12\n  method each\n", "thread-not-used"),
        ("thread shore 99\n  method each\n", "unknown-thread"),
        ("thread shore 31\n  carry 5 cm\n", "unknown-word"),
    ],
)
def test_what_is_wrong_with_a_way_of_working(tmp_path, more, name):
    assert [each.name for each in key_of(tmp_path, "", more)[1]] == [name]
