"""Where a part lies in a photograph, as the options of a command say it: in words of a chart."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from ..core.diagnostics import Diagnostic
from ..core.items import BARE
from ..core.key import Thread
from ..core.raster import LARGEST_SIDE as MOST_PIXELS
from ..core.source import Source
from ..photograph.placing import Landmark, Point
from ..resolve.settings import LARGEST_SIDE, real
from ..resolve.threads import ThreadRange
from ..syntax.nodes import CornersLine, LandmarkLine
from ..syntax.parse import parse
from ..syntax.phrases import Position
from .cells import LARGEST, too_large

_Line = TypeVar("_Line", CornersLine, LandmarkLine)
_EXAMPLES = {
    "--corners": '--corners "212,140 1880,133 1893,402 205,410"',
    "--landmark": '--landmark "30,4 at 1041,262"',
}


class NotPlaced(ValueError):
    """What an option says cannot be understood; str() is a sentence for the user."""


@dataclass(frozen=True)
class Placed:
    """Where a part lies in a photograph. size: columns and rows, None where it is not said."""

    corners: tuple[Point, Point, Point, Point]
    size: tuple[int, int] | None
    landmarks: tuple[Landmark, ...]


def placed(corners: str, size: str | None, landmarks: tuple[str, ...]) -> Placed:
    """Return where a part lies.

    Raises:
        NotPlaced: for what is not as in the `photograph` statement, or no size.
    """
    line = _line("--corners", corners, "corners", CornersLine)
    at = [_point("--corners", corners, each, MOST_PIXELS) for each in line.points]
    marks = []
    for mark in landmarks:
        read = _line("--landmark", mark, "landmark", LandmarkLine)
        x, y = _point("--landmark", mark, read.place, LARGEST_SIDE)
        marks.append(Landmark(x, y, *_point("--landmark", mark, read.pixel, MOST_PIXELS)))
    return Placed((at[0], at[1], at[2], at[3]), _size(size), tuple(marks))


def _line(option: str, said: str, word: str, kind: type[_Line]) -> _Line:
    """Return a line of the statement as it is read in a chart."""
    wrong = f"{option} {said!r} is not as in a chart: {_EXAMPLES[option]}"
    if not said.isprintable():
        raise NotPlaced(wrong)
    file, findings = parse(Source(option, f"linen 2\nphotograph a.jpg\n  {word} {said}"))
    lines = [each for block in file.blocks for each in block.members]
    if findings or len(lines) != 1 or not isinstance(lines[0], kind):
        raise NotPlaced(wrong)
    return lines[0]


def _point(option: str, said: str, place: Position, most: int) -> Point:
    findings: list[Diagnostic] = []
    sides = [real(each, option, 0, most, findings) for each in (place.x, place.y)]
    across, down = sides
    if across is None or down is None:
        raise NotPlaced(f"{option} {said!r}: {findings[0].message}")
    return across, down


def _size(said: str | None) -> tuple[int, int] | None:
    if said is None:
        return None
    read = re.fullmatch(r"\s*([0-9]{1,4})\s*x\s*([0-9]{1,4})\s*", said, re.IGNORECASE)
    if read is None:
        raise NotPlaced(
            f"--size {said!r} is not a size; write columns and rows in crosses: --size 121x30"
        )
    size = int(read[1]), int(read[2])
    if too_large(*size) or min(size) < 1:
        raise NotPlaced(f"--size {said!r} is not the size of a chart: {LARGEST}.")
    return size


def named_cells(
    meant: Mapping[str, str], offered: ThreadRange
) -> dict[tuple[int, int], Thread | None]:
    """Return the cells of a photograph whose thread is said, by column and row; None is bare cloth.

    Raises:
        NotPlaced: for what is no cell or no thread of the range, or bare cloth alone.
    """
    names = {thread.name.casefold(): thread for thread in offered.threads.values()}
    named: dict[tuple[int, int], Thread | None] = {}
    for cell, said in meant.items():
        at = re.fullmatch(r"([0-9]{1,4}),([0-9]{1,4})", cell)
        if at is None:
            raise NotPlaced(
                f"--means {cell!r}: in a photograph a cell is its column and row, as in 12,5=417"
            )
        thread = offered.threads.get(said) or names.get(said.casefold())
        if thread is None and said not in ("", BARE):
            raise NotPlaced(f"--means {cell}={said}: {offered.name} has no thread {said!r}.")
        named[int(at[1]), int(at[2])] = thread
    if named and not any(named.values()):
        raise NotPlaced(
            "--means names bare cloth only; name a cell of every thread that is to be told apart."
        )
    return named
