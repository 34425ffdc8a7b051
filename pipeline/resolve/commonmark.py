"""The one way in which Markdown is read, by the check and by the booklet alike.

CommonMark with tables; HTML is text as it was typed. Every address is let through here: whoever
takes the tokens decides which may be opened.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from urllib.parse import unquote

from markdown_it import MarkdownIt
from markdown_it.token import Token

Quotes = tuple[str, str, str, str]  # around what is quoted, and around a quotation within it
ENGLISH_QUOTES: Quotes = ("“", "”", "‘", "’")


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
    return _Parser("commonmark", settings).enable(["table", "replacements", "smartquotes"])


def pictures(tokens: Sequence[Token]) -> Iterator[tuple[Token, int, int]]:
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
