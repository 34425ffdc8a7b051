"""The designer's Markdown as safe markup for the booklet, and the pictures in it.

HTML in the source is shown as it was typed, never taken over. Links are kept when they lead to
an https address; any other becomes its plain words. Pictures keep only a path, under a scheme
that the booklet alone can open (`pdf/` refuses everything else). They are read once, here: what
sets the pages opens no file of a stranger.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path, PurePosixPath
from urllib.parse import quote

from markdown_it.token import Token
from markupsafe import Markup

from ..core.diagnostics import Diagnostic, finding
from ..core.matter import Picture
from ..core.raster import Raster
from ..core.source import Source
from ..resolve.markdown import ENGLISH_QUOTES, Quotes, parser, picture_path
from ..resolve.pictures import picture_for_print

TOP_LEVEL = 3  # the booklet's own headings take levels 1 and 2
LOWEST_LEVEL = 6


def picture_address(path: str) -> str:
    """Return the address under which the pages name a picture of the chart's folder."""
    return f"folder:{quote(path)}"


class Prints:
    """Pictures as they are asked for.

    files: bytes and media type of each, by address. paths: where they lie. findings: what is
    wrong with those that cannot be shown.
    """

    def __init__(self, folder: Path) -> None:
        """Begin with none; folder is the chart's, which nothing may leave."""
        self._folder = folder
        self._made: dict[str, Raster | None] = {}
        self.files: dict[str, tuple[bytes, str]] = {}
        self.paths: list[Path] = []
        self.findings: list[Diagnostic] = []

    def take(self, picture: Picture) -> Raster | None:
        """Return a picture ready to be shown; None, and a finding, where it cannot be."""
        if picture.path not in self._made:
            place = picture.span or Source(picture.path, "").span(0, 0)
            made, why = picture_for_print(self._folder, picture.path, place)
            self._made[picture.path] = made
            if made is not None:
                self.files[picture_address(picture.path)] = made.data, made.media
                self.paths.append(self._folder / picture.path)
            # Whoever checked the chart has been told; this picture has changed since.
            self.findings += [_left_out(each) for each in why]
        return self._made[picture.path]


def _left_out(refusal: Diagnostic) -> Diagnostic:
    hint = "Put the picture into the chart's folder, as PNG or JPEG; it is left out until then."
    return finding("picture-left-out", refusal.message, refusal.span, hint)


def typeset(text: str, readable: Callable[[str], bool], quotes: Quotes = ENGLISH_QUOTES) -> Markup:
    """Return the markup of a Markdown text.

    readable: tells of a path whether it is a picture that may be shown; words stand in for any
    other. quotes: what straight quotation marks become.

    Headings are moved below the booklet's own, and no level is left out on the way down, as
    PDF/UA-1 (ISO 14289-1, 7.4.2) asks.
    """
    reader = parser(quotes)
    tokens = reader.parse(text)
    _settle_headings(tokens)
    for token in tokens:
        if token.type == "inline" and token.children is not None:
            token.children = _inline(token.children, readable)
    tokens = _lift_pictures(tokens)
    return Markup(reader.renderer.render(tokens, reader.options, {}))  # the parser escapes


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
    around_pictures = _links_around_pictures(children)
    for at, child in enumerate(children):
        if any(links) and child.type not in {"link_open", "link_close"}:
            # Plain words alone: each box inside a link would become a link of its own.
            kept.append(_words(child))
        elif child.type == "link_open":
            is_https = str(child.attrGet("href") or "").startswith("https://")
            # A picture is shown wherever it stands, and is no word of a link.
            links.append(is_https and at not in around_pictures)
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


def _links_around_pictures(children: Sequence[Token]) -> set[int]:
    """Return where links begin that hold a picture. No link holds another."""
    around, begin = set(), 0
    for at, child in enumerate(children):
        if child.type == "link_open":
            begin = at
        elif child.type == "image":
            around.add(begin)
    return around


def _words(token: Token) -> Token:
    plain = Token("text", "", 0)
    plain.content = " " if token.type in {"softbreak", "hardbreak"} else token.content
    return plain


def _picture(token: Token, readable: Callable[[str], bool]) -> Token:
    path = picture_path(token)
    # The words for those who cannot see the picture: alt, else title, else the file's name.
    words = token.content or str(token.attrGet("title") or "") or PurePosixPath(path).stem
    if not readable(path):
        plain = Token("text", "", 0)
        plain.content = words
        return plain
    token.attrSet("src", picture_address(path))
    text = Token("text", "", 0)
    text.content = words
    token.children = [text]
    return token


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
