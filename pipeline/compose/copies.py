"""The same chart for one buyer: with other lettering, in other threads, with other strands.

The chart file stays as it is. The copy is composed, checked and counted like any chart, with one
exception: `expect` states counts of the chart as published, so it is held to that.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from weakref import WeakKeyDictionary

import numpy as np

from ..core.characters import hidden_in_name
from ..core.diagnostics import Diagnostic, Hint
from ..core.items import Item, Lettering
from ..core.key import Colourway, KeyEntry, Thread
from ..core.model import Design
from ..core.source import Span
from ..core.suggest import all_of, did_you_mean
from .worked import WorkedChart, in_needle, shared

LONGEST = 200  # characters of a line
MOST_LINES = 50
Letters = Mapping[str, tuple[str, ...]]
# The same chart for the same wish, so that what is found out about it need not be found again.
_KEPT: WeakKeyDictionary[WorkedChart, dict[int, WorkedChart]] = WeakKeyDictionary()


def recolour(worked: WorkedChart, name: str) -> WorkedChart:
    """Return the worked chart with the threads of one of its colourways.

    A photograph for the cover shows other threads: the drawn piece stands in its place.

    Raises:
        KeyError: when the chart has no colourway of that name.
    """
    for colourway in worked.design.colourways:
        if colourway.name == name:
            return replace(worked, design=_recoloured(worked.design, colourway))
    raise KeyError(name)


def _recoloured(design: Design, colourway: Colourway) -> Design:
    changes = {change.symbol: change.needles for change in colourway.changes}
    key = tuple(
        _rethreaded(entry, changes[entry.symbol]) if entry.symbol in changes else entry
        for entry in design.key
    )
    threads: dict[Thread, None] = {}
    for entry in key:
        for part in entry.parts:
            threads.update(dict.fromkeys(strands.thread for strands in part.needle))
    return replace(
        design,
        key=key,
        threads=tuple(threads),
        booklet=replace(design.booklet, cover=None),
        in_colourway=colourway,
        own_key=design.own_key or design.key,
    )


def _rethreaded(entry: KeyEntry, needles: tuple[tuple[object, ...], ...]) -> KeyEntry:
    parts = tuple(
        replace(part, needle=needle)  # type: ignore[arg-type]
        for part, needle in zip(entry.parts, needles, strict=True)
    )
    return replace(entry, parts=parts)


class NotChangeable(ValueError):
    """What was asked for cannot be replaced; the message says why, and what can."""


def letters_asked(texts: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Return the new lines by name, from texts such as `initials=C D`.

    A name given again adds a line. Texts are composed (NFC), as those in a chart are.

    Raises:
        NotChangeable: for what is no such text, or holds what cannot be seen.
    """
    lettering: dict[str, tuple[str, ...]] = {}
    for text in texts:
        name, sign, line = text.partition("=")
        if not sign or not name.strip():
            raise NotChangeable(f'{text[:60]!r} names no text; write initials="C D".')
        line = unicodedata.normalize("NFC", line)
        if hidden_in_name(line) or len(line) > LONGEST:
            raise NotChangeable(f"{name}: a line has at most {LONGEST} characters, all visible.")
        lettering[name.strip()] = (*lettering.get(name.strip(), ()), line)
        if len(lettering[name.strip()]) > MOST_LINES:
            raise NotChangeable(f"{name}: a text has at most {MOST_LINES} lines.")
    return lettering


def personalise(design: Design, letters: Letters) -> Design:
    """Return the design with changeable lettering replaced; an empty text takes it out.

    Raises:
        NotChangeable: for a name that no lettering of the chart has.
    """
    names = {
        item.changeable: None
        for item in _all_items(design)
        if isinstance(item, Lettering) and item.changeable
    }
    for name in letters:
        if name not in names:
            raise NotChangeable(_unknown(name, list(names)))
    items = tuple(_replaced(item, letters) for item in design.chart.items)
    chart = replace(design.chart, items=items)
    motifs = {
        name: replace(motif, items=tuple(_replaced(item, letters) for item in motif.items))
        for name, motif in design.motifs.items()
    }
    personal = tuple((name, "\n".join(lines)) for name, lines in letters.items())
    return replace(design, chart=chart, motifs=motifs, personal=personal)


