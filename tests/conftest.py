"""What holds for all tests: nothing is held to time, and nothing is left behind."""

from __future__ import annotations

import atexit
import contextlib
import gc
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import settings
from linenleaf.chart.options import Options
from linenleaf.cli import main
from linenleaf.pdf import pressroom

from tests import book_chart
from tests.booklets import EXAMPLES, Booklet, bound, worked_demo
from tests.patience import PATIENCE

PLACE = Path(tempfile.mkdtemp(prefix="linenleaf-tests-"))
# Asked before `multiprocessing` asks the like, so it is taken away after what that keeps in it.
atexit.register(shutil.rmtree, PLACE, ignore_errors=True)

# A machine that is busy with something else is no fault of what is tested. A rule that needs more
# examples than these says so itself.
settings.register_profile("untimed", deadline=None, max_examples=50)
settings.load_profile("untimed")

BY_PROCESSES = "first-wader"

# Of Python, which takes them away when the process of the tests ends.
NOT_YET_GONE = ("pytest-of-", "pymp-")


@pytest.hookimpl(tryfirst=True)
def pytest_configure() -> None:
    """Give the run a temporary folder of its own, which its processes are told of too."""
    gc.disable()  # until all tests are known: what they are made of stays
    os.environ["TMPDIR"] = str(PLACE)
    tempfile.tempdir = None  # so that it is asked for anew
    # Of a run in the background a shell lets Ctrl-C be ignored, and all that it starts inherits it.
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    if os.name == "posix" and signal.getsignal(signal.SIGHUP) is signal.SIG_IGN:
        signal.signal(signal.SIGHUP, signal.SIG_DFL)


def pytest_collection_finish() -> None:
    """Spare the collector what all tests share: it would walk through all of it again and again.

    And what is not taken away while it is young stays for long: that is looked through seldom.
    """
    gc.freeze()
    gc.enable()
    gc.set_threshold(1_000, 20, 200)


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Fail when a process of ours left anything in the temporary folder."""
    left = _left()
    if left and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Tell what was left."""
    left = _left()
    if left:
        terminalreporter.section("left in the temporary folder", red=True)
        terminalreporter.line("\n".join(left))


def _left() -> list[str]:
    """Return the names of what is left."""
    names = (each.name for each in PLACE.iterdir())
    return sorted(each for each in names if not each.startswith(NOT_YET_GONE))


@pytest.fixture(scope="session", autouse=True)
def _pages_are_set_here() -> Iterator[None]:
    """Let the commands that a test carries out in this process set the pages in it too.

    It has loaded what sets them, which takes the other process longer than the pages themselves.
    That both give the same bytes is shown in `pdf/test_pressroom.py`; commands that run as
    processes of their own have the other one as they do with a user.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pressroom, "processors", lambda: 1)
        yield


@pytest.fixture(scope="session")
def band(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Booklet]:
    """The booklet of the chart that uses everything, as asked for; bound once each."""
    folder = tmp_path_factory.mktemp("band")
    worked = book_chart.worked(book_chart.write(folder))

    @cache
    def booklet(options: Options) -> Booklet:
        return bound(worked, options, folder / f"{len(list(folder.iterdir()))}.pdf")

    return lambda options=Options(): booklet(options)  # noqa: B008 - never changed


@pytest.fixture(scope="session")
def demos(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the demo folders, so that building leaves the source tree alone."""
    copy = tmp_path_factory.mktemp("demos")
    for folder in EXAMPLES.iterdir():
        if folder.is_dir():
            shutil.copytree(folder, copy / folder.name, ignore=shutil.ignore_patterns("*.pdf"))
    return copy


@pytest.fixture(scope="session")
def built_demo(demos: Path) -> Callable[[str], Booklet]:
    """A demo built by the command, once each; the first one as a user would, by processes."""

    def run(chart: Path) -> tuple[int, str, str]:
        words = ["build", chart.name]
        if chart.stem != BY_PROCESSES:
            with contextlib.chdir(chart.parent):
                here = CliRunner().invoke(main, words)
            return here.exit_code, here.stdout, here.stderr
        done = subprocess.run(
            [sys.executable, "-m", "linenleaf", *words],
            cwd=chart.parent,
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=PATIENCE,
            check=False,
        )
        return done.returncode, done.stdout, done.stderr

    @cache
    def booklet(name: str) -> Booklet:
        chart = demos / name / f"{name}.linen"
        status, said, faults = run(chart)
        assert (status, faults) == (0, "")
        return Booklet(chart.with_suffix(".pdf"), worked_demo(name), said)

    return booklet
