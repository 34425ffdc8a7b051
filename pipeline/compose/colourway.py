"""The same stitches in other threads."""

from __future__ import annotations

from dataclasses import replace

from ..core.model import Colourway, Design, KeyEntry, Thread
from .worked import WorkedChart


def recolour(worked: WorkedChart, name: str) -> WorkedChart:
    """Return the worked chart with the threads of one of its colourways.

    A photograph for the cover shows other threads: the drawn piece stands in its place.

    Raises:
        KeyError: when the chart has no colourway of that name.
    """
    for each in worked.design.colourways:
        if each.name == name:
            return replace(worked, design=_recoloured(worked.design, each))
    raise KeyError(name)


def _recoloured(design: Design, colourway: Colourway) -> Design:
    changes = {each.symbol: each.needles for each in colourway.changes}
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
    )


def _rethreaded(entry: KeyEntry, needles: tuple[tuple[object, ...], ...]) -> KeyEntry:
    parts = tuple(
        replace(part, needle=needle)  # type: ignore[arg-type]
        for part, needle in zip(entry.parts, needles, strict=True)
    )
    return replace(entry, parts=parts)
