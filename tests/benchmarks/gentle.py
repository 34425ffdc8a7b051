"""How amounts of thread change with the fabric, with gaps, and when one cross is added.

python -m tests.benchmarks.gentle              the table of counts and gaps
python -m tests.benchmarks.gentle --additions  ten thousand random additions besides
"""

from __future__ import annotations

import argparse

import numpy as np
from linenleaf.core.ground import Fabric
from linenleaf.count.thread import estimate

from ..thread_charts import AT_16, chart, needle

COUNTS, GAPS, SIDE = range(11, 21), range(1, 7), 14


def table() -> None:
    """Print the metres of 196 single crosses, and how much neighbours in the table differ."""
    rows = []
    for gap in GAPS:
        grid = np.zeros((SIDE * (gap + 1) - gap,) * 2)
        grid[:: gap + 1, :: gap + 1] = 1
        fabrics = [Fabric("aida", count, count, 1, block=True) for count in COUNTS]
        rows.append([needle(grid, fabric).needle / 1000 for fabric in fabrics])
    print("gap  " + "".join(f"{count:7}" for count in COUNTS))
    for gap, row in zip(GAPS, rows, strict=True):
        print(f"{gap:3}  " + "".join(f"{metres:7.2f}" for metres in row))
    metres = np.array(rows)
    across = (metres[:, :-1] / metres[:, 1:] - 1).max()
    down = (metres[1:] / metres[:-1] - 1).max()
    print(f"most from count to count {across:.0%}, from gap to gap {down:.0%}")


def additions(fills: int = 4, side: int = 36) -> None:
    """Fill squares cross by cross, bare and among another thread; print how often less is taken."""
    less: list[float] = []
    steps = 0
    for seed in range(fills):
        for ground in (0, 2):
            grid = np.full((side, side), ground)
            before = 0.0
            for at in np.random.default_rng(seed).permutation(side * side).tolist():
                grid.ravel()[at] = 1
                after = estimate(chart(grid), AT_16)[0].needle
                if after < before - 1e-6:
                    less.append(before - after)
                before = after
                steps += 1
    print(
        f"{steps:,} additions: {len(less)} take less ({len(less) / steps:.2%}), "
        f"at most by {max(less, default=0):.0f} mm"
    )


def main() -> None:
    """Print what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--additions", action="store_true")
    table()
    if parser.parse_args().additions:
        additions()


if __name__ == "__main__":
    main()
