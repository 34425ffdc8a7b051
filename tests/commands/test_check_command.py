"""What `linenleaf check` says: as text, as JSON, as SARIF.

The expected text is in `tests/data/check/*.expected`. After a change that is meant, rewrite it with
`LINENLEAF_REWRITE=1 pytest tests/commands/test_check_command.py` and read the difference.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

import jsonschema
import pytest
from click.testing import CliRunner, Result
from linenleaf import __version__
from linenleaf.cli import main
from linenleaf.core.source import Source
from linenleaf.reports.listing import list_findings

from tests.made_up import error

DATA = Path(__file__).parent.parent / "data"
CHECK = DATA / "check"
REWRITE = bool(os.environ.get("LINENLEAF_REWRITE"))

# The published JSON schema of SARIF 2.1.0, release 5, as the npm package @microsoft/jest-sarif
# 1.0.0-beta.0 (MIT licence) carries it.
SCHEMA = json.loads((DATA / "sarif-2.1.0-rtm.5.json").read_text("utf-8"))

CHARTS = {"reed.linen": 1, "meant.linen": 0}


def check(path: str, form: str = "text") -> Result:
    return CliRunner().invoke(main, ["check", path, "--format", form])


def sarif(path: str) -> dict:
    log = json.loads(check(path, "sarif").output)
    jsonschema.Draft4Validator(
        SCHEMA, format_checker=jsonschema.Draft4Validator.FORMAT_CHECKER
    ).validate(log)
    return log["runs"][0]


@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize("form", ["text", "json", "sarif"])
def test_the_output_is_as_expected(name, form, monkeypatch):
    monkeypatch.chdir(CHECK)
    done = check(name, form)
    expected = CHECK / f"{name.removesuffix('.linen')}.{form}.expected"
    said = done.output.replace(f'"version": "{__version__}"', '"version": "(of linenleaf)"')
    if REWRITE:
        expected.write_text(said, "utf-8")
    assert said == expected.read_text("utf-8")
    assert done.exit_code == CHARTS[name]


def test_the_schema_refuses_what_is_no_sarif(monkeypatch):
    monkeypatch.chdir(CHECK)
    log = json.loads(check("reed.linen", "sarif").output)
    log["runs"][0]["results"][0]["level"] = "hint"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(log, SCHEMA, jsonschema.Draft4Validator)


def test_every_broken_chart_gives_sarif_that_the_schema_takes(monkeypatch):
    monkeypatch.chdir(DATA / "broken")
    for path in sorted(Path().glob("*.linen")):
        run = sarif(str(path))
        rules = [each["id"] for each in run["tool"]["driver"]["rules"]]
        assert len(set(rules)) == len(rules)
        for each in run["results"]:
            assert rules[each["ruleIndex"]] == each["ruleId"]
            # 3.27.10: the levels of the standard
            assert each["level"] in {"error", "warning", "note"}


def test_levels_and_reasons_are_handed_on(monkeypatch):
    monkeypatch.chdir(CHECK)
    loud, quiet = sarif("meant.linen")["results"]
    assert "suppressions" not in loud
    assert loud["level"] == "warning"
    [suppression] = quiet["suppressions"]
    assert suppression["kind"] == "inSource"
    assert suppression["justification"] == "kept for the second edition"
    assert suppression["location"]["physicalLocation"]["region"]["startLine"] == 5


STRANGE = """\
linen 1
fabric linen 32 over 2
key
  \U0001f41f  #3f4a2c "e\u0301"
  m  #d9c79a "e\u0301 \U0001f41f" four strands
chart 6 x 1
  |\U0001f41f\U0001f41f\U0001f41fmQm|
  line e\u0301bb 0,0 1,1
