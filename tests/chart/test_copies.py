"""Printed symbols after two rounds of a copier, read by one who knows them all."""

import io

import cairosvg
import numpy as np
import pytest
from linenleaf.chart.draw import BLACK_GRID
from linenleaf.chart.font import build_font
from linenleaf.chart.shapes import drawn_names, symbol_path
from linenleaf.core.key import KeyEntry, Kind, Part, Strands, Thread
from PIL import Image

from ..benchmarks.copier import DOTS, Reader, copied

CELL = 2.5  # mm
ACROSS = 24
NAMES = drawn_names() * 2
MARKS = [chr(0x4E00 + number) for number in range(len(drawn_names()))]
NEEDLE = (Strands(Thread("", "", "rust", "#a04020"), 2),)


def sheet():
    """The symbols twice over in the grid of a page in black, drawn by Cairo; paper is 1."""
    down = -(-len(NAMES) // ACROSS)
    wide, high = (ACROSS + 2) * CELL, (down + 2) * CELL
    ends = CELL, (ACROSS + 1) * CELL, (down + 1) * CELL
    lines = [f"M{ends[0]} {at * CELL}H{ends[1]}" for at in range(1, down + 2)]
    lines += [f"M{at * CELL} {ends[0]}V{ends[2]}" for at in range(1, ACROSS + 2)]
    shapes = [
        f'<path transform="translate({(1 + at % ACROSS) * CELL} {(1 + at // ACROSS) * CELL})'
        f' scale({CELL / 100})" d="{symbol_path(name)}"/>'
        for at, name in enumerate(NAMES)
    ]
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}">'
        f'<path stroke="#000" stroke-width="{BLACK_GRID.thin}" d="{"".join(lines)}"/>'
        f"{''.join(shapes)}</svg>"
    )
    png = cairosvg.svg2png(
        svg.encode(),
        output_width=round(wide * DOTS),
        output_height=round(high * DOTS),
        background_color="white",
    )
    with Image.open(io.BytesIO(png)) as opened:
        return np.asarray(opened.convert("L"), np.float32) / 255


@pytest.fixture(scope="module")
def reader():
    key = [KeyEntry(mark, (Part(Kind.FULL, NEEDLE),)) for mark in MARKS]
    return Reader(build_font(dict(enumerate(drawn_names(), 1)), key).data, MARKS, CELL)


def test_symbols_are_themselves_after_two_copies(reader):
    places = np.arange(len(NAMES))
    x, y = ((each + 1.5) * CELL * DOTS for each in (places % ACROSS, places // ACROSS))
    meant = places % len(MARKS)
    clean, wrong = sheet(), []
    for seed in range(4):
        copy = copied(clean, np.random.default_rng(seed))
        wrong.append(reader.read(copy, x, y) != meant)
    assert np.mean(wrong) <= 0.005
    assert np.mean(wrong, axis=0).reshape(2, -1).mean(axis=0).max() <= 0.25  # of any one symbol
