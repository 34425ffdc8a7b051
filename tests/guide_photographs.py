"""The pictures of the guide on photographs, which `python -m tests.manual_pictures` draws.

A part of our own demo, photographed as it never was. Each picture says in a remark of the JPEG
(marker COM) what it was drawn from, so that a test can tell whether that has changed since.
"""

from __future__ import annotations

import io
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import numpy as np
from linenleaf.core.matter import Showing
from linenleaf.held.answers import Answer, placing_of
from linenleaf.held.expected import part_of
from linenleaf.held.picture import AROUND, charted, picture
from linenleaf.importing.doubts import inferred
from linenleaf.photograph.drafting import Threads, draft
from linenleaf.photograph.holding import hold
from linenleaf.photograph.lattice import Lattice
from linenleaf.photograph.picture import open_photograph
from linenleaf.photograph.reading import Reading, read
from PIL import Image, ImageDraw

from tests.photographs import DEMO, Conditions, demo, painted, photographed

FOLDER = Path(__file__).resolve().parent.parent / "grammar" / "photographs"
NAMES = ("photograph", "crosses", "draft", "differences")
PART = 14, 22, 72, 29  # column, row, width and height of what is shown
SEED = 3
WIDTH = 900  # pixels
CELL = 12  # pixels of a cross of the draft
HOW = Conditions(pixels=9.0, noise=4.0, quality=88)
MOVED = 36, 24, 9, 9  # a letter that the chart of the example has one row too high
WRONG = 30, 42  # a cell that it has bare


def drawn_from() -> str:
    """Return the checksum of the demo and of what is done with it here."""
    return sha256(DEMO.read_bytes() + Path(__file__).read_bytes()).hexdigest()


def draw() -> dict[str, bytes]:
    """Return the pictures by name, as JPEG files."""
    left, top, width, height = PART
    piece = painted(demo(), 0.25, np.random.default_rng(SEED))
    taken = photographed(piece.part(left, top, width, height), HOW, SEED)
    photograph = open_photograph(taken.data)
    box = left, top, left + width, top + height
    showing = Showing("old-letters.jpg", *map(float, box), taken.placing.corners)
    reading, told = read(photograph, placing_of(showing))
    assert reading is not None, told
    grid = demo().grid.copy()
    x, y, wide, high = MOVED
    grid[y - 1 : y + high - 1, x : x + wide] = demo().grid[y : y + high, x : x + wide]
    grid[y + high - 1, x : x + wide] = 0
    grid[WRONG[1], WRONG[0]] = 0
    slipped = replace(demo(), grid=grid)
    part = part_of(slipped, showing)
    held, told = hold(reading, part.expected)
    assert held is not None, told
    answer = Answer(showing, part, photograph, reading, held, told)
    beside = Image.open(io.BytesIO(picture(slipped, [answer], ".png", WIDTH)))
    seen = Image.fromarray(photograph.pixels)
    return {
        "photograph": _jpeg(seen),
        "crosses": _jpeg(_with_lines(seen, reading.lattice)),
        "draft": _jpeg(_drafted(reading, showing)),
        "differences": _jpeg(beside),
    }


def _drafted(reading: Reading, showing: Showing) -> Image.Image:
    """Draw a first draft with one cell named of every thread, and rings where it is unsure."""
    part = part_of(demo(), showing)
    cells = part.expected.cells
    named = {}
    for thread in np.unique(cells).tolist():
        row, column = np.argwhere(cells == thread)[0].tolist()
        named[thread] = ((column, row),)
    made, told = draft(reading, Threads(named=named))
    assert made is not None, told
    key = demo().design.key
    lines = np.array([0, *(key.index(entry) + 1 for entry in part.threads)])
    grid = np.zeros_like(demo().grid)
    left, top, width, height = PART
    grid[top : top + height, left : left + width] = lines[made.cells]
    bare = replace(demo(), grid=grid, pieces=(), lines=(), knots=(), stands=())
    chart = charted(bare, Answer(showing, part, None, reading, None, ()), CELL)
    pen = ImageDraw.Draw(chart)
    for area in inferred(made.doubts, reading.size):
        x0, y0, x1, y1 = (CELL * (side + AROUND) for side in area.box)
        pen.rounded_rectangle((x0 - 3, y0 - 3, x1 + 2, y1 + 2), 3, None, (176, 16, 60), 2)
    return chart


def _with_lines(seen: Image.Image, lattice: Lattice) -> Image.Image:
    """Draw the lines between crosses over a photograph, each tenth stronger, and the corners."""
    twice = seen.resize((2 * seen.width, 2 * seen.height), Image.Resampling.LANCZOS)
    pen = ImageDraw.Draw(twice)
    placing = lattice.placing
    for many, length, upright in (
        (placing.width, placing.height, True),
        (placing.height, placing.width, False),
    ):
        along = np.arange(length + 1.0)
        for number in range(many + 1):
            across = np.full_like(along, number)
            places = np.stack([across, along] if upright else [along, across], axis=-1)
            line = [(2 * u, 2 * v) for u, v in lattice.pixels(places).tolist()]
            pen.line(line, (0, 150, 180), 3 if number % 10 == 0 else 1)
    for u, v in placing.corners:
        pen.ellipse(
            (2 * u - 14, 2 * v - 14, 2 * u + 14, 2 * v + 14), outline=(176, 16, 60), width=5
        )
    return twice


def _jpeg(image: Image.Image) -> bytes:
    shown = image.convert("RGB")
    if shown.width > WIDTH:
        size = WIDTH, round(shown.height * WIDTH / shown.width)
        shown = shown.resize(size, Image.Resampling.LANCZOS)
    file = io.BytesIO()
    shown.save(file, "JPEG", quality=72, optimize=True, comment=drawn_from())
    return file.getvalue()
