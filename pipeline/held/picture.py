"""Photograph and chart side by side and laid over each other, with rings at what differs."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from ..cloth.cloth import jpeg, paint, png
from ..compose.worked import WorkedChart
from ..photograph.differences import Difference
from ..photograph.sampling import PAD, SAMPLES
from .answers import Answer
from .telling import MOST_TOLD

Pixels = NDArray[np.uint8]
AROUND = 3  # crosses of surround that are shown
MOST_PIXELS = 20_000_000  # of the whole picture
LARGEST, SMALLEST = 16, 3  # pixels of a cross
_BETWEEN = 14  # pixels between panels
_RING = (176, 16, 60)  # a red that is seen on cloth and on threads, within white
_WORDS = 15  # pixels that the words above a panel are high


def picture(worked: WorkedChart, answers: Sequence[Answer], suffix: str, width: int) -> bytes:
    """Return all photographs of a chart as one picture; the same sources give the same bytes.

    Photographs that could not be read are left out. suffix: `.png` or `.jpg`. width: in pixels, at
    most; crosses have a whole number of pixels.
    """
    read = [answer for answer in answers if answer.reading is not None]
    sheets = [_sheet(worked, answer, width, MOST_PIXELS // max(1, len(read))) for answer in read]
    if not sheets:
        return b""
    high = sum(each.height for each in sheets) + _BETWEEN * (len(sheets) - 1)
    whole = Image.new("RGB", (max(each.width for each in sheets), high), "white")
    top = 0
    for sheet in sheets:
        whole.paste(sheet, (0, top))
        top += sheet.height + _BETWEEN
    return jpeg(whole, quality=92) if suffix == ".jpg" else png(whole)


def _sheet(worked: WorkedChart, answer: Answer, width: int, most: int) -> Image.Image:
    """Return the panels of one photograph: beside each other where it is upright."""
    assert answer.reading is not None
    columns, rows = (side + 2 * AROUND for side in answer.reading.size)
    beside = rows > columns
    across, down = (3, 1) if beside else (1, 3)
    cell = (width - _BETWEEN * (across - 1)) // (columns * across)
    cell = min(cell, int((most / (columns * rows * 3)) ** 0.5), LARGEST)
    cell = max(cell, SMALLEST)
    wide, high = columns * cell, rows * cell
    seen, chart = evened(answer, (wide, high)), charted(worked, answer, cell)
    both = Image.blend(seen, chart, 0.5)
    differences = () if answer.held is None else answer.held.differences
    told = [each for each in differences if not each.apart][:MOST_TOLD]
    step = _WORDS + 6 + high + _BETWEEN
    size = across * wide + (across - 1) * _BETWEEN, down * step - _BETWEEN
    sheet = Image.new("RGB", size, "white")
    words = (answer.showing.path, "the chart", "one over the other")
    for number, panel in enumerate((seen, chart, both)):
        left = number * (wide + _BETWEEN) if beside else 0
        top = 0 if beside else number * step
        _ring(panel, told, cell)
        ImageDraw.Draw(sheet).text((left, top), words[number], "black", _letters(_WORDS))
        sheet.paste(panel, (left, top + _WORDS + 6))
    return sheet


@cache
def _letters(size: int) -> ImageFont.FreeTypeFont:
    face = files("font_source_sans_pro") / "files" / "SourceSansPro-Semibold.ttf"
    return ImageFont.truetype(BytesIO(face.read_bytes()), size)


def evened(answer: Answer, size: tuple[int, int]) -> Image.Image:
    """Return the photograph made even: every cross a square, as it was followed.

    size: in pixels, with AROUND crosses of surround.
    """
    assert answer.reading is not None
    reading = answer.reading
    raster = reading.view.raster(reading.lattice.offsets)
    cut = (PAD - AROUND) * SAMPLES
    inside = np.moveaxis(raster[:, cut:-cut, cut:-cut], 0, -1)
    image = Image.fromarray(np.clip(np.rint(inside), 0, 255).astype(np.uint8))
    return image.resize(size, Image.Resampling.LANCZOS)


def charted(worked: WorkedChart, answer: Answer, cell: int) -> Image.Image:
    """Return the same part as the chart has it, with as much surround; cell: pixels of a cross."""
    assert answer.reading is not None
    columns, rows = answer.reading.size
    whole = paint(worked, pixels_per_cross=cell, margin=AROUND)
    across = whole.width / (worked.width + 2 * AROUND)
    down = whole.height / (worked.height + 2 * AROUND)
    left, top = answer.part.left, answer.part.top
    right, below = left + columns + 2 * AROUND, top + rows + 2 * AROUND
    part = whole.crop((left * across, top * down, right * across, below * down))
    size = (columns + 2 * AROUND) * cell, (rows + 2 * AROUND) * cell
    return part.resize(size, Image.Resampling.LANCZOS)


def _ring(panel: Image.Image, told: Sequence[Difference], cell: int) -> None:
    """Draw a numbered ring around each of the differences."""
    draw = ImageDraw.Draw(panel)
    small = _letters(max(9, min(16, cell + 3)))
    for number, difference in enumerate(told, 1):
        x0, y0, x1, y1 = (side + AROUND for side in difference.box)
        box = x0 * cell - 3, y0 * cell - 3, x1 * cell + 2, y1 * cell + 2
        draw.rounded_rectangle(box, radius=4, outline="white", width=4)
        inner = box[0] + 1, box[1] + 1, box[2] - 1, box[3] - 1
        draw.rounded_rectangle(inner, radius=3, outline=_RING, width=2)
        draw.text(
            (box[2] + 2, box[1] - 4), str(number), _RING, small, stroke_width=2, stroke_fill="white"
        )
