"""Cells written into the rows of a chart and its motifs: other signs in their places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..compose.worked import Placed, WorkedChart
from ..core.items import BARE
from ..core.source import Span

Edit = tuple[int, int, str]  # from, to, by


class NotInRows(ValueError):
    """A cell is not drawn in rows of the chart; str() is a sentence for the user."""


def with_cells(worked: WorkedChart, cells: Mapping[tuple[int, int], int]) -> str:
    """Return the text of a chart in which cells hold other crosses.

    cells: column and row of the chart -> key line, 0 for bare cloth. A cell is written where it is
    drawn: in the rows of what lies there, or of the chart. A chart without rows gets them.
    What a motif holds comes wherever that is placed: see that the chart then is what was asked for.

    Raises:
        NotInRows: for a cell that is drawn in no rows of this file, or a key line without a sign.
    """
    source = worked.design.source
    edits: list[Edit] = []
    loose: dict[tuple[int, int], str] = {}
    for (x, y), index in cells.items():
        sign = _sign(worked, index)
        there = _drawn_at(worked, x, y)
        if there is None:
            loose[x, y] = sign
        else:
            edits.append((*there, sign))
    if loose:
        edits.append(_rows(worked, loose))
    text = source.text
    for start, end, words in sorted(edits, reverse=True):
        text = text[:start] + words + text[end:]
    return text


def _sign(worked: WorkedChart, index: int) -> str:
    if index == 0:
        return BARE
    sign = worked.design.key[index - 1].symbol
    if len(sign) != 1:
        raise NotInRows(f"`{sign}` is worked along lines; rows hold the signs of crosses.")
    return sign


def _drawn_at(worked: WorkedChart, x: int, y: int) -> tuple[int, int] | None:
    """Return the place in the text where a cell is drawn; None where no rows hold it."""
    own = worked.design.source.path
    owner = int(worked.owner[y, x])
    if owner >= 0:
        held = [worked.placed[owner]]
    else:
        held = [each for each in reversed(worked.placed) if _covers(each, x, y)]
    for placed in held:
        spans = _spans(worked, placed)
        if spans and spans[0].source.path == own:
            start = spans[y - int(placed.y)].start + x - int(placed.x)
            return start, start + 1
    if owner >= 0:
        raise NotInRows(
            f"Column {x + 1}, row {y + 1} is of `{held[0].name}`, which has no rows in this file "
            "that could be changed: change it by hand."
        )
    spans = worked.design.chart.row_spans
    return (spans[y].start + x, spans[y].start + x + 1) if spans else None


def _covers(placed: Placed, x: int, y: int) -> bool:
    right, below = placed.x + placed.width, placed.y + placed.height
    return not placed.piece and placed.x <= x < right and placed.y <= y < below


def _spans(worked: WorkedChart, placed: Placed) -> Sequence[Span]:
    """Return the rows in which what was placed is drawn, as long and as many as it is."""
    if placed.motif is None:
        same = placed.grid.shape == worked.grid.shape and placed.span is worked.design.chart.span
        return worked.design.chart.row_spans if same else ()
    spans = placed.motif.row_spans
    size = (placed.motif.height, placed.motif.width)
    return spans if placed.grid.shape == size and len(spans) == size[0] else ()


def _rows(worked: WorkedChart, cells: Mapping[tuple[int, int], str]) -> Edit:
    """Return the rows of a chart that has none, as they come below its first line."""
    chart = worked.design.chart
    assert chart.span is not None
    text = worked.design.source.text
    end = text.find("\n", chart.span.end)
    end = len(text) if end < 0 else end
    return end, end, "".join(_lines(worked.width, worked.height, cells))


def _lines(width: int, height: int, cells: Mapping[tuple[int, int], str]) -> Iterator[str]:
    signs = [[BARE] * width for _ in range(height)]
    for (x, y), sign in cells.items():
        signs[y][x] = sign
    for row in signs:
        yield f"\n  |{''.join(row)}|"
