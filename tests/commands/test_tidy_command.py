"""`linenleaf tidy` as it is typed: what is written, what is said, and the exit status."""

from __future__ import annotations

import shutil
import subprocess
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from linenleaf.chart.symbols import of_key
from linenleaf.cli import main
from linenleaf.commands.new import start
from linenleaf.core.diagnostics import render
from linenleaf.core.source import Source
from linenleaf.resolve.read import read
from linenleaf.syntax.parse import parse

UNTIDY = "linen 1\nkey\nm shore 31\n"
TIDY = "linen 1\n\nkey\n  m  shore 31\n"
BROKEN = "linen 1\nkey\n  m\n"
DIFFERENCE = """\
--- untidy.linen
+++ untidy.linen
@@ -1,3 +1,4 @@
 linen 1
+
 key
-m shore 31
+  m  shore 31
"""
SUMMED = "2 files: 1 not tidy, 1 tidy already.\n"
# As any command tells it.
FINDING = render(parse(Source("broken.linen", BROKEN))[1][0]) + "\n\n1 error\n"


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    for name, text in (("untidy", UNTIDY), ("tidy", TIDY), ("broken", BROKEN)):
        (tmp_path / f"{name}.linen").write_text(text, "utf-8")
    return tmp_path


def run(*words: str, given: str | bytes | None = None) -> Result:
    return CliRunner().invoke(main, ["tidy", *words], input=given)


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_files_are_written_only_if_they_change(folder):
    old = (folder / "tidy.linen").stat()
    ran = run("tidy.linen", "untidy.linen")
    summed = "2 files: 1 tidied, 1 tidy already.\n"
    assert (ran.exit_code, ran.stdout, ran.stderr) == (0, "untidy.linen\n", summed)
    assert (folder / "untidy.linen").read_text("utf-8") == TIDY
    new = (folder / "tidy.linen").stat()
    assert (new.st_ino, new.st_mtime_ns) == (old.st_ino, old.st_mtime_ns)
    assert run("tidy.linen", "untidy.linen").stdout == ""


def test_check_writes_nothing_and_names_what_is_not_tidy(folder):
    before = contents(folder)
    ran = run("--check", "tidy.linen", "untidy.linen")
    assert (ran.exit_code, ran.stdout, ran.stderr) == (1, "untidy.linen\n", SUMMED)
    ran = run("--check", "tidy.linen")
    assert (ran.exit_code, ran.stdout, ran.stderr) == (0, "", "")
    assert contents(folder) == before


def test_diff_writes_nothing_and_shows_what_would_change(folder):
    before = contents(folder)
    ran = run("--diff", "tidy.linen", "untidy.linen")
    assert (ran.exit_code, ran.stdout, ran.stderr) == (0, DIFFERENCE, SUMMED)
    ran = run("--diff", "--check", "tidy.linen", "untidy.linen")
    assert (ran.exit_code, ran.stdout, ran.stderr) == (1, DIFFERENCE, SUMMED)
    assert contents(folder) == before


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")
@pytest.mark.parametrize("text", [UNTIDY, UNTIDY.rstrip("\n"), "# é\n\n\n" + UNTIDY + "\n\n"])
def test_the_difference_can_be_applied_by_git(folder, text):
    (folder / "untidy.linen").write_text(text, "utf-8")
    made = run("--diff", "untidy.linen").stdout
    subprocess.run(["git", "apply", "-p0"], input=made.encode(), cwd=folder, check=True)
    applied = (folder / "untidy.linen").read_bytes()
    (folder / "untidy.linen").write_text(text, "utf-8")
    run("untidy.linen")
    assert applied == (folder / "untidy.linen").read_bytes()


def test_a_broken_file_is_told_and_left_alone_and_the_others_are_tidied(folder):
    ran = run("broken.linen", "untidy.linen")
    summed = "2 files: 1 with errors, 1 tidied.\n"
    assert (ran.exit_code, ran.stdout, ran.stderr) == (1, "untidy.linen\n", FINDING + summed)
    assert (folder / "broken.linen").read_text("utf-8") == BROKEN
    assert (folder / "untidy.linen").read_text("utf-8") == TIDY


@pytest.mark.parametrize("words", [("--check",), ("--diff",), ()])
def test_a_broken_file_gives_status_1_whatever_is_asked(folder, words):
    ran = run(*words, "broken.linen")
    assert (ran.exit_code, ran.stdout, ran.stderr) == (1, "", FINDING)


