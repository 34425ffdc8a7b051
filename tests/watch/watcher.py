"""Runs `linenleaf watch` as a user would, and reads what it says line by line."""

from __future__ import annotations

import os
import queue
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from tests.patience import PATIENCE


class Watching:
    """A watch that runs."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self.process = process
        self.heard: list[str] = []
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._listener = threading.Thread(target=self._listen)
        self._listener.start()

    def close(self) -> None:
        """End it, by force if it does not hear; what it needed for a while goes with it."""
        self.process.send_signal(signal.SIGINT)
        try:
            self.process.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        self._listener.join()
        assert self.process.stdout is not None
        self.process.stdout.close()

    def _listen(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self._lines.put(line.rstrip("\n"))
        self._lines.put(None)

    def until(self, pattern: str) -> str:
        """Return the next line in which the pattern is found."""
        while True:
            try:
                line = self._lines.get(timeout=PATIENCE)
            except queue.Empty:
                line = None
            assert line is not None, f"never said {pattern!r}: {self.heard}"
            self.heard.append(line)
            if re.search(pattern, line):
                return line

    def well(self) -> None:
        """Wait for a reading without findings and the booklet after it."""
        self.until("all well")
        self.until(r"\.pdf: \d+ pages?\.$")

    def children(self) -> list[int]:
        """Return the processes it has started, by Linux's own list."""
        tasks = Path(f"/proc/{self.process.pid}/task")
        found = (each / "children" for each in tasks.iterdir())
        return [int(number) for each in found for number in each.read_text().split()]

    @staticmethod
    def gone(number: int) -> bool:
        """Tell whether a process has ended, be it called for by its parent or not."""
        try:
            state = Path(f"/proc/{number}/stat").read_text()
        except FileNotFoundError:
            return True
        return state.rpartition(")")[2].split()[0] == "Z"

    def interrupt(self) -> int:
        """Press Ctrl-C; return the exit status."""
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(PATIENCE)


@contextmanager
def watching(
    folder: Path,
    *words: str,
    environment: Mapping[str, str] | None = None,
    command: str = "watch",
) -> Iterator[Watching]:
    """Run `linenleaf watch`, or another command that stays, in a folder."""
    process = subprocess.Popen(
        [sys.executable, "-m", "linenleaf", command, *words],
        cwd=folder,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        env={**os.environ, "NO_COLOR": "1", **(environment or {})},
    )
    watch = Watching(process)
    try:
        yield watch
    finally:
        watch.close()
