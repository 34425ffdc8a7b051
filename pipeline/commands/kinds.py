"""Which kinds of thread a command offers for a cross."""

from __future__ import annotations

from collections.abc import Iterable

import click

from ..colour.matching import offered
from ..console import stop
from ..core.key import Thread, ThreadKind


def _kinds(
    _context: click.Context, _parameter: click.Parameter, said: tuple[str, ...]
) -> tuple[ThreadKind, ...]:
    return tuple(map(ThreadKind, said))


kind_option = click.option(
    "--kind",
    "kinds",
    type=click.Choice([kind.value for kind in ThreadKind]),
    multiple=True,
    callback=_kinds,
    help="Offer thread of this kind; may be repeated. Otherwise all is offered but metallic thread "
    "and beads.",
)


def of_kinds(threads: Iterable[Thread], kinds: tuple[ThreadKind, ...]) -> list[Thread]:
    """Return the threads of a range that may be offered, or leave where there is none."""
    everything = list(threads)
    there = offered(everything, kinds)
    if not there:
        asked = " ".join(dict.fromkeys(f"--kind {each.kind}" for each in everything))
        stop(f"the range holds no such thread; say what it is to be: {asked}")
    return there
