"""What a picture says of itself to those who cannot see it, and names that keep it to itself."""

from __future__ import annotations

import zlib

import numpy as np

from ..composing.worked import WorkedChart
from ..model import Fabric


def title(worked: WorkedChart, what: str) -> str:
    """Return the title of a picture; what: `chart` or `worked piece`."""
    return f"{worked.design.booklet.title}: {what}"


def description(worked: WorkedChart) -> str:
    """Return one sentence on size, colours and fabric."""
    used = np.bincount(worked.grid.ravel(), minlength=len(worked.design.key) + 1) > 0
    for piece in worked.pieces:
        used |= np.bincount(piece.grid.ravel(), minlength=len(used)) > 0
    used[[each.index for each in worked.lines]] = True
    used[[each.index for each in worked.knots]] = True
    threads = {
        needled.thread.label + needled.thread.colour
        for index in np.flatnonzero(used[1:]).tolist()
        for part in worked.entry(index + 1).parts
        for needled in part.needle
    }
    colours = f"{len(threads)} colour{'' if len(threads) == 1 else 's'}"
    fabric = fabric_words(worked.design.ground.fabric)
    return f"{worked.width:,} by {worked.height:,} crosses in {colours}, drawn for {fabric}."


def fabric_words(fabric: Fabric) -> str:
    """Return a fabric in words: `linen 32 over 2`, `aida 14`."""
    count = f"{fabric.count_x:g}"
    if fabric.count_y != fabric.count_x:
        count += f" x {fabric.count_y:g}"
    over = f" over {fabric.over}" if not fabric.block or fabric.over > 1 else ""
    return f"{fabric.kind} {count}{over}"


def prefix(worked: WorkedChart) -> str:
    """Return a beginning for the names inside a picture.

    Two pictures on one page must not share names, and the same chart always gives the same.
    """
    state = zlib.crc32(worked.design.booklet.title.encode())
    state = zlib.crc32(np.ascontiguousarray(worked.grid).tobytes(), state)
    return f"p{state:08x}-"
