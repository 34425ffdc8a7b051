"""`build` checks the chart while the pages are on their way; what it tells is the same."""

import subprocess

import pytest
from click.testing import CliRunner
from linenleaf.booklet import book
from linenleaf.checks import CHECKS
from linenleaf.cli import main
from linenleaf.core.findings import REGISTRY, Level
from linenleaf.pdf.pressroom import ALONE
from PIL import Image

from ..checks.cases import CASES

WRONG = [each.name for each in CHECKS if REGISTRY[each.name].level is Level.ERROR]


@pytest.fixture
def two(monkeypatch):
    """Have the pages set by a second process."""
    monkeypatch.setattr("linenleaf.pdf.pressroom.processors", lambda: 2)
    monkeypatch.delenv(ALONE, raising=False)


@pytest.fixture(params=["two processes", "one process"])
def processes(request):
    """Both ways; by itself a command here has one process."""
    if request.param == "two processes":
        request.getfixturevalue("two")


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "estuary.csv").write_text(
        "code,name,colour\n417,madder,#a03a3a\n220,sedge,#5f7a4a\n", encoding="utf-8"
    )
    Image.new("L", (200, 200), 200).save(tmp_path / "old.png")
    return tmp_path


def build(folder, snippet, *words):
    chart = folder / "wrong.linen"
    head = "" if snippet.startswith("linen ") else "linen 1\nfabric linen 32 over 2\n"
    chart.write_text(head + snippet, "utf-8")
    return CliRunner().invoke(main, ["build", str(chart), *words])


def assert_told_and_not_built(folder, name):
    done = build(folder, CASES[name].speaks)
    assert done.exit_code == 1, done.output
    assert isinstance(done.exception, SystemExit)
    assert done.output.count(f"[{name}]") == 1
    assert not list(folder.glob("*.pdf"))


@pytest.mark.parametrize("name", WRONG)
def test_a_chart_with_an_error_that_only_checks_find_is_told_of_and_not_built(name, folder):
    assert_told_and_not_built(folder, name)


def test_nor_is_it_where_a_second_process_sets_the_pages(folder, two):
    assert_told_and_not_built(folder, "part-too-small")


def test_what_fails_because_the_chart_is_wrong_is_told_as_the_chart_being_wrong(
    folder, processes, monkeypatch
):
    def fails(*_: object) -> None:
        raise IndexError

    monkeypatch.setattr(book, "places", fails)
    done = build(folder, CASES["note-outside"].speaks)
    assert done.exit_code == 1
    assert "[note-outside]" in done.output


def test_a_fault_of_ours_is_not_hidden_behind_the_findings(folder, processes, monkeypatch):
    def fails(*_: object) -> None:
        raise IndexError

    monkeypatch.setattr(book, "places", fails)
    done = build(folder, CASES["note-outside"].silent)
    assert isinstance(done.exception, IndexError)


def test_findings_are_told_before_what_is_wrong_with_the_wish(folder, processes):
    done = build(folder, CASES["note-outside"].speaks, "--colourway", "dusk")
    assert done.exit_code == 1
    assert "[note-outside]" in done.output


def test_no_process_is_left_behind(folder, two, monkeypatch):
    started = []
    start = subprocess.Popen

    def noted(*words, **more):
        started.append(start(*words, **more))
        return started[-1]

    monkeypatch.setattr(subprocess, "Popen", noted)
    build(folder, CASES["note-outside"].speaks)
    build(folder, CASES["note-outside"].silent, "--whole")
    assert len(started) == 2
    assert all(each.poll() is not None for each in started)
