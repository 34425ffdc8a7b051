"""Printed symbols: wishes that cannot be granted, and symbols that look alike side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from ..chart.likeness import ALIKE
from ..chart.shapes import difference
from ..chart.symbols import APART, check_wishes, choose, touching
from ..compose.worked import WorkedChart
from ..core.diagnostics import Hint
from .checking import Check, Fault


def _wishes(name: str) -> Callable[[WorkedChart], Iterator[Fault]]:
    def look(worked: WorkedChart) -> Iterator[Fault]:
        for each in check_wishes(worked.design):
            if each.name == name:
                yield Fault(each.message, each.span, each.hints)

    return look


def _alike(worked: WorkedChart) -> Iterator[Fault]:
    key = worked.design.key
    chosen = choose(worked)
    for one, other in np.argwhere(np.triu(touching(worked))).tolist():
        first, second = chosen.get(one), chosen.get(other)
        if first is None or second is None:
            continue
        apart = difference(first, second)
        # What was chosen freely is as far apart as the set allows, unless the key is very long.
        wished = key[one - 1].printed or key[other - 1].printed
        if apart < (APART if wished else ALIKE):
            yield Fault(
                f"`{key[one - 1].symbol}` and `{key[other - 1].symbol}` lie side by side, and "
                f"their printed symbols `{first}` and `{second}` look alike "
                f"(difference {apart:.2f}; at least {APART:g} wanted).",
                key[other - 1].span,
                (
                    Hint(f"`{key[one - 1].symbol}` stands here", key[one - 1].span),
                    "ask for another symbol, or leave the choice open",
                ),
            )


CHECKS = (
    Check("unknown-shape", _wishes("unknown-shape")),
    Check("shape-wished-twice", _wishes("shape-wished-twice")),
    Check("too-many-symbols", _wishes("too-many-symbols")),
    Check("printed-unused", _wishes("printed-unused")),
    Check("alike-symbols", _alike),
)
