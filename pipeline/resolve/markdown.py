"""Stories and sections: Markdown files beside the chart, read as text; their pictures looked at."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

from markdown_it import MarkdownIt
from markdown_it.token import Token

from ..core.diagnostics import Diagnostic, error, warning
from ..core.files import LARGEST_STORY, beside, read_text
from ..core.model import Markdown
from ..core.source import Source, Span
from ..syntax.phrases import Text, Word
from .pictures import check_picture

MOST_PICTURES = 100  # in one text


def resolve_markdown(
    heading: str, path: Word | Text, root: Path, folder: Path, found: list[Diagnostic]
) -> Markdown | None:
    """Read a story or section; root and folder as for `files.beside`."""
    written = path.value if isinstance(path, Text) else path.text
    real, findings = beside(root, folder, written, path.span)
    found.extend(findings)
    if real is None:
        return None
    above, slash, _ = path.span.path.rpartition("/")
    source, findings = read_text(real, f"{above}{slash}{written}", LARGEST_STORY, path.span)
    found.extend(findings)
    if source is None:
        return None
    if not source.text.strip():
        found.append(warning("empty-story", "There is nothing in this file.", path.span))
    _check_pictures(source, root, folder, found)
    return Markdown(heading, written, source.text, source, path.span)


class _Parser(MarkdownIt):
    def validateLink(self, url: str) -> bool:  # noqa: ARG002 - the library's name
        """Let every address through, so that each can be looked at."""
        return True


def _check_pictures(source: Source, root: Path, folder: Path, found: list[Diagnostic]) -> None:
    # The text of a stranger may nest as deep as the parser allows, which is bounded.
    tokens = _Parser("commonmark").parse(source.text)
    for seen, (image, first, last) in enumerate(_images(tokens), 1):
        written = unquote(str(image.attrGet("src") or ""))
        span = _place(source, str(image.attrGet("src") or ""), first, last)
        if seen > MOST_PICTURES:
            found.append(
                error("too-many-pictures", f"A text has at most {MOST_PICTURES} pictures.", span)
            )
            return
        found.extend(check_picture(root, folder, written, span))


def _images(tokens: list[Token]) -> Iterator[tuple[Token, int, int]]:
    """Give each picture of a text, with the first line of its paragraph and the line after it."""
    for token in tokens:
        if token.type != "inline" or token.map is None:
            continue
        for child in token.children or ():
            if child.type == "image":
                yield child, token.map[0], token.map[1]


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
