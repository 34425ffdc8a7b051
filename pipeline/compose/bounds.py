"""How much may be placed: a source of a few lines is not to fill the memory or take for ever."""

from __future__ import annotations

from collections.abc import Callable

from ..core.diagnostics import Diagnostic, finding
from ..core.source import Span
from ..resolve.settings import LARGEST_AREA, MOST_POINTS

MOST_COPIES = 200_000  # motifs, letters and border parts, all told
MOST_CELLS = 100_000_000  # cells of all copies, bare ones too
MOST_INSIDES = 2_000  # motifs put together from others, each way they are
MOST_POINTS_IN_ALL = 3 * MOST_POINTS  # on the chart and in each of those


class Bounds:
    """Counts what is placed on a chart and in all motifs that are put together from others."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self.copies = 0
        self.cells = 0
        self.off_grid = 0
        self.insides = 0
        self.points = 0

    def room(self, copies: int, cells: int, span: Span | None, tell: Tell) -> bool:
        """Tell whether so many more copies of so many cells each may be placed."""
        before = self.copies <= MOST_COPIES and self.cells <= MOST_CELLS
        self.copies += copies
        self.cells += copies * cells
        if self.copies <= MOST_COPIES and self.cells <= MOST_CELLS:
            return True
        if before:
            message = (
                f"With this line the chart holds {self.copies:,} copies of motifs and letters and "
                f"{self.cells:,} cells; at most {MOST_COPIES:,} copies and {MOST_CELLS:,} "
                "cells can be placed."
            )
            advice = "draw a larger motif, or give the chart as one grid"
            tell(finding("too-many-copies", message, span, advice))
        return False

    def few_off_grid(self, crosses: int, span: Span | None, tell: Tell) -> bool:
        """Tell whether so many more crosses may lie off the grid that they are laid on."""
        self.off_grid += crosses
        told = finding(
            "too-many-copies",
            f"With this {self.off_grid:,} crosses lie off the chart's own grid; "
            f"at most {LARGEST_AREA:,} can.",
            span,
            "divide the work into several charts",
        )
        return within(self.off_grid, crosses, LARGEST_AREA, told, tell)

    def few_insides(self, name: str, span: Span | None, tell: Tell) -> bool:
        """Tell whether one more motif may be put together from others."""
        self.insides += 1
        told = finding(
            "too-many-copies",
            f"With `{name}` more than {MOST_INSIDES:,} motifs are put together from others, each "
            "counted once for each way in which its symbols are swapped.",
            span,
            "swap fewer symbols where motifs lie in motifs",
        )
        return within(self.insides, 1, MOST_INSIDES, told, tell)

    def few_points(self, points: int, more: int, span: Span | None, tell: Tell) -> bool:
        """Tell whether a chart or motif may hold so many points, with the last so many more."""
        self.points += more
        told = finding(
            "too-many-points",
            f"With this line the chart holds {points:,} points of lines, knots and beads; "
            f"at most {MOST_POINTS:,} can be placed.",
            span,
            "draw fewer outlines, or divide the work into several charts",
        )
        in_all = finding(
            "too-many-points",
            f"With this line the motifs that are put together from others hold {self.points:,} "
            f"points of lines, knots and beads; they can hold {MOST_POINTS_IN_ALL:,} in all.",
            span,
            "draw fewer outlines in what is placed so often",
        )
        return within(points, more, MOST_POINTS, told, tell) and within(
            self.points, more, MOST_POINTS_IN_ALL, in_all, tell
        )


Tell = Callable[[Diagnostic], None]


def within(number: int, more: int, most: int, told: Diagnostic, tell: Tell) -> bool:
    """Tell whether a number is within bounds; of the first `more` that is too many is told."""
    if number - more <= most < number:
        tell(told)
    return number <= most
