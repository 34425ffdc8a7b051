"""How wide a line of the sans text face is, before anything is set."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from fontTools.ttLib import TTFont

_FACE = files("font_source_sans_pro") / "files" / "SourceSansPro-Regular.ttf"
MM_PER_POINT = 25.4 / 72  # a point of 1/72 in, as in PDF and CSS


@cache
def _advances() -> dict[int, float]:
    """Return the advance of each character in ems."""
    with _FACE.open("rb") as opened, TTFont(opened, lazy=True) as face:
        metrics, em = face["hmtx"].metrics, face["head"].unitsPerEm
        return {point: metrics[name][0] / em for point, name in face.getBestCmap().items()}


def text_width(text: str, size: float) -> float:
    """Return the width in mm of a text set in so many points, without kerning.

    A character that the face lacks counts as a full em: another face will show it.
    """
    advances = _advances()
    return sum(advances.get(ord(each), 1.0) for each in text) * size * MM_PER_POINT
