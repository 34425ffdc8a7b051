"""A small sound chart in a folder of its own, and a way to run the command as a user would."""

from __future__ import annotations

import contextlib
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
from click.testing import CliRunner
from linenleaf.cli import main

from tests.patience import PATIENCE

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"

SOUND = """\
linen 1

booklet "Two Knots"
  designer "Tern & Teasel"
  edition  "1" 2026-03-14
  story    story.md

fabric linen 32 over 2
  also aida 14

range estuary from estuary.csv

key
  m     estuary 417
  s     estuary 220
  mast  estuary 417 back 1 strand

chart 12 x 10
  |............|
  |.mmmmmmmmmm.|
  |.m........m.|
  |.m.ssssss.m.|
  |.m.s....s.m.|
  |.m.s....s.m.|
  |.m.ssssss.m.|
  |.m........m.|
  |.mmmmmmmmmm.|
  |............|
  line mast 5,5 7,5

revision "1" 2026-03-14 "First edition."
"""

RANGE = """\
code,name,colour
417,wrack,#3f4a2c
220,sea lavender,#8a7aa8
"""


@dataclass(frozen=True)
class Ran:
    """What a run of the command gave back."""

    status: int
    out: str
    err: str

    @property
    def said(self) -> str:
        return self.out + self.err


@dataclass(frozen=True)
class Bench:
    """A folder with a sound chart in it."""

    folder: Path

    @property
    def chart(self) -> Path:
        return self.folder / "knots.linen"

    @property
    def booklet(self) -> Path:
        return self.folder / "knots.pdf"

    def edit(self, old: str, new: str) -> None:
        text = self.chart.read_text("utf-8")
        assert old in text
        self.chart.write_text(text.replace(old, new, 1), "utf-8")

    def ask(self, *words: str) -> Ran:
        """Carry the command out in the folder without a process of its own, which is cheap."""
        with contextlib.chdir(self.folder):
            done = CliRunner().invoke(main, list(words))
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            raise done.exception
        return Ran(done.exit_code, done.stdout, done.stderr)

    def run(self, *words: str) -> Ran:
        """Run the command in the folder, as a process."""
        done = subprocess.run(
            [sys.executable, "-m", "linenleaf", *words],
            cwd=self.folder,
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=PATIENCE,
            check=False,
        )
        return Ran(done.returncode, done.stdout, done.stderr)


def bench_in(folder: Path) -> Bench:
    """Lay a sound chart out in a folder that is made."""
    folder.mkdir()
    (folder / "knots.linen").write_text(SOUND, "utf-8")
    (folder / "estuary.csv").write_text(RANGE, "utf-8")
    (folder / "story.md").write_text("# Two knots\n\nFound in a drawer.\n", "utf-8")
    return Bench(folder)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return bench_in(tmp_path / "knots")
