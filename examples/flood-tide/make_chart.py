"""Make the flood tide chart: paint the marsh, choose threads, keep the stitching calm, write it.

    python make_chart.py                                       writes flood-tide.linen
    python make_chart.py --size 300 300 --threads 30 -o x.linen
    python make_chart.py --size 1000 1000 --threads 60 -o y.linen

The same size, threads and seed give the same chart. Only numpy is needed.
"""

from __future__ import annotations

import argparse
import csv
from pathlib import Path

import numpy as np
from paint_marsh import Scene, paint, rgb

FOLDER = Path(__file__).resolve().parent
RANGE = FOLDER / "shore.csv"
SIZE, THREADS, SEED = (220, 200), 36, 8
# From thin to heavy signs, so that the rows themselves are a grey picture of the chart.
SIGNS = "'`-,:_~;^!/+=<>*?(){}ltvcxzsnouyeaw372569k4hdbpqgXZTYLUCSJ80AKDGOPRHBNQM&%W@$"


def main() -> None:
    """Write a chart as the arguments say."""
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--size", nargs=2, type=int, default=SIZE, metavar=("W", "H"))
    arguments.add_argument("--threads", type=int, default=THREADS)
    arguments.add_argument("--seed", type=int, default=SEED)
    arguments.add_argument("-o", "--output", type=Path, default=FOLDER / "flood-tide.linen")
    given = arguments.parse_args()
    text = make(*given.size, given.threads, given.seed)
    given.output.write_text(text, encoding="utf-8", newline="\n")


def make(width: int, height: int, threads: int = THREADS, seed: int = SEED) -> str:
    """Return the text of a chart of width x height crosses in at most so many threads."""
    scene = paint(width, height, seed)
    names = read_range()
    colours = lab(np.array([rgb(colour) for _, _, colour in names]))
    picture = lab(np.clip(scene.colour, 0, 1))
    kept = choose_threads(picture, colours, threads)
    grid = calm(assign(picture, colours[kept], scene.firm, seed), scene.firm)
    used = np.unique(grid)
    light_to_dark = used[np.argsort(-colours[kept][used, 0], kind="stable")]
    place = np.zeros(len(kept), dtype=int)
    place[light_to_dark] = np.arange(len(used))
    return notation(place[grid], [names[kept[each]] for each in light_to_dark], scene)


def read_range() -> list[tuple[str, str, str]]:
    """Return code, name and colour of every thread of the range."""
    with RANGE.open(encoding="utf-8", newline="") as file:
        return [(row["code"], row["name"], row["colour"]) for row in csv.DictReader(file)]


