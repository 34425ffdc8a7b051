"""What the designer says of the pages of the chart."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from .source import Span


class Orientation(StrEnum):
    """Which way a page lies."""

    PORTRAIT = "portrait"
    LANDSCAPE = "landscape"


class Axis(StrEnum):
    """What a page of the chart begins with."""

    ROW = "row"
    COLUMN = "column"


@dataclass(frozen=True)
class Break:
    """Where a page of the chart begins: at this row or column, counted from 1 as in print."""

    axis: Axis
    before: int
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Paging:
    """What is said of the pages of the chart; None and empty: what fits best.

    overlap: rows and columns that a page shows of each neighbour.
    """

    orientation: Orientation | None = None
    overlap: int | None = None
    breaks: tuple[Break, ...] = ()
