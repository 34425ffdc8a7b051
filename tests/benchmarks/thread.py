"""How long the thread estimate takes, on charts of several kinds.

    python -m tests.benchmarks.thread            300 x 300 with 30 threads
    python -m tests.benchmarks.thread --large    1,000 x 1,000 with 60 threads

Nothing here fails on time: the figures are read in review. The best of three runs is printed.
"""

from __future__ import annotations

import argparse
import time

import numpy as np
from linenleaf.core.key import Thread
from linenleaf.count.thread import estimate

from ..charts import cell, part
from ..thread_charts import AT_16, chart


def kinds(side: int, threads: int) -> dict[str, np.ndarray]:
    """Charts of the same size: key indices of each."""
    rng = np.random.default_rng(7)
    mixed = rng.integers(1, threads + 1, (side, side))
    walk = np.cumsum(np.cumsum(rng.normal(size=(side, side)), 0), 1)
    shaded = ((walk - walk.min()) / np.ptp(walk) * 3 * threads).astype(int) % threads + 1
    return {
        "blocks of 10 x 10": np.kron(mixed[: side // 10, : side // 10], np.ones((10, 10), int)),
        "shaded": shaded,
        "shaded, a fifth mixed": np.where(rng.random((side, side)) < 0.2, mixed, shaded),
        "every cross another thread": mixed,
        "the same, nine of ten bare": np.where(rng.random((side, side)) < 0.9, 0, mixed),
    }


def main() -> None:
    """Print the times."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--large", action="store_true")
    side, threads = (1000, 60) if parser.parse_args().large else (300, 30)
    key = [
        cell(chr(0x4E00 + each), part(Thread("shore", str(each), "", "#808080")))
        for each in range(threads)
    ]
    print(f"{side} x {side}, {threads} threads")
    for name, grid in kinds(side, threads).items():
        times = []
        for _ in range(3):
            worked = chart(grid, key=key)  # anew, since what was estimated is kept
            started = time.perf_counter()
            estimate(worked, AT_16)
            times.append(time.perf_counter() - started)
        print(f"{name:30} {min(times):7.3f} s")


if __name__ == "__main__":
    main()
