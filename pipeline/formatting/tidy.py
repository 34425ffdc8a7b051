"""The canonical form of a chart file: what `linenleaf tidy` writes.

Says the same as before and keeps every remark; tidying twice changes nothing more. There is one
empty line between blocks. A remark stays where it was: behind its line, or above the line it stood
above. Remarks right above a block go with it; those right below a line, or indented with a block's
lines, stay with what they follow. Empty lines inside a block stay, never more than one together.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ..core.characters import escaped
from ..core.diagnostics import Diagnostics, has_errors, screen_width
from ..core.source import Source
from ..syntax.cutting import NOTATION
from ..syntax.nodes import (
    BandLine,
    Block,
    ChartFile,
    Comment,
    DrawnLetterLine,
    LetterLine,
    ShapeLine,
    VersionLine,
)
from ..syntax.parse import parse
from ..syntax.phrases import Row
from ..syntax.statements import HEADS, Body
from .columns import LineKind, TidyLine, printed, spell_lines
from .pinned import Pins, pinned, with_symbols
from .rulers import OwnLineRemark, Rulers, set_ruler
from .spelling import Spelt, letter_of, row_of, spell
from .versions import names_for_new_words

INDENT = "  "
# For each older version, what brings a file to the next one. The reader understands every version;
# a step only says the same in newer words.
STEPS: Mapping[int, Callable[[ChartFile], ChartFile]] = {1: names_for_new_words}
_NO_LINE_END = "\\ No newline at end of file\n"  # as programs that apply differences expect it


@dataclass(slots=True)
class _Statement:
    """One line that says something.

    block: the number of its block. start: its offset in the source. width: of a row of a motif or
    chart. remark: what stands behind it. deep: whether it belongs to a band.
    """

    block: int
    spelt: Spelt
    level: LineKind
    start: int
    width: int | None = None
    remark: str = ""
    deep: bool = False


def arrange(file: ChartFile, rulers: Rulers) -> str:
    """Return the whole text of a file in which every line could be read."""
    statements = [
        statement
        for index, block in enumerate(file.blocks)
        for statement in _statements(index, block)
    ]
    alone = _give_remarks(file.comments, statements)
    lines = _Arranger(file, rulers).lines(statements, alone)
    return "\n".join(printed(list(lines))) + "\n"


def _statements(index: int, block: Block) -> Iterator[_Statement]:
    assert block.head is not None
    yield _Statement(index, spell(block.head, ""), LineKind.HEAD, block.head.span.start)
    if HEADS[block.word].lines is Body.LETTERS:
        yield from _letters(index, block)
        return
    spelt = spell_lines(block.word, block.members)
    deep = False
    for member, line in zip(block.members, spelt, strict=True):
        is_band = isinstance(member, BandLine)
        is_ruled = isinstance(member, Row) and HEADS[block.word].lines is Body.GRID
        width = len(member.cells) if is_ruled and isinstance(member, Row) else None
        start = member.span.start
        yield _Statement(index, line, LineKind.LINE, start, width, deep=deep and not is_band)
        deep = deep or is_band


def _letters(index: int, block: Block) -> Iterator[_Statement]:
    """Yield the lines of an alphabet: each letter before its first row, what follows below that."""
    lead, start = "", None
    for member in block.members:
        if isinstance(member, LetterLine):
            lead, start = letter_of(member) + " ", member.span.start
        elif isinstance(member, Row):
            at = member.span.start if start is None else start
            yield _Statement(index, Spelt(lead + row_of(member)), LineKind.LINE, at)
            lead, start = " " * screen_width(lead), None
        elif isinstance(member, DrawnLetterLine):
            lead, start = letter_of(member) + " ", None
            words = Spelt(f"{lead}{member.width.text} wide")
            yield _Statement(index, words, LineKind.LINE, member.span.start)
            lead = " " * screen_width(lead)
        elif isinstance(member, ShapeLine):
            words = Spelt(lead + spell(member, block.word).text)
            yield _Statement(index, words, LineKind.LINE, member.span.start)


def _give_remarks(remarks: Sequence[Comment], statements: Sequence[_Statement]) -> list[Comment]:
    """Give the remarks behind lines to their lines; return those on lines of their own."""
    alone = []
    at = 0
    for remark in remarks:
        if remark.alone:
            alone.append(remark)
            continue
        while at + 1 < len(statements) and statements[at + 1].start < remark.span.start:
            at += 1
        statements[at].remark = remark.text.rstrip(" \t")
    return alone


class _Arranger:
    def __init__(self, file: ChartFile, rulers: Rulers) -> None:
        self.blocks = file.blocks
        self.source: Source = file.source
        self.rulers = rulers
        self.ruled: set[int] = set()  # blocks whose first row has been met

    def lines(
        self, statements: Sequence[_Statement], alone: Sequence[Comment]
    ) -> Iterator[TidyLine]:
        """Yield every line to be printed."""
        before: _Statement | None = None
        line_before = 0
        at = 0
        for statement in statements:
            remarks = []
            while at < len(alone) and alone[at].span.start < statement.start:
                line = alone[at].span.line
                remarks.append(self._remark(alone[at], line - line_before > 1))
                line_before = line
                at += 1
            line = self.source.position(statement.start)[0]
            yield from self._between(before, remarks, statement, line - line_before > 1)
            before, line_before = statement, line
        remarks = []
        for comment in alone[at:]:
            remarks.append(self._remark(comment, comment.span.line - line_before > 1))
            line_before = comment.span.line
        yield from self._at_the_end(before, remarks)

    def _remark(self, comment: Comment, blank: bool) -> OwnLineRemark:
        start = comment.span.start
        indented = start > 0 and self.source.text[start - 1] != "\n"
        return OwnLineRemark(comment.text.rstrip(" \t"), blank, indented)

    def _between(
        self,
        before: _Statement | None,
        remarks: list[OwnLineRemark],
        after: _Statement,
        blank: bool,
    ) -> Iterator[TidyLine]:
        """Yield the remarks between two statements, and the second statement."""
        if before is None:
            yield from _shown(remarks, "")
        elif before.block == after.block:
            yield from self._inside(before, remarks, after, blank)
            return
        else:
            apart = blank or any(remark.blank for remark in remarks)
            tail, lead = self._parted(before, remarks, blank)
            yield from tail
            if apart or not self._one_family(before, after):
                # The one empty line between blocks.
                blank = not lead or blank
                lead = [
                    OwnLineRemark(remark.text, remark.blank or not at, False)
                    for at, remark in enumerate(lead)
                ]
            yield from _shown(lead, "")
        yield TidyLine(after.spelt, "", blank, LineKind.HEAD, after.remark)

    def _inside(
        self, before: _Statement, remarks: list[OwnLineRemark], after: _Statement, blank: bool
    ) -> Iterator[TidyLine]:
        if after.width is not None:
            is_first = after.block not in self.ruled
            self.ruled.add(after.block)
            remarks, blank = set_ruler(remarks, blank, after.width, is_first, self.rulers)
        indent = INDENT * 2 if after.deep else INDENT
        shown = [
            *_shown(remarks, indent),
            TidyLine(after.spelt, indent, blank, LineKind.LINE, after.remark),
        ]
        if before.level is LineKind.HEAD:
            shown[0].blank = False
        yield from shown

    def _at_the_end(
        self, before: _Statement | None, remarks: list[OwnLineRemark]
    ) -> Iterator[TidyLine]:
        if before is None:
            yield from _shown(remarks, "")
            return
        count = self._following(before, remarks)
        yield from self._tail(before, remarks[:count])
        yield from _shown(remarks[count:], "")

    def _parted(
        self, before: _Statement, remarks: list[OwnLineRemark], blank: bool
    ) -> tuple[list[TidyLine], list[OwnLineRemark]]:
        """Part the remarks between two blocks: those of the first, and those of the second."""
        lead = len(remarks)
        if not blank:
            while lead > 0:
                lead -= 1
                if remarks[lead].blank:
                    break
        count = self._following(before, remarks[:lead])
        return list(self._tail(before, remarks[:count])), remarks[count:]

    def _following(self, before: _Statement, remarks: Sequence[OwnLineRemark]) -> int:
        """Return how many remarks stay with the block that they follow."""
        joined = True
        for count, remark in enumerate(remarks):
            joined = joined and not remark.blank
            if not joined and not (remark.indented and self._holds_lines(before)):
                return count
        return len(remarks)

    def _tail(self, before: _Statement, remarks: Sequence[OwnLineRemark]) -> Iterator[TidyLine]:
        for remark in remarks:
            indent = INDENT if remark.indented and self._holds_lines(before) else ""
            yield from _shown([remark], indent)

    def _holds_lines(self, statement: _Statement) -> bool:
        return HEADS[self.blocks[statement.block].word].lines is not Body.NONE

    def _one_family(self, before: _Statement, after: _Statement) -> bool:
        """Tell whether two statements may stand together without an empty line between them."""
        block = self.blocks[before.block]
        first, second = HEADS[block.word], HEADS[self.blocks[after.block].word]
        if first.page != second.page or block.members:
            return False
        return first.lines is Body.NONE or (first.lines is Body.WORDS and first.gives_name)


def _shown(remarks: Sequence[OwnLineRemark], indent: str) -> list[TidyLine]:
    return [
        TidyLine(Spelt(remark.text), indent, remark.blank, LineKind.REMARK) for remark in remarks
    ]


def tidy(
    source: Source,
    rulers: Rulers = Rulers.KEPT,
    *,
    newest: bool = False,
    pins: Pins | None = None,
    shapes: Mapping[str, str] | None = None,
) -> tuple[str | None, Diagnostics]:
    """Return the tidy text of a source, None when some of its lines cannot be read.

    Names and figures are not looked at: a chart that names an unknown motif can be tidied, and so
    can a file of motifs alone. newest: whether it is brought to the newest version of the notation.
    pins: where everything stands, if that is to be written out. shapes: the printed symbols to
    write out, by the character of each key line.
    """
    file, findings = parse(source)
    if has_errors(findings):
        return None, findings
    if pins is not None:
        file = pinned(file, pins)
    if shapes is not None:
        file = with_symbols(file, shapes)
    return arrange(bring_forward(file) if newest else file, rulers), findings


def bring_forward(
    file: ChartFile,
    steps: Mapping[int, Callable[[ChartFile], ChartFile]] = STEPS,
    newest: int = NOTATION,
) -> ChartFile:
    """Return a file in the words of the newest version.

    steps: from each older version to the next.
    """
    line = file.blocks[0].head
    assert isinstance(line, VersionLine)
    written = int(line.number.text)
    if written == newest:
        return file
    for version in range(written, newest):
        file = steps[version](file)
    number = replace(line.number, text=str(newest))
    first = replace(file.blocks[0], head=replace(line, number=number))
    return replace(file, blocks=(first, *file.blocks[1:]))


def difference(source: Source, tidied: str) -> str:
    """Return what tidying changes as a unified difference, empty when the text stays as it is."""
    name = escaped(source.path)
    lines = difflib.unified_diff(_lines(source.text), _lines(tidied), fromfile=name, tofile=name)
    return "".join(lines)


def _lines(text: str) -> list[str]:
    lines = [line + "\n" for line in text.split("\n")]
    # What comes after the last line end is no line, unless the last line lacks its end.
    last = lines.pop().removesuffix("\n")
    return [*lines, f"{last}\n{_NO_LINE_END}"] if last else lines
