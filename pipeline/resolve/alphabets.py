"""Alphabets: letters of one height, each with its rows, lines and knots."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from ..core.characters import is_visible
from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.items import Alphabet, Letter
from ..core.source import Source
from ..syntax.cutting import stated as version_of
from ..syntax.nodes import AlphabetHead, Block, DrawnLetterLine, LetterLine, ShapeLine
from ..syntax.phrases import Numeral, Option, Row, Text
from .keylines import check_name
from .rows import bare_rows, shapes
from .settings import LARGEST_SIDE, number_in, options_by_word, whole

NAMED = re.compile(r"<[a-z]+(?:-[a-z0-9]+)*>")  # a letter that has a name, such as `<long-s>`
HIGHEST_LETTER = 200  # rows
WIDEST_SPACE = 200  # columns


def resolve_alphabet(block: Block, head: AlphabetHead, findings: list[Diagnostic]) -> Alphabet:
    """Return the alphabet of an `alphabet` block as far as it could be read."""
    before = len(findings)
    check_name(head.name, findings)
    options = options_by_word(head.options, findings)
    number = number_in(options.get("height"))
    if number is None:
        findings.append(
            finding(
                "missing-height",
                f"The height of the letters of `{head.name.text}` is missing.",
                head.name.span,
                f"write `alphabet {head.name.text} height 7`",
            )
        )
        height = None
    else:
        height = whole(number, "The height of letters", 1, HIGHEST_LETTER, findings)
    spacing = _space(options.get("spacing"), 1, findings)
    word = _space(options.get("space"), 3, findings)
    letters = _letters(block, number, height, findings)
    if not letters and not block.broken and len(findings) == before:
        findings.append(
            finding(
                "empty-alphabet",
                f"`{head.name.text}` has no letters.",
                head.name.span,
                "below it come letters, such as `A |..m..|`",
            )
        )
    return Alphabet(head.name.text, height or 0, letters, spacing, word, head.name.span)


def _space(option: Option | None, default: int, findings: list[Diagnostic]) -> int:
    number = number_in(option)
    if number is None:
        return default
    value = whole(number, "A space", 0, WIDEST_SPACE, findings)
    return default if value is None else value


@dataclass
class _WrittenLetter:
    """A letter as it is written: its first line, and what stands below that."""

    line: LetterLine | DrawnLetterLine
    rows: list[Row] = field(default_factory=list)
    shapes: list[ShapeLine] = field(default_factory=list)


def _letters(
    block: Block, stated: Numeral | None, height: int | None, findings: list[Diagnostic]
) -> dict[str, Letter]:
    letters: dict[str, Letter] = {}
    for written in _written(block, findings):
        letter = _letter(written, stated, height, bool(block.broken), findings)
        if letter is None:
            continue
        first = letters.get(letter.character)
        if first is not None:
            findings.append(
                finding(
                    "duplicate-letter",
                    f"The letter `{letter.character}` is charted twice.",
                    written.line.character.span,
                    Hint("the first one is here", first.span),
                    "take one of them out",
                )
            )
            continue
        letters[letter.character] = letter
    return letters


def _written(block: Block, findings: list[Diagnostic]) -> list[_WrittenLetter]:
    """Return the letters of an alphabet with what belongs to each."""
    letters: list[_WrittenLetter] = []
    for member in block.members:
        if isinstance(member, LetterLine | DrawnLetterLine):
            letters.append(_WrittenLetter(member))
        elif isinstance(member, Row) and letters:
            letters[-1].rows.append(member)
        elif isinstance(member, ShapeLine) and letters:
            letters[-1].shapes.append(member)
        elif isinstance(member, ShapeLine) and not block.broken:
            findings.append(
                finding(
                    "row-without-letter",
                    "This line belongs to no letter.",
                    member.span,
                    "write the letter above it: with its rows, or `A 3 wide` where it has none",
                )
            )
    return letters


def _is_named(letter: str, source: Source) -> bool:
    """Tell whether a letter is one that has a name, which those of older files have not."""
    return version_of(source) > 1 and NAMED.fullmatch(letter) is not None


def _letter(
    read: _WrittenLetter,
    stated: Numeral | None,
    height: int | None,
    broken: bool,
    findings: list[Diagnostic],
) -> Letter | None:
    line, rows = read.line, read.rows
    written = line.character
    character = written.value if isinstance(written, Text) else written.text
    if not is_visible(character) and not _is_named(character, written.span.source):
        findings.append(
            finding(
                "bad-letter",
                "A letter of an alphabet is one visible character.",
                written.span,
                "the space between words is stated once: `space 3`",
            )
        )
        return None
    what = f"letter `{character}`"
    if isinstance(line, DrawnLetterLine):
        rows = _bare(line, rows, height, what, findings)
        if not rows:
            return None
    widths = Counter(len(row.cells) for row in rows)
    width = widths.most_common(1)[0][0]
    if width == 0:
        findings.append(
            finding(
                "empty-row",
                f"The {what} has no width.",
                rows[0].span,
                "give the letter a cell, or take it out; the gap between words is `space`",
            )
        )
        return None
    too_long = next((row for row in rows if len(row.cells) > LARGEST_SIDE), None)
    if too_long is not None or len(widths) > 1:
        odd = too_long or next(row for row in rows if len(row.cells) != width)
        findings.append(
            finding(
                "row-too-long" if too_long else "ragged-row",
                f"Row {rows.index(odd) + 1} of {what} is {len(odd.cells):,} wide, "
                f"the others are {width:,}.",
                odd.span,
                "all rows of a letter are equally wide; letters may differ",
            )
        )
        return None
    if height is not None and len(rows) != height and not broken:
        findings.append(
            finding(
                "row-count",
                f"The {what} has {len(rows)} row{'s' if len(rows) != 1 else ''}, "
                f"but the alphabet is {height} high.",
                written.span,
                *([Hint("the height is stated here", stated.span)] if stated else []),
            )
        )
        return None
    lines, knots = shapes(read.shapes, findings)
    return Letter(
        character,
        tuple(row.cells for row in rows),
        tuple(row.span for row in rows),
        written.span,
        lines,
        knots,
    )


def _bare(
    line: DrawnLetterLine,
    rows: Sequence[Row],
    height: int | None,
    what: str,
    findings: list[Diagnostic],
) -> list[Row]:
    """Return the rows of a letter that is made of lines and points alone; none if it has some."""
    width = whole(line.width, "The width of a letter", 1, LARGEST_SIDE, findings)
    if rows:
        findings.append(
            finding(
                "row-count",
                f"The {what} says how wide it is, and has rows as well.",
                line.width.span,
                Hint("its first row", rows[0].span),
                f"put the letter before its first row instead: `A |{rows[0].cells[:40]}|`",
            )
        )
    if rows or width is None:
        return []
    return bare_rows(width, height or 1, line.width.span)
