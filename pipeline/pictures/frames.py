"""Pictures in a wished-for shape: more of what lies around them, never less of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PIL import Image

from ..cloth.cloth import paint
from ..compose.worked import WorkedChart
from ..core.ground import Fabric

AROUND = 0.09  # bare cloth around a piece, as a share of it, at the least
EMPTY = 0.04  # paper around a chart or key in a wished-for shape, as a share of its longer side


@dataclass(frozen=True)
class Frame:
    """What a picture shows, in units of its content, whose own corner is 0 0."""

    x: float
    y: float
    width: float
    height: float


def frame(width: float, height: float, ratio: float | None) -> Frame:
    """Return the frame of a shape around a content, which stands in its middle."""
    if ratio is None:
        return Frame(0, 0, width, height)
    around = 2 * EMPTY * max(width, height)
    wide, high = width + around, height + around
    wide, high = max(wide, high * ratio), max(high, wide / ratio)
    return Frame((width - wide) / 2, (height - high) / 2, wide, high)


def cloth_margin(worked: WorkedChart, ratio: float) -> tuple[Frame, int]:
    """Return the frame of a shape around a piece on its cloth, and crosses of cloth for it.

    The frame is in mm from the corner of the stitched area; so many bare crosses on each side
    fill it.
    """
    fabric: Fabric = worked.design.ground.fabric
    across, down = worked.width * fabric.cross_width, worked.height * fabric.cross_height
    height = max(down * (1 + 2 * AROUND), across * (1 + 2 * AROUND) / ratio)
    width = height * ratio
    x, y = (across - width) / 2, (down - height) / 2
    margin = math.ceil(max(-x / fabric.cross_width, -y / fabric.cross_height))
    return Frame(x, y, width, height), margin


def on_cloth(worked: WorkedChart, ratio: float, width: int, *, back: bool = False) -> Image.Image:
    """Return the piece in the middle of a cloth of a shape, about so many pixels wide.

    back: turned over.
    """
    fabric = worked.design.ground.fabric
    shown, margin = cloth_margin(worked, ratio)
    across = (worked.width + 2 * margin) * fabric.cross_width
    # The cloth is painted with the same margin all round, and shown in the shape.
    return paint(
        worked,
        width=round(width * across / shown.width),
        margin=margin,
        part=(shown.width / across, shown.height / across),
        back=back,
    )
