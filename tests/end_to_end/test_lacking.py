"""A computer without one of the libraries of the system: a sentence, and what to do."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
WADER = HERE.parents[1] / "examples/first-wader"


@pytest.fixture
def folder(tmp_path):
    place = tmp_path / "chart"
    shutil.copytree(WADER, place, ignore=shutil.ignore_patterns("*.pdf"))
    text = (place / "first-wader.linen").read_text("utf-8")
    (place / "other.linen").write_text(text.replace("|.....tttt", "|......ttt"), "utf-8")
    return place


def run(folder: Path, lacking: str, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "linenleaf", *words],
        cwd=folder,
        env={**os.environ, "LACKING": lacking, "PYTHONPATH": str(HERE.parent / "lacking")},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


CASES = [
    ("pango", "libpango-1.0-0", ["build", "first-wader.linen", "-o", "out.pdf"]),
    ("pango", "libpango-1.0-0", ["errata", "first-wader.linen", "other.linen", "-o", "out.pdf"]),
    ("pango", "libpango-1.0-0", ["diff", "first-wader.linen", "other.linen", "-o", "out.pdf"]),
    ("pango", "libpango-1.0-0", ["watch", "first-wader.linen", "-o", "out.pdf", "--no-page"]),
    ("cairo", "libcairo2", ["picture", "first-wader.linen", "--of", "chart", "-o", "out.png"]),
    ("cairo", "libcairo2", ["picture", "first-wader.linen", "--of", "key", "-o", "out.jpg"]),
    ("cairo", "libcairo2", ["diff", "first-wader.linen", "other.linen", "-o", "out.png"]),
]


@pytest.mark.parametrize(
    ("lacking", "package", "words"), CASES, ids=[f"{words[0]} {words[-1]}" for _, _, words in CASES]
)
def test_what_cannot_be_done_is_told_in_one_sentence(folder, lacking, package, words):
    done = run(folder, lacking, *words)
    assert done.returncode == 2, done.stderr
    last = done.stderr.splitlines()[-1]
    assert last.startswith("linenleaf: ")
    assert "not installed on this system" in last
    assert f"sudo apt-get install {package}" in last
    assert "Traceback" not in done.stderr + done.stdout
    assert "WeasyPrint" not in done.stderr + done.stdout
    assert "first-wader.linen:" not in done.stderr
    assert not list(folder.glob("out.*"))


@pytest.mark.parametrize(
    ("lacking", "words"),
    [
        ("cairo", ["picture", "first-wader.linen", "--of", "chart", "-o", "out.svg"]),
        ("cairo", ["picture", "first-wader.linen", "--of", "piece", "-o", "out.png"]),
        ("pango", ["picture", "first-wader.linen", "--of", "key", "-o", "out.png"]),
    ],
    ids=["a drawing", "a piece", "a key"],
)
def test_what_can_be_done_without_is_done(folder, lacking, words):
    done = run(folder, lacking, *words)
    assert (done.returncode, done.stderr) == (0, "")
    assert (folder / words[-1]).stat().st_size > 500


def test_without_harfbuzz_subset_it_is_said_of_the_computer_and_bytes_are_the_same(folder):
    made = []
    for name in ("one.pdf", "two.pdf"):
        done = run(folder, "harfbuzz-subset", "build", "first-wader.linen", "-o", name)
        assert done.returncode == 0
        assert done.stderr.startswith("hint: HarfBuzz's subsetter is not installed")
        assert "first-wader.linen:" not in done.stderr
        made.append((folder / name).read_bytes())
    assert made[0] == made[1]
