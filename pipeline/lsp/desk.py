"""The texts that lie open in an editor, and everything found out about them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic, in_order
from ..core.files import LARGEST_TEXT, as_text, noting, unsaved_texts
from ..core.source import Source
from ..count.count import Counts, count
from ..flow import follow
from .hover import ChartTally
from .outline import Outline, outline


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
    for finding in flow.proper:
        place = real if finding.span is None else Path(finding.span.path).resolve()
        findings.setdefault(place, []).append(finding)
    return Examination(
        path,
        {file: tuple(told) for file, told in findings.items()},
        frozenset({real, *(each.resolve() for each in named)}),
        flow.worked,
        None if flow.worked is None else count(flow.worked),
    )


class Desk:
    """Open texts by real path, so that a file has one text however it was named."""

    def __init__(self) -> None:
        self._texts: dict[Path, bytes] = {}
        self._outlines: dict[Path, Outline | None] = {}
        self._examined: dict[Path, Examination] = {}
        self._last_sound: dict[Path, tuple[WorkedChart, Counts]] = {}

    # --- texts ---

    def put(self, path: Path, text: str) -> None:
        """Take a text that was opened or changed."""
        # Half a pair of surrogates may come out of an editor; it is no character (UAX 27).
        whole = text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
        self._texts[path] = whole.encode()
        self._outlines.clear()

    def take_away(self, path: Path) -> None:
        """Forget a text that was closed."""
        self._texts.pop(path, None)
        self._examined.pop(path, None)
        self._last_sound.pop(path, None)
        self._outlines.clear()

    def forget_files(self) -> None:
        """Forget what was read from files that are not open."""
        self._outlines.clear()

    def is_open(self, path: Path) -> bool:
        """Tell whether a text is open."""
        return path in self._texts

    def texts(self) -> dict[Path, bytes]:
        """Return the open texts as they are now."""
        return dict(self._texts)

    def source(self, path: Path) -> Source | None:
        """Return an open text, None where it is no plain text."""
        data = self._texts.get(path)
        return None if data is None or len(data) > LARGEST_TEXT else as_text(data, str(path))[0]

    # --- what is defined ---

    @contextmanager
    def as_typed(self) -> Iterator[None]:
        """Let the open texts stand in for the files while something is read."""
        with unsaved_texts(self.texts()):
            yield

    def outline(self, path: Path) -> Outline | None:
        """Return what may be named in an open text.

        A file of motifs has no key of its own: it is read with that of an open chart that uses it.
        """
        own = self._own_outline(path)
        if own is None or own.key.known:
            return own
        whole = self._own_outline(self._chart_of(path))
        if whole is None:
            return own
        return replace(
            own,
            ranges={**whole.ranges, **own.ranges},
            key=whole.key,
            key_lines=whole.key_lines,
        )

    def _own_outline(self, path: Path) -> Outline | None:
        if path not in self._outlines:
            source = self.source(path)
            with self.as_typed():
                self._outlines[path] = None if source is None else outline(source, path)
        return self._outlines[path]

    def _chart_of(self, path: Path) -> Path:
        """Return the open chart that a file belongs to; the file itself where there is none."""
        if path in self._last_sound:
            return path
        charts = [
            each.path
            for each in self._examined.values()
            if path in each.named and each.path != path
        ]
        return max(charts, key=self._last_sound.__contains__, default=path)

    # --- what was found out ---

    def charts_with(self, path: Path) -> list[Path]:
        """Return the open texts that change with a file: itself, and charts that name it."""
        users = [chart for chart, each in self._examined.items() if path in each.named]
        return [each for each in dict.fromkeys([path, *users]) if each in self._texts]

    def settle(self, examination: Examination) -> None:
        """Keep what was found out."""
        if examination.path not in self._texts:
            return
        self._examined[examination.path] = examination
        if examination.worked is not None and examination.counts is not None:
            self._last_sound[examination.path] = (examination.worked, examination.counts)

    def findings(self) -> dict[Path, tuple[Diagnostic, ...]]:
        """Return all findings by the file they point into."""
        gathered: dict[Path, list[Diagnostic]] = {}
        for examination in self._examined.values():
            for path, findings in examination.findings.items():
                gathered.setdefault(path, []).extend(findings)
        return {path: in_order(findings) for path, findings in gathered.items()}

    def tally(self, path: Path) -> ChartTally | None:
        """Return the chart that a text belongs to as it last was without errors."""
        chart = self._chart_of(path)
        if chart not in self._last_sound:
            return None
        worked, counts = self._last_sound[chart]
        return ChartTally(worked, counts, self._examined[chart].worked is worked)