def test_standard_input_goes_to_standard_output(folder):
    before = contents(folder)
    ran = run("-", given=UNTIDY)
    assert (ran.exit_code, ran.stdout, ran.stderr) == (0, TIDY, "")
    ran = run("-", given=TIDY)
    assert (ran.exit_code, ran.stdout, ran.stderr) == (0, TIDY, "")
    assert contents(folder) == before


def test_standard_input_can_be_checked_and_compared():
    ran = run("--check", "-", given=UNTIDY)
    assert (ran.exit_code, ran.stdout) == (1, "standard input\n")
    ran = run("--diff", "-", given=UNTIDY)
    assert ran.stdout == DIFFERENCE.replace("untidy.linen", "standard input")
    ran = run("-", given=BROKEN)
    assert (ran.exit_code, ran.stdout) == (1, "")
    assert ran.stderr == FINDING.replace("broken.linen", "standard input")


def test_text_that_is_not_utf_8_is_told():
    ran = run("-", given="linen 1\n# Köge\n".encode("latin-1"))
    assert (ran.exit_code, ran.stdout) == (1, "")
    assert "standard input:2:4: error: Line 2, column 4 is not UTF-8 (byte f6)." in ran.stderr


def test_line_ends_a_byte_order_mark_and_parted_accents_are_brought_to_one_form(folder):
    parted = TIDY.replace("key\n", "key  # e\u0301\n").replace("\n", "\r\n")
    (folder / "untidy.linen").write_bytes(b"\xef\xbb\xbf" + parted.encode())
    ran = run("--check", "--diff", "untidy.linen")
    assert (ran.exit_code, ran.stdout) == (1, "")
    assert ran.stderr == ("untidy.linen: only how its line ends or accents are stored changes.\n")
    assert run("untidy.linen").exit_code == 0
    written = (folder / "untidy.linen").read_bytes()
    assert written == TIDY.replace("key\n", "key  # é\n").encode()


def test_rulers_are_added_and_taken_out(folder):
    path = folder / "grid.linen"
    path.write_text("linen 1\n\nmotif rule 5 x 1\n  |mm.mm|\n", "utf-8")
    plain = path.read_text("utf-8")
    assert run("--rulers", "grid.linen").stdout == "grid.linen\n"
    assert "  #....5\n  |mm.mm|\n" in path.read_text("utf-8")
    assert run("grid.linen").stdout == ""
    assert run("--no-rulers", "grid.linen").stdout == "grid.linen\n"
    assert path.read_text("utf-8") == plain


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "CHART"),
        (("missing.linen",), "missing.linen"),
        (("-", "tidy.linen"), "cannot be tidied together with files"),
        (("empty",), "There are no .linen files in empty."),
    ],
)
def test_misuse_is_told_with_status_2(folder, words, says):
    (folder / "empty").mkdir()
    ran = run(*words)
    assert ran.exit_code == 2
    assert says in ran.stderr


def test_a_folder_that_refuses_is_told(folder, monkeypatch):
    def refused(*_args, **_named):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("linenleaf.core.output.os.fsync", refused)
    ran = run("untidy.linen")
    assert ran.exit_code == 2
    assert "untidy.linen cannot be written" in ran.stderr
    assert (folder / "untidy.linen").read_text("utf-8") == UNTIDY


def test_a_first_chart_is_tidy(tmp_path):
    chart = start(tmp_path / "reed-border", date(2026, 3, 14))[0]
    ran = run("--check", "--diff", str(chart))
    assert (ran.exit_code, ran.stdout, ran.stderr) == (0, "", "")


KEYED = """\
linen 1

booklet "Reed"

fabric aida 14

key
{}  m     #334455 "slate"{}
  s     #c0a030 "weld"{}
  rope  #20242c "ink"        back

chart 3 x 2
  |ms.|
  |..m|
"""


def test_printed_symbols_are_written_out_and_then_stay(tmp_path):
    def symbols():
        """As the booklet has them."""
        design, _ = read(chart)
        return {each.symbol: of_key(design).get(at) for at, each in enumerate(design.key, 1)}

    chart = tmp_path / "reed.linen"
    chart.write_text(KEYED.format("", "", ""), "utf-8")
    before = symbols()
    assert run("--printed", str(chart)).exit_code == 0
    m, s = (f"  printed {before[mark]}" for mark in "ms")
    text = chart.read_text("utf-8").replace("        back", "  back")
    assert [line.split() for line in text.splitlines()] == [
        line.split() for line in KEYED.format("", m, s).splitlines()
    ]
    first = "".join(f'  {mark}     #556677 "new"\n' for mark in "abcdefghijklnopqr")
    chart.write_text(KEYED.format(first, m, s), "utf-8")
    assert {mark: symbols()[mark] for mark in before} == before
