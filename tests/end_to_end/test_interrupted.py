"""Ctrl-C at any moment: status 130, no traceback, no process and no half-written file left."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="looks into /proc")

PATIENCE = 30  # seconds; only a hang takes so long


def start(*words: str, folder: Path) -> subprocess.Popen[str]:
    """Start a program in a session of its own, as in a terminal; return once it heeds signals.

    Before that it is Python that is starting, which ends in its own way.
    """
    process = subprocess.Popen(
        [sys.executable, *words],
        cwd=folder,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    wanted = 1 << (signal.SIGTERM - 1)  # Python itself does not catch this one
    begun = time.monotonic()
    while time.monotonic() - begun < PATIENCE:
        status = Path(f"/proc/{process.pid}/status").read_text("ascii")
        caught = next(line for line in status.splitlines() if line.startswith("SigCgt"))
        if int(caught.split()[1], 16) & wanted:
            break
        time.sleep(0.005)
    return process


def ended(process: subprocess.Popen[str], sent: int = signal.SIGINT) -> tuple[int, str]:
    """Send a signal to all processes of a session; return the status and what was said of it."""
    os.killpg(process.pid, sent)
    _, said = process.communicate(timeout=PATIENCE)
    begun = time.monotonic()
    while time.monotonic() - begun < PATIENCE:
        try:
            os.killpg(process.pid, 0)
        except ProcessLookupError:
            break
        time.sleep(0.01)
    else:
        pytest.fail("a process is left")
    return process.returncode, said


@pytest.mark.parametrize(
    "words",
    [
        ["check", "knots.linen"],
        ["build", "knots.linen"],
        ["picture", "."],
        ["watch", "knots.linen", "--no-page"],
        ["editor"],
    ],
    ids=lambda words: words[0],
)
def test_every_command_ends_with_status_130(bench, words):
    draw = random.Random(words[0])
    # While it loads, and while it works or waits.
    for moment in (0.4 * draw.random(), 0.4 + draw.random()):
        process = start("-m", "linenleaf", *words, folder=bench.folder)
        time.sleep(moment)
        status, said = ended(process)
        # One that does not stay may have come to its end.
        assert status == 130 or (status == 0 and words[0] not in {"watch", "editor"})
        assert said == ""
        hidden = [each.name for each in bench.folder.iterdir() if each.name.startswith(".")]
        assert hidden == []


def test_being_told_to_end_is_heeded_alike(bench):
    process = start("-m", "linenleaf", "watch", "knots.linen", "--no-page", folder=bench.folder)
    assert ended(process, signal.SIGTERM) == (128 + signal.SIGTERM, "")


SWALLOWED = """
import os, signal, sys, time
from linenleaf.__main__ import run

def work():
    try:
        os.kill(os.getpid(), signal.SIGINT)
        time.sleep(1)
    except BaseException:
        raise ImportError("as a library may say") from None

run(work)
"""
LOST = """
import os, signal, sys, time
from linenleaf.__main__ import run

class Left:
    def __del__(self):  # nothing can be raised from here
        os.kill(os.getpid(), signal.SIGINT)
        time.sleep(0.1)

def work():
    Left()
    time.sleep(60)

run(work)
"""


@pytest.mark.parametrize("program", [SWALLOWED, LOST], ids=["taken for a fault", "lost"])
def test_an_interruption_that_goes_astray_ends_all_the_same(program, tmp_path):
    done = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True,
        text=True,
        timeout=PATIENCE,
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "")
