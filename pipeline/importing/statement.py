"""The `photograph` statement as it is written into a chart."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..formatting.spelling import path_text
from ..photograph.placing import Landmark, Point

_FINEST = 2  # decimals of a pixel


def statement(
    path: str, shows: str, corners: Sequence[Point], landmarks: Iterable[Landmark]
) -> list[str]:
    """Return the lines of a `photograph` block; `tidy` gives them their layout.

    path: from the chart's folder. shows: the part as in a chart, `chart`, `initials`, `0,0 to 9,9`.
    """
    return [f"photograph {path_text(path)}", *members(shows, corners, landmarks)]


def members(shows: str, corners: Sequence[Point], landmarks: Iterable[Landmark]) -> list[str]:
    """Return the lines of the block below its first."""
    return [
        f"  shows {shows}",
        f"  corners {' '.join(map(pixel, corners))}",
        *(
            f"  landmark {number(mark.x)},{number(mark.y)} at {pixel((mark.u, mark.v))}"
            for mark in landmarks
        ),
    ]


def pixel(at: Point) -> str:
    """Return a pixel as it is written: `212,140.5`."""
    return ",".join(map(number, at))


def number(value: float) -> str:
    """Return a number without idle noughts."""
    text = f"{value:.{_FINEST}f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text
