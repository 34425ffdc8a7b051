"""What to tell of a booklet that goes to paper: how many sheets, what stays blank."""

from __future__ import annotations

from ..chart.options import Fold
from ..core.diagnostics import Diagnostic, finding
from ..core.source import Span
from ..pdf.folding import blanks, creep

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


def not_in_fours(span: Span | None, pages: int) -> tuple[Diagnostic, ...]:
    """Return the finding for a printer's PDF whose pages do not fill folded sheets."""
    if not blanks(pages):
        return ()
    remark = finding(
        "not-in-fours",
        f"A stapled booklet has a multiple of four pages; this one has {pages}.",
        span,
        f"Tell the printer that {_last(blanks(pages))}, or have it bound in another way.",
    )
    return (remark,)


def folded(span: Span | None, fold: Fold, pages: int) -> Diagnostic:
    """Return what to know when a booklet is printed on sheets, folded and stapled."""
    blank = blanks(pages)
    sheets = (pages + blank) // IN_FOURS
    rest = _last(blank) if blank else "none is blank"
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


def _last(blank: int) -> str:
    return "the last page stays blank" if blank == 1 else f"the last {blank} pages stay blank"
