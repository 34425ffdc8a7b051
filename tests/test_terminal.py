"""Nothing that cannot be seen is printed, whatever files are called and whatever stands in them."""

from __future__ import annotations

import ast
import json
import os
import pty
from pathlib import Path

import pytest
import regex
from click.testing import CliRunner, Result
from linenleaf import console
from linenleaf.cli import main
from linenleaf.terminal import echo_findings

from tests.modules import nodes

# The properties as the `regex` package has them, from the Unicode Character Database.
HIDDEN = regex.compile(
    r"[[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}\p{Default_Ignorable_Code_Point}\p{Bidi_Control}]--[\n]]",
    regex.VERSION1,
)
STRANGE = {
    # Escape, bell, the one-byte form of escape and bracket, a turned direction, an isolate, no
    # width, the Hangul filler, a variation selector, a tag.
    "hidden": "re\x1b[31m\x07\x9b31m\u202e\u2066\u200b\u3164\ufe0f\U000e0061ed",
    "line end": "re\ned.linen:1:1: error: forged",
    "no UTF-8": os.fsdecode(b"re\xe9d"),
}
CHART = """\
linen 1
fabric linen 32 over 2
range shore from {range}
key
  m  shore 31
chart 3 x 1
  |{row}|
"""
RANGE = "code,name,colour\n31,wrack,#3f4a2c\n"


@pytest.fixture(params=STRANGE)
def name(request, tmp_path, monkeypatch) -> str:
    name = STRANGE[request.param]
    folder = tmp_path / name
    folder.mkdir()
    for chart, near, row in (
        (f"{name}.linen", "shore.csv", "mmm"),
        ("other.linen", "shore.csv", "m.m"),
        ("wrong.linen", "shore.csv", "mm"),
        ("guess.linen", "shore-.csv", "mmm"),
    ):
        (folder / chart).write_text(CHART.format(range=near, row=row), "utf-8")
    (folder / "shore.csv").write_text(RANGE, "utf-8")
    (folder / f"shore-{name}.csv").write_text(RANGE, "utf-8")
    monkeypatch.chdir(tmp_path)
    return name


def run(*words: str) -> Result:
    done = CliRunner().invoke(main, words)
    assert done.exception is None or isinstance(done.exception, SystemExit)
    return done


def test_nothing_hidden_is_printed(name):
    chart, other = f"{name}/{name}.linen", f"{name}/other.linen"
    missing = f"{name}-missing.linen"
    for words in (
        ["check", chart],
        ["check", name],
        ["check", f"{name}/wrong.linen"],
        ["check", f"{name}/guess.linen"],
        ["check", missing],
        ["check", chart, "--format", "json"],
        ["check", name, "--format", "json"],
        ["check", name, "--format", "sarif"],
        ["check", "--about", name],
        ["check", chart, "--letter", f"{name}=x"],
        ["check", f"--{name}"],
        [name],
        ["count", name, "--format", "csv"],
        ["count", chart, "--format", "json"],
        ["count", chart, "--colourway", name],
        ["count", chart, "--fabric", name],
        ["count", chart, "--used", f"{name}=1"],
        ["tidy", chart, "--diff"],
        ["tidy", chart],
        ["tidy", name, "--check"],
        ["picture", chart, "--width", "64"],
        ["picture", chart, "-o", f"{name}/{name}"],
        ["picture", chart, "-o", f"{missing}/x.png", "--width", "64"],
        ["diff", other, chart],
        ["diff", f"{name}:x.linen", chart],
        ["diff", other, chart, "--format", "json"],
        ["errata", other, chart, "--revisions"],
        ["match", f"{name}/shore-{name}.csv", "#3f4a2c"],
        ["match", f"{name}/shore-{name}.csv", name],
        ["match", chart, "--into", f"{name}/shore-{name}.csv"],
        ["new", f"{name}/new-{name}"],
        ["new", f"{name}/new-{name}"],
        ["bring", f"{name}/shore.csv", "--range", f"{name}/shore-{name}.csv", "--means", name],
    ):
        done = run(*words)
        found = HIDDEN.search(done.output)
        assert found is None, (words, done.output)
        assert not any(line.startswith("ed.linen:1:1:") for line in done.output.splitlines()), words


def test_a_guess_shows_the_name_by_its_numbers(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("reed.linen").write_text(CHART.format(range="shore.csv", row="mmm"), "utf-8")
    Path("sho\u202ere.csv").write_text(RANGE, "utf-8")
    assert "did you mean `sho<U+202E>re.csv`?" in run("check", "reed.linen").output


def test_json_says_the_same_with_numbers(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    name = "reed\u202e\U000e0061\x07.linen"
    Path(name).write_text(CHART.format(range="shore.csv", row="mmm"), "utf-8")
    done = run("check", name, "--format", "json")
    assert "reed\\u202e\\udb40\\udc61\\u0007.linen" in done.stdout
    assert json.loads(done.stdout)["chart"] == name


def test_colours_are_put_in_after_all_else(monkeypatch, capsys):
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    echo_findings("a\x1b[31m.linen:1:1: error: Wrong. [wrong]\n  1 | error: x")
    shown = capsys.readouterr().out
    assert shown.startswith("a<U+001B>[31m.linen:1:1: ")
    assert shown.endswith(" Wrong. [wrong]\n  1 | error: x\n")


def test_a_terminal_is_told_of_work_that_takes_long_and_the_words_go_with_it(monkeypatch):
    try:
        here, terminal = pty.openpty()
    except OSError:
        pytest.skip("no terminal can be had here")
    with os.fdopen(terminal, "w") as stream, os.fdopen(here, "rb", buffering=0) as seen:
        monkeypatch.setattr("sys.stderr", stream)
        monkeypatch.setenv("TERM", "xterm")
        monkeypatch.setattr(console, "LONG", 60)
        with console.told_if_long("sorting"):
            pass
        monkeypatch.setattr(console, "LONG", 0)
        shown = b""
        with console.told_if_long("reading"):
            while b"reading" not in shown:
                shown += seen.read(1000)
        assert b"sorting" not in shown
        stream.write("end")
        stream.flush()
        while b"end" not in shown:
            shown += seen.read(1000)
    assert shown.endswith(b"\x1b[2Kend")


PRINTS = {"print", "echo", "secho"}


def test_no_other_module_prints():
    for path, node in nodes(ast.Call):
        called = getattr(node.func, "attr", getattr(node.func, "id", ""))
        # Plain `echo` is that of `terminal`, through which goes what it is given.
        ours = path == "terminal.py" or ast.unparse(node.func) == "echo"
        assert called not in PRINTS or ours, (path, node.lineno)
