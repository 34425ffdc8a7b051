"""One picture of a chart: the worked piece, the chart or its key, for a shop page or a README."""

from __future__ import annotations

import io

from PIL import Image

from ..chart.options import Shape
from ..cloth.cloth import jpeg, paint, png
from ..compose.worked import WorkedChart
from .chart_svg import chart_png, chart_svg
from .detail import Box, detail
from .frames import on_cloth
from .key_svg import key_png, key_svg
from .piece_svg import piece_svg

SUFFIXES = (".png", ".jpg", ".jpeg", ".svg")
PAINTED = ("detail", "back")  # in pixels alone
WHAT = ("piece", *PAINTED, "chart", "key")
_WORDS = {"chart": (chart_svg, chart_png), "key": (key_svg, key_png)}


def render(
    worked: WorkedChart,
    what: str,
    suffix: str,
    width: int,
    shape: Shape = Shape.AS_IS,
    box: Box | None = None,
) -> bytes:
    """Return a picture as the bytes of a file; the same chart always gives the same.

    what: `piece` for the worked piece on its cloth, `detail` for a part of it, `back` for the piece
    turned over, `chart` for the chart with its symbols, `key`
    for what each symbol means. suffix: one of SUFFIXES. width: in pixels; a chart in pixels may
    come out a little narrower, since its cells are whole pixels, and no picture has more than
    some 20 million of them. shape: other than as it is, with more cloth or paper around. box: the
    part that a detail shows, in crosses; None for where most is going on.
    """
    if what not in WHAT or suffix not in SUFFIXES or (what in PAINTED and suffix == ".svg"):
        raise ValueError(f"no such picture: {what} as {suffix}")
    ratio = shape.ratio
    if what in PAINTED:
        if what == "detail":
            image = detail(worked, ratio, width, box)
        elif ratio is None:
            image = paint(worked, width=width, back=True)
        else:
            image = on_cloth(worked, ratio, width, back=True)
        return png(image) if suffix == ".png" else jpeg(image)
    if what == "piece":
        if suffix == ".svg":
            return piece_svg(worked, width, ratio).encode()
        image = paint(worked, width=width) if ratio is None else on_cloth(worked, ratio, width)
        return png(image) if suffix == ".png" else jpeg(image)
    drawn, painted = _WORDS[what]
    if suffix == ".svg":
        return drawn(worked, width, ratio).encode()
    data = painted(worked, width, ratio)
    if suffix == ".png":
        return data
    with Image.open(io.BytesIO(data)) as image:
        return jpeg(image.convert("RGB"), quality=92)
