"""Letters in a PDF: words of pages that we write ourselves, and fonts named by their content.

A page of the booklet is given over to them: each stands there at the same place, moved to the left
by its own width (`transform: translateX(-100%)`). What is drawn between is cut out and used
wherever the words are wanted, with the letters, their kerning and the faces that stand in for
others as the renderer has them. Only what the page says as a PDF is looked at (ISO 32000-1, 7.8
and 8.4).

Figures are set one by one, so that numbers need no words of their own.

WeasyPrint names a font after what Pango says of it, which another release of Pango says in other
words; so the same booklet would have other bytes. Only the PDF is looked at (ISO 32000-1, 9.6.4
and 9.9).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from hashlib import sha256
from typing import Any
from xml.etree.ElementTree import Element

import pydyf

_CHOSEN = re.compile(rb"/([A-Z]{6}) (\S+) Tf")
_MEANS = re.compile(rb"<[0-9a-f]{4}> <([0-9a-f]+)>")
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def name_fonts(pdf: Any) -> None:
    """Let the six letters before the name of a font, and what pages call it, follow its content."""
    shared = shared_fonts(pdf)
    names: dict[bytes, bytes] = {}
    for name, reference in list(shared.items()):
        font = at(pdf, reference)
        if not isinstance(font["BaseFont"], bytes):
            continue  # ours: named after nothing
        described = list(_described(pdf, font))
        digest = sha256()
        for each in described:
            digest.update(_file(pdf, each))
        base = font["BaseFont"].partition(b"+")[2]
        fresh = _letters(digest.digest() + base)
        font["BaseFont"] = b"/" + fresh + b"+" + base
        for below in font.get("DescendantFonts", ()):
            at(pdf, below)["BaseFont"] = font["BaseFont"]
        for each in described:
            each["FontName"] = font["BaseFont"]
        names[name.encode()] = fresh
        del shared[name]
        shared[fresh.decode()] = reference
    for obj in pdf.objects:
        if isinstance(obj, pydyf.Stream) and "Filter" not in obj.extra:
            obj.stream[:] = [
                _CHOSEN.sub(lambda match: b"/%s %s Tf" % (names[match[1]], match[2]), item)
                if isinstance(item, bytes) and item.endswith(b" Tf") and item[1:7] in names
                else item
                for item in obj.stream
            ]


def unlike(pdf: Any, family: str) -> Iterator[tuple[str, str]]:
    """Return each font whose family begins otherwise, and the letters that it is used for."""
    for reference in shared_fonts(pdf).values():
        font = at(pdf, reference)
        for each in _described(pdf, font):
            name = each["FontFamily"].string
            if not name.startswith(family):
                lines = b"\n".join(at(pdf, font["ToUnicode"]).stream)
                codes = {bytes.fromhex(code.decode()) for code in _MEANS.findall(lines)}
                letters = {code.decode("utf-16-be") for code in codes} - {" ", "\uffff"}
                yield name, "".join(sorted(letters))


def shared_fonts(pdf: Any) -> Any:
    """Return the fonts that all pages share: names, and where each font is."""
    return at(pdf, shared_resources(pdf)["Font"])


def shared_resources(pdf: Any) -> Any:
    """Return the resources that all pages share."""
    first = pdf.objects[pdf.pages["Kids"][0]]
    return at(pdf, first["Resources"])


def at(pdf: Any, reference: bytes) -> Any:
    """Return the object that a reference leads to."""
    return pdf.objects[int(reference.split()[0])]


def _described(pdf: Any, font: Any) -> Iterator[Any]:
    for below in font.get("DescendantFonts", ()):
        yield at(pdf, at(pdf, below)["FontDescriptor"])


def _file(pdf: Any, descriptor: Any) -> bytes:
    reference = descriptor.get("FontFile2") or descriptor["FontFile3"]
    return b"".join(at(pdf, reference).stream)


def _letters(data: bytes) -> bytes:
    digest = sha256(data).digest()
    return "".join(_LETTERS[each % 26] for each in digest[:6]).encode()


SVG = "{http://www.w3.org/2000/svg}"
FOLIO = "data-folio"  # on a tspan in whose place the number of the page goes
_FIGURES = "0123456789"
_PIECE = re.compile(r"[0-9]|[^0-9]+")
_MOVED = re.compile(rb"1 0 0 1 (\S+) \S+ cm")

Phrase = tuple[str, str]  # how it is set, which is a class of the style sheet; the words


@dataclass(frozen=True)
class SetWord:
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
    phrases: dict[Phrase, None] = {}
    for page in pages:
        for text in page.iter(f"{SVG}text"):
            for (style, words), folio in runs(text):
                phrases |= dict.fromkeys(pieces((style, _FIGURES if folio else words)))
    return tuple(phrases)


def cut(items: list[Any], phrases: tuple[Phrase, ...]) -> tuple[list[Any], dict[Phrase, SetWord]]:
    """Return what else is drawn on the page of a type case, and its words.

    items: the operators of the page, as in the stream of pydyf.

    Raises:
        ValueError: when there are not as many words as phrases.
    """
    rest: list[Any] = []
    words: list[SetWord] = []
    at = 0
    while at < len(items):
        end = _end(items, at)
        if end is not None and _is_word(items, at, end):
            moved = _MOVED.fullmatch(items[at + 1])
            assert moved is not None
            words.append(SetWord(tuple(_untagged(items[at + 2 : end])), -float(moved[1])))
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
