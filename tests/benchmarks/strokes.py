"""What a million strokes of counted stitches cost, and a stroke of them against one of a quarter.

    python -m tests.benchmarks.strokes

Printed for each stage: CPU seconds for both charts, and a stroke of the large one against one of
the small one (at most 1.2, as the work is to grow with the strokes).
"""

from __future__ import annotations

import tempfile
import time
from itertools import pairwise
from pathlib import Path

from linenleaf.cloth.cloth import paint
from linenleaf.compose.compose import compose
from linenleaf.count.count import count
from linenleaf.count.thread import estimate
from linenleaf.resolve.read import read

LARGE, SMALL = 708, 354  # crosses each way, of two strokes each
AIM = 1.2
STAGES = ("read", "compose", "strokes", "count", "thread", "piece")


def stages(side: int, folder: Path) -> tuple[list[float], int]:
    """Return the CPU seconds of each stage for a square of counted crosses, and its strokes."""
    path = folder / f"{side}.linen"
    row = f"  |{'x' * side}|\n"
    head = 'linen 2\nfabric linen 32 over 2\nkey\n  x  #a03a3a "madder" cross\n'
    path.write_text(f"{head}chart {side} x {side}\n{row * side}", "utf-8")
    laps = [time.process_time()]
    design, _ = read(path)
    laps.append(time.process_time())
    worked, _ = compose(design)
    laps.append(time.process_time())
    strokes = sum(len(lot.strokes.run) for lot in worked.counted)
    laps.append(time.process_time())
    count(worked)
    laps.append(time.process_time())
    estimate(worked, design.ground.fabric)
    laps.append(time.process_time())
    paint(worked, pixels_per_cross=4)
    laps.append(time.process_time())
    return [after - before for before, after in pairwise(laps)], strokes


def main() -> None:
    with tempfile.TemporaryDirectory() as place:
        stages(20, Path(place))  # so that nothing is loaded while the others are timed
        (small, few), (large, many) = (stages(side, Path(place)) for side in (SMALL, LARGE))
    print(f"{'stage':<10}{few:>12,}{many:>12,}   a stroke, large / small (aim {AIM})")
    for name, one, other in zip(STAGES, small, large, strict=True):
        print(f"{name:<10}{one:>12.2f}{other:>12.2f}{other / many / (one / few):>10.2f}")


if __name__ == "__main__":
    main()
