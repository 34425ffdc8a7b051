"""A key in the threads of another range: what touches what, and the colourway to paste."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..checks.lookalikes import touching
from ..colour.colorimetry import labs
from ..colour.matching import in_words, offered
from ..colour.substitutes import Substitution, substitutes
from ..compose.turning import written
from ..compose.worked import WorkedChart
from ..core.key import KeyEntry, Strands, Thread, ThreadKind
from ..core.model import Design
from ..resolve.threads import ThreadRange
from ..stitches.kinds import STITCHES
from .outputnames import range_name
from .phrasing import LEFT, RIGHT, table, thread_words


def threads_of_key(design: Design) -> tuple[Thread, ...]:
    """Return the threads of the key, each once, in its order; beads are no threads."""
    return tuple(
        dict.fromkeys(each.thread for entry in _stitched(design) for each in _strands(entry))
    )


def touching_threads(worked: WorkedChart, threads: Sequence[Thread]) -> NDArray[np.bool_]:
    """Return which threads lie side by side on the chart, (n, n), symmetric.

    Cells that share a thread do not count: a shade and a blend that holds it are meant to be near
    each other.
    """
    number = {thread: at for at, thread in enumerate(threads)}
    needles = [
        {number[each.thread] for each in _strands(entry) if each.thread in number}
        for entry in worked.design.key
    ]
    touch = np.zeros((len(threads), len(threads)), dtype=bool)
    for one, other in (np.argwhere(np.triu(touching(worked)[1:, 1:], 1))).tolist():
        if not needles[one] & needles[other]:
            for first in needles[one]:
                touch[first, list(needles[other])] = True
    return touch | touch.T


def _stitched(design: Design) -> list[KeyEntry]:
    return [entry for entry in written(design.key) if not STITCHES[entry.parts[0].kind].bead]


def _strands(entry: KeyEntry) -> list[Strands]:
    return [each for part in entry.parts for each in part.needle]


@dataclass(frozen=True)
class Rekeyed:
    """The colourway to paste into the chart, and which threads it does not keep apart."""

    text: str
    close: tuple[str, ...]


def rekey(
    worked: WorkedChart, target: ThreadRange, file: str, kinds: Collection[ThreadKind] = ()
) -> Rekeyed:
    """Return a colourway of a chart in the threads of another range.

    file: how the chart names the file of the range. kinds: of thread, see `matching.offered`.

    Raises:
        TooFew: when the range holds fewer threads than the key.
    """
    design = worked.design
    known = same_range(design, target)
    name = (
        target.name if known else range_name(target.name, {each.range for each in design.threads})
    )
    there = [replace(each, range=name) for each in offered(target.threads.values(), kinds)]
    threads = threads_of_key(design)
    given = substitutes(threads, touching_threads(worked, threads), there)
    way = range_name(name, {each.name for each in design.colourways})
    chosen = dict(zip(threads, given.chosen, strict=True))
    lines = [
        *_comparison(threads, given),
        "",
        *([] if known else [f'range {name} from "{_escaped(file)}"', ""]),
        *_colourway(design, chosen, way, f"In threads of {name}"),
    ]
    return Rekeyed("\n".join(lines) + "\n", tuple(_close(threads, given)))


def _comparison(threads: Sequence[Thread], given: Substitution) -> list[str]:
    colours = labs([each.colour for each in (*threads, *given.chosen)])
    rows = [("thread", "", "", "off", "")]
    for at, (thread, other) in enumerate(zip(threads, given.chosen, strict=True)):
        off = float(given.difference[at])
        words = in_words(colours[at], colours[at + len(threads)], off)
        if other.kind is not thread.kind:
            words += f"; {other.kind} for {thread.kind}"
        rows.append((thread_words(thread), "->", thread_words(other), f"{off:.1f}", words))
    return [f"# {line}" for line in table(rows, (LEFT, LEFT, LEFT, RIGHT, LEFT))]


def _close(threads: Sequence[Thread], given: Substitution) -> Iterator[str]:
    for one, other, apart in given.close:
        yield (
            f"{thread_words(threads[one])} and {thread_words(threads[other])} touch, but "
            f"{given.chosen[one].label} and {given.chosen[other].label} differ by only "
            f"{apart:.1f}: they are hard to tell apart on the cloth."
        )


def same_range(design: Design, target: ThreadRange) -> bool:
    """Tell whether the chart already names this range: the same threads under the same name."""
    named = [thread for thread in design.threads if thread.range == target.name]
    there = [target.threads.get(each.code) for each in named]
    return bool(named) and all(
        other is not None and (each.name, each.colour) == (other.name, other.colour)
        for each, other in zip(named, there, strict=True)
    )


def _colourway(
    design: Design, chosen: Mapping[Thread, Thread], name: str, title: str
) -> Iterator[str]:
    entries = _stitched(design)
    width = max((len(entry.symbol) for entry in entries), default=0)
    yield f'colourway {name} "{title}"'
    for entry in entries:
        parts = (
            " with ".join(chosen[each.thread].label for each in part.needle) for part in entry.parts
        )
        yield f"  {entry.symbol:<{width}}  {' + '.join(parts)}"


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"')
