"""From a path to a design: the read stage, whole.

A chart file is taken apart into lines (`syntax`), the files it uses are gathered (`library`),
and then every name is looked up. All findings are told in one run; a design is given only when
nothing is wrong, since a chart that is partly understood is not to be stitched from.
"""

from __future__ import annotations

from pathlib import Path

from ..core.diagnostics import Diagnostics, finding, has_errors, in_order
from ..core.files import LARGEST_TEXT, read_text
from ..core.model import Design
from ..core.source import Source
from ..syntax.nodes import (
    ChartFile,
)
from ..syntax.parse import parse
from .causes import told_once
from .library import Shared, gather, no_chart
from .resolver import Resolver
from .settings import (
    MOST_FINDINGS,
)


def read(path: Path) -> tuple[Design | None, Diagnostics]:
    """Return the design that a chart file describes, and all findings.

    The design is None when any finding is an error. `threads` holds the threads that the key
    and the colourways use, in the order of the key. Motifs and alphabets that come from a file
    used are given only where the chart places them.
    """
    return _chart_wanted(*read_any(path))


def read_source(source: Source, path: Path) -> tuple[Design | None, Diagnostics]:
    """Read a text that stands, or could stand, at a path; see `read`."""
    return _chart_wanted(*_read(source, path, path.parent))


def read_any(path: Path, root: Path | None = None) -> tuple[Design | Shared | None, Diagnostics]:
    """Read a chart, or a file that charts use, of which all is looked at that needs no key.

    root: the folder that such a file may not lead out of, its own where not stated. It is given
    back even with errors in it.
    """
    source, findings = read_text(path, str(path), LARGEST_TEXT)
    if source is None:
        return None, in_order(findings)
    return _read(source, path, root or path.parent)


def _chart_wanted(
    what: Design | Shared | None, findings: Diagnostics
) -> tuple[Design | None, Diagnostics]:
    if isinstance(what, Shared):
        return None, in_order((*findings, no_chart(what)))
    return what, findings


def _read(source: Source, path: Path, root: Path) -> tuple[Design | Shared | None, Diagnostics]:
    file, unread = parse(source)
    findings = list(unread)
    if not file.blocks:
        return None, in_order(findings)
    what: Design | Shared | None
    if _is_shared(file):
        Resolver(gather(path, file, findings, root), root, findings).shared()
        what = Shared(source)
    else:
        what = Resolver(gather(path, file, findings), path.parent, findings).design()
    ordered = in_order(told_once(in_order(findings)))
    if len(ordered) > MOST_FINDINGS:
        rest = finding(
            "too-many-findings",
            f"There are more than {MOST_FINDINGS} findings; the rest are not shown.",
            ordered[MOST_FINDINGS].span,
            "correct the first ones; many may come from one slip",
        )
        ordered = (*ordered[:MOST_FINDINGS], rest)
    return (None if isinstance(what, Design) and has_errors(ordered) else what), ordered


def _is_shared(file: ChartFile) -> bool:
    """Tell whether a file is for charts to use: with a fabric it is a chart that is begun."""
    words = {block.word for block in file.blocks}
    return words.isdisjoint({"fabric", "chart"}) and not words.isdisjoint(
        {"motif", "alphabet", "range", "stitch", "use"}
    )
