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
    """Return which threads, each by its place in a counted row or column."""
    axis = 1 - gap.axis
    first, last = gap.box[axis], gap.box[axis + 2] - 1
    values = {
        "count": words.figures.whole(gap.number),
        "first": words.figures.whole(first % over + 1),
        "start": words.figures.whole(first // over + 1),
        "last": words.figures.whole(last % over + 1),
        "end": words.figures.whole(last // over + 1),
    }
    match gap.threads:
        case Threads.ROWS:
            return words.ngettext(
                "Withdraw one fabric thread that runs across: thread %(first)s of row %(start)s.",
                "Withdraw %(count)s fabric threads that run across: from thread %(first)s of row "
                "%(start)s to thread %(last)s of row %(end)s.",
                gap.number,
                **values,
            )
        case Threads.COLUMNS:
            return words.ngettext(
                "Withdraw one fabric thread that runs down: thread %(first)s of column %(start)s.",
                "Withdraw %(count)s fabric threads that run down: from thread %(first)s of column "
                "%(start)s to thread %(last)s of column %(end)s.",
                gap.number,
                **values,
            )
        case _:
            assert_never(gap.threads)
