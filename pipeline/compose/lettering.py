"""Where the letters of a text lie."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ..core.items import Alphabet, Lettering, Swap, Taking
from ..core.places import Half
from ..core.source import Span
from ..resolve.alphabets import NAMED
from .positions import middle_start, threads


@dataclass(frozen=True)
class SetLetter:
    """One letter at its column, counted in the lettering's own crosses.

    alphabet: of the letter. row: bare rows above it, where alphabets of several heights stand on
    one line. swap: symbols that are stitched as others in it.
    """

    character: str
    column: int
    alphabet: str = ""
    row: int = 0
    swap: Swap = ()


@dataclass(frozen=True)
class MissingLetters:
    """Neighbouring characters that the alphabet lacks, at an offset inside the text of a line."""

    characters: tuple[str, ...]
    offset: int
    length: int


@dataclass(frozen=True)
class SetLine:
    """One line of text: its letters and its width in the lettering's own crosses.

    words: the letters with which words begin, by their number.
    """

    letters: tuple[SetLetter, ...]
    width: int
    missing: tuple[MissingLetters, ...]
    words: tuple[int, ...] = ()


def set_text(item: Lettering, every: Mapping[str, Alphabet]) -> list[SetLine]:
    """Set all lines of a text: spread if they are to be, in symbols that take turns if they do."""
    alphabets = [every[name] for name in item.alphabets]
    lines = [set_line(line, item, *alphabets) for line in item.lines]
    if item.spread is not None:
        lines = [_spread(line, item.spread) for line in lines]
    numbers = dict.fromkeys(Taking, 0)
    made = []
    for line in lines:
        letters = []
        words = set(line.words)
        for at, letter in enumerate(line.letters):
            if at and at in words:
                numbers[Taking.WORDS] += 1
            swap = item.swap if item.turns is None else _taken(item, numbers)
            letters.append(replace(letter, swap=swap))
            numbers[Taking.LETTERS] += 1
        if letters:
            numbers[Taking.WORDS] += 1
        numbers[Taking.LINES] += 1
        made.append(replace(line, letters=tuple(letters)))
    return made


def _taken(item: Lettering, numbers: Mapping[Taking, int]) -> Swap:
    assert item.turns is not None
    turn = dict(item.turns.at(numbers[item.turns.taking]))
    return tuple({**dict(item.swap), **turn}.items())


def text_height(item: Lettering, every: Mapping[str, Alphabet]) -> int:
    """Return how high a line of a text is, in the lettering's own crosses."""
    return max(every[name].height for name in item.alphabets)


def _spread(line: SetLine, width: int) -> SetLine:
    """Return a line with what is left of a width shared out between its letters, left to right."""
    gaps = len(line.letters) - 1
    spare = width - line.width
    if gaps < 1 or spare <= 0:
        return line
    letters = tuple(
        replace(letter, column=letter.column + at * spare // gaps)
        for at, letter in enumerate(line.letters)
    )
    return replace(line, letters=letters, width=width)


def set_line(text: str, lettering: Lettering, alphabet: Alphabet, *others: Alphabet) -> SetLine:
    """Set one line: `spacing` bare columns between letters, `word` for each blank between words.

    Beside a blank there is no letter spacing. A blank that an alphabet draws is a letter. A letter
    is of the first alphabet that holds it, whose spaces are those of the text.
    """
    spacing = alphabet.spacing if lettering.spacing is None else lettering.spacing
    word = alphabet.word if lettering.word is None else lettering.word
    every = (alphabet, *others)
    height = max(each.height for each in every)
    letters: list[SetLetter] = []
    words: list[int] = []
    missing: list[MissingLetters] = []
    column = 0
    after_letter = False
    for character, offset, length in _characters(text, every):
        held = next((each for each in every if character in each.letters), None)
        if held is None and character == " ":
            column += word
            after_letter = False
            continue
        if held is None:
            _add_missing(missing, character, offset, length)
            continue
        if after_letter:
            column += spacing
        else:
            words.append(len(letters))
        letters.append(SetLetter(character, column, held.name, height - held.height))
        column += held.letters[character].width
        after_letter = True
    return SetLine(tuple(letters), column, tuple(missing), tuple(words))


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


def _characters(text: str, every: Sequence[Alphabet]) -> Iterator[tuple[str, int, int]]:
    """Yield each letter with its accents as one, its offset and its length in the text.

    A letter that has a name in an alphabet, such as `<long-s>`, is one too.
    """
    start = 0
    while start < len(text):
        named = NAMED.match(text, start) if text[start] == "<" else None
        if named and any(named[0] in each.letters for each in every):
            yield named[0], start, len(named[0])
            start = named.end()
            continue
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
