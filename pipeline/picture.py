"""One picture of a chart: the worked piece or the chart itself, for a shop page or a README."""

from __future__ import annotations

import io

from PIL import Image

from .chart_svg import chart_png, chart_svg
from .cloth import jpeg, paint, png
from .piece_svg import piece_svg
from .worked import WorkedChart

SUFFIXES = (".png", ".jpg", ".jpeg", ".svg")


def render(worked: WorkedChart, what: str, suffix: str, width: int) -> bytes:
    """Return a picture as the bytes of a file; the same chart always gives the same.

    what: `piece` for the worked piece on its cloth, `chart` for the chart with its symbols.
    suffix: one of SUFFIXES. width: in pixels; a chart in pixels may come out a little narrower,
    since its cells are whole pixels, and no picture has more than some 20 million of them.
    """
    if what not in {"piece", "chart"} or suffix not in SUFFIXES:
        raise ValueError(f"no such picture: {what} as {suffix}")
    if suffix == ".svg":
        return (piece_svg if what == "piece" else chart_svg)(worked, width).encode()
    if what == "piece":
        image = paint(worked, width=width)
        return png(image) if suffix == ".png" else jpeg(image)
    data = chart_png(worked, width)
    if suffix == ".png":
        return data
    with Image.open(io.BytesIO(data)) as image:
        return jpeg(image.convert("RGB"), quality=92)