def lab(colour: np.ndarray) -> np.ndarray:
    """Return CIE Lab (D65) of sRGB shares 0..1, by the formulas of IEC 61966-2-1 and CIE 15."""
    linear = np.where(colour <= 0.04045, colour / 12.92, ((colour + 0.055) / 1.055) ** 2.4)
    to_xyz = np.array(
        [
            [0.4124564, 0.3575761, 0.1804375],
            [0.2126729, 0.7151522, 0.0721750],
            [0.0193339, 0.1191920, 0.9503041],
        ]
    )
    xyz = linear @ to_xyz.T / np.array([0.95047, 1.0, 1.08883])
    root = np.where(xyz > 216 / 24389, np.cbrt(xyz), (xyz * 24389 / 27 + 16) / 116)
    x, y, z = root[..., 0], root[..., 1], root[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def choose_threads(picture: np.ndarray, colours: np.ndarray, most: int) -> np.ndarray:
    """Return the threads to use: those are dropped first that are missed least."""
    sample = picture.reshape(-1, 3)
    sample = sample[:: max(1, len(sample) // 40_000)]
    far = np.linalg.norm(sample[:, None] - colours[None], axis=-1)
    kept = list(range(len(colours)))
    while len(kept) > most:
        among = far[:, kept]
        order = np.argpartition(among, 1, axis=1)
        first, second = order[:, 0], order[:, 1]
        rows = np.arange(len(sample))
        worse = among[rows, second] ** 2 - among[rows, first] ** 2
        cost = np.bincount(first, weights=worse, minlength=len(kept))
        kept.pop(int(np.argmin(cost)))
    return np.array(kept)


def assign(picture: np.ndarray, colours: np.ndarray, firm: np.ndarray, seed: int) -> np.ndarray:
    """Return the thread of each cross.

    Where two threads meet in soft ground they are mixed in short level runs rather than single
    crosses, which are quick to work and lie quietly.
    """
    height, width = firm.shape
    rng = np.random.default_rng(seed + 1)
    runs = rng.random((height, width + 8))
    runs = np.stack([runs[:, at : at + width] for at in range(7)]).mean(axis=0)
    runs = (np.argsort(np.argsort(runs, axis=None)).reshape(height, width) + 0.5) / runs.size
    grid = np.empty((height, width), dtype=np.int16)
    apart = np.linalg.norm(colours[:, None] - colours[None], axis=-1)
    across = np.arange(width)
    for row in range(height):  # a row at a time keeps a large chart in little memory
        far = np.sqrt(((picture[row][:, None] - colours[None]) ** 2).sum(axis=-1))
        first = far.argmin(axis=1)
        best = far[across, first]
        far[across, first] = np.inf
        second = far.argmin(axis=1)
        next_best = far[across, second]
        between = apart[first, second]
        # The share of the second thread falls to nothing a little way off the meeting line, and
        # threads that differ much are not mixed at all.
        share = np.clip(0.5 - 1.8 * (next_best - best) / np.maximum(between, 1e-9), 0, 0.5)
        mixed = (runs[row] < share) & ~firm[row] & (between < 20)
        grid[row] = np.where(mixed, second, first)
    return grid


def calm(grid: np.ndarray, firm: np.ndarray, passes: int = 4) -> np.ndarray:
    """Return a grid without stray crosses in soft ground.

    A cross with too few like neighbours joins the thread that most of its soft neighbours have;
    what is firm stays, and does not spread.
    """
    soft = np.where(firm, -1, grid)
    for turn in range(passes):
        like = sum((each == grid).astype(np.uint8) for each in neighbours(grid))
        stray = np.nonzero((like < (2 if turn < 2 else 1)) & ~firm)
        if not stray[0].size:
            break
        around = np.stack([each[stray] for each in neighbours(soft)])
        votes = (around[:, None] == around[None]).sum(axis=0)
        votes[around < 0] = 0
        best = votes.argmax(axis=0)[None]
        winner = np.take_along_axis(around, best, axis=0)[0]
        soft[stray] = np.where(winner >= 0, winner, soft[stray])
        grid = np.where(firm, grid, soft)
    return grid


def neighbours(grid: np.ndarray) -> list[np.ndarray]:
    """Return the eight neighbours of every cross; those beyond the edge are its own likes."""
    height, width = grid.shape
    padded = np.pad(grid, 1, mode="edge")
    return [
        padded[1 + dy : 1 + dy + height, 1 + dx : 1 + dx + width]
        for dy in (-1, 0, 1)
        for dx in (-1, 0, 1)
        if dx or dy
    ]


def notation(grid: np.ndarray, threads: list[tuple[str, str, str]], scene: Scene) -> str:
    """Return the chart's text: the key from light to dark, then the rows."""
    height, width = grid.shape
    step = len(SIGNS) / len(threads)
    signs = [SIGNS[int(number * step)] for number in range(len(threads))]
    counts = np.bincount(grid.ravel(), minlength=len(threads))
    key = "\n".join(
        f"  {sign:<7}  shore {code}" for sign, (code, _, _) in zip(signs, threads, strict=True)
    )
    table = np.array([ord(sign) for sign in signs], dtype=np.uint32)
    rows = "\n".join(f"  |{''.join(map(chr, row))}|" for row in table[grid])
    first, last = signs[0], signs[-1]
    rigging = "\n".join(
        "  line rigging " + " ".join(f"{x},{y}" for x, y in points) for points in scene.lines
    )
    lamps = "\n".join(f"  bead lamp {x},{y}" for x, y in scene.lamp)
    rope = nearest(threads, "607")
    mast, lamp = scene.lines[0][0], scene.lamp[0]
    return f"""linen 1
# Written by make_chart.py; change the scene there and make it anew.

booklet "Flood Tide"
  subtitle "an evening on the saltings, stitched edge to edge"
  designer "Tern & Teasel"
  edition  "1" 2026-09-18
  language en-GB
  story    story.md
  rights   "Copyright 2026 Tern & Teasel. One working copy for your own use."
  needs    "A scroll frame or a floor stand: the piece is large and stays flatter under tension"

fabric linen 36 over 2
  colour #e6dcc8 "oatmeal"
  margin 3 in
  also   linen 32 over 2, linen 40 over 2, aida 16, aida 18

range shore from shore.csv

key
{key}
  rigging  shore {rope}  straight 1 strand  note "One stitch a rope, caught down every tenth row."
  lamp     #dc7f54 "ember glass"  bead   note "A glass bead of 2 mm."

chart {width} x {height}
{rows}
{rigging}
{lamps}

note at {mast[0]},{mast[1]} "The masthead. Lay the rigging last, over the crosses."
note at {lamp[0]},{lamp[1]} "The riding light: a bead. Leave it off where small children play."

expect {first} {counts[0]}
expect {last} {counts[-1]}
"""


def nearest(threads: list[tuple[str, str, str]], wanted: str) -> str:
    """Return the code of that thread in use which comes nearest to one of the range."""
    tones = {code: lab(rgb(colour)) for code, _, colour in read_range()}
    return min((code for code, _, _ in threads), key=lambda code: distance(tones, code, wanted))


def distance(tones: dict[str, np.ndarray], one: str, other: str) -> float:
    """Return the distance of two colours in Lab."""
    return float(np.linalg.norm(tones[one] - tones[other]))


if __name__ == "__main__":
    main()
