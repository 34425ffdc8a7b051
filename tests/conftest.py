"""What holds for all tests: nothing is held to time, and nothing is left behind."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings

# A machine that is busy with something else is no fault of what is tested.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

PLACE = pytest.StashKey[Path]()


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    """Give the run a temporary folder of its own, which its processes are told of too."""
    config.stash[PLACE] = place = Path(tempfile.mkdtemp(prefix="linenleaf-tests-"))
    os.environ["TMPDIR"] = str(place)
    tempfile.tempdir = None  # so that it is asked for anew


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Fail when a process of ours left anything in the temporary folder."""
    left = _left(session.config)
    if left and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Tell what was left."""
    left = _left(config)
    if left:
        terminalreporter.section("left in the temporary folder", red=True)
        terminalreporter.line("\n".join(left))


def pytest_unconfigure(config: pytest.Config) -> None:
    """Take the folder away."""
    shutil.rmtree(config.stash[PLACE], ignore_errors=True)


def _left(config: pytest.Config) -> list[str]:
    """Return the names of what is left, but for pytest's own folder."""
    names = (each.name for each in config.stash[PLACE].iterdir())
    return sorted(each for each in names if not each.startswith("pytest-of-"))
