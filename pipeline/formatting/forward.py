"""Bringing a file from an older version of the notation to the newest."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from ..syntax.nodes import ChartFile, VersionLine
from ..syntax.versions import NOTATION

# For each older version, what brings a file to the next one. The reader understands every version;
# a step only says the same in newer words. There is one version so far, and so no step.
STEPS: Mapping[int, Callable[[ChartFile], ChartFile]] = {}


def bring_forward(
    file: ChartFile,
    steps: Mapping[int, Callable[[ChartFile], ChartFile]] = STEPS,
    newest: int = NOTATION,
) -> ChartFile:
    """Return a file in the words of the newest version.

    The first line still has the number it had; `spelling` writes the newest.
    """
    for version in range(_version(file), newest):
        file = steps[version](file)
    return file


def _version(file: ChartFile) -> int:
    first = file.blocks[0].head
    assert isinstance(first, VersionLine)
    return int(first.number.text)
