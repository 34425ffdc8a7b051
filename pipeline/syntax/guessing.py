"""What was meant by a line that cannot be read: the block that it begins, or belongs to."""

from __future__ import annotations

import re
from collections.abc import Iterable

from lark.exceptions import UnexpectedInput

from ..core.diagnostics import Diagnostic, finding
from ..core.source import Source
from ..core.suggest import nearest
from .cutting import Chunk
from .forms import short
from .notation import Notation, lines_rule, notation
from .statements import HEADS, STATEMENTS

NAME = re.compile(r"[^\W\d_][\w\-]+")
SIZED = re.compile(r"[\w\-]+(?:[ \t]+[\w\-]+)?[ \t]+[0-9]+[ \t]*[x×][ \t]*[0-9]+(?![\w.])")

# What follows the first word of a block, where that tells the block by itself.
_TELLING = {
    "booklet": re.compile(r'[ \t]+"'),
    "fabric": re.compile(r"[ \t]+[a-z]+[ \t]+[0-9]"),
    "range": re.compile(r"[ \t]+[\w\-]+[ \t]+from[ \t]"),
    "motif": re.compile(r"[ \t]+[\w\-]+[ \t]+[0-9]+[ \t]*[x×]"),
    "alphabet": re.compile(r"[ \t]+[\w\-]+[ \t]+height[ \t]"),
    "chart": re.compile(r"[ \t]+[0-9]+[ \t]*[x×]"),
}
_OFTEN = ("motif", "alphabet", "range")  # of which a chart may have several
_LINES_TELL = ("booklet", "fabric", "range", "key", "working", "pages", "chart", "alphabet")
_BEGIN = {statement.word for statement in STATEMENTS if statement.word}  # words that begin lines


class Guesses:
    """Guesses at blocks; each block that a chart has once is guessed at only where it is missing.

    present: the words of the blocks that the source has, or was taken to have.
    """

    def __init__(self, source: Source, notation: Notation, chunks: Iterable[Chunk]) -> None:
        self.source = source
        self.notation = notation
        words = (_first(source, chunk) for chunk in chunks if not chunk.rows)
        self.present = {word for word in words if word in notation.heads}

    def misnamed(self, word: str, chunk: Chunk, following: Chunk | None, within: str) -> str:
        """Return the word of the block that a line begins under a wrong word, or an empty string.

        following: what stands below it. within: the word of the block that it stands in.
        """
        if not word or any(word == line.word for line in self.notation.lines.get(within, ())):
            return ""
        rest = self.source.text[chunk.start + len(word) : chunk.end]
        for candidate in nearest(word, self.notation.heads):
            if self._reads(candidate + rest, self.notation.heads[candidate].rule):
                return candidate
        if word in _BEGIN:
            return ""
        rows = following is not None and following.rows
        for candidate, telling in _TELLING.items():
            if not telling.match(rest) or (candidate == "motif" and not rows):
                continue
            if candidate not in _OFTEN and candidate in self.present:
                continue
            if self._reads(candidate + rest, self.notation.heads[candidate].rule):
                return candidate
        alone = not rest.partition("#")[0].strip()
        return self.headless(following) if alone and following is not None else ""

    def headless(self, chunk: Chunk) -> str:
        """Return the word of the block whose first line is missing above a line, or nothing."""
        if chunk.rows:
            return ""
        text = self.source.text[chunk.start : chunk.end]
        for word in _LINES_TELL:
            if word not in self.notation.lines or (word in self.present and word != "alphabet"):
                continue
            if self._reads(text, lines_rule(word)):
                return word
        return ""

    def elsewhere(self, word: str, chunk: Chunk, within: str) -> bool:
        """Tell whether a line that a block has not would be one of another block.

        A line is none if it can be read once its first word is spelt right.
        """
        text = self.source.text[chunk.start : chunk.end]
        rest = text[len(word) :]
        own = (line.word for line in self.notation.lines[within] if line.word)
        if any(self._reads(near + rest, lines_rule(within)) for near in nearest(word, own)):
            return False
        return word in _BEGIN or any(
            self._reads(text, lines_rule(block)) for block in self.notation.lines
        )

    def reads_later(self, chunk: Chunk, within: str) -> bool:
        """Tell whether a line can be read in the newest version, though not in this."""
        newest = notation()
        if self.notation is newest:
            return False
        text = self.source.text[chunk.start : chunk.end]
        head = newest.heads.get(_first(self.source, chunk))
        if head is None and within not in newest.lines:
            return False
        try:
            newest.parser.parse(text, start=head.rule if head else lines_rule(within))
        except UnexpectedInput:
            return False
        return True

    def _reads(self, text: str, rule: str) -> bool:
        try:
            self.notation.parser.parse(text, start=rule)
        except UnexpectedInput:
            return False
        return True


def headless_block(source: Source, chunk: Chunk, block: str) -> Diagnostic:
    """Return the finding for a line whose block has no first line."""
    first = _first(source, chunk) or source.text[chunk.start]
    return finding(
        "unknown-word",
        f"`{short(first)}` cannot stand here: it belongs below `{block}`.",
        source.span(chunk.start, chunk.start + len(first)),
        f"above it goes a line such as `{HEADS[block].example}`",
    )


def _first(source: Source, chunk: Chunk) -> str:
    match = NAME.match(source.text, chunk.start, chunk.end)
    return match[0] if match else ""
