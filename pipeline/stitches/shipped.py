"""The stitches of `grammar/stitches.linen`, from the copy of it that is quick to read.

`python -m linenleaf.lsp.editors` makes the copy, which stands beside it as `stitches.json`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, fields
from functools import cache
from typing import Any

from ..core.counted import Counted, Stands, Stroke
from ..grammar import packed_stitches

_STROKES = {"each", "first", "last", "turn", "second"}
_FIELDS = [field for field in fields(Counted) if field.name not in ("span", "built_in")]


@cache
def shipped() -> Mapping[str, Counted]:
    """Return the stitches of the shipped file by name, in its order."""
    return {told["name"]: _unpacked(told) for told in json.loads(packed_stitches())}


def packed(stitches: Iterable[Counted]) -> str:
    """Return stitches as JSON, one a line; what is usual is left out."""
    lines = [json.dumps(_told(stitch), ensure_ascii=False) for stitch in stitches]
    return "[\n" + ",\n".join(lines) + "\n]\n"


def _told(stitch: Counted) -> dict[str, Any]:
    told = {}
    for field in _FIELDS:
        value = getattr(stitch, field.name)
        if field.default is MISSING or value != field.default:
            told[field.name] = (
                [stroke.way for stroke in value]
                if field.name in _STROKES
                else value.value
                if isinstance(value, Stands)
                else value
            )
    return told


def _unpacked(told: dict[str, Any]) -> Counted:
    values: dict[str, Any] = {"built_in": True}
    for name, value in told.items():
        if name in _STROKES:
            values[name] = tuple(_stroke([tuple(place) for place in way]) for way in value)
        elif name == "stands":
            values[name] = Stands(value)
        else:
            values[name] = tuple(value) if isinstance(value, list) else value
    return Counted(**values)


def _stroke(way: list[tuple[float, float]]) -> Stroke:
    return Stroke(way[0], way[-1], 0, tuple(way[1:-1]))
