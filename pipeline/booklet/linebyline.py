"""Tables told line by line, for large print: each figure says what it is of, in one column.

A table becomes a division, each row one in it, each cell a span that knows the heading of its
column; `paper.css.j2` says how they look.
"""

from __future__ import annotations

import re
from html import unescape

_TABLE = re.compile(r'<table class="(?:list|facts)\b.*?</table>', re.DOTALL)
_CELL = re.compile(r"<(td|th)\b([^>]*)>(.*?)</\1>", re.DOTALL)
_ROW = re.compile(r"<tr\b.*?</tr>", re.DOTALL)
_BETWEEN = re.compile(r"(</td>|<tr[^>]*>)\s+<")
_BREAK = re.compile(r"<br/?>")
_SPAN = re.compile(r'colspan="(\d+)"')
_TAG = re.compile(r"<[^>]*>")
_SHY = "\N{SOFT HYPHEN}"


def line_by_line(markup: str) -> str:
    """Return markup of ours without tables, but for those of the designer's own texts.

    A cell with words has the heading of its column as `data-label`, but for the first of its row,
    which needs none. `data-kind` is `first`, `said`, `shown` (a picture alone) or `void`. A picture
    behind words belongs to the words after it, and stands between them and their heading.
    """
    return _TABLE.sub(_labelled, markup)


def _labelled(table: re.Match[str]) -> str:
    head, body = table[0].split("</thead>", 1)
    labels: list[str] = []
    for row in _ROW.findall(head)[-1:]:
        for _, attributes, content in _CELL.findall(row):
            labels += [_words(content)] * _spanned(attributes)
    every = 'class="facts' in head
    rows = "".join(_row(row, labels, every) for row in _ROW.findall(body))
    name = head.partition(">")[0].removeprefix("<table").replace('class="', 'class="told ')
    return f"<div{name}>{rows}</div>"


def _row(row: str, labels: list[str], every: bool) -> str:
    at, said, before = 0, False, ""

    def cell(match: re.Match[str]) -> str:
        nonlocal at, said, before
        _, attributes, content = match.groups()
        content = _BREAK.sub(", ", content)
        label, at = labels[at] if at < len(labels) else "", at + _spanned(attributes)
        if not _words(content):
            shown = "shown" if "<" in content else "void"
            alone = f'<span{attributes} data-kind="{shown}">{content}</span>'
            if said and shown == "shown":
                before += alone
                return ""
            return alone
        content, before = before + content, ""
        first, said = not said, True
        if first and not every:
            return f'<span{attributes} data-kind="first">{content}</span>'
        return f'<span{attributes} data-kind="said" data-label="{label}">{content}</span>'

    line = _CELL.sub(cell, _BETWEEN.sub(r"\1<", row))
    return f"<div{line.removeprefix('<tr').removesuffix('</tr>')}{before}</div>"


def _spanned(attributes: str) -> int:
    span = _SPAN.search(attributes)
    return int(span[1]) if span else 1


def _words(content: str) -> str:
    """Return the words of a cell, as they can stand in an attribute."""
    plain = _TAG.sub(" ", content).replace(_SHY, "").replace("&shy;", "").replace('"', "&quot;")
    return " ".join(plain.split()) if unescape(plain).strip() else ""
