"""Where everything that a chart places came to stand, in words and as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ..compose.arrange import arrange
from ..compose.nested import as_chart
from ..core.characters import escaped
from ..core.diagnostics import Diagnostics, has_errors
from ..core.items import Border, Knot, Lettering, Line, Placement, Point
from ..core.model import Chart, Design
from ..core.places import Sort, Thing
from ..formatting.pinned import Pins, Stood
from .phrasing import number, table

LONGEST = 32  # characters of a text that are shown
_HEADING = ("line", "name", "what", "at", "size")


def placed(design: Design) -> tuple[Chart, ...]:
    """Return the chart of a design with the boxes of all its things; none where it has none.

    Behind it come the motifs of the same file that are put together from others.
    """
    arranged, findings = arrange(design)
    return () if has_errors(findings) else (arranged.chart, *_motifs(arranged).values())


def _motifs(design: Design) -> dict[str, Chart]:
    """Return the motifs of a chart's own file that are put together from others, as charts."""
    return {
        name: as_chart(design, motif, motif.over or design.ground.fabric.over).chart
        for name, motif in design.motifs.items()
        if motif.is_put_together
        and motif.span is not None
        and motif.span.path == design.source.path
    }


def pins(design: Design) -> tuple[Pins | None, Diagnostics]:
    """Return where everything stands, for `tidy` to write out, and findings.

    Nothing where a finding is an error.
    """
    arranged, findings = arrange(design)
    if has_errors(findings):
        return None, findings
    before = _motifs(design)
    motifs = {name: _pins(before[name], chart) for name, chart in _motifs(arranged).items()}
    return replace(_pins(design.chart, arranged.chart), motifs=motifs), ()


def _pins(before: Chart, chart: Chart) -> Pins:
    lines: dict[int, Stood] = {}
    names: dict[str, Stood] = {}
    for number_, thing in enumerate(chart.things):
        by = _by(before, chart, number_)
        stood = Stood(by, _box(thing))
        if thing.span is not None:
            lines[thing.span.start] = stood
        if thing.name:
            names[thing.name] = stood
    return Pins((chart.width, chart.height), lines, names)


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


def list_places(charts: Sequence[Chart]) -> str:
    """Return tables of what charts place, in order: its line, name, kind, corner and size."""
    return "\n\n".join(map(_table, charts))


def _table(chart: Chart) -> str:
    rows = [_HEADING, *place_rows(chart)]
    if len(rows) == 1:
        return f"Nothing is placed on this chart of {chart.width} x {chart.height} crosses."
    called = escaped(chart.called)
    head = f"{called[:1].upper()}{called[1:]} is {chart.width} x {chart.height} crosses."
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


def plain_places(charts: Sequence[Chart]) -> list[dict[str, object]]:
    """Return the same as plain data for JSON; positions and sizes in crosses."""
    return [each for chart in charts for each in _plain(chart)]


def _plain(chart: Chart) -> Iterator[dict[str, object]]:
    for thing in chart.things:
        x0, y0, x1, y1 = _box(thing)
        yield {
            "line": thing.span.line if thing.span is not None else None,
            "name": thing.name,
            "in": chart.called,
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
    return escaped(f"{item.word if isinstance(item, Knot) else 'line'} {item.symbol}")


def _box(thing: Thing) -> tuple[float, float, float, float]:
    assert thing.box is not None  # of a chart from `placed`
    return thing.box
