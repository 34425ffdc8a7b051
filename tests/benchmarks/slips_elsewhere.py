"""Likely slips in thirty designs of public bitmaps, which nobody here drew: found and false ones.

    mkdir bitmaps && cd bitmaps
    apt-get download console-setup-linux xbitmaps adwaita-icon-theme
    for each in *.deb; do dpkg-deb -x $each .; done
    python -m tests.benchmarks.slips_elsewhere bitmaps
    python -m tests.benchmarks.slips_elsewhere --fresh

What is taken of these packages is said in `tests/public_bitmaps.py`, and what twice thirty fresh
designs are made of in `tests/fresh_bitmaps.py`. Every design is checked as it is written, in motifs
and lettering, and drawn out as one grid. What is told of the clean ones is false. Then single
crosses, parts in another thread and parts one row off are planted. The rules were tuned on the
first half, the designs of even number; later they were mended by what was false in all thirty and
in the first of the fresh. What the second of the fresh showed has changed none.

An exact witness is another place, named by the finding, around which all is as it is around the
cell that is told of, in one of the eight ways in which a square can lie: the eight cells beside it
for a single cell, and half of a square of 17 for a part of a figure.
"""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter
from pathlib import Path

import numpy as np
from linenleaf.compose.turning import Turn
from linenleaf.core.diagnostics import Diagnostic, Hint, render
from linenleaf.core.findings import Level
from linenleaf.core.source import Source
from linenleaf.flow import follow
from numpy.typing import NDArray

from ..drawn_out import drawn_out
from ..fresh_bitmaps import fresh_designs
from ..planting import CATEGORIES
from ..planting_motifs import ONCE
from ..public_bitmaps import PACKAGES, PublicDesign, designs
from .slips import RULES, Tally, print_tally, try_features, try_slips, try_written

WAYS = tuple(Turn(flip, quarters) for flip in (False, True) for quarters in range(4))
PARTS = ("thread", "row")
REACH = {"off-by-one": 8, "other-thread": 8}  # cells that are compared; 1 for the others


class Half:
    """What half of the designs came to."""

    def __init__(self) -> None:
        self.designs = 0
        self.false: Counter[str] = Counter()
        self.unwitnessed: Counter[str] = Counter()
        self.flat, self.written, self.parts = Tally(), Tally(), Tally()


def look_at(half: Half, design: PublicDesign, folder: Path, each: int, verbose: bool) -> None:
    """Check one design as it is, and with slips planted in it."""
    written, drawn = folder / "written.linen", folder / "drawn.linen"
    written.write_text(design.text, "utf-8")
    worked = follow(written).worked
    assert worked is not None
    drawn.write_text(drawn_out(worked), "utf-8")
    half.designs += 1
    if verbose:
        print(f"  {design.name}:")
    for what, path in (("in motifs", written), ("drawn out", drawn)):
        for finding in follow(path).findings:
            if finding.name in RULES:
                half.false[what] += 1
                if finding.level < Level.HINT and not witnessed(finding):
                    half.unwitnessed[what] += 1
                if verbose:
                    print(f"    {render(finding).splitlines()[0]}")
    if each:
        half.flat.add(try_slips(worked, drawn, each, half.designs, verbose))
        half.written.add(try_written(worked, written, each, half.designs, verbose))
        half.parts.add(try_features(worked, drawn, 2 * each, half.designs, verbose))


def witnessed(finding: Diagnostic) -> bool:
    """Whether the finding names a place around which all is as around its own."""
    spans = [hint.span for hint in finding.hints if isinstance(hint, Hint)]
    if finding.span is None or not spans or spans[0] is None:
        return False
    reach = REACH.get(finding.name, 1)
    one, other = (around(span.source, span.start, reach) for span in (finding.span, spans[0]))
    return any(alike(one, way.grid(other), reach) for way in WAYS)


def alike(one: NDArray[np.uint32], other: NDArray[np.uint32], reach: int) -> bool:
    """Whether two squares are the same: but for the middle, or by half of what is stitched."""
    same = one == other
    if reach == 1:
        return np.count_nonzero(same) >= same.size - 1
    stitched = (one != ord(".")) | (other != ord("."))
    return np.count_nonzero(same & stitched) * 2 >= np.count_nonzero(stitched)


def around(source: Source, offset: int, reach: int) -> NDArray[np.uint32]:
    """The symbols around a place in a source; beyond its rows the fabric is bare."""
    line, column = source.position(offset)
    square = np.full((2 * reach + 1, 2 * reach + 1), ord("."), np.uint32)
    lines = source.text.split("\n")
    for down in range(-reach, reach + 1):
        at = line - 1 + down
        text = lines[at] if 0 <= at < len(lines) else ""
        start, end = text.find("|"), text.rfind("|")
        for across in range(-reach, reach + 1):
            place = column - 1 + across
            if start < place < end:
                square[down + reach, across + reach] = ord(text[place])
    return square


def tell(name: str, half: Half) -> None:
    """Print what half of the designs came to."""
    print(f"{name}: {half.designs} designs")
    for what in ("in motifs", "drawn out"):
        false, lacking = half.false[what], half.unwitnessed[what]
        print(f"    {what}: {false} false findings, {lacking} warnings without an exact witness")
    if half.flat.planted:
        print("  Single crosses, drawn out:")
        print_tally(CATEGORIES, half.flat, strays=True)
        print("  Single crosses in the motifs and letters:")
        print_tally((*CATEGORIES, ONCE), half.written)
        print("  Parts of figures, drawn out:")
        print_tally(PARTS, half.parts)


def main() -> None:
    """Print what is found in both halves."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    known = parser.add_mutually_exclusive_group(required=True)
    at = f"where {', '.join(PACKAGES)} are unpacked"
    known.add_argument("bitmaps", type=Path, nargs="?", help=at)
    known.add_argument("--fresh", action="store_true", help="fonts and icons of this machine")
    parser.add_argument("--each", type=int, default=3, help="slips of each kind in each design")
    parser.add_argument("--half", type=int, choices=(0, 1), help="only the first or second half")
    parser.add_argument("--verbose", action="store_true", help="name what is false or missed")
    asked = parser.parse_args()
    if asked.fresh:
        names, halves = (
            ("Fresh, mended by", "Fresh, held back"),
            (fresh_designs(0), fresh_designs(1)),
        )
    else:
        names, public = ("Tuned on", "Held back"), designs(asked.bitmaps)
        halves = (public[::2], public[1::2])
    with tempfile.TemporaryDirectory() as made:
        for number, (name, drawn) in enumerate(zip(names, halves, strict=True)):
            if asked.half in (None, number):
                half = Half()
                for design in drawn:
                    look_at(half, design, Path(made), asked.each, asked.verbose)
                tell(name, half)


if __name__ == "__main__":
    main()
