"""What WeasyPrint 70 leaves out of tables and links that a reader of a tagged PDF looks for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pydyf

PRINTED = 4  # ISO 32000-1, table 165: the flag of an annotation that is on paper as on the screen


def name_headers(pdf: Any) -> None:
    """Say what the headers of tables head, and let each cell name those above it.

    All headers of ours stand above columns. WeasyPrint lets one that spans several head the first
    of them alone. ISO 14289-1, 7.5, and ISO 32000-1, table 349.
    """
    for each in pdf.objects:
        if isinstance(each, dict) and each.get("S") == "/Table":
            _name_headers(pdf, each)


def _name_headers(pdf: Any, table: Any) -> None:
    heads: dict[int, list[Any]] = {}  # the headers met so far above each column
    for row in _below(pdf, table, "/TR"):
        column = 0
        for cell in _kids(pdf, row):
            attributes = cell.setdefault("A", pydyf.Dictionary({"O": "/Table"}))
            span = range(column, column + int(attributes.get("ColSpan", 1)))
            if cell["S"] == "/TH":
                attributes["Scope"] = "/Column"
                for at in span:
                    heads.setdefault(at, []).append(cell["ID"])
            else:
                above = {id(head): head for at in span for head in heads.get(at, ())}
                attributes["Headers"] = pydyf.Array(above.values())
            column = span.stop


def print_links(pdf: Any) -> None:
    """Let links count as printed: they are words of the page, with nothing of their own to hide."""
    for each in pdf.objects:
        if isinstance(each, dict) and each.get("Subtype") == "/Link":
            each.setdefault("F", PRINTED)


def _below(pdf: Any, element: Any, kind: str) -> Iterator[Any]:
    for kid in _kids(pdf, element):
        if kid["S"] == kind:
            yield kid
        else:
            yield from _below(pdf, kid, kind)


def _kids(pdf: Any, element: Any) -> Iterator[Any]:
    """Return the structure elements right below one."""
    for each in element.get("K", ()):
        if isinstance(each, bytes):
            kid = pdf.objects[int(each.split()[0])]
            if "S" in kid:
                yield kid
