"""From what was meant to every stitch at its place: `compose` is the one way in.

The whole-chart grid is laid first, then each item in the order of the source. Nothing is covered
unless the source says so.
"""

from __future__ import annotations

from dataclasses import replace

from ..core.diagnostics import Diagnostics, has_errors, in_order
from ..core.model import Chart, Design
from .arrange import arrange
from .composer import Composer
from .openwork import gaps
from .unsettled import wrong_size
from .worked import WorkedChart


def compose(design: Design) -> tuple[WorkedChart | None, Diagnostics]:
    """Place everything that a design holds.

    Returns the worked chart and findings. The chart is None where any finding is an error, since
    a chart with one stitch wrong is not to be stitched from.
    """
    arranged: Diagnostics = ()
    if design.version > 1 or _hangs(design.chart):
        design, arranged = arrange(design)
        if has_errors(arranged):
            return None, in_order(arranged)
    if faults := tuple(wrong_size(design)):
        return None, faults
    composer = Composer(design)
    composer.run()
    withdrawn, gap_faults = gaps(design)
    put_together = composer.workshop.put_together()
    inside = composer.workshop.findings
    findings = in_order([*arranged, *composer.all_findings(), *inside, *gap_faults])
    if has_errors(findings):
        return None, findings
    laying = composer.laying
    if composer.stamps.key is not design.key:
        design = replace(design, key=composer.stamps.key)
    worked = WorkedChart(
        design,
        laying.grid,
        laying.owner,
        laying.crossings.pieces,
        laying.lines,
        laying.knots,
        tuple(laying.placed),
        laying.standing.stands(),
        withdrawn,
        put_together,
    )
    return worked, findings


def _hangs(chart: Chart) -> bool:
    """Tell whether a chart does not state all places and its size itself."""
    return not (chart.width and chart.height) or any(
        thing.across is not None or thing.down is not None or thing.name for thing in chart.things
    )
