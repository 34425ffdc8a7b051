"""A worked chart made by hand for the drawing tests: everything that a page can show."""

from pathlib import Path

import numpy as np
from linenleaf.compose.worked import Piece, WorkedChart, WorkedKnot, WorkedLine
from linenleaf.core.ground import Fabric, Ground
from linenleaf.core.key import KeyEntry, Kind, Part, Strands, Thread, Way
from linenleaf.core.matter import Booklet, Note, NoteKind
from linenleaf.core.model import Chart, Design
from linenleaf.core.source import Source

COLOURS = {
    "m": "#22313f",
    "s": "#c9a45c",
    "r": "#5b7a3a",
    "k": "#a33b2e",
    "w": "#f4efe2",
    "b": "#6f93b5",
    "&": "#7a6a8c",
    "<": "#d9c9a3",
}
INLINE = Source("shore.linen", "")


def needle(colour, strands=2):
    return (Strands(Thread("estuary", colour[1:], colour, colour), strands),)


def cell(symbol, colour, kind=Kind.FULL, way=None):
    return KeyEntry(symbol, (Part(kind, needle(colour), way),))


def other(word, colour, kind):
    return KeyEntry(word, (Part(kind, needle(colour, 1)),))


KEY = (
    *(cell(symbol, colour) for symbol, colour in COLOURS.items()),
    cell("/", "#5b7a3a", Kind.HALF, Way.UP),
    cell("\\", "#22313f", Kind.HALF, Way.DOWN),
    cell("q", "#a33b2e", Kind.QUARTER, Way.TOP_LEFT),
    KeyEntry(
        "^",
        (
            Part(Kind.THREE_QUARTER, needle("#22313f"), Way.TOP_LEFT),
            Part(Kind.QUARTER, needle("#c9a45c"), Way.BOTTOM_RIGHT),
        ),
    ),
    cell("+", "#6f93b5", Kind.UPRIGHT),
    other("ink", "#1b1b1b", Kind.BACK),
    other("rust", "#a33b2e", Kind.BACK),
    other("reed", "#5b7a3a", Kind.BACK),
    other("sand", "#f4e9c2", Kind.BACK),
    other("ray", "#22313f", Kind.STRAIGHT),
    other("eye", "#1b1b1b", Kind.KNOT),
    other("berry", "#a33b2e", Kind.KNOT),
    other("pearl", "#f4efe2", Kind.BEAD),
    other("drop", "#6f93b5", Kind.BEAD),
)
INDEX = {entry.symbol: at for at, entry in enumerate(KEY, 1)}
CELLS = [entry.symbol for entry in KEY if entry.is_cell]


def design(width, height, notes=()):
    return Design(
        INLINE,
        Path(),
        1,
        Booklet("Shore"),
        Ground(Fabric("linen", 32, 32, 2)),
        (),
        KEY,
        {},
        {},
        Chart(width, height),
        notes=notes,
    )


def worked(grid, *, pieces=(), lines=(), knots=(), notes=(), key=KEY):
    grid = np.asarray(grid, np.uint16)
    height, width = grid.shape
    made = design(width, height, notes)
    if key is not KEY:
        made = Design(**{**made.__dict__, "key": key})
    owner = np.where(grid, 0, -1).astype(np.int32)
    return WorkedChart(made, grid, owner, tuple(pieces), tuple(lines), tuple(knots), ())


def shore(width=121, height=90):
    """A shore with everything on it: waders, reeds, part stitches, pieces, lines, knots."""
    y, x = np.mgrid[:height, :width]
    grid = np.zeros((height, width), np.uint16)
    wave = height * 0.62 + 5 * np.sin(x / 9)
    for depth, symbol in enumerate("bms&"):
        grid[(y > wave + 5 * depth) & (y <= wave + 5 * depth + 5)] = INDEX[symbol]
    grid[y > wave + 20] = INDEX["s"]
    for at in range(6, width, 13):
        top = height // 3 + at % 7
        grid[top : int(wave[0, at]) + 1, at] = INDEX["r"]
        grid[top : top + 6, max(0, at - 1) : at + 2] = INDEX["k"]
    bird = [
        "....mm...",
        "..mmmmm..",
        "mmmm<<mmm",
        "..<w<<w..",
        "...www...",
        "....k....",
        "....k....",
    ]
    for left, top in ((20, 8), (60, 14), (95, 4)):
        for down, row in enumerate(bird):
            for across, symbol in enumerate(row):
                if symbol != "." and top + down < height and left + across < width:
                    grid[top + down, left + across] = INDEX[symbol]
    for at, symbol in enumerate("/\\q^+"):
        grid[4:6, 40 + 3 * at : 42 + 3 * at] = INDEX[symbol]
    fish = np.array(
        [
            [INDEX.get(c, 0) for c in row]
            for row in ["..bbbb...b", ".bwbbbb.bb", "bbbbbbbbbb", ".bbbbbb.bb", "..bbbb...b"]
        ],
        np.uint16,
    )
    leaf = np.array([[INDEX.get(c, 0) for c in row] for row in ["r..", "rr.", ".rr"]], np.uint16)
    pieces = (
        Piece("fish", 74.0, 30.0, 0.5, 1, fish, None),
        Piece("leaf", 30.5, 24.5, 1.0, 2, leaf, None),
    )

    def line(word, *points):
        return WorkedLine(INDEX[word], np.array(points, float), 1.0, None)

    lines = (
        line(
            "ink",
            (20, 10),
            (22, 10),
            (22, 9),
            (24, 9),
            (24, 8),
            (26, 8),
            (26, 9),
            (27, 9),
            (27, 10),
            (29, 10),
        ),
        line("rust", (5, 30), (12, 34), (19, 30), (26, 34), (33, 30)),
        line("reed", (36, 40), (36, 20), (44, 20), (44, 40)),
        line("sand", (50, 40), (50, 24), (58, 24), (58, 60)),
        line("ray", (64, 30), (70, 24)),
        line("ray", (64, 30), (72, 30)),
        line("ink", (0, 66), (width, 66)),
    )
    knots = (
        WorkedKnot(INDEX["eye"], 21.5, 9.5, None),
        WorkedKnot(INDEX["berry"], 47, 22, None),
        WorkedKnot(INDEX["berry"], 47, 24, None),
        WorkedKnot(INDEX["pearl"], 49, 22, None),
        WorkedKnot(INDEX["drop"], 49, 24, None),
        WorkedKnot(INDEX["drop"], 51.5, 21.5, None),
    )
    notes = (
        Note(NoteKind.NOTE, 76, 31, 76, 31, "over one"),
        Note(NoteKind.NOTE, 31, 25, 31, 25, "off the grid"),
        Note(NoteKind.DEPARTURE, 95, 4, 104, 11, "turned"),
        Note(NoteKind.NOTE, 36, 20, 36, 20, "a point"),
    )
    return worked(grid, pieces=pieces, lines=lines, knots=knots, notes=notes)
