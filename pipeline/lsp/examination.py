"""Everything found out about a chart from the texts as they stand in the editor."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic
from ..core.files import noting, unsaved_texts
from ..count.count import Counts, count
from ..flow import follow


@dataclass(frozen=True, eq=False)
class Examination:
    """What came of reading, composing and checking a chart.

    findings: by real path of the file they point into. named: real paths of the files that the
    chart names. worked, counts: None when there are errors.
    """

    path: Path
    findings: Mapping[Path, tuple[Diagnostic, ...]]
    named: frozenset[Path]
    worked: WorkedChart | None
    counts: Counts | None


def examine(path: Path, texts: Mapping[Path, bytes]) -> Examination:
    """Examine the chart at a path; texts: those open in the editor, by real path."""
    named: set[Path] = set()
    with unsaved_texts(texts), noting(named.add):
        flow = follow(path)
    real = path.resolve()
    findings: dict[Path, list[Diagnostic]] = {real: []}
    for each in flow.proper:
        place = real if each.span is None else Path(each.span.path).resolve()
        findings.setdefault(place, []).append(each)
    return Examination(
        path,
        {file: tuple(found) for file, found in findings.items()},
        frozenset({real, *(each.resolve() for each in named)}),
        flow.worked,
        None if flow.worked is None else count(flow.worked),
    )
