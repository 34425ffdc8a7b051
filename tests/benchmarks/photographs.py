"""How well photographs are read and charts held against them; long, and by hand.

    python -m tests.benchmarks.photographs                       every figure, seeds 0 to 9
    python -m tests.benchmarks.photographs --first 100 bands held
    python -m tests.benchmarks.photographs --list

Photographs are made by `tests/photographs.py`, which knows what is true. Nothing fails: figures are
read in review, beside what is aimed at. The reading was made with seeds 0 to 9; 100 to 109 are
for trying what it was not made with. Even seeds show parts of the large demo, odd ones made-up
samplers. Seconds are of the processor.
"""

from __future__ import annotations

import argparse
import pickle
import subprocess
import sys
import time
from collections.abc import Callable
from functools import cache

import numpy as np
from linenleaf.photograph.differences import Difference, DifferenceKind, Expected
from linenleaf.photograph.drafting import Threads, draft
from linenleaf.photograph.holding import hold
from linenleaf.photograph.picture import open_photograph
from linenleaf.photograph.reading import Reading, read
from numpy.typing import NDArray
from scipy.ndimage import label

from ..photographs import Conditions, Piece, Taken, creased, demo, painted, photographed, sampler

BAND = 168, 30
WHOLE = 168, 280
CLICKS = 5  # cells named of each thread
SLIPS = 60


@cache
def _whole_demo(faded: float) -> Piece:
    return painted(demo(), faded, np.random.default_rng(5))


def piece_of(seed: int, size: tuple[int, int], faded: float = 0.3, **kind: bool) -> Piece:
    """A piece for a seed: a part of the demo for even ones, a made-up sampler for odd ones."""
    rng = np.random.default_rng([seed, 3])
    if seed % 2 or kind:
        return painted(sampler(*size, seed, **kind), faded, rng)
    top = int(rng.integers(0, WHOLE[1] - size[1] + 1))
    return _whole_demo(faded).part(0, top, *size)


def named_cells(piece: Piece, seed: int) -> dict[int, tuple[tuple[int, int], ...]]:
    """A few cells of each thread, as a user would name them."""
    rng = np.random.default_rng([seed, 5])
    named = {}
    for thread in range(len(piece.colours)):
        at = np.argwhere((piece.cells == thread) & piece.plain)
        if len(at):
            picked = rng.permutation(at)[:CLICKS].tolist()
            named[thread] = tuple((column, row) for row, column in picked)
    return named


def lost(taken: Taken, reading: Reading) -> float:
    """The share of crosses whose middle was found more than half a cross off."""
    width, height = taken.piece.size
    y, x = np.mgrid[0:height, 0:width] + 0.5
    found = taken.placing.places(reading.lattice.pixels(np.stack([x, y], axis=-1)))
    off = np.abs(found - taken.placing.places(taken.middles)).max(axis=-1)
    return float((off > 0.5).mean())


