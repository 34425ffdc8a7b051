"""Whole processes, timed from the start of Python to the last byte on the disk."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, order=True)
class Run:
    """seconds: of the clock. cpu: seconds of all its processors. memory: MiB of its largest
    process. said: what it printed."""

    seconds: float
    cpu: float
    memory: float
    said: str


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