"""


def marked(place: dict, folder: Path) -> str:
    """The text that a place names, taken from the file as another program would take it."""
    region = place["region"]
    assert place["artifactLocation"]["uriBaseId"] == "WORKING_FOLDER"
    text = (folder / unquote(place["artifactLocation"]["uri"])).read_bytes().decode()
    line = text.split("\r\n")[region["startLine"] - 1].encode("utf-16-le")
    assert region["endLine"] == region["startLine"]
    return line[2 * (region["startColumn"] - 1) : 2 * (region["endColumn"] - 1)].decode("utf-16-le")


def test_columns_count_utf16_units_of_the_file_itself(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    name = "my charts/e\u0301bb #1 100%.linen"
    Path("my charts").mkdir()
    Path(name).write_bytes(STRANGE.replace("\n", "\r\n").encode())
    run = sarif(name)
    assert run["columnKind"] == "utf16CodeUnits"
    found = {}
    for each in run["results"]:
        place = each["locations"][0]["physicalLocation"]
        assert place["artifactLocation"]["uri"] == "my%20charts/e%CC%81bb%20%231%20100%25.linen"
        found[each["ruleId"], marked(place, tmp_path)] = each
    assert {key[1] for key in found} >= {"Q", "e\u0301bb", "four"}


def related(path: str) -> Iterator[dict]:
    for each in sarif(path)["results"]:
        yield from each.get("relatedLocations", ())


def test_second_places_are_handed_on(monkeypatch):
    monkeypatch.chdir(CHECK)
    [second] = related("reed.linen")
    assert second["message"]["text"] == "3 is stated here."
    assert marked_unix(second["physicalLocation"]) == "3 x 2"


def marked_unix(place: dict) -> str:
    line = (CHECK / place["artifactLocation"]["uri"]).read_text("utf-8").splitlines()
    region = place["region"]
    return line[region["startLine"] - 1][region["startColumn"] - 1 : region["endColumn"] - 1]


def test_files_are_named_from_where_the_check_runs(tmp_path, monkeypatch):
    monkeypatch.chdir(CHECK / "parts")
    for each in sarif("../reed.linen")["results"]:
        place = each["locations"][0]["physicalLocation"]["artifactLocation"]
        if each["ruleId"] == "ragged-row":
            assert place == {"uri": "birds.linen", "uriBaseId": "WORKING_FOLDER"}
        else:  # outside the working folder
            assert Path(place["uri"].removeprefix("file://")).parent == CHECK
    monkeypatch.chdir(CHECK)
    both = [sarif(path)["results"] for path in (str(CHECK / "reed.linen"), "reed.linen")]
    whole, short = (sorted(json.dumps(each) for each in results) for results in both)
    assert whole == short


def test_counts_in_json_are_those_of_the_findings(monkeypatch):
    monkeypatch.chdir(CHECK)
    plain = json.loads(check("reed.linen", "json").output)
    assert plain["counts"] == {"error": 4, "warning": 0, "hint": 0, "silenced": 0}
    assert len(plain["findings"]) == 4


def test_findings_of_no_file_have_no_heading():
    place = Source("a.linen", "x").span(0, 1)
    told = list_findings((error("one", "Nowhere.", None), error("two", "Here.", place)))
    assert told.startswith("error: Nowhere. [one]\n\n--- a.linen: 1 error\n\na.linen:1:1: error")
    assert told.endswith("\n\n2 errors")
    assert list_findings(()) == "no findings"


def test_other_commands_tell_findings_alike(monkeypatch):
    monkeypatch.chdir(CHECK)
    done = CliRunner().invoke(main, ["count", "reed.linen"])
    assert done.exit_code == 1
    whole = check("reed.linen").output
    assert done.stderr.splitlines()[-1] == "4 errors in 3 files"
    assert sorted(done.stderr.splitlines()[:-1]) == sorted(whole.splitlines()[:-1])


def test_a_chart_that_is_not_there_is_misuse():
    assert check("nothing.linen").exit_code == 2


PLACED = """linen {version}
fabric aida 14
key
  m  #3f4a2c "wrack"
motif boat 5 x 2
  |mmmmm|
  |.mmm.|
chart 20 x 9
  boat at 2,3 {named}
  {more}
"""


def test_places_in_a_motif_are_listed_too(tmp_path):
    path = tmp_path / "boats.linen"
    fleet = "motif fleet fitted\n  boat at 0,0\n  boat below gap 1\nchart"
    text = PLACED.format(version=2, named="", more="fleet at 10,0").replace("chart", fleet)
    path.write_text(text, "utf-8")
    told = CliRunner().invoke(main, ["check", str(path), "--places"]).output
    listed = [" ".join(line.split()) for line in told.splitlines()]
    start = listed.index("The motif `fleet` is 5 x 5 crosses.")
    assert listed[start + 4 : start + 6] == ["9 boat 0,0 5 x 2", "10 boat 0,3 5 x 2"]


@pytest.mark.parametrize(
    ("version", "named", "more", "rows"),
    [
        (1, "", "boat x 2 at 8,0 step 6,0", ["9 boat 2,3 5 x 2", "10 boat 8,0 11 x 2"]),
        (
            2,
            "named low",
            "boat below low gap 1 centred on chart",
            ["9 low boat 2,3 5 x 2", "10 boat 7,6 5 x 2"],
        ),
    ],
)
def test_places_are_listed_when_asked_for(tmp_path, version, named, more, rows):
    path = tmp_path / "boats.linen"
    path.write_text(PLACED.format(version=version, named=named, more=more), "utf-8")
    told = CliRunner().invoke(main, ["check", str(path), "--places"]).output
    listed = [" ".join(line.split()) for line in told.splitlines()]
    assert listed[0] == "The chart is 20 x 9 crosses."
    assert listed[4:6] == rows
    done = CliRunner().invoke(main, ["check", str(path), "--places", "--format", "json"])
    assert [each["line"] for each in json.loads(done.output)["places"]] == [9, 10]
    assert "places" not in json.loads(check(str(path), "json").output)
