"""Whole processes, timed from the start of Python to the last byte on the disk."""

from __future__ import annotations

import os
import re
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, order=True)
class Run:
    """seconds: of the clock. cpu: seconds of all its processors. memory: MiB of its largest
    process, or of all together where so said. said: what it printed. status: how it ended."""

    seconds: float
    cpu: float
    memory: float
    said: str
    status: int = 0


def run(*words: str | Path, environment: Mapping[str, str] | None = None) -> Run:
    """Run Python with these words.

    Raises:
        SystemExit: when it fails; what it said of that is shown.
    """
    with tempfile.TemporaryFile("w+") as out, tempfile.TemporaryFile("w+") as wrong:
        begun = time.perf_counter()
        child = subprocess.Popen(
            [sys.executable, *map(str, words)],
            cwd=ROOT,
            stdout=out,
            stderr=wrong,
            env={**os.environ, **(environment or {})},
        )
        _, status, usage = os.wait4(child.pid, 0)
        seconds = time.perf_counter() - begun
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        if child.returncode:
            wrong.seek(0)
            raise SystemExit(f"{' '.join(map(str, words))}: {child.returncode}\n{wrong.read()}")
        return Run(seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, out.read())


def best(jobs: Mapping[str, tuple[str | Path, ...]], times: int) -> dict[str, Run]:
    """Run each job so many times, by turns, and return the quickest run of each.

    By turns, so that a computer that is busy for a while is so for all of them.
    """
    found: dict[str, Run] = {}
    for _ in range(times):
        for name, words in jobs.items():
            one = run(*words)
            found[name] = min(one, found.get(name, one))
    return found


def summed(
    *words: str | Path, steps: Iterator[signal.Signals | None] | None = None, most: int = 0
) -> Run:
    """Run Python with these words; memory is that of all its processes together, at the highest.

    steps: asked again and again while it runs; a signal that it gives is sent. What is shared by
    two processes counts once. said holds what it printed, errors too; the exit status is not
    looked at. most: CPU seconds after which a process is ended, 0 for no end.
    """
    with tempfile.TemporaryFile("w+") as out:
        begun = time.perf_counter()
        child = subprocess.Popen(
            [sys.executable, *map(str, words)],
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=out,
            stderr=out,
            preexec_fn=partial(_bounded, most) if most else None,  # noqa: PLW1509 - no threads here
        )
        highest = 0.0
        while True:
            ended, status, usage = os.wait4(child.pid, os.WNOHANG)
            if ended:
                break
            highest = max(highest, sum(map(_share, _family(child.pid))))
            sent = next(steps, None) if steps else None
            if sent:
                child.send_signal(sent)
            time.sleep(0.05)
        seconds = time.perf_counter() - begun
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        return Run(seconds, usage.ru_utime + usage.ru_stime, highest, out.read(), child.returncode)


def _bounded(most: int) -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (most, most + 5))


def _family(pid: int) -> Iterator[int]:
    """Yield a process and all that it started."""
    yield pid
    try:
        for task in Path(f"/proc/{pid}/task").iterdir():
            for each in (task / "children").read_text().split():
                yield from _family(int(each))
    except OSError:
        return  # it has ended meanwhile


def _share(pid: int) -> float:
    """Return the MiB that a process holds; pages shared by two count half for each."""
    try:
        found = re.search(r"^Pss: +(\d+)", Path(f"/proc/{pid}/smaps_rollup").read_text(), re.M)
    except OSError:
        return 0.0
    return int(found[1]) / 1024 if found else 0.0
