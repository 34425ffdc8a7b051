"""How often a motif is placed, and how far apart."""

from __future__ import annotations

from ..core.diagnostics import Diagnostic, finding
from ..syntax.nodes import PlacementLine
from ..syntax.phrases import Option, Place
from .amounts import whole
from .placed import Options
from .settings import LARGEST_SIDE, number_in, point

MOST_COPIES = 10_000  # of one placement


def repeats_of(
    line: PlacementLine, options: Options, found: list[Diagnostic]
) -> tuple[int, int, tuple[float, float]]:
    """Return how often across and down, and the step between."""
    nothing = (1, 1, (0.0, 0.0))
    repeat, step = options.get("repeat"), options.get("step")
    if repeat is None:
        if step is not None:
            found.append(
                finding(
                    "step-without-repeat",
                    "A step is stated, but not how often.",
                    step.span,
                    f"write `{line.motif.text} x 3`, or take the step out",
                )
            )
        return nothing
    counts = [1, 1]
    for index in range(len(repeat.values)):
        number = number_in(repeat, index)
        count = number and whole(number, "The number of repeats", 1, LARGEST_SIDE, found)
        if not count:
            return nothing
        counts[index] = count
    across, down = counts
    if across * down > MOST_COPIES:
        found.append(
            finding(
                "too-many-repeats",
                f"{across} by {down} repeats are {across * down:,}; "
                f"at most {MOST_COPIES:,} are placed by one line.",
                repeat.span,
                "place them by several lines, or draw a larger motif",
            )
        )
        return nothing
    if step is None:
        if across * down > 1:
            found.append(
                finding(
                    "missing-step",
                    "How far it is from one repeat to the next is not stated.",
                    repeat.span,
                    "add `step 10,0`: columns across, rows down",
                )
            )
        return across, down, (0.0, 0.0)
    place = step.values[0]
    distance = point(place, found) if isinstance(place, Place) else None
    if distance is None:
        return nothing
    _check_step(across, down, distance, step, found)
    return across, down, distance


def _check_step(
    across: int, down: int, step: tuple[float, float], option: Option, found: list[Diagnostic]
) -> None:
    """The first figure moves the repeats across, the second those down; neither is idle."""
    ways = ((across, step[0], "across", 0), (down, step[1], "down", 1))
    for count, distance, way, index in ways:
        if count > 1 and distance == 0:
            other = "`x 1 by 12` repeats downwards" if index == 0 else "`x 12` repeats across"
            found.append(
                finding(
                    "step-of-nothing",
                    f"It repeats {way}, but the step {way} is 0.",
                    option.span,
                    f"the step is columns, rows; {other}",
                )
            )
        elif count == 1 and distance != 0:
            found.append(
                finding(
                    "idle-step",
                    f"There is a step {way}, but nothing repeats {way}.",
                    option.span,
                    "the first figure is for `x 12`, the second for `by 3`; write 0 for the other",
                )
            )
