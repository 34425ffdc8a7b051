"""How long a comparison takes beside the reading of both charts, as ratios.

Run:  python -m tests.benchmarks.compare [SIDE]

Charts of SIDE x SIDE crosses (1,000 unless told otherwise): one grid in thirty colours with a few
places changed, the same shifted, the same in noise, and one put together from motifs.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from linenleaf.compose.compose import compose
from linenleaf.diff.compare import compare
from linenleaf.diff.difftext import as_text
from linenleaf.resolve.read import read
from numpy.typing import NDArray

SYMBOLS = "abcdefghijklmnopqrstuvwxyzABCD"
ROUNDS = 3
Grid = NDArray[np.int64]


def smooth(side: int) -> Grid:
    """A full-cover picture."""
    y, x = np.mgrid[:side, :side]
    waves = np.sin(x / 37) + np.cos(y / 23) + np.sin((x + y) / 51) + 3
    rng = np.random.default_rng(3)
    speckled = (rng.random((side, side)) < 0.05) * rng.integers(0, 5, (side, side))
    return ((waves * 5).astype(np.int64) + speckled) % len(SYMBOLS)


def edited(grid: Grid) -> Grid:
    """A chart with a line, a patch and a cell changed."""
    made = grid.copy()
    side = len(grid)
    made[side // 20 : side // 20 + 2, side // 12 : side // 12 + 12] = 3
    made[side // 2 : side // 2 + 20, side // 3 : side // 3 + 30] = 7
    made[side * 7 // 10, side // 100] = (made[side * 7 // 10, side // 100] + 1) % len(SYMBOLS)
    return made


def key() -> list[str]:
    return [
        "linen 1",
        "fabric linen 32 over 2",
        "key",
        *(f'  {each} #{at * 8:02x}{255 - at * 7:02x}{at * 5:02x} "thread {at}"'
          for at, each in enumerate(SYMBOLS)),
    ]  # fmt: skip


def as_grid(path: Path, grid: Grid) -> None:
    rows = np.array(list(SYMBOLS))[grid]
    lines = [*key(), f"chart {grid.shape[1]} x {grid.shape[0]}"]
    lines += [f"  |{''.join(row)}|" for row in rows]
    path.write_text("\n".join(lines) + "\n")


def as_motifs(path: Path, side: int, moved: int) -> None:
    """A chart of many small motifs in rows; some of them, and one drawing, differ."""
    lines = key()
    for at, each in enumerate(SYMBOLS):
        mark = SYMBOLS[(at + (moved and at == 4)) % len(SYMBOLS)]
        lines += [f"motif m{at:02} 8 x 8", *(f"  |{each * 3}.{each}{mark}..|" for _ in range(8))]
    lines.append(f"chart {side} x {side}")
    for row in range(side // 10):
        step = 3 if moved and row % 25 == 7 else 0
        lines.append(
            f"  m{row % len(SYMBOLS):02} x {side // 10 - 1} at {step},{row * 10} step 10,0"
        )
    path.write_text("\n".join(lines) + "\n")


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """The least time of some rounds, and what came of the last."""
    best, found = float("inf"), None
    for _ in range(ROUNDS):
        start = time.perf_counter()
        found = work()
        best = min(best, time.perf_counter() - start)
    return best, found


def worked(path: Path) -> Any:
    design, findings = read(path)
    assert design is not None, findings[:3]
    chart, findings = compose(design)
    assert chart is not None, findings[:3]
    return chart


def main() -> None:
    side = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    base = smooth(side)
    noise = np.random.default_rng(5).integers(0, len(SYMBOLS), (side, side))
    shifted = np.full_like(base, 1)
    shifted[3:, 5:] = edited(base)[:-3, :-5]
    pairs: list[tuple[str, Callable[[Path], None], Callable[[Path], None]]] = [
        ("few places", lambda p: as_grid(p, base), lambda p: as_grid(p, edited(base))),
        ("shifted", lambda p: as_grid(p, base), lambda p: as_grid(p, shifted)),
        ("noise, few places", lambda p: as_grid(p, noise), lambda p: as_grid(p, edited(noise))),
        ("nothing in common", lambda p: as_grid(p, noise), lambda p: as_grid(p, base)),
        ("motifs", lambda p: as_motifs(p, side, 0), lambda p: as_motifs(p, side, 1)),
    ]
    print(f"{side} x {side} crosses        read both   compare   words   ratio   with skeins")
    with tempfile.TemporaryDirectory() as folder:
        for name, write_old, write_new in pairs:
            old, new = Path(folder) / "old.linen", Path(folder) / "new.linen"
            write_old(old)
            write_new(new)
            reading, charts = timed(lambda old=old, new=new: (worked(old), worked(new)))
            comparing, found = timed(lambda charts=charts: compare(*charts, thread=False))
            words, _ = timed(lambda found=found: as_text(found, ("old", "new")))
            whole, _ = timed(lambda charts=charts: compare(*charts))
            ratio = (comparing + words) / reading
            print(
                f"{name:24} {reading:8.2f} s {comparing:7.2f} s {words:6.2f} s {ratio:6.2f} x "
                f"{whole / reading:10.1f} x"
            )


if __name__ == "__main__":
    main()
