"""A real repository with a chart in it, for tests of version control."""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import sys
from contextlib import chdir
from dataclasses import dataclass
from pathlib import Path
from threading import Thread

from click.testing import CliRunner
from linenleaf.cli import main
from linenleaf.core.installed import GIT_SETTING

from tests.patience import PATIENCE

CHART = """\
linen 1
booklet "Two Boats"
  edition "1" 2026-03-14

fabric linen 28 over 2

range shore from shore.csv

key
  s  shore 12
  h  shore 47

motif sail 4 x 4
  |...s|
  |..ss|
  |.sss|
  |ssss|

motif hull 6 x 2
  |hhhhhh|
  |.hhhh.|

chart 30 x 20
  sail at 2,2
  hull at 1,7
  sail at 20,2
  hull at 19,7
"""

RANGE = "code,name,colour\n12,sail canvas,#b5482f\n47,hull tar,#3d3a44\n"
GIT = shutil.which("git") or "git"
# The line that a user gives to git, for the linenleaf that is tested.
COMMAND = shlex.split(GIT_SETTING)[-1]
DRIVER = COMMAND.replace(" linenleaf ", f" {shlex.quote(sys.executable)} -m linenleaf ")


def answering(folder: Path) -> str:
    """The line for git with which the process of the tests answers it, not one that is started.

    Where and with what git calls is written into one pipe of the folder; out of another come the
    status of the command and what it prints.
    """
    asked, told = folder / "asked", folder / "told"
    for pipe in (asked, told):
        os.mkfifo(pipe)

    def answer() -> None:
        while True:
            where, *arguments = asked.read_text("utf-8").split("\0")[:-1]
            with chdir(where):
                done = CliRunner().invoke(main, ["diff", "--git", *arguments])
            told.write_text(f"{done.exit_code}\n{done.output}", "utf-8")

    Thread(target=answer, daemon=True).start()
    send = f'printf \'%s\\0\' "$PWD" "$@" >{shlex.quote(str(asked))}'
    hear = f"{{ read status; cat; }} <{shlex.quote(str(told))}"
    called = 'linenleaf diff --git "$@"'
    assert called in COMMAND
    return COMMAND.replace(called, f'{{ {send}; {hear}; [ "$status" = 0 ]; }}')


@dataclass(frozen=True)
class Repository:
    """A working tree. driver: the command that git is told."""

    top: Path
    driver: str = DRIVER

    def git(self, *words: str, check: bool = True, path: Path | None = None) -> str:
        """Run git as a user would who has told it of linenleaf; return what it prints.

        path: where alone commands are looked for.
        """
        environment = {
            **{name: value for name, value in os.environ.items() if not name.startswith("GIT_")},
            "GIT_CONFIG_GLOBAL": os.devnull,
            "GIT_CONFIG_NOSYSTEM": "1",
            "GIT_AUTHOR_NAME": "Tern",
            "GIT_AUTHOR_EMAIL": "tern@example.org",
            "GIT_COMMITTER_NAME": "Tern",
            "GIT_COMMITTER_EMAIL": "tern@example.org",
            "GIT_PAGER": "cat",
            **({} if path is None else {"PATH": str(path)}),
        }
        done = subprocess.run(
            [GIT, "-c", f"diff.linenleaf.command={self.driver}", *words],
            cwd=self.top,
            env=environment,
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=PATIENCE,
            check=False,
        )
        if check:
            assert done.returncode == 0, done.stderr
            assert "rror" not in done.stderr, done.stderr
        return done.stdout

    def write(self, name: str, text: str) -> Path:
        path = self.top / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
        return path

    def edit(self, name: str, *pairs: tuple[str, str]) -> None:
        text = (self.top / name).read_text("utf-8")
        for old, new in pairs:
            assert old in text
            text = text.replace(old, new, 1)
        self.write(name, text)

    def commit(self, message: str) -> str:
        """Record everything and return the number of the revision."""
        self.git("add", "-A")
        self.git("commit", "-q", "-m", message)
        return self.git("rev-parse", "HEAD").strip()


def started(top: Path, folder: str = "", driver: str = DRIVER) -> Repository:
    """A repository with the chart, its range and the attributes, recorded once."""
    top.mkdir(parents=True, exist_ok=True)
    made = Repository(top, driver)
    made.git("init", "-q", "--template=", "-b", "main")
    made.write(f"{folder}boats.linen", CHART)
    made.write(f"{folder}shore.csv", RANGE)
    made.write(".gitattributes", "*.linen text eol=lf diff=linenleaf\n")
    made.commit("Begin")
    return made
