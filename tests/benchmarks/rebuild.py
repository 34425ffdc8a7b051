"""How long the watch takes to build again after one row was changed."""

from __future__ import annotations

import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.watching.watcher import watching

_ROW = re.compile(r"\|([^|\n]*)\|")


def rebuilds(chart: Path, times: int) -> float:
    """Return the median time from a save to the booklet, over that of a whole build."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "chart"
        shutil.copytree(chart.parent, folder, ignore=shutil.ignore_patterns("*.pdf", "__pycache__"))
        copy = folder / chart.name
        whole = min(_built(copy) for _ in range(times))
        with watching(folder, copy.name) as watch:
            watch.until(r"\.pdf: ")
            taken = []
            for number in range(times + 1):
                begun = _saved(copy, number)
                watch.until(r"\.pdf: ")
                taken.append(time.perf_counter() - begun)
    return statistics.median(taken[1:]) / whole


def _built(chart: Path) -> float:
    words = [sys.executable, "-m", "linenleaf", "build", chart.name]
    begun = time.perf_counter()
    subprocess.run(words, cwd=chart.parent, capture_output=True, check=True)
    return time.perf_counter() - begun


def _saved(chart: Path, number: int) -> float:
    """Change one cross of a long row of the chart's own grid, there and back again."""
    text = chart.read_text("utf-8")
    rows = list(_ROW.finditer(text, text.index("\nchart ")))
    row = rows[len(rows) // 2]
    cells = row[1]
    at = len(cells) // 2
    # Not the lightest or the darkest, which the demo counts.
    other = sorted(set(text[rows[0].start() : rows[-1].end()]))[20 + number % 2]
    changed = cells[:at] + other + cells[at + 1 :]
    begun = time.perf_counter()
    chart.write_text(text[: row.start(1)] + changed + text[row.end(1) :], "utf-8")
    return begun
