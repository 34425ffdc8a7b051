"""Where everything that a chart places came to stand, in words and as plain data."""

from __future__ import annotations

from collections.abc import Iterator

from ..compose.arrange import arrange
from ..core.characters import escaped
from ..core.diagnostics import Diagnostics, has_errors
from ..core.model import Border, Chart, Design, Knot, Lettering, Line, Placement, Point
from ..core.places import Sort, Thing
from ..formatting.pinned import Pins, Stood
from .phrasing import number, table

LONGEST = 32  # characters of a text that are shown
_HEADING = ("line", "name", "what", "at", "size")


def placed(design: Design) -> Chart | None:
    """Return the chart of a design with the boxes of all its things; None where it has none."""
    chart = design.chart
    if not chart.width or any(thing.box is None for thing in chart.things):
        design, findings = arrange(design)
        if has_errors(findings):
            return None
    return design.chart


def pins(design: Design) -> tuple[Pins | None, Diagnostics]:
    """Return where everything stands, for `tidy` to write out, and findings.

    Nothing where a finding is an error.
    """
    arranged, findings = arrange(design)
    if has_errors(findings):
        return None, findings
    chart = arranged.chart
    lines: dict[int, Stood] = {}
    names: dict[str, Stood] = {}
    for number_, thing in enumerate(chart.things):
        by = _by(design.chart, chart, number_)
        stood = Stood(by, _box(thing))
        if thing.span is not None:
            lines[thing.span.start] = stood
        if thing.name:
            names[thing.name] = stood
    return Pins((chart.width, chart.height), lines, names), ()


def _by(before: Chart, after: Chart, at: int) -> Point:
    """Return how far the positions of a thing were moved."""
    thing, first = after.things[at], before.things[at]
    x, y = _box(thing)[:2]
    if thing.sort is not Sort.ITEM:
        return x - thing.at[0], y - thing.at[1]
    if thing.withdrawal is not None:
        was, now = (each.withdrawals[thing.withdrawal] for each in (before, after))
        return now.x0 - was.x0, now.y0 - was.y0
    old, new = before.items[first.first], after.items[thing.first]
    if first.fill is not None and isinstance(old, Placement):
        across, down = first.fill.ways
        return 0.0 if across else x - old.x, 0.0 if down else y - old.y
    if isinstance(old, Line | Knot) and isinstance(new, Line | Knot):
        (x0, y0), (x1, y1) = old.points[0], new.points[0]
        return x1 - x0, y1 - y0
    if isinstance(old, Placement | Lettering) and isinstance(new, Placement | Lettering):
        return new.x - old.x, new.y - old.y
    return 0.0, 0.0


def list_places(chart: Chart) -> str:
    """Return a table of what a chart places, in order: its line, name, kind, corner and size."""
    rows = [_HEADING, *place_rows(chart)]
    if len(rows) == 1:
        return f"Nothing is placed on this chart of {chart.width} x {chart.height} crosses."
    head = f"The chart is {chart.width} x {chart.height} crosses."
    return "\n".join([head, "", *table(rows, (">", "<", "<", ">", ">"))])


def place_rows(chart: Chart) -> list[tuple[str, ...]]:
    """Return of each thing placed its line, name, kind, corner and size."""
    rows: list[tuple[str, ...]] = []
    for thing in chart.things:
        x0, y0, x1, y1 = _box(thing)
        size = f"{number(x1 - x0)} x {number(y1 - y0)}"
        line = str(thing.span.line) if thing.span is not None else ""
        at = f"{number(x0)},{number(y0)}"
        rows.append((line, escaped(thing.name), what(chart, thing), at, size))
    return rows


def plain_places(chart: Chart) -> list[dict[str, object]]:
    """Return the same as plain data for JSON; positions and sizes in crosses."""
    return list(_plain(chart))


def _plain(chart: Chart) -> Iterator[dict[str, object]]:
    for thing in chart.things:
        x0, y0, x1, y1 = _box(thing)
        yield {
            "line": thing.span.line if thing.span is not None else None,
            "name": thing.name,
            "what": what(chart, thing),
            "at": [x0, y0],
            "size": [x1 - x0, y1 - y0],
        }


def what(chart: Chart, thing: Thing) -> str:
    """Return what a thing is: a motif by its name, a text by its first line."""
    if thing.withdrawal is not None:
        return f"withdrawn {chart.withdrawals[thing.withdrawal].threads.value}"
    if thing.sort is not Sort.ITEM or thing.first == thing.last:
        return thing.sort.value
    item = chart.items[thing.first]
    if isinstance(item, Placement):
        return escaped(item.motif)
    if isinstance(item, Lettering):
        text = " / ".join(item.lines)
        return escaped(f"“{text if len(text) <= LONGEST else text[: LONGEST - 1] + '…'}”")
    if isinstance(item, Border):
        return escaped(f"border of {item.repeat}")
    kind = {Line: "line", Knot: "knot"}[type(item)]
    return escaped(f"{kind} {item.symbol}")


def _box(thing: Thing) -> tuple[float, float, float, float]:
    assert thing.box is not None  # of a chart from `placed`
    return thing.box
