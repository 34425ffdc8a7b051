"""Whatever way a command ends, it leaves no working files."""

import os
import signal
import subprocess
import sys
import time

import pytest

from tests import book_chart

PATIENCE = 120

posix = pytest.mark.skipif(os.name != "posix", reason="signals are those of POSIX")


@pytest.fixture
def folder(tmp_path):
    """A chart and one with an error; beside them the place for working files."""
    (tmp_path / "reed.linen").write_text(book_chart.PLAIN, "utf-8")
    (tmp_path / "broken.linen").write_text(book_chart.PLAIN.replace("key", "kee"), "utf-8")
    (tmp_path / "working").mkdir()
    return tmp_path


def started(folder, words):
    """Start a command on a computer that has never run one."""
    return subprocess.Popen(
        [sys.executable, "-P", "-m", "linenleaf", *words],
        cwd=folder,
        env={
            **os.environ,
            "TMPDIR": str(folder / "working"),
            "XDG_CACHE_HOME": str(folder / "cache"),
        },
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )


BUILD = ["build", "reed.linen", "-o", "out.pdf"]  # in two processes


@pytest.mark.parametrize(
    ("words", "status"),
    [
        ([*BUILD, "--whole"], 0),
        (["build", "broken.linen", "--whole", "-o", "out.pdf"], 1),
    ],
    ids=["build", "broken"],
)
def test_a_command_that_ends_by_itself(folder, words, status):
    """What others leave, such as `errata` and `diff`, is found when all tests are done."""
    process = started(folder, words)
    said, _ = process.communicate(timeout=PATIENCE)
    assert process.returncode == status, said
    assert "Traceback" not in said
    assert status or (folder / "out.pdf").stat().st_size > 500
    assert list((folder / "working").iterdir()) == []


@posix
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
@pytest.mark.parametrize(
    "words", [BUILD, ["watch", "reed.linen", "--no-page"]], ids=["build", "watch"]
)
def test_a_command_that_is_told_to_end_in_the_middle(folder, words, name):
    process = started(folder, words)
    begun = time.monotonic()
    # The folder is there before anything is laid out, and the faces lie in it after.
    while not list((folder / "working").glob("linenleaf-*")):
        assert process.poll() is None
        assert time.monotonic() - begun < PATIENCE
        time.sleep(0.01)
    process.send_signal(getattr(signal, name))
    said, _ = process.communicate(timeout=PATIENCE)
    assert "Traceback" not in said
    deadline = time.monotonic() + 10
    while list((folder / "working").iterdir()) and time.monotonic() < deadline:
        time.sleep(0.05)  # the other process may be a moment behind
    assert list((folder / "working").iterdir()) == []