class Score:
    """Figures over seeds."""

    def __init__(self) -> None:
        self.right: list[float] = []
        self.slipped: list[int] = []
        self.accepted: list[int] = []
        self.refused: list[int] = []
        self.wrong = self.caught = 0
        self.seconds: list[float] = []

    def add(self, seed: int, taken: Taken, threads: str) -> None:
        """Read one photograph and draft it."""
        photograph = open_photograph(taken.data)
        started = time.process_time()
        reading, _ = read(photograph, taken.placing)
        if reading is None:
            self.refused.append(seed)
            return
        piece = taken.piece
        known = {
            "named": Threads(named=named_cells(piece, seed)),
            "key": Threads(key=piece.colours),
            "found": Threads(),
        }[threads]
        made, _ = draft(reading, known)
        self.seconds.append(time.process_time() - started)
        slipped = lost(taken, reading) > 0.01
        if slipped:
            self.slipped.append(seed)
        if made is None:
            self.refused.append(seed)
            return
        if slipped:
            self.accepted.append(seed)
        cells = made.cells if threads != "found" else _as_true(made.cells, piece)
        wrong = (cells != piece.cells)[piece.plain]
        least = np.argsort(made.sureness[piece.plain], kind="stable")[: len(wrong) // 20]
        self.wrong += int(wrong.sum())
        self.caught += int(wrong[least].sum())
        self.right.append(100 * (1 - float(wrong.mean())))

    def __str__(self) -> str:
        if not self.right:
            return f"all refused {self.refused}"
        share = 100 * self.caught / self.wrong if self.wrong else 100.0
        return (
            f"{np.mean(self.right):6.2f} / {min(self.right):6.2f} % right, "
            f"{share:3.0f} % of {self.wrong} wrong among the least sure 5 %, "
            f"lost crosses in {self.slipped}, accepted {self.accepted}, refused {self.refused}, "
            f"{np.mean(self.seconds):.2f} s"
        )


def _as_true(cells: NDArray[np.int32], piece: Piece) -> NDArray[np.int32]:
    """Threads that were found, each as the true one that most of its cells are of."""
    table = np.zeros(int(cells.max()) + 1, np.int32)
    for thread in range(len(table)):
        mine = piece.cells[(cells == thread) & piece.plain]
        if len(mine):
            table[thread] = np.bincount(mine).argmax()
    return table[cells]


def read_well(
    name: str,
    aim: str,
    seeds: range,
    how: Conditions,
    *,
    size: tuple[int, int] = BAND,
    threads: str = "named",
    faded: float = 0.3,
    **kind: bool,
) -> None:
    """Print how well pieces are read."""
    score = Score()
    for seed in seeds:
        score.add(seed, photographed(piece_of(seed, size, faded, **kind), how, seed), threads)
    print(f"{name:34} aim {aim:11} {score}", flush=True)


# --- charts held ---------------------------------------------------------------------------------


def slips(
    piece: Piece, kind: DifferenceKind, seed: int
) -> tuple[NDArray[np.int32], set[tuple[int, int]]]:
    """The chart of a piece with single crosses wrong, and where (column, row)."""
    rng = np.random.default_rng([seed, 7])
    cells = piece.cells.copy()
    # An extra cross of the photograph is one that the chart lacks.
    stitched = kind is not DifferenceKind.MISSING
    near = np.zeros(cells.shape, bool)
    for down in (-2, -1, 0, 1, 2):
        for right in (-2, -1, 0, 1, 2):
            near |= np.roll(piece.cells > 0, (down, right), (0, 1))
    where = piece.plain & ((piece.cells > 0) if stitched else (piece.cells == 0) & near)
    planted = set()
    for row, column in rng.permutation(np.argwhere(where))[:SLIPS].tolist():
        around = piece.cells[max(0, row - 4) : row + 5, max(0, column - 4) : column + 5]
        others = sorted(set(np.unique(around).tolist()) - {0, int(piece.cells[row, column])})
        if not others:
            others = sorted(
                set(np.unique(piece.cells).tolist()) - {0, int(piece.cells[row, column])}
            )
        cells[row, column] = 0 if kind is DifferenceKind.EXTRA else rng.choice(others)
        planted.add((column, row))
    return cells, planted


def features(piece: Piece, seed: int) -> tuple[NDArray[np.int32], list[set[tuple[int, int]]]]:
    """The chart of a piece with figures one row off, and the cells that each should be told by."""
    rng = np.random.default_rng([seed, 9])
    cells = piece.cells.copy()
    height = len(cells)
    free = piece.plain.copy()
    planted: list[set[tuple[int, int]]] = []
    figures = []
    for thread in np.unique(piece.cells[piece.cells > 0]).tolist():
        joined, many = label(piece.cells == thread, structure=np.ones((3, 3)))
        sizes = np.bincount(joined.ravel())
        figures += [(joined, n) for n in range(1, many + 1) if 3 <= sizes[n] <= 40]
    for number in rng.permutation(len(figures)).tolist():
        joined, n = figures[number]
        at = np.argwhere(joined == n)
        there = at + np.array([rng.choice([-1, 1]), 0])
        if there[:, 0].min() < 0 or there[:, 0].max() >= height:
            continue
        both = np.concatenate([at, there])
        if not free[tuple(both.T)].all():
            continue
        thread = int(piece.cells[tuple(at[0])])
        cells[tuple(at.T)] = 0
        cells[tuple(there.T)] = thread
        top, left = np.maximum(both.min(axis=0) - 2, 0)
        bottom, right = both.max(axis=0) + 3
        free[top:bottom, left:right] = False
        planted.append({(column, row) for row, column in both.tolist()})
        if len(planted) == SLIPS:
            break
    return cells, planted


def places_of(difference: Difference) -> set[tuple[int, int]]:
    """Column and row of the cells that a difference is about."""
    return {(int(column), int(row)) for column, row in difference.cells}


def held_well(name: str, seeds: range, how: Conditions, faded: float = 0.3) -> None:
    """Print how many planted slips are told among the first."""
    shown: dict[str, list[str]] = {}
    seconds = []
    for seed in seeds:
        piece = piece_of(seed, WHOLE, faded)
        taken = photographed(piece, how, seed)
        started = time.process_time()
        reading, _ = read(open_photograph(taken.data), taken.placing)
        assert reading is not None
        seconds.append(time.process_time() - started)
        for kind in (DifferenceKind.WRONG, DifferenceKind.EXTRA, DifferenceKind.MISSING):
            chart, planted = slips(piece, kind, seed)
            held, _ = hold(reading, Expected(chart, piece.plain))
            if held is None:
                shown.setdefault(kind, []).append("refused")
                continue
            told = [places_of(each) for each in held.differences]
            first, more = (set().union(*told[:many]) & planted for many in (80, 150))
            shown.setdefault(kind, []).append(f"{len(first)}/{len(more)}")
        chart, figures = features(piece, seed)
        held, _ = hold(reading, Expected(chart, piece.plain))
        if held is None:
            shown.setdefault("figures", []).append("refused")
        else:
            told = [places_of(each) for each in held.differences[:SLIPS]]
            many = sum(any(len(one & other) * 2 > len(other) for other in told) for one in figures)
            shown.setdefault("figures", []).append(f"{many} of {len(figures)}")
        clean, _ = hold(reading, Expected(piece.cells, piece.plain))
        shown.setdefault("false", []).append(
            "refused" if clean is None else str(len(clean.differences))
        )
        shown.setdefault("band", []).append(_bands(reading, piece, seed))
        shown.setdefault("block", []).append(_blocks(reading, piece, seed))
    words = "; ".join(f"{kind} {', '.join(each)}" for kind, each in shown.items())
    print(f"{name:34} {words}; reading {np.mean(seconds):.2f} s", flush=True)


def _bands(reading: Reading, piece: Piece, seed: int) -> str:
    """How many of some bands one row off are told as just that."""
    rng = np.random.default_rng([seed, 11])
    height = piece.size[1]
    right = 0
    for _ in range(5):
        first = int(rng.integers(4, height - 34))
        last, down = first + int(rng.integers(12, 30)), int(rng.choice([-1, 1]))
        chart, plain = piece.cells.copy(), piece.plain.copy()
        chart[first:last] = np.roll(piece.cells, down, axis=0)[first:last]
        plain[first:last] &= np.roll(piece.plain, down, axis=0)[first:last]
        held, _ = hold(reading, Expected(chart, plain))
        told = (
            []
            if held is None
            else [each for each in held.differences if each.kind is DifferenceKind.BAND]
        )
        right += len(told) == 1 and told[0].step == (0, -down)
    return f"{right} of 5"


def _blocks(reading: Reading, piece: Piece, seed: int) -> str:
    """How many of some blocks of 40 x 12 a row or column off are told first, and as just that."""
    rng = np.random.default_rng([seed, 13])
    width, height = piece.size
    right = 0
    steps = ((1, 0), (-1, 0), (0, 1), (0, -1))
    for across, down in steps:
        left, top = int(rng.integers(3, width - 44)), int(rng.integers(3, height - 16))
        block = slice(top, top + 12), slice(left, left + 40)
        chart = piece.cells.copy()
        chart[block] = np.roll(piece.cells, (-down, -across), axis=(0, 1))[block]
        held, _ = hold(reading, Expected(chart, piece.plain))
        first = held.differences[0] if held and held.differences else None
        right += bool(first and first.kind is DifferenceKind.BLOCK and first.step == (across, down))
    return f"{right} of {len(steps)}"


def cost() -> None:
    """Print seconds and memory of a band and a whole piece, each in a process of its own."""
    for name, size, aim in (("band 168 x 30", BAND, "2 s"), ("168 x 280", WHOLE, "10 s, 700 MiB")):
        taken = photographed(piece_of(0, size), Conditions(), 0)
        piece = taken.piece
        task = taken.data, taken.placing, piece.cells, piece.plain, named_cells(piece, 0)
        ran = subprocess.run(
            [sys.executable, "-c", _ALONE],
            input=pickle.dumps(task),
            capture_output=True,
            check=True,
        )
        print(f"{name:34} aim {aim:13} {ran.stdout.decode().strip()}", flush=True)


_ALONE = """
import pickle, sys, time
task = sys.stdin.buffer.read()
from linenleaf.photograph.differences import Expected
from linenleaf.photograph.drafting import Threads, draft
from linenleaf.photograph.holding import hold
from linenleaf.photograph.picture import open_photograph
from linenleaf.photograph.reading import read
data, placing, cells, plain, named = pickle.loads(task)
started = time.process_time()
reading, _ = read(open_photograph(data), placing)
times = [time.process_time()]
draft(reading, Threads(named=named))
times.append(time.process_time())
hold(reading, Expected(cells, plain))
times.append(time.process_time())
# Of this process: what `resource` tells begins with that of the process that started it.
[line] = [line for line in open("/proc/self/status") if line.startswith("VmHWM")]
peak = int(line.split()[1]) / 1024
words = zip(("read", "drafted", "held"), times, [started, *times])
print(", ".join(f"{word} {end - begin:.2f} s" for word, end, begin in words), f"; {peak:.0f} MiB")
"""


EIGHT, SIX = Conditions(), Conditions(pixels=6.0)

FIGURES: dict[str, Callable[[range], None]] = {
    "bands": lambda seeds: read_well("band, 8 px", "99.7 / 99", seeds, EIGHT),
    "bands6": lambda seeds: read_well("band, 6 px", "98 / 94", seeds, SIX),
    "sparse": lambda seeds: read_well("sparse band, 8 px", "99.5", seeds, EIGHT, sparse=True),
    "creased": lambda seeds: read_well(
        "band, creased and puckered", "-", seeds, Conditions(bending=creased)
    ),
    "faded": lambda seeds: read_well("band, fading 0.6", "-", seeds, EIGHT, faded=0.6),
    "blurred": lambda seeds: read_well("band, blur 1.5 px", "-", seeds, Conditions(blur=1.5)),
    "noisy": lambda seeds: read_well(
        "band, noise 15 and JPEG 60", "-", seeds, Conditions(noise=15, quality=60)
    ),
    "key": lambda seeds: read_well("band, threads of a key", "-", seeds, EIGHT, threads="key"),
    "found": lambda seeds: read_well("band, threads found", "-", seeds, EIGHT, threads="found"),
    "covered": lambda seeds: read_well("covered", "no draft", seeds, EIGHT, filled=True),
    "whole": lambda seeds: read_well("168 x 280, 8 px", "99.7 / 99", seeds[:3], EIGHT, size=WHOLE),
    "held": lambda seeds: held_well("held, 8 px", seeds[:3], EIGHT),
    "held-faded": lambda seeds: held_well("held, 8 px, fading 0.5", seeds[:3], EIGHT, 0.5),
    "held-creased": lambda seeds: held_well(
        "held, 8 px, fading 0.5, creased", seeds[:2], Conditions(bending=creased), 0.5
    ),
    "held6": lambda seeds: held_well("held, 6 px", seeds[:3], SIX),
    "cost": lambda seeds: cost(),
}


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("figures", nargs="*", choices=[*FIGURES, []], metavar="FIGURE")
    parser.add_argument("--first", type=int, default=0, help="the first seed")
    parser.add_argument("--many", type=int, default=10, help="seeds")
    parser.add_argument("--list", action="store_true", help="name all figures")
    asked = parser.parse_args()
    if asked.list:
        print(" ".join(FIGURES))
        return
    for name in asked.figures or FIGURES:
        FIGURES[name](range(asked.first, asked.first + asked.many))


if __name__ == "__main__":
    main()
