"""How wide a line of the sans text face is, before anything is set."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterable
from functools import cache
from pathlib import Path

import font_source_sans_pro

from ..core import cache as kept

_FACE = Path(font_source_sans_pro.font_directory) / "SourceSansPro-Regular.ttf"
HEADING, CELL, BOLDER = 0.75, 0.85, 1.06  # rem, of a column; how much wider semibold is
MM_PER_POINT = 25.4 / 72  # a point of 1/72 in, as in PDF and CSS
_BREAKS = re.compile("[ \N{SOFT HYPHEN}]")


@cache
def _advances() -> dict[int, float]:
    """Return the advance of each character in ems, as kept from an earlier run if it can be."""
    face = _FACE.stat()
    origin = f"{_FACE} {face.st_size} {face.st_mtime_ns}"
    data = kept.get("advances", origin)
    if data is not None:
        return {int(point): float(wide) for point, wide in json.loads(data).items()}
    found = _measured()
    kept.put("advances", origin, json.dumps(found).encode())
    return found


def _measured() -> dict[int, float]:
    """Return the advance of each character in ems, out of the face itself."""
    from fontTools.ttLib import TTFont  # noqa: PLC0415 - once for many runs

    with _FACE.open("rb") as opened, TTFont(opened, lazy=True) as face:
        metrics, em = face["hmtx"].metrics, face["head"].unitsPerEm
        return {point: metrics[name][0] / em for point, name in face.getBestCmap().items()}


def text_width(text: str, size: float) -> float:
    """Return the width in mm of a text set in so many points, without kerning.

    A character that the face lacks counts as a full em: another face will show it.
    """
    advances = _advances()
    return sum(advances.get(ord(each), 1.0) for each in text) * size * MM_PER_POINT


def heading_width(least: float, headings: Iterable[str]) -> float:
    """Return how wide a column of a table has to be for each word of its headings, in rem.

    Words are broken at soft hyphens.

    least: the least that it is to have. Headings are set in a semibold that is a little wider
    than the face measured here.
    """
    words = (part for each in headings for part in _BREAKS.split(html.unescape(each)))
    return max(least, _widest(words, HEADING))


def cell_width(least: float, texts: Iterable[str]) -> float:
    """Return how wide a column of a table has to be for texts that are not broken, in rem."""
    return max(least, _widest(texts, CELL))


def _widest(texts: Iterable[str], size: float) -> float:
    # Of a chart with nothing stitched yet there may be no texts.
    return max((text_width(each, size) for each in texts), default=0.0) / MM_PER_POINT * BOLDER
