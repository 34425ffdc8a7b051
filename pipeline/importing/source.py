"""A tidy source from a grid of cells and the threads chosen for them, each with its symbol."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from string import ascii_lowercase, ascii_uppercase, digits

import numpy as np

from ..core.characters import HIDDEN
from ..core.items import BARE
from ..core.source import Source
from ..formatting.spelling import path_text, quoted
from ..formatting.tidy import tidy
from ..syntax.cutting import NOTATION
from .cells import IndexCells
from .threadfit import ChosenThread, ThreadFit

# What is taken when the letters of a name are used up; the easily mistaken come last.
_LATER = "".join(each for each in ascii_lowercase + ascii_uppercase + digits if each not in "lIO01")
SIGNS = _LATER + "+*=/\\~^<>:;-_!?%&@$()[]{}" + "lIO01" + "',`"


def choose_signs(names: Sequence[str], wished: Sequence[str], crosses: Sequence[int]) -> list[str]:
    """Return a symbol of its own for each name, at most as many as there are SIGNS.

    wished: the symbol wished for, empty for none; of two who wish for one, the first has it. The
    thread with most crosses chooses first.
    """
    chosen = [""] * len(names)
    free = dict.fromkeys(SIGNS)
    for at, wish in enumerate(wished):
        if wish and wish not in chosen:
            chosen[at] = wish
            free.pop(wish, None)
    for at in sorted(range(len(names)), key=lambda at: (-crosses[at], at)):
        if not chosen[at]:
            chosen[at] = next(each for each in (*_reminding(names[at]), *free) if each in free)
            del free[chosen[at]]
    return chosen


def _reminding(name: str) -> str:
    """Return letters of a name, those first that remind of it most."""
    words = re.findall(r"[a-z]+", name.lower())
    initials = "".join(word[0] for word in words)
    letters = "".join(words)
    return initials + initials.upper() + letters + letters.upper()


LONGEST_NAME = 60  # characters of a thread's name in a remark


@dataclass(frozen=True)
class Besides:
    """What stands in a source beside its cells.

    remarks: one line each. lines: behind the chart. motif: the name under which the
    rows are a motif that the chart places; empty where they are the chart's own.
    """

    remarks: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    motif: str = ""


NOTHING = Besides()


def written(
    fitted: ThreadFit,
    title: str,
    fabric: str,
    range_name: str,
    range_path: str,
    origin: str,
    besides: Besides = NOTHING,
) -> str:
    """Return the source of a chart of one grid, each thread with its name and how near it is.

    fabric: as in a chart, `linen 32 over 2`. range_path: the range file as the chart names it.
    origin: what the chart was read from.
    """
    signs = choose_signs(
        [each.thread.name for each in fitted.chosen],
        [each.symbol for each in fitted.chosen],
        [each.crosses for each in fitted.chosen],
    )
    lines = [
        f"linen {NOTATION}",
        f"# Read in from {_plain(origin)}.",
        *(f"# {_plain(remark)}" for remark in besides.remarks),
        "",
        f"booklet {quoted(_plain(title))}",
        f"fabric {fabric}",
        f"range {range_name} from {path_text(range_path)}",
        "key",
        *(
            f"{sign} {range_name} {each.thread.code} # {_remark(each)}"
            for sign, each in zip(signs, fitted.chosen, strict=True)
        ),
        *_chart(fitted.grid, signs, besides),
        "",
        *besides.lines,
    ]
    text = "\n".join(lines) + "\n"
    tidied, findings = tidy(Source("", text))
    assert tidied is not None, findings
    return tidied


def _chart(grid: IndexCells, signs: Sequence[str], besides: Besides) -> list[str]:
    """Return the lines of the chart, and of the motif that its rows are."""
    height, width = grid.shape
    chart = f"chart {width} x {height}"
    if not besides.motif:
        return [chart, *_rows(grid, signs)]
    motif = f"motif {besides.motif} {width} x {height}"
    return [motif, *_rows(grid, signs), chart, f"{besides.motif} at 0,0 named {besides.motif}"]


def _rows(grid: IndexCells, signs: Sequence[str]) -> list[str]:
    points = np.array([ord(each) for each in (BARE, *signs)], dtype="<u4")[grid]
    return [f"|{row.tobytes().decode('utf-32-le')}|" for row in points]


def _remark(chosen: ChosenThread) -> str:
    name = _plain(chosen.thread.name)
    short = name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 1] + "…"
    return ", ".join(filter(None, (short, chosen.words)))


def _plain(text: str) -> str:
    """Return a text in which nothing can end its line or hide."""
    return " ".join(HIDDEN.sub(" ", text).split())
