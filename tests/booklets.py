"""Booklets that many tests read, each bound and read once for all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

from linenleaf.booklet.book import bind
from linenleaf.chart.options import Options
from linenleaf.compose.worked import WorkedChart
from linenleaf.flow import follow

from tests.pages import Page, pages_of

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
DEMOS = tuple(sorted(each.name for each in EXAMPLES.iterdir() if each.is_dir()))


@cache
def worked_demo(name: str) -> WorkedChart:
    """Read a demo, once for all tests: what is worked out of a chart is kept with it."""
    worked = follow(EXAMPLES / name / f"{name}.linen").worked
    assert worked is not None
    return worked


@dataclass(frozen=True, eq=False)
class Booklet:
    """A booklet without a finding.

    said: what the command said, if it was built by that. count: of pages, if it was told.
    """

    path: Path
    worked: WorkedChart
    said: str = ""
    count: int = 0

    @cached_property
    def data(self) -> bytes:
        """The bytes of the PDF."""
        return self.path.read_bytes()

    @cached_property
    def pages(self) -> list[Page]:
        """The pages as PDFium reads them."""
        return pages_of(self.data)


def bound(
    worked: WorkedChart, options: Options, path: Path, sources: Sequence[Path] = ()
) -> Booklet:
    """Bind a booklet in this process, without a finding, and write it."""
    made, findings = bind(worked, options, sources=sources)
    assert made is not None
    assert findings == () or options.fold  # which tells how many leaves stay blank
    path.write_bytes(made.data)
    return Booklet(path, worked, count=made.pages)
