"""What to tell of a booklet as it is made: its date, what has no room, sheets, what stays blank."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime

from ..chart.options import Fold, Options
from ..core.diagnostics import Diagnostic, finding
from ..core.model import Design
from ..core.source import Span
from ..core.system import INSTALL, SUBSETTER
from ..pdf.folding import blanks, creep
from ..pdf.remarks import FOREIGN
from .layout import widest_gutter

EPOCH = "SOURCE_DATE_EPOCH"  # seconds; reproducible-builds.org/specs/source-date-epoch
LAST_SECOND = 253_402_300_799  # of the year 9999
IN_FOURS = 4  # pages on each folded sheet
CLEAR_CELL = 2.5  # mm; in smaller cells some symbols are taken for others once they were copied
MOST_SHEETS = 15  # that fold well as one pile; common practice, no single source


def undated(span: Span | None, epoch: str) -> Diagnostic:
    """Return the finding for a printer's PDF without a date; epoch: the variable that sets one."""
    return finding(
        "no-date",
        "A PDF for a printer has to be dated; this one says 1 January 1970.",
        span,
        f'State a date: `edition "1" 2026-03-14`, or {epoch} in the environment.',
    )


def small_cells(span: Span | None, cell: float | None) -> tuple[Diagnostic, ...]:
    """Return the finding for chart cells asked for that are smaller than symbols are clear in."""
    if cell is None or cell >= CLEAR_CELL:
        return ()
    remark = finding(
        "small-cells",
        f"Cells of {cell:g} mm are too small for symbols to stay clear, all the more on a copy.",
        span,
        f"ask for cells of {CLEAR_CELL:g} mm or more, or for larger paper",
    )
    return (remark,)


def not_in_fours(span: Span | None, pages: int, backed: bool) -> tuple[Diagnostic, ...]:
    """Return the finding for a printer's PDF whose pages do not fill folded sheets.

    backed: whether the last of them is a back cover.
    """
    if not blanks(pages):
        return ()
    remark = finding(
        "not-in-fours",
        f"A stapled booklet has a multiple of four pages; this one has {pages}.",
        span,
        f"Tell the printer that {_last(blanks(pages), backed)}, or have it bound in another way.",
    )
    return (remark,)


def folded(span: Span | None, fold: Fold, pages: int, backed: bool) -> Diagnostic:
    """Return what to know when a booklet is printed on sheets, folded and stapled.

    backed: whether its last page is a back cover.
    """
    blank = blanks(pages)
    sheets = (pages + blank) // IN_FOURS
    rest = _last(blank, backed) if blank else "none is blank"
    hints = [
        "Print on both sides, turned over the short edge and not scaled; fold the pile in the "
        "middle and staple it there.",
        "Creep is not allowed for: at the open edge the innermost sheet stands out by about "
        f"{creep(pages):.1f} mm. Trim it if it troubles you.",
    ]
    if sheets > MOST_SHEETS:
        hints.append(
            f"More than some {MOST_SHEETS} sheets do not fold well as one pile; leave --fold out "
            "and bind the pages in another way."
        )
    return finding(
        "folded",
        f"{pages + blank} pages on {sheets} sheet{'s' if sheets != 1 else ''} of "
        f"{fold.name.title()}; {rest}.",
        span,
        *hints,
    )


def _last(blank: int, backed: bool) -> str:
    where = "before the back cover " if backed else ""
    if blank == 1:
        return f"the last page {where}stays blank"
    return f"the last {blank} pages {where}stay blank"


def file_date(day: date | None) -> str | None:
    """Return the date written into the PDF: SOURCE_DATE_EPOCH, else the day of the edition.

    None where the environment states what is not a date.
    """
    epoch = os.environ.get(EPOCH)
    if epoch is None:
        return "" if day is None else day.isoformat()
    if not (epoch.isascii() and epoch.isdecimal() and int(epoch[:20]) <= LAST_SECOND):
        return None
    return datetime.fromtimestamp(int(epoch), UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def no_date() -> Diagnostic:
    """Return the finding for an environment that states what is not a date."""
    return finding(
        "bad-epoch",
        f"The environment's {EPOCH} is not a number of seconds since 1970.",
        None,
        f"Unset {EPOCH}, or give it such a number.",
    )


def lacking(sentence: str) -> Diagnostic:
    """Return the finding for what this computer lacks, which is no fault of the chart."""
    return finding("lacking-library", sentence, None, f"{INSTALL} {SUBSETTER}")


def remarked(words: str, span: Span | None) -> Diagnostic:
    """Return the finding for what was noticed while pages were set; span: of the `booklet` line."""
    advice = "look at the page; a shorter text or another paper usually helps"
    if words.startswith(FOREIGN):
        advice = "write it with other letters, or build it on a computer that has a face for them"
    return finding("layout", words, span, advice)


def wide_gutter(design: Design, options: Options, gutter: float) -> Diagnostic:
    """Return the finding for a gutter that leaves no room on the paper."""
    paper = options.paper
    most = widest_gutter(options.paper, options.large)
    return finding(
        "wide-gutter",
        f"A gutter of {gutter:g} mm leaves no room for the text on pages of "
        f"{paper.width:g} x {paper.height:g} mm.",
        design.booklet.gutter_span or design.booklet.span,
        f"State at most {most} mm for them, or choose larger paper.",
    )
