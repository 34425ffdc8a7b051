"""What the notes say of threads that are withdrawn from the fabric."""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

from ..compose.worked import Gap, WorkedChart
from ..core.matter import Note, NoteKind
from ..core.model import Threads
from ..i18n.wording import Wording


def withdrawing(worked: WorkedChart, words: Wording) -> Iterator[Note]:
    """Yield a note for each place where threads are withdrawn, in the order of the source."""
    over = worked.design.ground.fabric.over
    for gap in worked.gaps:
        x0, y0, x1, y1 = (each / over for each in gap.box)
        text = _which(gap, over, words)
        if any(gap.shared(other) for other in worked.gaps if other.threads is not gap.threads):
            text += " " + words.gettext(
                "Where they meet others that are withdrawn nothing is left of the fabric: "
                "oversew the edges of that hole first."
            )
        yield Note(NoteKind.NOTE, x0, y0, x1, y1, text, gap.span)


def _which(gap: Gap, over: int, words: Wording) -> str:
    axis = 1 - gap.axis
    first, last = (words.figures.figure(gap.box[side] / over) for side in (axis, axis + 2))
    count = words.figures.whole(gap.number)
    values = {"count": count, "first": first, "last": last}
    match gap.threads:
        case Threads.ROWS:
            return words.ngettext(
                "Withdraw the fabric thread that runs across between %(first)s and %(last)s, "
                "counted in rows from the upper edge of the chart.",
                "Withdraw the %(count)s fabric threads that run across between %(first)s and "
                "%(last)s, counted in rows from the upper edge of the chart.",
                gap.number,
                **values,
            )
        case Threads.COLUMNS:
            return words.ngettext(
                "Withdraw the fabric thread that runs down between %(first)s and %(last)s, "
                "counted in columns from the left edge of the chart.",
                "Withdraw the %(count)s fabric threads that run down between %(first)s and "
                "%(last)s, counted in columns from the left edge of the chart.",
                gap.number,
                **values,
            )
        case _:
            assert_never(gap.threads)
