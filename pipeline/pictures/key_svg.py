"""The key as one picture that needs no font: symbols, threads and stitches, for a shop page."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..chart.counted import FINE, Drawn, sample
from ..chart.crosses import Crosses, Palette, crosses
from ..chart.ink import paint, symbol_box
from ..chart.looks import RIM, line_styles, point_styles
from ..chart.options import Ink
from ..chart.overdrawn import Dots, DrawnStroke, line_sample, line_width, point_sample
from ..chart.shapes import symbol_path
from ..chart.signs import sample_sign
from ..chart.symbols import choose
from ..cloth.scale import LARGEST
from ..colour.overdyed import shades
from ..compose.worked import WorkedChart
from ..count.count import EntryCount, count
from ..i18n.trade import stitch
from ..i18n.wording import Wording, wording
from ..templates.environment import render
from .caption import key_title, prefix
from .frames import Frame, frame
from .painting import (
    REGULAR,
    STRONG,
    OutlinedSign,
    cut_to,
    outlined,
    svg_to_png,
    text_length,
    text_path,
)

# All lengths are mm, as the key would be printed.
CELL, RUN = 8.0, 1.6  # side of a cell; length of a line of the key, in cells
ROW = 12.0  # from one entry to the next
SIGN, SMALL_SIGN = 0.55, 0.4  # of a stitch, and of a knot, in cells
SWATCH = 9.0, 8.0  # width and height
GAP, BETWEEN = 3.0, 12.0  # between parts of an entry; between columns
NAME, SMALL = 4.2, 3.3  # sizes of type
WIDEST = 112.0  # room for the words of an entry
HEAD = 18.0  # room for the title
EDGE = 8.0  # paper around
MOST_COLUMNS = 6
TALL = 0.8  # the shape aimed at where none is asked for: width by height


@dataclass(frozen=True, eq=False)
class _Words:
    """The two lines of an entry, cut to fit, and how long the longer one is."""

    name: str
    more: str
    length: float


@dataclass(frozen=True, eq=False)
class _DrawnEntry:
    """One entry, at its place. symbol: path, colour, and its box in cells.

    swatches: the colours that each thread has on its way, mostly one.
    """

    x: float
    y: float
    cells: Crosses | None
    strokes: tuple[DrawnStroke, ...]
    dots: tuple[Dots, ...]
    symbol: str
    colour: str
    box: tuple[float, float, float]
    swatches: tuple[tuple[str, ...], ...]
    words: _Words
    stitches: tuple[Drawn, ...] = ()
    signs: tuple[OutlinedSign, ...] = ()


@dataclass(frozen=True, eq=False)
class _KeyColumns:
    """All entries in columns, and the size of the whole.

    marks: width of the column of symbols and lines. before: where the words begin.
    """

    width: float
    height: float
    marks: float
    before: float
    entries: tuple[_DrawnEntry, ...]


def key_svg(worked: WorkedChart, width: int, ratio: float | None = None) -> str:
    """Return the key of a chart as SVG; width: in pixels, at which it is shown at first."""
    sheet = _sheet(worked, ratio)
    shown = frame(sheet.width, sheet.height, ratio)
    return _draw(worked, sheet, shown, (width, max(1, round(width * shown.height / shown.width))))


def key_png(worked: WorkedChart, width: int, ratio: float | None = None) -> bytes:
    """Return the key of a chart as PNG bytes, so many pixels wide, if that is not too much."""
    sheet = _sheet(worked, ratio)
    shown = frame(sheet.width, sheet.height, ratio)
    width = min(width, math.isqrt(int(LARGEST * shown.width / shown.height)))
    height = max(1, round(width * shown.height / shown.width))
    svg = _draw(worked, sheet, shown, (width, height))
    return svg_to_png(svg, width, height)


def _draw(worked: WorkedChart, sheet: _KeyColumns, shown: Frame, pixels: tuple[int, int]) -> str:
    return render(
        "key_picture.svg.j2",
        title=key_title(worked),
        prefix=prefix(worked),
        shown=shown,
        pixels=pixels,
        sheet=sheet,
        heading=cut_to(worked.design.booklet.title, sheet.width - 2 * EDGE, 7.0, STRONG),
        edge=EDGE,
        cell=CELL,
        run=RUN,
        gap=GAP,
        swatch=SWATCH,
        name_size=NAME,
        small_size=SMALL,
        strong=STRONG,
        regular=REGULAR,
        mm=1 / CELL,
        line_width=line_width(CELL),
        rim=RIM,
        outline=text_path,
        fine=FINE,
    )


def _sheet(worked: WorkedChart, ratio: float | None) -> _KeyColumns:
    """Set the entries in as many columns as come nearest to a shape."""
    entries = count(worked).entries
    said = wording(worked.design.booklet.language)
    words = [_words(entry, said) for entry in entries]
    marks = max((RUN if each.entry.is_wide else 1.0 for each in entries), default=1.0) * CELL
    most = max((len(_colours(entry)) for entry in entries), default=1)
    before = marks + GAP + most * SWATCH[0] + GAP
    column = before + max((word.length for word in words), default=0.0)
    widths = text_length(worked.design.booklet.title, 7.0, STRONG)

    def size(columns: int) -> tuple[float, float]:
        down = max(1, math.ceil(len(entries) / columns))
        wide = max(columns * column + (columns - 1) * BETWEEN, min(widths, 2 * WIDEST))
        return wide + 2 * EDGE, HEAD + down * ROW + 2 * EDGE - (ROW - CELL)

    # The smaller the frame around it, the larger the key is seen.
    columns = min(
        range(1, MOST_COLUMNS + 1), key=lambda each: frame(*size(each), ratio or TALL).width
    )
    down = max(1, math.ceil(len(entries) / columns))
    palette = Palette(worked.design.key, Ink.COLOUR)
    drawn = tuple(
        _entry(
            worked,
            palette,
            each,
            words[at],
            (EDGE + at // down * (column + BETWEEN), EDGE + HEAD + at % down * ROW),
        )
        for at, each in enumerate(entries)
    )
    return _KeyColumns(*size(columns), marks, before, drawn)


def _colours(counted: EntryCount) -> tuple[tuple[str, ...], ...]:
    needles = (strands for part in counted.entry.parts for strands in part.needle)
    return tuple(dict.fromkeys(shades(needle.thread) for needle in needles))


def _words(counted: EntryCount, words: Wording) -> _Words:
    entry = counted.entry
    threads = dict.fromkeys(strands.thread for part in entry.parts for strands in part.needle)
    name = " + ".join((thread.code and thread.name) or thread.label for thread in threads)
    told = []
    for part in entry.parts:
        codes = [
            strands.thread.label
            for strands in part.needle
            if strands.thread.code and strands.thread.name
        ]
        kind = stitch(words, part, brief=len(entry.parts) > 1, turned=counted.turned)
        told.append(", ".join([*([" + ".join(codes)] if codes else []), kind]))
    more = " + ".join(dict.fromkeys(told))
    name, more = cut_to(name, WIDEST, NAME, STRONG), cut_to(more, WIDEST, SMALL)
    return _Words(name, more, max(text_length(name, NAME, STRONG), text_length(more, SMALL)))


def _entry(
    worked: WorkedChart,
    palette: Palette,
    counted: EntryCount,
    words: _Words,
    at: tuple[float, float],
) -> _DrawnEntry:
    index, entry = counted.index, counted.entry
    side = SMALL_SIGN if entry.is_point else SIGN
    across = RUN if entry.is_wide else 1.0
    shape = choose(worked).get(index)
    strokes: Sequence[DrawnStroke] = ()
    points: Sequence[Dots] = ()
    stitches: tuple[Drawn, ...] = ()
    if entry.parts[0].stitch is not None and not entry.is_point:
        stitches = (sample(worked.design, index, Ink.COLOUR, across, SIGN),)
    elif entry.is_line:
        strokes = (line_sample(line_styles(worked.design, Ink.COLOUR)[index], across, 0.1, SIGN),)
    elif entry.is_point:
        points = (point_sample(point_styles(worked.design, Ink.COLOUR)[index]),)
    return _DrawnEntry(
        *at,
        crosses(np.array([[index]], np.uint16), palette)
        if entry.is_cell and not stitches
        else None,
        tuple(strokes),
        tuple(points),
        symbol_path(shape) if shape and entry.is_cell and not stitches else "",
        paint(entry, Ink.COLOUR).symbol,
        symbol_box(entry),
        _colours(counted),
        words,
        stitches,
        tuple(
            outlined(sign, side / 2, choose(worked), index)
            for sign in sample_sign(worked.design, index, side, 0.1)
        ),
    )
