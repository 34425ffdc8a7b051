"""How much story and sections may hold in all, so that setting them takes no longer than is fair.

A page of plain words is set in a tenth of a second. A cell of a table, and words in emphasis, code
or a link, take a thousandth each however little they say, so their number is bounded; and that of
paragraphs and the like, each of which takes some 15 KB of memory.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from markdown_it.token import Token

from ..core.diagnostics import Diagnostic, finding
from ..core.source import Source, Span

MOST_PROSE = 1024 * 1024  # bytes of story and sections together
MOST_CELLS = 10_000  # of tables
MOST_BLOCKS = 20_000  # paragraphs, headings, lists and their items, quotations, rules, code
MOST_INLINE = 10_000  # pieces in emphasis, code or links, pictures, and breaks of lines
# Tokens that are no block of their own, or are counted as cells.
OTHER = {"inline", "table_open", "thead_open", "tbody_open", "tr_open", "th_open", "td_open"}


@dataclass
class Amount:
    """What the texts of a booklet hold so far."""

    prose: int = 0
    blocks: int = 0
    cells: int = 0
    inline: int = 0

    def has_room(self, text: str, span: Span, found: list[Diagnostic]) -> bool:
        """Return whether a text fits in; span: what names its file."""
        self.prose += len(text.encode())
        if self.prose <= MOST_PROSE:
            return True
        found.append(
            finding(
                "file-too-large",
                f"With this, story and sections hold more than {MOST_PROSE // 2**20} MiB.",
                span,
                "a booklet is read beside the needle; print the rest as a book of its own",
            )
        )
        return False

    def add(self, tokens: Iterable[Token], source: Source, found: list[Diagnostic]) -> None:
        """Count what a parsed text holds, and tell of the first that is too many."""
        blocks, cells = self.blocks <= MOST_BLOCKS, self.cells <= MOST_CELLS
        inline = self.inline <= MOST_INLINE
        for token in tokens:
            self.cells += token.type in {"th_open", "td_open"}
            self.blocks += token.nesting >= 0 and token.type not in OTHER
            self.inline += sum(
                child.nesting == 1 or child.type in {"code_inline", "hardbreak", "image"}
                for child in token.children or ()
            )
            if blocks and self.blocks > MOST_BLOCKS:
                blocks = False
                words = (
                    f"With this, story and sections have {MOST_BLOCKS:,} paragraphs, headings, "
                    "list items and the like."
                )
                found.append(_too_intricate(words, "leave some out", token, source))
            if cells and self.cells > MOST_CELLS:
                cells = False
                words = f"With this, the tables of story and sections have {MOST_CELLS:,} cells."
                found.append(_too_intricate(words, "leave some out", token, source))
            if inline and self.inline > MOST_INLINE:
                inline = False
                words = (
                    f"With this, {MOST_INLINE:,} pieces of story and sections stand in emphasis, "
                    "code or links."
                )
                found.append(_too_intricate(words, "set fewer words apart", token, source))


def _too_intricate(words: str, advice: str, token: Token, source: Source) -> Diagnostic:
    first = token.map[0] if token.map else 0
    start = 0
    for _ in range(first):
        start = source.text.find("\n", start) + 1
    end = source.text.find("\n", start)
    span = source.span(start, len(source.text) if end == -1 else end)
    return finding("too-intricate", words + " More are not set.", span, advice)
