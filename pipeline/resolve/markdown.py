"""Stories and sections: Markdown files beside the chart, read as text; their pictures looked at.

There is one way in which Markdown is read, by the check and by the booklet alike: CommonMark with
tables; HTML is text as it was typed. Every address is let through here: whoever takes the tokens
decides which may be opened.

What they may hold in all is bounded, so that setting them takes no longer than is fair. A page of
plain words is set in a tenth of a second. A cell of a table, and words in emphasis, code or a link,
take a thousandth each however little they say, so their number is bounded; and that of paragraphs
and the like, each of which takes some 15 KB of memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from urllib.parse import unquote

from markdown_it import MarkdownIt
from markdown_it.rules_core import StateCore
from markdown_it.token import Token

from ..core.diagnostics import Diagnostic, finding
from ..core.files import LARGEST_STORY, beside, read_text
from ..core.matter import Markdown
from ..core.source import Source, Span
from ..syntax.phrases import Text, Word
from .pictures import Album

MOST_PROSE = 1024 * 1024  # bytes of story and sections together
MOST_CELLS = 10_000  # of tables
MOST_BLOCKS = 20_000  # paragraphs, headings, lists and their items, quotations, rules, code
MOST_INLINE = 10_000  # pieces in emphasis, code or links, pictures, and breaks of lines
MOST_QUOTES = 1_000  # quotation marks in one paragraph; the time they take grows by their square
# Tokens that are no block of their own, or are counted as cells.
OTHER = {"inline", "table_open", "thead_open", "tbody_open", "tr_open", "th_open", "td_open"}
Quotes = tuple[str, str, str, str]  # around what is quoted, and around a quotation within it
ENGLISH_QUOTES: Quotes = ("“", "”", "‘", "’")
MOST_PICTURES = 100  # in one text


@dataclass
class Amount:
    """What the texts of a booklet hold so far."""

    prose: int = 0
    blocks: int = 0
    cells: int = 0
    inline: int = 0

    def has_room(self, text: str, span: Span, findings: list[Diagnostic]) -> bool:
        """Return whether a text fits in; span: what names its file."""
        self.prose += len(text.encode())
        if self.prose <= MOST_PROSE:
            return True
        findings.append(
            finding(
                "file-too-large",
                f"With this file, story and sections hold more than {MOST_PROSE // 2**20} MiB.",
                span,
                "a booklet is read beside the needle; print the rest as a book of its own",
            )
        )
        return False

    def add(self, tokens: Iterable[Token], source: Source, findings: list[Diagnostic]) -> None:
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
                    f"With this file, story and sections have {MOST_BLOCKS:,} paragraphs, "
                    "headings, list items and the like."
                )
                findings.append(_too_intricate(words, "leave some out", token, source))
            if cells and self.cells > MOST_CELLS:
                cells = False
                words = f"With this file, the tables of the texts have {MOST_CELLS:,} cells."
                findings.append(_too_intricate(words, "leave some out", token, source))
            if inline and self.inline > MOST_INLINE:
                inline = False
                words = f"With this file, {MOST_INLINE:,} words are in emphasis, code or links."
                findings.append(_too_intricate(words, "set fewer words apart", token, source))
            if _has_too_many_quotes(token):
                words = f"This paragraph has {MOST_QUOTES:,} quotation marks."
                findings.append(_too_intricate(words, "divide it into several", token, source))


def _too_intricate(words: str, advice: str, token: Token, source: Source) -> Diagnostic:
    first = token.map[0] if token.map else 0
    start = 0
    for _ in range(first):
        start = source.text.find("\n", start) + 1
    end = source.text.find("\n", start)
    span = source.span(start, len(source.text) if end == -1 else end)
    return finding("too-intricate", words + " More are not set.", span, advice)


def _has_too_many_quotes(token: Token) -> bool:
    count = token.content.count("'") + token.content.count('"')
    return token.type == "inline" and count > MOST_QUOTES


def _leave_quotes(state: StateCore) -> None:
    """Take the straight quotation marks out of a paragraph that has too many to be gone through."""
    for token in filter(_has_too_many_quotes, state.tokens):
        for child in token.children or ():
            child.content = child.content.replace("'", "’").replace('"', "”")


class _Parser(MarkdownIt):
    def validateLink(self, url: str) -> bool:  # noqa: ARG002 - the library's name
        """Let every address through."""
        return True


@lru_cache(8)
def parser(quotes: Quotes = ENGLISH_QUOTES) -> MarkdownIt:
    """Return what parses a text, and renders its tokens as XHTML.

    quotes: what straight quotation marks become.
    """
    settings = {"html": False, "typographer": True, "xhtmlOut": True, "quotes": quotes}
    made = _Parser("commonmark", settings).enable(["table", "replacements", "smartquotes"])
    made.core.ruler.before("smartquotes", "too many quotes", _leave_quotes)
    return made


def plain(text: str, quotes: Quotes = ENGLISH_QUOTES) -> str:
    """Return a text without Markdown, its quotation marks and dashes as those of a story."""
    (inline,) = _plain_parser(quotes).parseInline(text)
    return "".join(child.content for child in inline.children or ())


@lru_cache(8)
def _plain_parser(quotes: Quotes) -> MarkdownIt:
    made = MarkdownIt("zero", {"typographer": True, "quotes": quotes})
    made.enable(["replacements", "smartquotes"])
    made.core.ruler.before("smartquotes", "too many quotes", _leave_quotes)
    return made


def picture_tokens(tokens: Sequence[Token]) -> Iterator[tuple[Token, int, int]]:
    """Give each picture of a text, with the first line of its block and the line after it.

    A picture among the words that stand for another one is none. Lines are counted from 0.
    """
    place = [0, 0]
    for token in tokens:
        if token.map is not None:
            place = token.map  # those of a cell of a table have none of their own
        for child in token.children or ():
            if child.type == "image":
                yield child, place[0], place[1]


def picture_path(picture: Token) -> str:
    """Return the path that a picture names."""
    return unquote(str(picture.attrGet("src") or ""))


def resolve_markdown(
    heading: str,
    path: Word | Text,
    root: Path,
    album: Album,
    amount: Amount,
    findings: list[Diagnostic],
) -> Markdown | None:
    """Read a story or section; root is the chart's folder, album looks at its pictures.

    amount: of all the texts of the booklet so far, which is added to.
    """
    written = path.value if isinstance(path, Text) else path.text
    real, refusals = beside(root, root, written, path.span)
    findings.extend(refusals)
    if real is None:
        return None
    above, slash, _ = path.span.path.rpartition("/")
    source, refusals = read_text(real, f"{above}{slash}{written}", LARGEST_STORY, path.span)
    findings.extend(refusals)
    if source is None:
        return None
    if not source.text.strip():
        findings.append(
            finding(
                "empty-story",
                "This file is empty.",
                path.span,
                "write it, or take this line out",
            )
        )
    if not amount.has_room(source.text, path.span, findings):
        return None
    # The text of a stranger may nest as deep as the parser allows, which is bounded.
    tokens = parser().parse(source.text)
    amount.add(tokens, source, findings)
    _check_pictures(tokens, source, album, findings)
    return Markdown(heading, written, source.text, source, path.span)


def _check_pictures(
    tokens: Sequence[Token], source: Source, album: Album, findings: list[Diagnostic]
) -> None:
    for seen, (picture, first, last) in enumerate(picture_tokens(tokens), 1):
        span = _place(source, str(picture.attrGet("src") or ""), first, last)
        if seen > MOST_PICTURES:
            findings.append(
                finding(
                    "too-many-pictures",
                    f"A text has at most {MOST_PICTURES} pictures.",
                    span,
                    "leave some out, or divide the text into sections",
                )
            )
            return
        findings.extend(album.check(picture_path(picture), span))


def _place(source: Source, written: str, first: int, last: int) -> Span:
    """Return the place of a picture's path between two lines counted from 0."""
    starts = [0]
    while len(starts) <= last:
        at = source.text.find("\n", starts[-1])
        if at == -1:
            starts.append(len(source.text))
            break
        starts.append(at + 1)
    start, end = starts[min(first, len(starts) - 1)], starts[-1]
    for form in (written, unquote(written)):
        at = source.text.find(form, start, end) if form else -1
        if at != -1:
            return source.span(at, at + len(form))
    return source.span(start, max(start, min(end, len(source.text)) - 1))
