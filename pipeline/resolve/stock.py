"""The stock: letters, borders, bands and fillings that ship with linenleaf, each in versions.

A version never changes once it has shipped, so that a chart that names it stays as it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from ..core.diagnostics import Diagnostic, finding
from ..core.source import Span
from ..core.suggest import all_of, did_you_mean
from ..grammar import STOCK
from ..syntax.phrases import StockWords
from .settings import whole

HIGHEST_VERSION = 999


@cache
def stocks() -> Mapping[str, tuple[int, ...]]:
    """Return the versions of every stock by its name, the newest last."""
    return {
        folder.name: tuple(sorted(int(file.stem) for file in folder.glob("*.linen")))
        for folder in sorted(STOCK.iterdir())
    }


def stock_file(words: StockWords, findings: list[Diagnostic]) -> Path | None:
    """Return the file of a stock in a version; None, and a finding, where there is none."""
    version = whole(words.version, "The version of a stock", 1, HIGHEST_VERSION, findings)
    if version is None:
        return None
    name = words.name.text
    versions = stocks().get(name)
    if versions is None:
        advice = did_you_mean(name, stocks()) or f"there are {all_of(stocks())}"
        findings.append(
            finding("unknown-stock", f"There is no stock `{name}`.", words.name.span, advice)
        )
        return None
    if version not in versions:
        newest = versions[-1]
        findings.append(
            finding(
                "unknown-stock",
                f"There is no version {version} of the stock `{name}`.",
                words.version.span,
                f"the newest is {newest}: `use stock {name} {newest}`",
                "one that is newer still needs a newer linenleaf",
            )
        )
        return None
    return STOCK / name / f"{version}.linen"


def in_stock(place: Span) -> bool:
    """Tell whether a place lies in a file of the stock, which nobody is to change."""
    return place.path.startswith(str(STOCK))
