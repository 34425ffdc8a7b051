"""The pages of the chart, as far as the designer says anything of them."""

from __future__ import annotations

from dataclasses import replace

from ..core.diagnostics import Diagnostic
from ..core.paging import Axis, Break, Orientation, Paging
from ..core.source import Span
from ..syntax.nodes import Block, WordLine
from ..syntax.phrases import Numeral, Word
from .grounds import once
from .settings import LARGEST_SIDE, at_most, whole

MOST_OVERLAP, MOST_BREAKS = 20, 40


def resolve_paging(block: Block, findings: list[Diagnostic]) -> Paging | None:
    """Return what a `pages` block says; None when anything in it is at fault.

    Whether its rows and columns lie in the chart is checked when the size of that is known.
    """
    before = len(findings)
    said = Paging()
    first: dict[str, Span] = {}
    lines = [line for line in block.members if isinstance(line, WordLine)]
    at_most(MOST_BREAKS, "lines of `pages`", lines, findings)
    for line in lines:
        match line.values:
            case (Word() as axis, Numeral() as number):
                at = whole(number, f"The {axis.text}", 1, LARGEST_SIDE, findings)
                if at is not None:
                    said = replace(
                        said, breaks=(*said.breaks, Break(Axis(axis.text), at, line.span))
                    )
            case (Numeral() as number,):
                once(line.word.text, line.span, first, findings)
                overlap = whole(number, "The overlap", 0, MOST_OVERLAP, findings)
                said = replace(said, overlap=overlap)
            case (Word() as orientation,):
                once(line.word.text, line.span, first, findings)
                said = replace(said, orientation=Orientation(orientation.text))
    return None if len(findings) > before else said
