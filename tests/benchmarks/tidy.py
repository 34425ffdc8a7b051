"""Time tidying against reading alone, on a source of 20,000 lines.

    python tests/benchmarks/tidy.py [LINES]

Prints seconds and ratios for three kinds of source: like the largest example, all rows, all
statements. Each is written untidily, so that every line is changed.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

from linenleaf.core.source import Source
from linenleaf.formatting.rulers import Rulers
from linenleaf.formatting.tidy import tidy
from linenleaf.syntax.parse import parse

EXAMPLE = Path(__file__).resolve().parents[2] / "examples/saltmarsh-bands/saltmarsh-bands.linen"
TIMES = 5


def sources(lines: int) -> dict[str, str]:
    """Return the texts by what they are like."""
    sampler = EXAMPLE.read_text("utf-8").split("\n")[1:]
    copies = -(-lines // len(sampler))
    rows = ["|" + "m.s/" * 30 + "|"] * (lines - 2)
    placings = [
        f"boat over 1 at {number % 70},{number % 40} mirrored with s as m"
        for number in range(lines - 2)
    ]
    return {
        "like the sampler": "\n".join(["linen 1", *(sampler * copies)[: lines - 1]]),
        "all rows": "\n".join(["linen 1", "chart 120 x 9", *rows]),
        "all statements": "\n".join(["linen 1", "chart 120 x 9", *placings]),
    }


def seconds(work: Callable[[], object]) -> float:
    """Return the least processor time of several runs."""
    best = float("inf")
    for _ in range(TIMES):
        start = time.process_time()
        work()
        best = min(best, time.process_time() - start)
    return best


def main() -> None:
    """Time all kinds."""
    lines = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    print(f"{lines:,} lines     read    tidy   ratio")
    for kind, text in sources(lines).items():
        untidy = "\n".join("   " + line.strip() for line in text.split("\n"))
        reading = seconds(lambda text=untidy: parse(Source("chart.linen", text)))
        tidying = seconds(lambda text=untidy: tidy(Source("chart.linen", text), Rulers.ADDED))
        print(f"{kind:18} {reading:5.2f} s {tidying:5.2f} s {tidying / reading:6.2f}")


if __name__ == "__main__":
    main()
