"""Stories and sections: Markdown files beside the chart, read as text; their pictures looked at."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from urllib.parse import unquote

from markdown_it.token import Token

from ..core.diagnostics import Diagnostic, finding
from ..core.files import LARGEST_STORY, beside, read_text
from ..core.model import Markdown
from ..core.source import Source, Span
from ..syntax.phrases import Text, Word
from .commonmark import parser, picture_path, pictures
from .pictures import Album
from .proseamount import Amount

MOST_PICTURES = 100  # in one text


def resolve_markdown(
    heading: str,
    path: Word | Text,
    root: Path,
    album: Album,
    amount: Amount,
    found: list[Diagnostic],
) -> Markdown | None:
    """Read a story or section; root is the chart's folder, album looks at its pictures.

    amount: of all the texts of the booklet so far, which is added to.
    """
    written = path.value if isinstance(path, Text) else path.text
    real, findings = beside(root, root, written, path.span)
    found.extend(findings)
    if real is None:
        return None
    above, slash, _ = path.span.path.rpartition("/")
    source, findings = read_text(real, f"{above}{slash}{written}", LARGEST_STORY, path.span)
    found.extend(findings)
    if source is None:
        return None
    if not source.text.strip():
        found.append(
            finding(
                "empty-story",
                "There is nothing in this file.",
                path.span,
                "write it, or take this line out",
            )
        )
    if not amount.has_room(source.text, path.span, found):
        return None
    # The text of a stranger may nest as deep as the parser allows, which is bounded.
    tokens = parser().parse(source.text)
    amount.add(tokens, source, found)
    _check_pictures(tokens, source, album, found)
    return Markdown(heading, written, source.text, source, path.span)


def _check_pictures(
    tokens: Sequence[Token], source: Source, album: Album, found: list[Diagnostic]
) -> None:
    for seen, (picture, first, last) in enumerate(pictures(tokens), 1):
        span = _place(source, str(picture.attrGet("src") or ""), first, last)
        if seen > MOST_PICTURES:
            found.append(
                finding(
                    "too-many-pictures",
                    f"A text has at most {MOST_PICTURES} pictures.",
                    span,
                    "leave some out, or divide the text into sections",
                )
            )
            return
        found.extend(album.check(picture_path(picture), span))


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
