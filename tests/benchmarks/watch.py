"""How long it takes from a save to the findings, the picture on the page and the booklet.

    python -m tests.benchmarks.watch [CHART] [--times 10]

The chart is the large demo where none is named. It is copied, watched, and saved again and again
with one changed word, and with one changed row: a cross in the middle of the chart. Each figure is
the median, from before the writing of the file to the moment at which the line, or the page's new
picture, has come. The yardsticks are whole runs of `check` and `build`; last stands the ratio of
a booklet built anew after one changed row to a whole build. Nothing here fails on time: the figures
are read in review.
"""

from __future__ import annotations

import argparse
import http.client
import os
import platform
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from importlib.metadata import version
from pathlib import Path

from linenleaf.core.findings import Level
from linenleaf.flow import follow

from tests.watch.watcher import Watching, watching

DEMO = Path(__file__).resolve().parents[2] / "examples/saltmarsh-bands/saltmarsh-bands.linen"


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("chart", nargs="?", type=Path, default=DEMO)
    ask.add_argument("--times", type=int, default=10)
    asked = ask.parse_args()
    with tempfile.TemporaryDirectory() as place:
        measure(copied(asked.chart, Path(place)), asked.times)


def rebuilds(demo: Path, times: int) -> float:
    """Return how long a booklet takes anew after one changed row, over a whole build."""
    with tempfile.TemporaryDirectory() as place:
        chart = copied(demo, Path(place))
        texts = one_cross(chart)
        with watching(chart.parent, chart.name) as watch:
            watch.until(r"\.pdf: ")
            rows, builds = in_turns(watch, chart, texts, times)
    return statistics.median(rows) / statistics.median(builds)


def copied(chart: Path, place: Path) -> Path:
    folder = place / "chart"
    shutil.copytree(chart.parent, folder, ignore=shutil.ignore_patterns("*.pdf", "__pycache__"))
    return folder / chart.name


def measure(chart: Path, times: int) -> None:
    print(f"{chart.name}: {chart.stat().st_size:,} bytes, {times} saves")
    print(
        f"{platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, "
        f"Python {platform.python_version()}, "
        + ", ".join(f"{name} {version(name)}" for name in ("watchdog", "weasyprint"))
    )
    checks = [run("check", chart) for _ in range(3)]
    texts = one_cross(chart)
    with watching(chart.parent, chart.name) as watch:
        port = int(re.search(r":(\d+)/", watch.until("Page: "))[1])
        watch.until(r"\.pdf: ")
        quiet = [save(watch, chart, port, number) for number in range(times)]
        busy = [hurry(watch, chart, number) for number in range(times)]
        rebuilt(watch, chart, texts[0])
        rows, builds = in_turns(watch, chart, texts, times)
    print()
    print(f"{'from a save to':<44}{'seconds':>9}{'longest':>9}")
    for name, seconds in (
        ("the findings", [each[0] for each in quiet]),
        ("the picture on the page", [each[1] for each in quiet]),
        ("the booklet", [each[2] for each in quiet]),
        ("the booklet, one row changed", rows),
        ("the findings, while the last is being built", busy),
    ):
        print(f"{name:<44}{statistics.median(seconds):>9.3f}{max(seconds):>9.3f}")
    print()
    print(f"{'whole run of':<44}{'seconds':>9}")
    whole = statistics.median(builds)
    print(f"{'linenleaf check':<44}{statistics.median(checks):>9.3f}")
    print(f"{'linenleaf build':<44}{whole:>9.3f}")
    print()
    print(f"one row / whole build: {statistics.median(rows) / whole:.2f}")


def in_turns(
    watch: Watching, chart: Path, texts: tuple[str, str], times: int
) -> tuple[list[float], list[float]]:
    """Build anew and as a whole in turns, for a computer is not as fast at all times.

    texts: the chart that was built last, and that to build next; see `one_cross`.
    """
    rows, builds = [], []
    for number in range(times):
        rows.append(rebuilt(watch, chart, texts[1 - number % 2]))
        builds.append(run("build", chart))
    return rows, builds


def run(word: str, chart: Path) -> float:
    begun = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "linenleaf", word, chart.name],
        cwd=chart.parent,
        capture_output=True,
        check=True,
    )
    return time.perf_counter() - begun


def write(chart: Path, number: int) -> float:
    """Save the chart with a changed word; return when that was begun."""
    text = re.sub(
        r"(\n  subtitle +\")[^\"]*", rf"\g<1>save {number}", chart.read_text("utf-8"), count=1
    )
    begun = time.perf_counter()
    chart.write_text(text, "utf-8")
    return begun


def one_cross(chart: Path) -> tuple[str, str]:
    """Return the chart as it is, and with one cross changed as near as can be to its middle.

    Where a motif has to be symmetric, or a count is expected, another cross is taken.
    """
    text = chart.read_text("utf-8")
    rows = list(re.finditer(r"^ *\|.*?(\w)(?!\1)(\w).*\|$", text, re.MULTILINE))
    rows.sort(key=lambda row: abs(row.start() - len(text) // 2))
    try:
        for row in rows:
            other = text[: row.start(2)] + row[1] + text[row.end(2) :]
            chart.write_text(other, "utf-8")
            if all(each.level is not Level.ERROR for each in follow(chart).findings):
                return text, other
    finally:
        chart.write_text(text, "utf-8")
    raise SystemExit("No cross of this chart can be changed by itself.")


def rebuilt(watch: Watching, chart: Path, text: str) -> float:
    """Save; return the seconds to the booklet."""
    begun = time.perf_counter()
    chart.write_text(text, "utf-8")
    watch.until(r"\.pdf: ")
    return time.perf_counter() - begun


def save(watch: Watching, chart: Path, port: int, number: int) -> tuple[float, float, float]:
    before = shown(port)
    begun = write(chart, number)
    watch.until(r"\.linen: ")
    findings = time.perf_counter() - begun
    while shown(port) == before:
        time.sleep(0.005)
    picture = time.perf_counter() - begun
    watch.until(r"\.pdf: ")
    return findings, picture, time.perf_counter() - begun


def hurry(watch: Watching, chart: Path, number: int) -> float:
    """Save twice, the second time into the building after the first."""
    write(chart, number + 1000)
    watch.until(r"\.linen: ")
    time.sleep(0.4)
    begun = write(chart, number + 2000)
    watch.until(r"\.linen: ")
    findings = time.perf_counter() - begun
    watch.until(r"\.pdf: ")
    return findings


def shown(port: int) -> str:
    """Return the address of the picture that the page shows."""
    line = http.client.HTTPConnection("127.0.0.1", port)
    try:
        line.request("GET", "/")
        return re.search(r'src="(/chart[^"]*)"', line.getresponse().read().decode())[1]
    finally:
        line.close()


if __name__ == "__main__":
    main()
