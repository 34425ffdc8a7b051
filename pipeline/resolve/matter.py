"""The words around the chart: booklet, notes, revisions, expectations."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.items import Box
from ..core.matter import (
    WIDEST_GUTTER,
    Booklet,
    Expectation,
    Markdown,
    Note,
    NoteKind,
    Picture,
    Revision,
)
from ..core.places import Tie
from ..core.source import Span
from ..core.suggest import did_you_mean
from ..syntax.nodes import (
    Block,
    BookletHead,
    ExpectLine,
    MeasureLine,
    NoteLine,
    RevisionLine,
    WordLine,
)
from ..syntax.phrases import AreaWords, Text, Word
from .keylines import ReadKey, text_value
from .layout import Layout
from .markdown import Amount, resolve_markdown
from .pictures import Album
from .settings import MOST_FINDINGS, MOST_NEEDS, at_most, millimetres, point, whole

MOST_COUNT = 100_000_000  # crosses that can be expected
MOST_SECTIONS = 20
MOST_ADDRESS = 8  # lines
MOST_PICTURES = 100
_ONCE = frozenset(
    {"subtitle", "designer", "rights", "thanks", "language", "edition", "story", "cover"}
    | {"about", "level", "mark", "errata", "gutter"}
)
_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8}){0,4}")
_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")


@dataclass
class _Writing:
    """A booklet as it comes together."""

    texts: dict[str, str] = field(default_factory=dict)
    day: date | None = None
    story: Markdown | None = None
    cover: Picture | None = None
    pictures: list[Picture] = field(default_factory=list)
    original: dict[str, str] = field(default_factory=dict)
    mark: Picture | None = None
    needs: list[str] = field(default_factory=list)
    address: list[str] = field(default_factory=list)
    gutter: float = 0.0
    sections: list[Markdown] = field(default_factory=list)
    amount: Amount = field(default_factory=Amount)
    edition_span: Span | None = None
    language_span: Span | None = None


def resolve_booklet(
    block: Block, head: BookletHead | None, root: Path, findings: list[Diagnostic]
) -> Booklet:
    """Return the booklet of a `booklet` block; root is the chart's folder."""
    title = text_value(head.title, findings) if head else ""
    if head and not title.strip():
        findings.append(
            finding(
                "missing-title",
                "The booklet needs a title.",
                head.title.span,
                "write it between the quotes; without the block the file's name is the title",
            )
        )
    writing = _Writing()
    album = Album(root)
    lines = [each for each in block.members if isinstance(each, WordLine)]
    for repeated, most in (("needs", MOST_NEEDS), ("address", MOST_ADDRESS)):
        several = [each for each in lines if each.word.text == repeated]
        at_most(most, f"lines of `{repeated}`", several, findings)
    first: dict[str, Span] = {}
    for line in block.members:
        if not isinstance(line, WordLine | MeasureLine):
            continue
        word = line.word.text
        name = word
        if isinstance(line, WordLine) and word == "original" and isinstance(line.values[0], Word):
            name = f"original {line.values[0].text}"
        if name in first and (word in _ONCE or word == "original"):
            findings.append(
                finding(
                    "repeated-line",
                    f"`{name}` appears twice in this block.",
                    line.word.span,
                    Hint("first given here", first[name]),
                    "take one of them out",
                )
            )
            continue
        first.setdefault(name, line.word.span)
        if isinstance(line, MeasureLine):
            gutter = millimetres(line.measure, "The gutter", 0, WIDEST_GUTTER, findings)
            writing.gutter = gutter or 0.0
            continue
        if word in {"section", "picture"} and _too_many(line, writing, findings):
            break
        _take(line, writing, root, album, findings)
    texts = writing.texts
    return Booklet(
        title,
        texts.get("subtitle", ""),
        texts.get("designer", ""),
        texts.get("edition", ""),
        writing.day,
        texts.get("language", "en-GB"),
        writing.story,
        writing.cover,
        tuple(writing.pictures),
        texts.get("rights", ""),
        texts.get("thanks", ""),
        tuple(writing.original.items()),
        tuple(writing.needs),
        tuple(writing.sections),
        texts.get("about", ""),
        texts.get("level", ""),
        writing.mark,
        tuple(writing.address),
        texts.get("errata", ""),
        writing.gutter,
        block.span,
        writing.edition_span,
        writing.language_span,
        first.get("gutter"),
    )


def _too_many(line: WordLine, writing: _Writing, findings: list[Diagnostic]) -> bool:
    if len(writing.sections) < MOST_SECTIONS and len(writing.pictures) < MOST_PICTURES:
        return False
    findings.append(
        finding(
            "too-many-files",
            f"A booklet has at most {MOST_SECTIONS} sections and {MOST_PICTURES} pictures.",
            line.word.span,
            "leave some out, or put sections together",
        )
    )
    return True


