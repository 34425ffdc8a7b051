"""Which stitches of a key line can share one cell."""

from __future__ import annotations

from collections.abc import Sequence

from ..core.diagnostics import Diagnostic, finding
from ..core.key import Lies, Part
from ..core.suggest import listed
from ..stitches.kinds import is_whole, quarters
from ..syntax.nodes import KeyLine

MOST_PARTS = 4


def parts_agree(line: KeyLine, parts: Sequence[Part], findings: list[Diagnostic]) -> bool:
    """Tell whether the stitches of a key line lie beside each other; what is wrong is told."""
    if len(parts) > MOST_PARTS:
        findings.append(
            finding(
                "too-many-parts",
                f"A cell holds at most {MOST_PARTS} stitches.",
                line.span,
                "leave one out",
            )
        )
        return False
    seconds = all(part.second for part in parts[1:])
    if len(parts) > 1 and parts[0].kind.lies is not Lies.CELL and not seconds:
        findings.append(
            finding(
                "too-many-parts",
                f"`{line.symbol.text}` stands for one stitch; only cells are shared with `+`.",
                line.parts[1].span,
                "threads worked together in one needle are joined by `with`",
            )
        )
        return False
    counted = [part for part in parts if part.stitch is not None]
    if counted:
        if all(part.second for part in parts[1:]) and len(counted) == len(parts):
            return True
        findings.append(
            finding(
                "too-many-parts",
                f"`{counted[0].stitch.name if counted[0].stitch else ''}` takes threads of the "
                "fabric of its own and shares them with no other stitch.",
                line.parts[1].span,
                "give each a line of its own in the key",
            )
        )
        return False
    for index, part in enumerate(parts):
        for earlier in parts[:index]:
            shared = _filled(part) & _filled(earlier)
            if not shared:
                continue
            if is_whole(part) and is_whole(earlier):
                findings.append(
                    finding(
                        "two-crosses-in-a-cell",
                        "Two full crosses cannot lie in one cell.",
                        part.span,
                        "threads worked together in one needle are joined by `with`",
                    )
                )
            else:
                where = listed(sorted(shared), "and")
                findings.append(
                    finding(
                        "parts-overlap",
                        f"These two stitches lie over each other ({where}).",
                        part.span,
                        "a three-quarter goes with a quarter in the opposite corner",
                    )
                )
            return False
    return True


def _filled(part: Part) -> frozenset[str]:
    """Return the quarters of the cell that a stitch fills, or the arms of an upright cross.

    Two stitches may share a cell if they share none of them.
    """
    return frozenset(quarters(part)) or frozenset({"the upright arms"})
