"""Where the letters of a text lie."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

from ..core.model import Alphabet, Lettering
from ..core.places import Half
from ..core.source import Span
from .positions import middle_start, threads


@dataclass(frozen=True)
class SetLetter:
    """One letter at its column, counted in the lettering's own crosses."""

    character: str
    column: int


@dataclass(frozen=True)
class MissingLetters:
    """Neighbouring characters that the alphabet lacks, at an offset inside the text of a line."""

    characters: tuple[str, ...]
    offset: int
    length: int


@dataclass(frozen=True)
class SetLine:
    """One line of text: its letters and its width in the lettering's own crosses."""

    letters: tuple[SetLetter, ...]
    width: int
    missing: tuple[MissingLetters, ...]


def set_line(text: str, lettering: Lettering, alphabet: Alphabet) -> SetLine:
    """Set one line: `spacing` bare columns between letters, `word` for each blank between words.

    Beside a blank there is no letter spacing. A blank that the alphabet draws is a letter.
    """
    spacing = alphabet.spacing if lettering.spacing is None else lettering.spacing
    word = alphabet.word if lettering.word is None else lettering.word
    letters: list[SetLetter] = []
    missing: list[MissingLetters] = []
    column = 0
    after_letter = False
    for character, offset, length in _characters(text):
        letter = alphabet.letters.get(character)
        if letter is None and character == " ":
            column += word
            after_letter = False
            continue
        if letter is None:
            _add_missing(missing, character, offset, length)
            continue
        if after_letter:
            column += spacing
        letters.append(SetLetter(character, column))
        column += letter.width
        after_letter = True
    return SetLine(tuple(letters), column, tuple(missing))


def line_start(item: Lettering, length: int, cell: int, over: int) -> int | None:
    """Return where a line of text begins, in threads; None where its position splits a thread.

    length: of the line, in threads. cell: threads that one of its crosses spans.
    """
    if item.centred:
        return middle_start(item.x, length, cell, over, later=item.half is Half.LATER)
    start = threads(item.x, over)
    return start - length if start is not None and item.right else start


def _add_missing(missing: list[MissingLetters], character: str, offset: int, length: int) -> None:
    last = missing[-1] if missing else None
    if last is not None and last.offset + last.length == offset:
        missing[-1] = MissingLetters(
            (*last.characters, character), last.offset, last.length + length
        )
    else:
        missing.append(MissingLetters((character,), offset, length))


def _characters(text: str) -> Iterator[tuple[str, int, int]]:
    """Yield each letter with its accents as one, its offset and its length in the text."""
    start = 0
    while start < len(text):
        end = start + 1
        while end < len(text) and unicodedata.combining(text[end]):
            end += 1
        whole = text[start:end]
        yield unicodedata.normalize("NFC", whole), start, end - start
        start = end


def span_inside(line: Span | None, offset: int, length: int) -> Span | None:
    r"""Return the place of some characters of a line of text inside its source.

    The span may hold the quotes or not; `\"` and `\\` stand for one character each.
    """
    if line is None:
        return None
    text = line.source.text
    at = line.start + (text[line.start : line.start + 1] == '"')
    places = []
    while at < line.end:
        step = 2 if text[at] == "\\" else 1
        places.append((at, at + step))
        at += step
    if offset + length > len(places):
        return line
    return line.source.span(places[offset][0], places[offset + length - 1][1])
