"""The canonical form of a chart file: what `linenleaf tidy` writes.

Says the same as before and keeps every remark; tidying twice changes nothing more.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from dataclasses import replace

from ..core.characters import escaped
from ..core.diagnostics import Diagnostics, has_errors
from ..core.source import Source
from ..syntax.cutting import NOTATION
from ..syntax.nodes import ChartFile, VersionLine
from ..syntax.parse import parse
from .arranging import arrange
from .rulers import Rulers

# For each older version, what brings a file to the next one. The reader understands every version;
# a step only says the same in newer words. There is one version so far, and so no step.
STEPS: Mapping[int, Callable[[ChartFile], ChartFile]] = {}

_NO_LINE_END = "\\ No newline at end of file\n"  # as programs that apply differences expect it


def tidy(source: Source, rulers: Rulers = Rulers.KEPT) -> tuple[str | None, Diagnostics]:
    """Return the tidy text of a source, None when some of its lines cannot be read.

    Names and figures are not looked at: a chart that names an unknown motif can be tidied, and so
    can a file of motifs alone.
    """
    file, findings = parse(source)
    if has_errors(findings):
        return None, findings
    return arrange(bring_forward(file), rulers), findings


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


def difference(source: Source, tidied: str) -> str:
    """Return what tidying changes as a unified difference, empty when the text stays as it is."""
    name = escaped(source.path)
    lines = difflib.unified_diff(_lines(source.text), _lines(tidied), fromfile=name, tofile=name)
    return "".join(lines)


def _lines(text: str) -> list[str]:
    lines = [line + "\n" for line in text.split("\n")]
    # What comes after the last line end is no line, unless the last line lacks its end.
    last = lines.pop().removesuffix("\n")
    return [*lines, f"{last}\n{_NO_LINE_END}"] if last else lines
