"""Bringing a file from an older version of the notation to the newest."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

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

    steps: from each older version to the next.
    """
    line = file.blocks[0].head
    assert isinstance(line, VersionLine)
    written = int(line.number.text)
    if written == newest:
        return file
    for version in range(written, newest):
        file = steps[version](file)
    number = replace(line.number, text=str(newest))
    first = replace(file.blocks[0], head=replace(line, number=number))
    return replace(file, blocks=(first, *file.blocks[1:]))
