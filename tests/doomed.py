"""What runs in processes that are killed: a build, a writer, and a writer that kills itself."""

from __future__ import annotations

import itertools
import os
import signal
import sys
import tempfile
from pathlib import Path
from types import FrameType

from linenleaf.cli import main
from linenleaf.core import output
from linenleaf.core.output import write_whole
from linenleaf.pdf.pressroom import ALONE

# So that a process that is forked from one that has loaded this begins with the build itself.
PRELOAD = [
    "tests.doomed",
    "linenleaf.commands.build",
    "linenleaf.booklet.book",
    "linenleaf.pdf.renderer",
    "linenleaf.reports.report",
]


def build(chart: str, booklet: str, workplace: str) -> None:
    """`linenleaf build`, silent, in one process; workplace: for files that it needs for a while."""
    tempfile.tempdir = workplace
    os.environ[ALONE] = "1"
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    main(["build", chart, "--whole", "-o", booklet])


def write_for_ever(path: Path, first: bytes, second: bytes) -> None:
    """Write one and the other by turns."""
    for data in itertools.cycle((first, second)):
        write_whole(path, data)


def die_at_line(path: Path, data: bytes, line: int) -> None:
    """Write, and be killed before the so-manieth line of the writing module is run."""
    lines = itertools.count()

    def trace(frame: FrameType, event: str, _: object) -> object:
        if frame.f_code.co_filename != output.__file__:
            return None
        if event == "line" and next(lines) == line:
            os.kill(os.getpid(), signal.SIGKILL)
        return trace

    sys.settrace(trace)
    write_whole(path, data)
