"""The designer's Markdown as safe markup for the booklet.

HTML in the source is shown as it was typed, never taken over. Links are kept when they lead to
an https address; any other becomes its plain words. Pictures keep only a path inside the chart's
folder, under a scheme that the booklet alone can open (`pdf.py` refuses everything else).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from pathlib import PurePosixPath
from urllib.parse import quote, unquote

from markdown_it import MarkdownIt
from markdown_it.token import Token
from markupsafe import Markup

FOLDER_SCHEME = "folder"  # a picture beside the chart: folder:name.jpg
TOP_LEVEL = 3  # the booklet's own headings take levels 1 and 2
LOWEST_LEVEL = 6


class _Parser(MarkdownIt):
    def validateLink(self, url: str) -> bool:  # noqa: ARG002 - the library's name
        """Let every address through: `_inline` drops those not wanted and keeps their words."""
        return True


Quotes = tuple[str, str, str, str]  # around what is quoted, and around a quotation within it
ENGLISH_QUOTES: Quotes = ("“", "”", "‘", "’")


@lru_cache(8)
def _parser(quotes: Quotes) -> MarkdownIt:
    settings = {"html": False, "typographer": True, "xhtmlOut": True, "quotes": quotes}
    return _Parser("commonmark", settings).enable(["table", "replacements", "smartquotes"])


def picture_address(path: str) -> str:
    """Return the address under which the booklet opens a picture of the chart's folder."""
    return f"{FOLDER_SCHEME}:{quote(path)}"


def typeset(text: str, readable: Callable[[str], bool], quotes: Quotes = ENGLISH_QUOTES) -> Markup:
    """Return the markup of a Markdown text.

    readable: tells of a path whether it is a picture that may be shown; the words stand in for
    any other. quotes: what straight quotation marks become.

    Headings are moved below the booklet's own, and no level is left out on the way down, as
    PDF/UA-1 (ISO 14289-1, 7.4.2) asks.
    """
    parser = _parser(quotes)
    tokens = parser.parse(text)
    _settle_headings(tokens)
    for token in tokens:
        if token.type == "inline" and token.children is not None:
            token.children = _inline(token.children, readable)
    tokens = _lift_pictures(tokens)
    return Markup(parser.renderer.render(tokens, parser.options, {}))  # the parser escapes


def _settle_headings(tokens: Sequence[Token]) -> None:
    """Give headings the levels from TOP_LEVEL down, without a gap."""
    open_levels: list[int] = []
    for token in tokens:
        if token.type == "heading_open":
            level = int(token.tag[1])
            while open_levels and open_levels[-1] >= level:
                open_levels.pop()
            open_levels.append(level)
        if token.type in {"heading_open", "heading_close"}:
            token.tag = f"h{min(TOP_LEVEL - 1 + len(open_levels), LOWEST_LEVEL)}"


def _inline(children: Sequence[Token], readable: Callable[[str], bool]) -> list[Token]:
    kept: list[Token] = []
    links: list[bool] = []  # for each open link, whether it is kept
    for child in children:
        if any(links) and child.type not in {"link_open", "link_close"}:
            # Plain words alone: each box inside a link would become a link of its own.
            kept.append(_words(child))
        elif child.type == "link_open":
            links.append(str(child.attrGet("href") or "").startswith("https://"))
            if links[-1]:
                child.attrs.pop("title", None)
                kept.append(child)
        elif child.type == "link_close":
            if links.pop():
                kept.append(child)
        elif child.type == "image":
            kept.append(_picture(child, readable))
        else:
            kept.append(child)
    return kept


def _words(token: Token) -> Token:
    plain = Token("text", "", 0)
    plain.content = " " if token.type in {"softbreak", "hardbreak"} else token.content
    return plain


def _picture(token: Token, readable: Callable[[str], bool]) -> Token:
    path = unquote(str(token.attrGet("src") or ""))
    # The words for those who cannot see the picture: alt, else title, else the file's name.
    words = token.content or str(token.attrGet("title") or "") or PurePosixPath(path).stem
    if not (_is_inside(path) and readable(path)):
        plain = Token("text", "", 0)
        plain.content = words
        return plain
    token.attrSet("src", picture_address(path))
    text = Token("text", "", 0)
    text.content = words
    token.children = [text]
    return token


def _is_inside(path: str) -> bool:
    """Whether a path can only lead to a file inside a folder, by its form alone."""
    pure = PurePosixPath(path)
    return bool(
        path
        and not pure.is_absolute()
        and ".." not in pure.parts
        and "\\" not in path
        and ":" not in path
    )


def _lift_pictures(tokens: Sequence[Token]) -> list[Token]:
    """Turn a paragraph that holds one picture and nothing else into a figure with its caption."""
    lifted: list[Token] = []
    at = 0
    while at < len(tokens):
        inner = tokens[at + 1].children if tokens[at].type == "paragraph_open" else None
        if inner is not None and len(inner) == 1 and inner[0].type == "image":
            lifted.extend(_figure(inner[0]))
            at += 3
        else:
            lifted.append(tokens[at])
            at += 1
    return lifted


def _figure(image: Token) -> list[Token]:
    title = str(image.attrs.pop("title", ""))
    inline = Token("inline", "", 0, children=[image])
    figure = [Token("figure_open", "figure", 1), inline]
    if title:
        text = Token("text", "", 0)
        text.content = title
        caption = Token("inline", "", 0, children=[text])
        figure += [Token("figcaption_open", "figcaption", 1), caption]
        figure.append(Token("figcaption_close", "figcaption", -1))
    return [*figure, Token("figure_close", "figure", -1)]
