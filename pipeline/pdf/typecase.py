"""A type case: the words of pages that we write ourselves, set once by the renderer.

A page of the booklet is given over to them: each stands there at the same place, moved to the left
by its own width (`transform: translateX(-100%)`). What is drawn between is cut out and used
wherever the words are wanted, with the letters, their kerning and the faces that stand in for
others as the renderer has them. Only what the page says as a PDF is looked at (ISO 32000-1, 7.8
and 8.4).

Figures are set one by one, so that numbers need no words of their own.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any
from xml.etree.ElementTree import Element

SVG = "{http://www.w3.org/2000/svg}"
FOLIO = "data-folio"  # on a tspan in whose place the number of the page goes
_FIGURES = "0123456789"
_PIECE = re.compile(r"[0-9]|[^0-9]+")
_MOVED = re.compile(rb"1 0 0 1 (\S+) \S+ cm")

Phrase = tuple[str, str]  # how it is set, which is a class of the style sheet; the words


@dataclass(frozen=True)
class Word:
    """The operators that draw some words, and their width, both in CSS pixels.

    The words begin at the origin, where the top of their line is; y grows downwards.
    """

    operators: tuple[Any, ...]
    width: float


def runs(text: Element) -> Iterator[tuple[Phrase, bool]]:
    """Return what stands in a text element, and whether the number of the page goes there."""
    own = text.get("class", "")
    yield (own, text.text or ""), False
    for span in text:
        yield (span.get("class", own), span.text or ""), FOLIO in span.attrib
        yield (own, span.tail or ""), False


def pieces(phrase: Phrase) -> list[Phrase]:
    """Return a phrase cut into figures and what stands between them."""
    style, words = phrase
    return [(style, each) for each in _PIECE.findall(words)]


def needed(pages: Iterable[Element]) -> tuple[Phrase, ...]:
    """Return all that has to be set for some pages, each once."""
    found: dict[Phrase, None] = {}
    for page in pages:
        for text in page.iter(f"{SVG}text"):
            for (style, words), folio in runs(text):
                found |= dict.fromkeys(pieces((style, _FIGURES if folio else words)))
    return tuple(found)


def cut(items: list[Any], phrases: tuple[Phrase, ...]) -> tuple[list[Any], dict[Phrase, Word]]:
    """Return what else is drawn on the page of a type case, and its words.

    items: the operators of the page, as in the stream of pydyf.

    Raises:
        ValueError: when there are not as many words as phrases.
    """
    rest: list[Any] = []
    words: list[Word] = []
    at = 0
    while at < len(items):
        end = _end(items, at)
        if end is not None and _is_word(items, at, end):
            moved = _MOVED.fullmatch(items[at + 1])
            assert moved is not None
            words.append(Word(tuple(_untagged(items[at + 2 : end])), -float(moved[1])))
            at = end + 1
        else:
            rest.append(items[at])
            at += 1
    if len(words) != len(phrases):
        raise ValueError(f"the renderer set {len(words)} of {len(phrases)} words")
    return rest, dict(zip(phrases, words, strict=True))


def _end(items: list[Any], at: int) -> int | None:
    """Return where what begins with `q` and a shift ends; None where no such thing begins."""
    if items[at] != b"q" or at + 1 == len(items):
        return None
    follows = items[at + 1]
    if not isinstance(follows, bytes) or not _MOVED.fullmatch(follows):
        return None
    depth = 0
    for place in range(at, len(items)):
        depth += (items[place] == b"q") - (items[place] == b"Q")
        if not depth:
            return place
    return None


def _is_word(items: list[Any], at: int, end: int) -> bool:
    """Whether text is drawn there, and not within another shift."""
    inner = (
        place
        for place in range(at + 1, end)
        if (till := _end(items, place)) is not None and b"BT" in items[place:till]
    )
    return b"BT" in items[at:end] and next(inner, None) is None


def _untagged(items: list[Any]) -> Iterator[Any]:
    """Return operators without the marks that tell which part of the text they show."""
    for at, each in enumerate(items):
        if each in (b"BDC", b"EMC") or b"BDC" in items[at + 1 : at + 3]:
            continue
        yield each
