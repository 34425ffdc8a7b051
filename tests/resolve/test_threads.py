"""Thread ranges: tables as spreadsheets save them."""

from __future__ import annotations

from pathlib import Path

import pytest
from linenleaf.core.key import Thread
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
