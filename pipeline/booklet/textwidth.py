"""How wide a line of the sans text face is, before it is set, and where long words may be broken.

For every line of a word without an end the renderer looks at all the rest of it, so a word of
60,000 letters takes minutes. A mark without width (U+200B, a break opportunity by UAX 14) every so
many letters keeps that short. No word that anybody reads is as long.
"""

from __future__ import annotations

import html
import json
import re
import unicodedata
from collections.abc import Iterable
from functools import cache, lru_cache
from pathlib import Path

import font_source_sans_pro

from ..core import cache as kept

_FACE = Path(font_source_sans_pro.font_directory) / "SourceSansPro-Regular.ttf"
HEADING, CELL, BOLDER = 0.75, 0.85, 1.06  # rem, of a column; how much wider semibold is
MM_PER_POINT = 25.4 / 72  # a point of 1/72 in, as in PDF and CSS
_BREAKS = re.compile("[ \N{SOFT HYPHEN}]")
LONGEST_WORD = 40  # characters; "Rindfleischetikettierungsüberwachung" has 36
BREAK = "\u200b"
JOINED = "\u2060"
_AFTER_FIGURE = re.compile(r"(?<=\d-)(?=[^\W\d_])(?![^<]*>)")  # `32-count`, not within a tag
_TAG_OR_TEXT = re.compile(r"<[^>]*>|[^<]+")
_INLINE = r"(?=<(?:a|b|code|em|i|s|span|strong)\b)"
_BEFORE_INLINE = re.compile(rf"(?<=[^\s>] ){_INLINE}")
_TIED_TO_INLINE = re.compile(rf"(?<=[\u00a0\u202f]){_INLINE}")
_INLINE_TAG = re.compile(r"</?(?:a|b|code|em|i|s|small|span|strong|sub|sup)\b")  # a word goes on
# Between signs from U+2E80 on (Chinese, Japanese, Korean) a line may break anyway.
_UNBROKEN = re.compile(r"[^\s\u2e80-\U0010ffff]+")
_CHARACTER = re.compile(r"&[^;&]{1,32};|.", re.DOTALL)


@cache
def _advances() -> dict[int, float]:
    """Return the advance of each character in ems, as kept from an earlier run if it can be."""
    face = _FACE.stat()
    origin = f"{_FACE} {face.st_size} {face.st_mtime_ns}"
    data = kept.get("advances", origin)
    if data is not None:
        return {int(point): float(wide) for point, wide in json.loads(data).items()}
    widths = _measured()
    kept.put("advances", origin, json.dumps(widths).encode())
    return widths


def _measured() -> dict[int, float]:
    """Return the advance of each character in ems, out of the face itself."""
    from fontTools.ttLib import TTFont  # noqa: PLC0415 - once for many runs

    with _FACE.open("rb") as opened, TTFont(opened, lazy=True) as face:
        metrics, em = face["hmtx"].metrics, face["head"].unitsPerEm
        return {point: metrics[name][0] / em for point, name in face.getBestCmap().items()}


@lru_cache(maxsize=4096)  # a key is measured for every page that might have it
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


def with_full_lines(html: str) -> str:
    """Return markup with marks where lines may be parted and where not (UAX 14).

    One that keeps together `32-count` stands after its hyphen. Another stands after each no-break
    space before a link or emphasis, and a break opportunity after each other blank there: where
    such an element is too wide for what is left of a line, the renderer (WeasyPrint 70) parts the
    words before it by setting them a little narrower than they are. A blank of any kind at their
    end hangs out of that width, so that they need no parting, and then it parts them after the
    first of them.
    """
    html = _AFTER_FIGURE.sub(JOINED, html)
    return _TIED_TO_INLINE.sub(JOINED, _BEFORE_INLINE.sub(BREAK, html))


def with_breaks(html: str) -> str:
    """Return markup whose words have a break opportunity every LONGEST_WORD characters."""
    length = 0  # of the word so far

    def broken(word: re.Match[str]) -> str:
        nonlocal length
        if word.start():
            length = 0
        if length + len(word[0]) <= LONGEST_WORD:
            length += len(word[0])
            return word[0]
        pieces: list[str] = []
        for sign in _CHARACTER.findall(word[0]):
            # Never between a letter and its accents.
            if length >= LONGEST_WORD and not unicodedata.combining(sign[0]):
                pieces.append(BREAK)
                length = 0
            length += 1
            pieces.append(sign)
        return "".join(pieces)

    parts: list[str] = []
    for part in _TAG_OR_TEXT.findall(html):
        if part[0] != "<":
            parts.append(_UNBROKEN.sub(broken, part))
            if part[-1].isspace():
                length = 0
        else:
            parts.append(part)
            if not _INLINE_TAG.match(part):
                length = 0
    return "".join(parts)
