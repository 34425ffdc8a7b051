"""How long a full-cover booklet takes, as ratios printed by one run.

    python -m tests.benchmarks.booklet            the 300 x 300 chart with 30 threads
    python -m tests.benchmarks.booklet --small    150 x 150 with 20 threads, for CI

The yardstick is `reportlab_pages.py`, which draws the same chart pages by hand; both sides count
as whole processes, from the start of Python to the file on the disk, and the best of several runs
is taken. Nothing here fails on time: the figures are read in review.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import shutil
import subprocess
import sys
import tempfile
import time
from importlib.metadata import version
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
HERE = Path(__file__).resolve().parent
MAKER = ROOT / "examples/flood-tide/make_chart.py"


def run(*words: str | Path) -> tuple[float, float, str]:
    """Run a process; return seconds, its peak memory in MiB and what it printed."""
    with tempfile.TemporaryFile("w+") as out:
        started = time.perf_counter()
        child = subprocess.Popen([sys.executable, *map(str, words)], cwd=ROOT, stdout=out)
        _, status, usage = os.wait4(child.pid, 0)
        seconds = time.perf_counter() - started
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode:
            raise SystemExit(f"{' '.join(map(str, words))} ended with {child.returncode}")
        out.seek(0)
        return seconds, usage.ru_maxrss / 1024, out.read()


def best(times: int, *words: str | Path) -> tuple[float, float, str]:
    return min(run(*words) for _ in range(times))


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--small", action="store_true")
    ask.add_argument("--times", type=int, default=3)
    asked = ask.parse_args()
    side, threads = (150, 20) if asked.small else (300, 30)
    with tempfile.TemporaryDirectory() as folder:
        measure(Path(folder), side, threads, asked.times)


def measure(folder: Path, side: int, threads: int, times: int) -> None:
    chart, booklet = folder / "cover.linen", folder / "cover.pdf"
    for beside in ("shore.csv", "story.md"):
        shutil.copy(MAKER.parent / beside, folder)
    run(MAKER, "--size", side, side, "--threads", threads, "-o", chart)
    _, _, printed = run(HERE / "stages.py", chart, folder)
    stages = json.loads(printed)
    ours, memory, _ = best(times, "-m", "linenleaf", "build", chart, "-o", booklet)
    yard, yard_memory, _ = best(
        times,
        HERE / "reportlab_pages.py",
        folder / "pages.json",
        folder / "grid.npy",
        folder / "symbols.ttf",
        folder / "yard.pdf",
    )
    bare, _, _ = best(times, "-c", "pass")
    renderer, _, _ = best(times, "-c", "import weasyprint")
    crosses = int(np.count_nonzero(np.load(folder / "grid.npy")))
    size = booklet.stat().st_size

    print(f"full cover {side} x {side}, {threads} threads, {stages['pages']} chart pages")
    print(
        f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}, "
        + ", ".join(
            f"{name} {version(name)}" for name in ("weasyprint", "numpy", "lark", "reportlab")
        )
    )
    print()
    total = sum(stages["seconds"].values())
    print(f"{'stage':<28}{'seconds':>9}{'share':>8}")
    for name, seconds in stages["seconds"].items():
        print(f"{name:<28}{seconds:>9.3f}{seconds / total:>8.0%}")
    print()
    print(f"{'whole process':<28}{'seconds':>9}{'MiB':>8}{'ratio':>8}")
    for name, seconds, peak in (
        ("bare Python", bare, None),
        ("Python importing WeasyPrint", renderer, None),
        ("reportlab, pages by hand", yard, yard_memory),
        ("linenleaf build", ours, memory),
    ):
        shown = "" if peak is None else f"{peak:.0f}"
        print(f"{name:<28}{seconds:>9.3f}{shown:>8}{seconds / yard:>8.2f}")
    print()
    print(f"booklet: {size:,} bytes, {size / crosses:.1f} a cross")
    print(f"ratio to reportlab: {ours / yard:.2f} (aim under 8)")
    print(f"ratio to reportlab + import of WeasyPrint: {ours / (yard + renderer):.2f}")
    print(f"peak memory: {memory:.0f} MiB (aim under 300)")


if __name__ == "__main__":
    main()
