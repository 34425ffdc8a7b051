"""The first line of a chart: which version of the notation it is written in."""

from __future__ import annotations

import re

from ..core.diagnostics import Diagnostic, finding
from ..core.source import Source
from .cutting import Chunk

NOTATION = 1  # the newest version of the notation that is understood

_NUMBER = re.compile(r"[ \t]+((-?[0-9]{1,9})[0-9.]*)")
_FIRST_LINE = re.compile(r"(?:[ \t]*(?:#[^\n]*)?\n)*[ \t]*linen[ \t]+([1-9][0-9]?)(?![0-9.])")


def stated(source: Source) -> int:
    """Return the version of the notation in which a source is read.

    It is the newest that is understood, where the source states none or one that is not known.
    """
    match = _FIRST_LINE.match(source.text)
    return min(int(match[1]), NOTATION) if match else NOTATION


def version_finding(source: Source, start: int, end: int) -> Diagnostic | None:
    """Return what is wrong with the version stated between two offsets, behind `linen`.

    A version that is missing or no number is left to the grammar.
    """
    match = _NUMBER.match(source.text, start, end)
    if match is None or match[1] in map(str, range(1, NOTATION + 1)):
        return None
    place = source.span(*match.span(1))
    if int(match[2]) > NOTATION:
        return finding(
            "newer-notation",
            f"This chart is written in version {match[1][:12]} of the notation; "
            f"this linenleaf reads up to version {NOTATION}.",
            place,
            "a newer linenleaf is needed: update yours",
        )
    return finding(
        "unknown-version",
        f"There is no version {match[1][:12]} of the notation.",
        place,
        f"write `linen {NOTATION}`",
    )


def missing_version(source: Source, chunk: Chunk) -> Diagnostic:
    """Return the finding for a file that does not begin with its version."""
    return finding(
        "missing-version",
        "The first line must say which version of the notation this is.",
        source.span(chunk.start, min(chunk.end, chunk.start + 40)),
        f"a chart begins with the line `linen {NOTATION}`",
    )
