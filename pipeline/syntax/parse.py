"""Taking a chart's text apart into nodes, line by line, going on after a mistake.

The text is cut into statements and runs of rows, and each is parsed on its own, so that one
bad line gives one finding and every other line is still read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from itertools import zip_longest
from typing import Any

from lark.exceptions import UnexpectedInput

from ..core.diagnostics import Diagnostic, Diagnostics, Hint, finding
from ..core.source import Source, Span
from .building import Builder, first_token, last_token
from .cutting import (
    MOST_LINES,
    MOST_WORDS,
    NOTATION,
    Chunk,
    bulk,
    comment_after,
    comments_after_rows,
    cut,
    missing_version,
    stated,
    version_finding,
)
from .faults import fault, stray_line, stray_rows, unknown_block, unknown_top_word
from .guessing import NAME, SIZED, Guesses, headless_block
from .habits import row_fault
from .nodes import (
    Block,
    Broken,
    ChartFile,
    Comment,
    DrawnLetterLine,
    Head,
    LetterLine,
    Member,
    VersionLine,
)
from .notation import lines_rule, notation
from .statements import HEADS, Body, newer

MOST_FAULTS = 50  # findings after which reading stops
MOST_UNTOLD = 200  # lines of one block in another, looked at one by one
LONGEST_LINE = 20_000  # characters of a statement; rows have their own bound

_WORDS = re.compile(r'"[^"\n]*"|[^\s,"]+')


def parse(source: Source) -> tuple[ChartFile, Diagnostics]:
    """Return the lines of a source as nodes, and what is wrong with its syntax."""
    reader = _Reader(source)
    reader.read()
    return ChartFile(source, tuple(reader.blocks), reader.all_comments()), tuple(reader.findings)


@dataclass
class _OpenBlock:
    word: str
    head: Head | None
    span: Span
    members: list[Member] = field(default_factory=list)
    broken: list[Broken] = field(default_factory=list)
    skip_rows: bool = False  # the line above could not be read: its rows belong nowhere
    lettered: bool = False  # an alphabet's first letter has been met
    barless: bool = False  # the line above was a row without bars: more of them are not told
    astray: bool = False  # a line of it belongs elsewhere, and more that do are not told

    def close(self) -> Block:
        return Block(self.word, self.head, tuple(self.members), tuple(self.broken), span=self.span)


class _Reader:
    def __init__(self, source: Source) -> None:
        self.source = source
        self.notation = notation(stated(source))
        self.builder = Builder(source, self.notation)
        self.blocks: list[Block] = []
        self.findings: list[Diagnostic] = []
        self.comments: list[Comment] = []
        self.open: _OpenBlock | None = None
        self.first = 0  # where the first statement begins
        self.guesses = Guesses(source, self.notation, ())
        self.untold = 0  # lines not told of, since what is said of one before them explains them
        self.following: Chunk | None = None  # what follows the statement that is read
        self.lost = False  # the last statement could not be read, so rows below it are not blamed

    def all_comments(self) -> tuple[Comment, ...]:
        return tuple(sorted(self.comments, key=lambda comment: comment.span.start))

    def read(self) -> None:
        chunks, self.comments, beyond = cut(self.source)
        if beyond is not None:
            self.findings.append(
                finding(
                    "too-many-lines",
                    f"The file has more than {MOST_LINES:,} lines.",
                    beyond,
                    "put motifs and alphabets into files of their own and `use` them",
                )
            )
            return
        if len(self.source.text) > MOST_WORDS and bulk(self.source).words > MOST_WORDS:
            self.findings.append(
                finding(
                    "too-many-lines",
                    f"The file has more than {MOST_WORDS:,} words, those of texts and rows apart.",
                    self.source.span(0, 0),
                    "draw what recurs as a motif, and place it with `x` and `step`",
                )
            )
            return
        if not chunks:
            self.findings.append(
                finding(
                    "empty-file",
                    "This file is empty.",
                    self.source.span(0, 0),
                    f"a chart begins with the line `linen {NOTATION}`",
                )
            )
            return
        self.first = chunks[0].start
        self.guesses = Guesses(self.source, self.notation, chunks)
        if not self._version_is_understood(chunks[0]):
            return
        for chunk, following in zip_longest(chunks, chunks[1:]):
            self.following = following
            if len(self.findings) >= MOST_FAULTS:
                self.findings.append(
                    finding(
                        "too-many-findings",
                        f"Reading stops here after {MOST_FAULTS} findings.",
                        self.source.span(chunk.start, chunk.end),
                        "correct the first ones; many may come from one slip",
                    )
                )
                break
            if chunk.rows:
                self._rows(chunk)
            elif chunk.end - chunk.start > LONGEST_LINE:
                self._too_long(chunk)
            else:
                self._statement(chunk)
        self._close()

    def _version_is_understood(self, chunk: Chunk) -> bool:
        word = NAME.match(self.source.text, chunk.start, chunk.end)
        if chunk.rows or word is None or word[0] != "linen":
            known = word is not None and word[0] in self.notation.heads
            if word is None or known or not self.guesses.misnamed(word[0], chunk, None, ""):
                self.findings.append(missing_version(self.source, chunk))
                # A file that does not even begin with a block is no chart, and no more is said.
                return word is not None and word[0] in self.notation.heads
            return True
        finding = version_finding(self.source, word.end(), chunk.end)
        if finding is not None:
            self.findings.append(finding)
        return finding is None or finding.name != "newer-notation"

    def _too_long(self, chunk: Chunk) -> None:
        self.findings.append(
            finding(
                "line-too-long",
                f"This line has {chunk.end - chunk.start:,} characters; "
                f"at most {LONGEST_LINE:,} are read.",
                self.source.span(chunk.start, chunk.start + 40),
                "a long text goes into a story or section file, a long line into several",
            )
        )
        self.lost = True
        if self.open is not None:
            self.open.broken.append(self._broken(chunk))

    # --- statements ---

    def _statement(self, chunk: Chunk) -> None:
        match = NAME.match(self.source.text, chunk.start, chunk.end)
        word = match[0] if match else ""
        if word in self.notation.heads:
            self._head(word, chunk)
            return
        block = self.open
        if block is None or block.word not in self.notation.lines:
            self._lose(chunk, word, None)
            return
        if block.barless and len(self.source.text[chunk.start : chunk.end].split()) == 1:
            return
        rule = lines_rule(block.word)
        try:
            tree = self._parse(rule, chunk.start, chunk.end)
        except UnexpectedInput as caught:
            self._lose(chunk, word, fault(self.source, block.word, chunk, caught))
            return
        self.lost = block.barless = block.skip_rows = False
        member = self.builder.build(tree)
        block.members.append(member)  # type: ignore[arg-type]  # a line rule makes a member
        if isinstance(member, LetterLine):
            block.members.append(member.row)
        if isinstance(member, LetterLine | DrawnLetterLine):
            block.lettered = True
        self._take_comment(tree, chunk)

    def _head(self, word: str, chunk: Chunk) -> None:
        try:
            tree = self._parse(self.notation.heads[word].rule, chunk.start, chunk.end)
        except UnexpectedInput as caught:
            if self._is_taken_name(word, chunk):
                return
            self._begin(word, chunk).broken.append(self._broken(chunk))
            self._tell(fault(self.source, word, chunk, caught), chunk)
            return
        block = self._begin(word, chunk)
        head = self.builder.build(tree)
        block.head = head  # type: ignore[assignment]  # a head rule makes a head
        block.span = head.span
        self._take_comment(tree, chunk)
        if isinstance(head, VersionLine) and chunk.start != self.first:
            self.findings.append(
                finding(
                    "repeated-version",
                    "The version of the notation is given once, on the first line.",
                    head.span,
                    "take this line out",
                )
            )

    def _begin(self, word: str, chunk: Chunk) -> _OpenBlock:
        self._close()
        self.open = _OpenBlock(word, None, self.source.span(chunk.start, chunk.end))
        self.lost = False
        return self.open

    def _is_taken_name(self, word: str, chunk: Chunk) -> bool:
        """Tell whether a line of the open block begins with a top-level word taken for a name."""
        text = self.source.text[chunk.start : chunk.end]
        alone = text.partition("#")[0].strip() == word  # more likely a line not yet written out
        if self.open is None or self.open.word not in self.notation.lines:
            return False
        if word == "linen" or alone:
            return False
        try:
            self.notation.parser.parse("my-" + text, start=lines_rule(self.open.word))
        except UnexpectedInput:
            return False
        place = self.source.span(chunk.start, chunk.start + len(word))
        self.findings.append(
            finding(
                "reserved-name",
                f"`{word}` begins a block and cannot be a name.",
                place,
                f"choose another name, such as `my-{word}`",
            )
        )
        self.open.broken.append(self._broken(chunk))
        return True

    def _lose(self, chunk: Chunk, word: str, finding: Diagnostic | None) -> None:
        """Record a line that could not be read, and guess at the block meant.

        finding: what is wrong with it as a line of the open block; None where that takes no lines.
        """
        within = self.open.word if self.open else ""
        astray = self.open is not None and self.open.astray
        if self.untold >= MOST_UNTOLD and (astray or (finding is None and self.lost)):
            return
        meant = self.guesses.misnamed(word, chunk, self.following, within)
        if meant:
            self._tell(unknown_top_word(self.source, chunk, word, meant))
            self._guess(meant, chunk).broken.append(self._broken(chunk))
            return
        strange = finding is None or finding.name == "unknown-word"
        headless = self.guesses.headless(chunk) if strange and not astray else ""
        if headless and not self.guesses.reads_later(chunk, within):
            self._tell(headless_block(self.source, chunk, headless))
            place = self.source.span(chunk.start, chunk.start)
            self._guess(headless, chunk).broken.append(Broken((), span=place))
            self._statement(chunk)
            return
        rows = self.following is not None and self.following.rows
        if rows and word and SIZED.match(self.source.text, chunk.start, chunk.end):
            self._tell(unknown_block(self.source, chunk, word))
        elif finding is not None and self.open is not None:
            if strange and astray and self.guesses.elsewhere(word, chunk, within):
                self.untold += 1
            elif not self.open.barless or finding.name != "unclosed-row":
                self._tell(finding, chunk)
            self.open.astray |= strange
            self.open.barless = finding.name == "unclosed-row"
        elif self.lost:
            self.untold += 1
        else:
            self._tell(stray_line(self.source, chunk, word, within, tuple(self.notation.heads)))
        self.lost = True
        if self.open is not None:
            self.open.broken.append(self._broken(chunk))
            self.open.skip_rows = HEADS[self.open.word].lines is not Body.LETTERS
            self.open.lettered = True

    def _guess(self, word: str, chunk: Chunk) -> _OpenBlock:
        """Begin a block whose first line could not be read, or is missing."""
        self.guesses.present.add(word)
        return self._begin(word, chunk)

    def _tell(self, finding: Diagnostic, chunk: Chunk | None = None) -> None:
        """Add what is wrong with a line; if it stops at a word of a later version, say so first.

        chunk: a line that a later version may read.
        """
        place = finding.span
        word = self.source.text[place.start : place.end] if place else ""
        since = newer(word, self.notation.version)
        guessed = any(hint.message.startswith("did you mean") for hint in finding.hints)
        later = "" if since is None else f"`{word}` needs `linen {since}` on the first line"
        within = self.open.word if self.open else ""
        told = any("on the first line" in hint.message for hint in finding.hints)
        if (
            since is None
            and not told
            and chunk is not None
            and self.guesses.reads_later(chunk, within)
        ):
            later = f"such a line needs `linen {NOTATION}` on the first line"
        if later and not guessed:
            finding = replace(finding, hints=(Hint(later), *finding.hints))
        self.findings.append(finding)

    def _broken(self, chunk: Chunk) -> Broken:
        text = self.source.text[chunk.start : min(chunk.end, chunk.start + 200)]
        return Broken(tuple(_WORDS.findall(text)), span=self.source.span(chunk.start, chunk.end))

    def _close(self) -> None:
        if self.open is not None:
            self.blocks.append(self.open.close())
            self.open = None

    def _take_comment(self, tree: Any, chunk: Chunk) -> None:
        end = self.builder.ends(last_token(tree))[1]
        self.comments.extend(comment_after(self.source, end, chunk.end))

    # --- rows ---

    def _rows(self, chunk: Chunk) -> None:
        block = self.open
        if block is None or HEADS[block.word].lines not in (Body.GRID, Body.LETTERS):
            after = block.word if block else ""
            stray = stray_rows(self.source, chunk, after)
            if stray.name == "bad-symbol" or not self.lost:
                self.findings.append(stray)
            return
        if block.skip_rows:
            return
        if HEADS[block.word].lines is Body.LETTERS and not block.lettered:
            self.findings.append(
                finding(
                    "row-without-letter",
                    "This row belongs to no letter.",
                    self.source.span(*chunk.lines[0]),
                    "write the letter before its first row: `A |..s..|`",
                )
            )
            block.broken.append(self._broken(chunk))
            return
        self.comments.extend(comments_after_rows(self.source, chunk))
        try:
            tree = self._parse("rows", chunk.start, chunk.end)
        except UnexpectedInput:
            self._rows_one_by_one(chunk, block)
            return
        if len(tree.children) != len(chunk.lines):  # two rows on one line
            self._rows_one_by_one(chunk, block)
            return
        block.members.extend(self.builder.rows(tree))

    def _rows_one_by_one(self, chunk: Chunk, block: _OpenBlock) -> None:
        for start, end in chunk.lines:
            if len(self.findings) >= MOST_FAULTS:
                return
            try:
                tree = self._parse("rows", start, end)
            except UnexpectedInput:
                self.findings.append(row_fault(self.source, start, end))
                block.broken.append(Broken((), span=self.source.span(start, end)))
                continue
            row = self.builder.row(first_token(tree))
            if len(tree.children) > 1:
                self.findings.append(row_fault(self.source, start, end))
                block.broken.append(Broken((), span=self.source.span(start, end)))
            else:
                block.members.append(row)

    def _parse(self, rule: str, start: int, end: int) -> Any:
        self.builder.base = start
        return self.notation.parser.parse(self.source.text[start:end], start=rule)
