"""What the largest charts cost: a cross of them against one of 1,000 x 1,000, and memory.

    python -m tests.benchmarks.largest                     every command; takes some minutes
    python -m tests.benchmarks.largest check picture       these alone
    python -m tests.benchmarks.largest --large 1000 --small 700

The chart is as hard as can be: noise in 60 threads, as many crosses as the limit allows. `diff`
and `errata` take two that have nothing in common. Printed for each command: CPU seconds of all its
processes for both charts, a cross of the large one against one of the small one (at most 1.2), and
MiB of memory at the highest, summed over its processes (at most 1,024).
"""

from __future__ import annotations

import argparse
import signal
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from linenleaf.resolve.settings import LARGEST_AREA

from .processes import Run, summed

SIGNS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ01234567"
AIM, AIM_MEMORY = 1.2, 1024


def noise(path: Path, side: int, seed: int) -> None:
    """Write a chart whose every cross has a thread of its own accord."""
    cells = np.array(list(SIGNS))[np.random.default_rng(seed).integers(0, 60, (side, side))]
    lines = ["linen 1", 'booklet "Noise"', "fabric linen 32 over 2", "key"]
    lines += [f'  {sign}  #{n * 4:02x}{255 - n * 3:02x}{n * 29 % 256:02x} "thread {n}"'
              for n, sign in enumerate(SIGNS)]  # fmt: skip
    lines += [f"chart {side} x {side}", *(f"  |{''.join(row)}|" for row in cells)]
    path.write_text("\n".join(lines) + "\n", "utf-8")


def words(folder: Path) -> dict[str, tuple[str | Path, ...]]:
    """Return the arguments of every command that is measured."""
    chart, other = folder / "chart.linen", folder / "other.linen"
    return {
        "check": ("check", chart),
        "count": ("count", chart),
        "build": ("build", chart, "-o", folder / "chart.pdf"),
        "watch": ("watch", chart),
        "picture": ("picture", chart, "-o", folder / "piece.png"),
        "picture --of chart": ("picture", chart, "--of", "chart", "-o", folder / "chart.png"),
        "diff": ("diff", chart, other),
        "diff -o .png": ("diff", chart, other, "-o", folder / "diff.png"),
        "diff -o .pdf": ("diff", chart, other, "-o", folder / "diff.pdf"),
        "errata": ("errata", chart, other, "-o", folder / "errata.pdf"),
        "tidy": ("tidy", "--check", chart),
    }


def saved_once(folder: Path) -> Iterator[signal.Signals | None]:
    """Wait for the booklet, change a cross, wait for the booklet, and end the watch."""
    chart, booklet = folder / "chart.linen", folder / "chart.pdf"
    booklet.unlink(missing_ok=True)
    while not booklet.exists():
        yield None
    made = booklet.stat().st_mtime_ns
    text = chart.read_text("utf-8")
    at = text.rindex("|a") + 1
    chart.write_text(text[:at] + "b" + text[at + 1 :], "utf-8")
    while booklet.stat().st_mtime_ns == made:
        yield None
    time.sleep(1)
    yield signal.SIGTERM  # a job in the background hears no Ctrl-C


def cost(folder: Path, name: str) -> Run:
    """Run one command on the charts of a folder."""
    steps = saved_once(folder) if name == "watch" else None
    return summed("-m", "linenleaf", *words(folder)[name], steps=steps)


def main() -> None:
    """Print the table."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("commands", nargs="*")
    ask.add_argument("--small", type=int, default=1000)
    ask.add_argument("--large", type=int, default=1414)
    asked = ask.parse_args()
    small, large = asked.small, asked.large
    if large**2 > LARGEST_AREA:
        ask.error(f"a chart has at most {LARGEST_AREA:,} crosses: no larger side than 1414")
    print(f"noise in 60 threads, {small} x {small} and {large} x {large}")
    print(f"{'command':<18}{'cpu s':>8}{'cpu s':>8}{'a cross':>9}{'MiB':>8}{'MiB':>8}")
    with tempfile.TemporaryDirectory() as place:
        folders = {side: Path(place) / str(side) for side in (small, large)}
        for side, folder in folders.items():
            folder.mkdir()
            noise(folder / "chart.linen", side, 5)
            noise(folder / "other.linen", side, 6)
        for name in words(Path(place)):
            if asked.commands and name.split()[0] not in asked.commands:
                continue
            one, two = cost(folders[small], name), cost(folders[large], name)
            growth = (two.cpu / large**2) / (one.cpu / small**2)
            over = " over" if growth > AIM or two.memory > AIM_MEMORY else ""
            if {one.status, two.status} - {0, 1, -signal.SIGTERM}:
                over = f" failed: {two.said.strip()[:80]}"
            print(
                f"{name:<18}{one.cpu:>8.1f}{two.cpu:>8.1f}{growth:>9.2f}"
                f"{one.memory:>8.0f}{two.memory:>8.0f}{over}",
                flush=True,
            )


if __name__ == "__main__":
    main()