def _take(
    line: WordLine, writing: _Writing, root: Path, album: Album, findings: list[Diagnostic]
) -> None:
    word, first = line.word.text, line.values[0]
    match word:
        case "story":
            writing.story = resolve_markdown(
                "", _path(line, 0), root, album, writing.amount, findings
            )
        case "section" if isinstance(first, Text):
            heading = text_value(first, findings)
            made = resolve_markdown(heading, _path(line, 1), root, album, writing.amount, findings)
            if made is not None:
                writing.sections.append(made)
        case "cover":
            writing.cover = _picture(line, album, findings)
        case "mark":
            writing.mark = _picture(line, album, findings)
        case "picture":
            writing.pictures.append(_picture(line, album, findings))
        case "original":
            aspect, text = line.values
            if isinstance(aspect, Word) and isinstance(text, Text):
                writing.original[aspect.text] = text_value(text, findings)
        case "language" if isinstance(first, Word):
            writing.texts[word] = _language(first, findings)
            writing.language_span = first.span
        case "edition" if isinstance(first, Text):
            _take_text(word, first, writing, findings)
            writing.edition_span = line.span
            if len(line.values) > 1 and isinstance(line.values[1], Word):
                writing.day = day(line.values[1], findings)
        case _ if isinstance(first, Text):
            _take_text(word, first, writing, findings)


def _take_text(word: str, text: Text, writing: _Writing, findings: list[Diagnostic]) -> None:
    value = text_value(text, findings)
    if word == "needs":
        writing.needs.append(value)
    elif word == "address":
        writing.address.append(value)
    else:
        writing.texts[word] = value


def _path(line: WordLine, index: int) -> Word | Text:
    value = line.values[index]
    assert isinstance(value, Word | Text)  # the grammar has it so
    return value


def _picture(line: WordLine, album: Album, findings: list[Diagnostic]) -> Picture:
    path = _path(line, 0)
    written = path.value if isinstance(path, Text) else path.text
    findings.extend(album.check(written, path.span))
    caption = line.values[1] if len(line.values) > 1 else None
    words = text_value(caption, findings) if isinstance(caption, Text) else ""
    return Picture(written, words, path.span)


def _language(word: Word, findings: list[Diagnostic]) -> str:
    if not _LANGUAGE.fullmatch(word.text):
        findings.append(
            finding(
                "bad-language",
                f"`{word.text[:40]}` is not a language tag.",
                word.span,
                "write two or three letters and perhaps a country: `en-GB`, `da`",
            )
        )
    return word.text


def day(word: Word, findings: list[Diagnostic]) -> date | None:
    """Return a date written as year, month, day."""
    match = _DAY.fullmatch(word.text)
    if match:
        try:
            return date(int(match[1]), int(match[2]), int(match[3]))
        except ValueError:
            findings.append(
                finding(
                    "bad-date",
                    f"{word.text} is not a date in the calendar.",
                    word.span,
                    "check it against a calendar",
                )
            )
            return None
    findings.append(
        finding(
            "bad-date",
            f"`{word.text[:40]}` is not a date.",
            word.span,
            "a date is year, month, day: `2026-03-14`",
        )
    )
    return None


# --- notes, revisions, expectations ------------------------------------------------------------


def resolve_note(line: NoteLine, layout: Layout, findings: list[Diagnostic]) -> Note | None:
    """Return a note; its corners come in reading order."""
    box, tie = area_of(line.area, layout, findings)
    text = text_value(line.text, findings)
    if not text.strip():
        findings.append(
            finding(
                "empty-text",
                "This note says nothing.",
                line.text.span,
                "write between the quotes what is to be known here",
            )
        )
    if box is None:
        return None
    return Note(NoteKind(line.word.text), *box, text, line.span, tie)


def area_of(
    area: AreaWords, layout: Layout, findings: list[Diagnostic]
) -> tuple[Box | None, Tie | None]:
    """Return the corners of an area in reading order, and the thing that they count from."""
    tie = None
    if area.thing is not None:
        to = layout.number_of(area.thing)
        if to is None:
            return None, None
        tie = Tie(to, area.start is None)
    if area.start is None:
        return (0.0, 0.0, 0.0, 0.0), tie
    start = point(area.start, findings)
    end = start if area.end is None else point(area.end, findings)
    if start is None or end is None:
        return None, None
    x0, x1 = sorted((start[0], end[0]))
    y0, y1 = sorted((start[1], end[1]))
    return (x0, y0, x1, y1), tie


def resolve_revision(line: RevisionLine, findings: list[Diagnostic]) -> Revision:
    """Return one item of the list of editions."""
    when = day(line.day, findings) if line.day is not None else None
    text = text_value(line.text, findings)
    return Revision(text_value(line.edition, findings), when, text, line.span)


def resolve_expectations(
    lines: Sequence[ExpectLine], key: ReadKey, layout: Layout, findings: list[Diagnostic]
) -> tuple[Expectation, ...]:
    """Return the stated counts."""
    made = []
    for line in lines:
        if len(findings) >= MOST_FINDINGS:
            break
        if not _is_cell(line.symbol, key, findings):
            continue
        count = whole(line.count, "A count of crosses", 0, MOST_COUNT, findings)
        area, tie = (None, None) if line.area is None else area_of(line.area, layout, findings)
        if count is not None:
            made.append(Expectation(line.symbol.text, count, area, line.span, tie))
    return tuple(made)


def _is_cell(word: Word, key: ReadKey, findings: list[Diagnostic]) -> bool:
    if word.text not in key.known:
        guess = did_you_mean(word.text, key.known)
        findings.append(
            finding(
                "unknown-symbol",
                f"The key has no line for `{word.text}`.",
                word.span,
                guess or f"add a line for `{word.text}` to the key, or take this line out",
            )
        )
        return False
    entry = key.known[word.text]
    if entry is not None and not entry.is_cell:
        findings.append(
            finding(
                "wrong-kind",
                f"`{word.text}` stands for a line, knot or bead; only crosses are counted here.",
                word.span,
                Hint("the key line", entry.span),
                "name a symbol for crosses, or take this line out",
            )
        )
        return False
    return True
