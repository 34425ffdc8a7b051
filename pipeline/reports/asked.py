"""What is asked on the command line in the words of the notation."""

from __future__ import annotations

import re

from ..core.diagnostics import Diagnostic, Diagnostics, finding, has_errors
from ..core.model import Fabric
from ..core.source import Source
from ..resolve.grounds import resolve_ground
from ..resolve.settings import MM_IN
from ..syntax.nodes import FabricHead
from ..syntax.parse import parse

_LONGEST = 200  # characters
_ROLL = re.compile(r"(\d{1,5}(?:\.\d{1,3})?) ?(mm|cm|in)", re.ASCII)
_NARROWEST, _WIDEST = 100.0, 5000.0  # mm; no loom is wider


def fabric_asked(text: str) -> tuple[Fabric | None, Diagnostics]:
    """Return a fabric written as in a chart, such as `linen 36 over 2`, and findings.

    The fabric is None when anything is wrong; then there is a finding.
    """
    if len(text) > _LONGEST or not text.isprintable():
        return None, (_no_fabric(),)
    file, findings = parse(Source("--fabric", f"linen 1\nfabric {text}\n"))
    found = list(findings)
    block = next((each for each in file.blocks if each.word == "fabric"), None)
    if has_errors(found) or block is None or not isinstance(block.head, FabricHead):
        return None, tuple(found) or (_no_fabric(),)
    ground = resolve_ground(block, block.head, found)
    return (None if ground is None else ground.fabric), tuple(found)


def _no_fabric() -> Diagnostic:
    advice = "write it as in a chart: `linen 36 over 2`"
    return finding("bad-fabric", "This is no fabric.", None, advice)


class NoWidth(ValueError):
    """What was typed is no width of a roll; the message says why."""


def roll_asked(text: str) -> float:
    """Return the width of a roll in mm, written as a length in a chart, such as `140 cm`.

    Raises:
        NoWidth: for what is no length, or no width of a roll.
    """
    match = _ROLL.fullmatch(text.strip())
    if match is None:
        raise NoWidth(f"{text[:40]!r} is no length; write it as in a chart: `140 cm` or `55 in`.")
    width = float(match[1]) * MM_IN[match[2]]
    if not _NARROWEST <= width <= _WIDEST:
        raise NoWidth(
            f"no roll is {match[0]} wide; {_NARROWEST / 10:g} to {_WIDEST / 10:g} cm is possible."
        )
    return width
