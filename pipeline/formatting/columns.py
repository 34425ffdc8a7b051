"""Lines set in columns: the key, blocks of one word a line, and the remarks behind lines.

Symbols, threads and first words are aligned over their whole block; notes and remarks over lines
that stand together, so that a change far away moves nothing here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from ..core.diagnostics import screen_width
from ..syntax.nodes import KeyLine, Member
from ..syntax.statements import HEADS, Body, Statement
from .spelling import Spelt, endings_of, part_of, spell, stitch_of, thread_of, words_of

WIDEST_LEAD = 20  # a wider symbol, word or thread stands out to the right of its column
WIDEST_ALIGNED = 60  # a remark behind a longer line just follows it
GAP = 2  # blanks between columns


class LineKind(Enum):
    """What a printed line is."""

    HEAD = "head"
    LINE = "line"
    REMARK = "remark"


@dataclass(slots=True)
class TidyLine:
    """One line to be printed.

    indent: what stands before it. blank: whether an empty line goes before it. level: what it is;
    only neighbours of the same level are aligned. remark: what stands behind it.
    """

    spelt: Spelt
    indent: str
    blank: bool
    level: LineKind
    remark: str = ""


def spell_lines(word: str, members: Sequence[Member]) -> list[Spelt]:
    """Return the lines of a block in their tidy form, set in the block's columns.

    word: the block's top-level word.
    """
    lines = HEADS[word].lines
    if lines is Body.KEY:
        return _key_lines([line for line in members if isinstance(line, KeyLine)])
    if lines is Body.WORDS:
        return _word_lines(word, members)
    return [spell(line, word) for line in members]


def _key_lines(lines: Sequence[KeyLine]) -> list[Spelt]:
    symbols = _padded([line.symbol.text for line in lines], GAP)
    # Names of colours given inline are long; they do not push the codes apart.
    codes = [
        thread_of(line.parts[0].needles[0].thread)
        for line in lines
        if _is_simple(line) and line.parts[0].needles[0].thread.code is not None
    ]
    width = _width(codes)
    return [_key_line(line, symbol, width) for line, symbol in zip(lines, symbols, strict=True)]


def _is_simple(line: KeyLine) -> bool:
    return len(line.parts) == 1 and len(line.parts[0].needles) == 1


def _key_line(line: KeyLine, symbol: str, width: int) -> Spelt:
    words = " + ".join(map(part_of, line.parts))
    if _is_simple(line):
        needle = line.parts[0].needles[0]
        stitch = stitch_of(needle)
        if stitch:
            words = f"{_pad(thread_of(needle.thread), width)}{' ' * GAP}{stitch}"
    printed, note = endings_of(line)
    return Spelt(f"{symbol}{words}{' ' * GAP + printed if printed else ''}", note=note)


def _word_lines(block: str, members: Sequence[Member]) -> list[Spelt]:
    """Return lines of a word and its values, the values below each other."""
    lines = [words_of(line, block) for line in members]
    # `original place "…"` has a second word before its text.
    width = _width([values[0] for statement, values in lines if _has_second_word(statement)])
    leads = _padded([statement.word for statement, _ in lines], 1)
    spelt = []
    for (statement, values), lead in zip(lines, leads, strict=True):
        first, *rest = values
        if _has_second_word(statement):
            first = _pad(first, width)
        spelt.append(Spelt(lead + " ".join([first, *rest])))
    return spelt


def _has_second_word(statement: Statement) -> bool:
    first, *rest = statement.form.slots
    return bool(first.words and rest)


def printed(lines: Sequence[TidyLine]) -> list[str]:
    """Return lines as text, each without its line end, those that stand together aligned."""
    done: list[str] = []
    group: list[TidyLine] = []
    for line in lines:
        if group and (line.blank or line.level != group[-1].level):
            done += _aligned(group)
            group = []
        if line.blank and done:
            done.append("")
        group.append(line)
    return done + _aligned(group)


def _aligned(lines: Sequence[TidyLine]) -> list[str]:
    """Return lines that stand together."""
    texts = [line.spelt.text for line in lines]
    if any(line.spelt.lead for line in lines):
        leads = _padded([line.spelt.lead for line in lines], 1)
        texts = [lead + text for lead, text in zip(leads, texts, strict=True)]
    texts = [line.indent + text for line, text in zip(lines, texts, strict=True)]
    texts = _with_tails(texts, [line.spelt.note for line in lines])
    return _with_tails(texts, [line.remark for line in lines])


def _with_tails(texts: list[str], tails: list[str]) -> list[str]:
    """Return texts with what stands behind some of them, those of usual length aligned."""
    if not any(tails):
        return texts
    widths = [screen_width(text) for text, tail in zip(texts, tails, strict=True) if tail]
    at = max((width for width in widths if width <= WIDEST_ALIGNED), default=0)
    return [
        f"{_pad(text, at)}{' ' * GAP}{tail}" if tail else text
        for text, tail in zip(texts, tails, strict=True)
    ]


def _padded(words: Sequence[str], gap: int) -> list[str]:
    width = _width(words)
    return [_pad(word, width) + " " * gap for word in words]


def _width(words: Sequence[str]) -> int:
    return max((width for width in map(screen_width, words) if width <= WIDEST_LEAD), default=0)


def _pad(text: str, width: int) -> str:
    return text + " " * (width - screen_width(text))