def _all_items(design: Design) -> Iterator[Item]:
    """Give what the chart places, and what its motifs do."""
    yield from design.chart.items
    for motif in design.motifs.values():
        yield from motif.items


def _unknown(name: str, names: list[str]) -> str:
    if not names:
        return "No text of this chart can be replaced: none is marked `changeable`."
    guess = did_you_mean(name, names)
    return f"No text is called {name[:60]!r}; " + (guess or f"there is {all_of(names[:20])}.")


def _replaced(item: Item, letters: Letters) -> Item:
    if not isinstance(item, Lettering) or item.changeable not in letters:
        return item
    lines = letters[item.changeable]
    if not "".join(lines).strip():
        lines = ()  # its place stays, since other things may hang on it
    # The places of the old letters say nothing of the new: findings point at the whole line.
    return replace(item, lines=lines, line_spans=())


def explained(findings: Iterable[Diagnostic], design: Design) -> tuple[Diagnostic, ...]:
    """Return findings about replaced lettering with what it reads in this copy.

    design: of the copy.
    """
    changed = dict(design.personal)
    texts = [
        (item.span, f"in this copy `{item.changeable}` reads {_quoted(changed[item.changeable])}")
        for item in _all_items(design)
        if isinstance(item, Lettering) and item.changeable in changed and item.span is not None
    ]
    return tuple(_explained(finding, texts) for finding in findings)


def _explained(finding: Diagnostic, texts: Collection[tuple[Span, str]]) -> Diagnostic:
    places = [finding.span, *(hint.span for hint in finding.hints)]
    more = tuple(
        Hint(words) for text, words in texts if any(_inside(place, text) for place in places)
    )
    if not more:
        return finding
    return replace(finding, hints=(*more, *finding.hints, Hint("or give this copy other letters")))


def _inside(place: Span | None, text: Span) -> bool:
    return (
        place is not None
        and place.source == text.source
        and text.start <= place.start
        and place.end <= text.end
    )


def _quoted(text: str) -> str:
    return " / ".join(f"“{line}”" for line in text.split("\n"))


def main_strands(worked: WorkedChart) -> int | None:
    """Return how many strands most crosses are worked with; None when there are no crosses.

    Threads that do not divide count only where there are no others.
    """
    tally: dict[int, int] = {}
    undivided: dict[int, int] = {}
    pieces = ((piece.grid, piece.strands) for piece in worked.pieces)
    for grid, stated in ((worked.grid, None), *pieces):
        counts = np.bincount(grid.ravel())
        for index in (np.flatnonzero(counts[1:]) + 1).tolist():
            part = worked.entry(index, stated).parts[0]
            among = tally if any(each.thread.divides for each in part.needle) else undivided
            strands = in_needle(part)
            among[strands] = among.get(strands, 0) + int(counts[index])
    tally = tally or undivided
    return max(tally, key=lambda each: (tally[each], -each), default=None)


def restrand(worked: WorkedChart, strands: int) -> WorkedChart:
    """Return the chart with so many strands where most crosses have their usual number.

    Only stitches of cells change, and of them only those worked with the number of strands of
    most crosses: a half cross that was thinner on purpose, lines and knots stay as they are. The
    threads of a blend share the strands as before, at least one of each. Pieces whose strands are
    stated keep them.
    """
    usual = main_strands(worked)
    if usual is None or usual == strands:
        return worked
    kept = _KEPT.setdefault(worked, {})
    if strands not in kept:
        design = worked.design
        key = [_entry(entry, usual, strands) if entry.is_cell else entry for entry in design.key]
        kept[strands] = replace(worked, design=replace(design, key=tuple(key)))
    return kept[strands]


def _entry(entry: KeyEntry, usual: int, strands: int) -> KeyEntry:
    return replace(
        entry,
        parts=tuple(
            replace(part, needle=shared(part.needle, strands)) if in_needle(part) == usual else part
            for part in entry.parts
        ),
    )
