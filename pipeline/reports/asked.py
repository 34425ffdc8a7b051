"""What is asked on the command line in the words of the notation."""

from __future__ import annotations

from ..core.diagnostics import Diagnostic, Diagnostics, finding, has_errors
from ..core.model import Fabric
from ..core.source import Source
from ..resolve.grounds import resolve_ground
from ..syntax.nodes import FabricHead
from ..syntax.parse import parse

_LONGEST = 200  # characters


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
