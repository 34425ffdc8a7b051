"""A computer without one of the libraries of the system: a sentence, and what to do."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests import book_chart
from tests.end_to_end.conftest import Ran

HERE = Path(__file__).resolve().parent

# What reads, binds and draws is loaded once; then each command has a process of its own, and the
# first of them another that sets the pages.
EACH = """\
import json, os, sys
import linenleaf.booklet.book, linenleaf.diff.sidebyside, linenleaf.flow, linenleaf.pdf.renderer
from linenleaf.__main__ import run
from linenleaf.pdf.pressroom import ALONE
statuses = []
for number, words in enumerate(json.loads(sys.argv[1])):
    child = os.fork()
    if not child:
        for stream in (1, 2):
            os.dup2(os.open(f"said-{number}-{stream}", os.O_RDWR | os.O_CREAT | os.O_TRUNC), stream)
        if number:
            os.environ[ALONE] = "1"
        sys.argv = ["linenleaf", *words]
        run()
        os._exit(0)
    statuses.append(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
print(json.dumps(statuses))
"""


def run(folder: Path, lacking: str, *commands: list[str]) -> list[Ran]:
    """Carry out commands, one after the other, on a computer that lacks a library."""
    done = subprocess.run(
        [sys.executable, "-c", EACH, json.dumps(commands)],
        cwd=folder,
        env={**os.environ, "LACKING": lacking, "PYTHONPATH": str(HERE.parent / "lacking")},
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    return [
        Ran(status, *((folder / f"said-{number}-{stream}").read_text("utf-8") for stream in (1, 2)))
        for number, status in enumerate(json.loads(done.stdout))
    ]


CHART, OTHER = "reed.linen", "other.linen"
CANNOT = {
    "pango": [
        ["build", CHART, "-o", "no.pdf"],
        ["errata", CHART, OTHER, "-o", "no.pdf"],
        ["diff", CHART, OTHER, "-o", "no.pdf"],
        ["watch", CHART, "-o", "no.pdf", "--no-page"],
    ],
    "cairo": [
        ["picture", CHART, "--of", "chart", "-o", "no.png"],
        ["picture", CHART, "--of", "key", "-o", "no.jpg"],
        ["diff", CHART, OTHER, "-o", "no.png"],
    ],
}
CAN = {
    "pango": [["picture", CHART, "--of", "key", "-o", "key.png"]],
    "cairo": [
        ["picture", CHART, "--of", "chart", "-o", "chart.svg"],
        ["picture", CHART, "--of", "piece", "-o", "piece.png"],
        ["diff", CHART, OTHER, "-o", "diff.svg"],
    ],
}
PACKAGES = {"pango": "libpango-1.0-0", "cairo": "libcairo2"}


@pytest.fixture(scope="module", params=PACKAGES)
def lacking(request):
    return request.param


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("lacking")
    (place / CHART).write_text(book_chart.PLAIN, "utf-8")
    (place / OTHER).write_text(book_chart.PLAIN.replace("|..m|", "|.mm|"), "utf-8")
    return place


@pytest.fixture(scope="module")
def ran(folder, lacking):
    """What comes of each command, those that cannot be carried out first."""
    return run(folder, lacking, *CANNOT[lacking], *CAN[lacking])


def test_what_cannot_be_done_is_told_in_one_sentence(folder, lacking, ran):
    for done in ran[: len(CANNOT[lacking])]:
        assert done.status == 2, done.err
        last = done.err.splitlines()[-1]
        assert last.startswith("linenleaf: ")
        assert "not installed on this system" in last
        assert f"sudo apt-get install {PACKAGES[lacking]}" in last
        assert "Traceback" not in done.said
        assert "WeasyPrint" not in done.said
        assert f"{CHART}:" not in done.err
    assert not list(folder.glob("no.*"))


def test_what_can_be_done_without_is_done(folder, lacking, ran):
    for done, words in zip(ran[len(CANNOT[lacking]) :], CAN[lacking], strict=True):
        assert (done.status, done.err) == (0, "")
        assert (folder / words[-1]).stat().st_size > 500


def test_without_harfbuzz_subset_it_is_said_of_the_computer_and_bytes_are_the_same(tmp_path):
    (tmp_path / CHART).write_text(book_chart.PLAIN, "utf-8")
    names = ("one.pdf", "two.pdf")
    for done in run(
        tmp_path, "harfbuzz-subset", *(["build", CHART, "--whole", "-o", name] for name in names)
    ):
        assert done.status == 0
        assert done.err.startswith("hint: HarfBuzz's subsetter is not installed")
        assert f"{CHART}:" not in done.err
    made = [(tmp_path / name).read_bytes() for name in names]
    assert made[0] == made[1]
