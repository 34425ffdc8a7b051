"""Several charts and folders at once: what is told of each, the sum, and the exit status.

The expected text is in `tests/data/several/*.expected`. After a change that is meant, rewrite it
with `LINENLEAF_REWRITE=1 pytest tests/commands/test_several.py` and read the difference.
"""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result
from linenleaf.cli import main
from linenleaf.core import files
from linenleaf.core.files import CannotList, charts_below

from .test_check_command import SCHEMA

DATA = Path(__file__).parent.parent / "data" / "several"
REWRITE = bool(os.environ.get("LINENLEAF_REWRITE"))


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Path:
    copy = tmp_path / "several"
    shutil.copytree(DATA, copy, ignore=shutil.ignore_patterns("*.expected"))
    monkeypatch.chdir(copy)
    return copy


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


@pytest.mark.parametrize(
    ("name", "words", "status"),
    [
        ("check", ["check", "."], 1),
        ("check-shared", ["check", "parts/birds.linen"], 0),
        ("count", ["count", "."], 1),
        ("tidy", ["tidy", "."], 0),
        ("tidy-check", ["tidy", "--check", "."], 1),
        ("picture", ["picture", ".", "--width", "64"], 1),
        ("build-shared", ["build", "parts"], 2),
        ("build-one-shared", ["build", "parts/birds.linen"], 1),
        ("picture-output", ["picture", ".", "-o", "one.png"], 2),
    ],
)
def test_the_output_is_as_expected(folder, name, words, status):
    done = run(*words)
    told = done.output  # both streams, as on a terminal
    expected = DATA / f"{name}.expected"
    if REWRITE:
        expected.write_text(told, "utf-8")
    assert told == expected.read_text("utf-8")
    assert done.exit_code == status


def test_booklets_of_several_charts_have_names_by_their_form(folder):
    done = run("build", "dune.linen", "reed.linen", "parts/birds.linen", "--paper", "a5")
    assert done.exit_code == 0, done.output
    assert done.stdout.splitlines()[1::2] == ["dune--a5.pdf", "reed--a5.pdf"]
    assert done.stderr.splitlines()[-1] == "3 files: 2 built, 1 skipped."
    assert sorted(each.name for each in folder.glob("*.pdf")) == ["dune--a5.pdf", "reed--a5.pdf"]


@pytest.mark.parametrize(
    ("chart", "mildest", "status"),
    [
        ("reed.linen", "error", 0),
        ("reed.linen", "warning", 1),
        ("dune.linen", "warning", 0),
        ("dune.linen", "hint", 1),
        ("parts/birds.linen", "hint", 0),
        ("wreck.linen", "error", 1),
    ],
)
def test_a_check_fails_on_what_is_asked_for(folder, chart, mildest, status):
    assert run("check", chart, "--fail-on", mildest).exit_code == status


def test_json_of_several_is_one_document_and_of_one_what_it_always_was(folder):
    one = json.loads(run("check", "reed.linen", "--format", "json").stdout)
    all_ = json.loads(run("check", ".", "--format", "json").stdout)
    assert [each["chart"] for each in all_["charts"]] == [
        "dune.linen",
        "parts/birds.linen",
        "parts/letters.linen",
        "reed.linen",
        "wreck.linen",
    ]
    assert one in all_["charts"]
    assert all_["counts"] == {"error": 2, "warning": 1, "hint": 1, "silenced": 0}
    assert [each.get("shared", False) for each in all_["charts"]] == [
        False,
        True,
        True,
        False,
        False,
    ]


def test_sarif_of_several_is_one_run(folder):
    log = json.loads(run("check", ".", "--format", "sarif").stdout)
    jsonschema.validate(log, SCHEMA, jsonschema.Draft4Validator)
    [done] = log["runs"]
    assert [each["ruleId"] for each in done["results"]] == [
        "few-stitches",
        "ragged-row",
        "unused-symbol",
        "ragged-row",
    ]


def test_counts_of_several_are_one_table_or_document(folder):
    rows = list(csv.DictReader(io.StringIO(run("count", ".", "--format", "csv").stdout)))
    assert [(row["chart"], row["what"], row["number"]) for row in rows] == [
        ("dune.linen", "thread", "3"),
        ("reed.linen", "thread", "5"),
    ]
    told = json.loads(run("count", ".", "--format", "json").stdout)
    assert [(each["chart"], each["crosses"]) for each in told["charts"]] == [
        ("dune.linen", 3),
        ("reed.linen", 5),
    ]


def test_the_worst_status_is_that_of_all(folder):
    assert run("count", "dune.linen", "reed.linen").exit_code == 0
    assert run("count", "wreck.linen", "reed.linen").exit_code == 1
    done = run("count", "wreck.linen", "reed.linen", "--colourway", "dusk")
    assert done.exit_code == 2  # that there is none is found of a chart without errors only
    assert done.stderr.splitlines()[-1] == "2 files: 1 with errors, 1 not done."


def test_a_chart_named_twice_is_taken_once(folder):
    done = run("check", "reed.linen", "./reed.linen", ".")
    assert done.stdout.count("reed.linen: 1 warning") == 1
    assert done.stdout.splitlines()[0].startswith("reed.linen:7:3")  # in the order of the words


def test_a_folder_with_too_much_in_it_is_refused(folder, monkeypatch):
    monkeypatch.setattr(files, "MOST_CHARTS", 4)
    done = run("check", ".")
    assert done.exit_code == 2
    assert ". has 5 charts below it; at most 4 are taken at once." in done.stderr
    monkeypatch.setattr(files, "MOST_ENTRIES", 3)
    with pytest.raises(CannotList, match="more than 3 files"):
        charts_below(folder)


# Root may open any folder, but not without these powers (capabilities(7)), which setpriv(1) takes.
POWERLESS = (
    ["setpriv", "--bounding-set=-dac_override,-dac_read_search"]
    if os.name == "posix" and os.geteuid() == 0
    else []
)


@pytest.mark.skipif(os.name != "posix", reason="permissions are those of POSIX")
@pytest.mark.skipif(bool(POWERLESS) and not shutil.which("setpriv"), reason="no setpriv for root")
def test_a_folder_that_cannot_be_opened_is_told(folder):
    (folder / "parts").chmod(0)
    words = [*POWERLESS, sys.executable, "-m", "linenleaf", "check", "."]
    done = subprocess.run(words, cwd=folder, capture_output=True, text=True, check=False)
    (folder / "parts").chmod(0o755)
    assert done.returncode == 2
    assert "The folder parts cannot be opened: permission denied." in done.stderr
