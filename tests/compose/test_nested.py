"""Motifs made of motifs: the same as their lines written out, and turned as numpy turns arrays."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest
from linenleaf.compose.compose import compose
from linenleaf.compose.copies import personalise
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.diagnostics import Diagnostics, render
from linenleaf.core.source import Source
from linenleaf.diff.compare import compare
from linenleaf.diff.sentences import Teller
from linenleaf.flow import follow
from linenleaf.resolve.read import read_source

HEAD = """linen 2
fabric linen 28 over 2
stitch hook over 2 x 2
  up 0,2 down 2,0  up 0,0 down 1,1
key
  m  #a03a3a "madder"
  s  #5f7a9a "sea"
  k  #20242c "ink"
  u  #5f7a4a "sedge" half up
  d  #5f7a4a "sedge" half down
  o  #b5482f "rust" eye
  =  #3d3a44 "tar" hook
  rope  #20242c "ink" back
  dot   #a03a3a "madder" knot
motif leaf 4 x 3
  |mu..|
  |.msd|
  |k..m|
  line rope 0,0 1.5,2 4,3
  knot dot 2.5,0.5
motif eyes 6 x 3
  |o.o.m.|
  |......|
  |..===.|
motif tiny 2 x 2 over 1 strands 1
  |mu|
  |ds|
alphabet marking height 2
  I |m|
    |u|
  T |mmm|
    |.d.|
"""
WIDE, HIGH, SIDE = 48, 32, 16  # a plate of two rows of three tiles
TURNS = {
    "": "",
    "mirrored": "x",
    "mirrored top-bottom": "y",
    "mirrored both": "xy",
    "turned right": "r",
    "turned half": "rr",
    "turned left": "rrr",
    "mirrored turned right": "xr",
}
Point = tuple[float, float]


def made(text: str) -> tuple[WorkedChart | None, Diagnostics]:
    design, findings = read_source(Source("chart.linen", HEAD + text), Path("chart.linen"))
    if design is None:
        return None, findings
    worked, more = compose(design)
    return worked, (*findings, *more)


def chart(text: str) -> WorkedChart:
    whole, findings = made(text)
    assert whole is not None, "\n".join(map(render, findings))
    return whole


def told(text: str) -> list[str]:
    return [render(each) for each in made(text)[1] if each.level == 0]


def content(worked: WorkedChart) -> tuple[object, ...]:
    """All that is stitched: crosses of the grid, of pieces by their middle, strokes, lines, knots.

    Taken from the worked chart alone.
    """
    over = worked.design.ground.fabric.over
    pieces = {
        (
            piece.over,
            piece.strands,
            int(piece.grid[row, column]),
            piece.x + (column + 0.5) * piece.cell,
            piece.y + (row + 0.5) * piece.cell,
        )
        for piece in worked.pieces
        for row, column in np.argwhere(piece.grid).tolist()
    }
    strokes = {
        (
            stand.index,
            frozenset(((x + dx) / over, (y + dy) / over) for dx, dy in (stroke.up, stroke.down)),
        )
        for stand in worked.stands
        for x, y in stand.at.tolist()
        for stroke in stand.stitch.each
    }
    lines = sorted((line.index, line.cell, *map(tuple, line.points)) for line in worked.lines)
    knots = sorted((knot.index, knot.x, knot.y) for knot in worked.knots)
    return worked.grid.tolist(), pieces, strokes, lines, knots


def turned(worked: WorkedChart, steps: str) -> tuple[object, ...]:
    """The same as `content`, turned by hand: x, y mirror left to right, top to bottom; r turns."""
    grid, pieces, strokes, lines, knots = content(worked)
    grid, size = np.array(grid), (WIDE, HIGH)
    for step in steps:
        grid = {"x": np.fliplr, "y": np.flipud, "r": lambda cells: np.rot90(cells, -1)}[step](grid)
    leans = {4: 5, 5: 4} if len(steps) % 2 else {}  # half crosses up and down

    def at(x: float, y: float) -> Point:
        wide, high = size
        for step in steps:
            if step == "r":
                x, y, wide, high = high - y, x, high, wide
            else:
                x, y = (wide - x, y) if step == "x" else (x, high - y)
        return x, y

    return (
        [[leans.get(each, each) for each in row] for row in grid.tolist()],
        {(*what, leans.get(index, index), *at(x, y)) for *what, index, x, y in pieces},
        {(index, frozenset(at(*each) for each in ends)) for index, ends in strokes},
        sorted((index, cell, *(at(*each) for each in way)) for index, cell, *way in lines),
        sorted((index, *at(x, y)) for index, x, y in knots),
    )


def some_lines(random_: random.Random, left: int = 0, top: int = 0) -> list[str]:
    """Lines that place something in each of four corners of a tile, from its corner on."""
    lines = []
    for across, down in ((0, 0), (8, 0), (0, 8), (8, 8)):
        x, y = left + across + random_.randrange(2), top + down + random_.randrange(2)
        way = random_.choice([*TURNS])
        lines += random_.choice(
            [
                [f"leaf {way} at {x},{y}"],
                [f"eyes {way} at {x},{y}"],
                [f"leaf {way} at {x},{y}", f"tiny {way} at {x + 5.5},{y}.5"],
                [f'text "TI" "I" in marking at {x},{y} leading 1 with m as s'],
                [f'text "IT" in marking at {x}.5,{y} over 1', f"knot dot {x + 1},{y + 3}"],
                [
                    f"tiny {way} at {x},{y + 2} over 3 with k as s",
                    f"line rope {x},{y} {x + 2},{y + 1}",
                ],
            ]
        )
    return lines


def motif(name: str, size: str, lines: list[str]) -> str:
    return "\n  ".join([f"motif {name} {size}", *lines]) + "\n"


@pytest.mark.parametrize("seed", range(6))
def test_a_plate_of_tiles_is_its_lines_written_out(seed: int) -> None:
    places = [(x, y) for y in (0, SIDE) for x in (0, SIDE, 2 * SIDE)]
    tiles = [some_lines(random.Random(seed * 10 + at)) for at in range(6)]
    text = "".join(motif(f"tile-{at}", f"{SIDE} x {SIDE}", tile) for at, tile in enumerate(tiles))
    placed = [f"tile-{at} at {x},{y}" for at, (x, y) in enumerate(places)]
    text += motif("plate", f"{WIDE} x {HIGH}", placed)
    whole = chart(f"{text}chart {WIDE} x {HIGH}\n  plate at 0,0\n")
    lines = [
        line
        for at, (x, y) in enumerate(places)
        for line in some_lines(random.Random(seed * 10 + at), x, y)
    ]
    plain = chart("\n".join([f"chart {WIDE} x {HIGH}", *lines]))
    assert content(whole) == content(plain)
    assert len(whole.placed) == 1


@pytest.mark.parametrize("seed", range(3))
def test_a_plate_is_turned_as_one(seed: int) -> None:
    random_ = random.Random(seed)
    text = ""
    placed = []
    for at in range(6):
        text += motif(f"tile-{at}", f"{SIDE} x {SIDE}", some_lines(random_))
        x, y = at % 3 * SIDE, at // 3 * SIDE
        placed.append(f"tile-{at} {random_.choice([*TURNS])} at {x},{y}")
    text += motif("plate", f"{WIDE} x {HIGH}", placed)
    whole = chart(f"{text}chart {WIDE} x {HIGH}\n  plate at 0,0\n")
    for way, steps in TURNS.items():
        as_it_lies = chart(f"{text}chart fitted\n  plate {way} at 0,0\n")
        assert content(as_it_lies) == turned(whole, steps), way


PAIR = """motif pair fitted
  leaf at 0,0 named first
  leaf mirrored right of first gap 1 with m as k
  tiny at 4,0.5
  line rope 0,0 4,0 in first
"""


def test_a_size_that_is_not_stated_follows_from_what_it_holds() -> None:
    worked = chart(PAIR + "chart fitted\n  pair at 2,1 named both\n  leaf below both gap 1\n")
    assert (worked.width, worked.height) == (11, 8)
    pair = worked.design.motifs["pair"]
    assert (pair.width, pair.height) == (9, 3)
    assert [thing.box for thing in pair.things[:2]] == [(0, 0, 4, 3), (5, 0, 9, 3)]


def test_names_in_a_motif_are_its_own() -> None:
    text = PAIR + "chart fitted\n  pair at 0,0 named first\n  leaf below first\n"
    assert chart(text).height == 6
    (fault,) = told(PAIR + "chart fitted\n  pair at 0,0\n  leaf below first\n")
    assert "Nothing is named `first`" in fault


def test_symbols_are_swapped_in_all_that_is_held() -> None:
    one = chart(PAIR + "chart fitted\n  pair at 0,0 with k as s, m as u\n")
    lines = PAIR.replace("named first", "named first with m as u, k as s")
    lines = lines.replace("with m as k", "with m as s, k as s")
    lines = lines.replace("tiny at 4,0.5", "tiny at 4,0.5 with m as u, k as s")
    other = chart(lines + "chart fitted\n  pair at 0,0\n")
    assert content(one) == content(other)


def test_what_goes_over_other_threads_keeps_them() -> None:
    worked = chart(PAIR + "chart fitted\n  pair at 0,0 over 4\n")
    assert (worked.width, worked.height) == (18, 6)
    assert {(piece.over, piece.x) for piece in worked.pieces} == {(4, 0), (1, 8)}
    assert {line.cell for line in worked.lines} == {2}


def test_a_part_of_one_fills_what_is_left() -> None:
    tile = "motif tile 6 x 3\n  leaf at 0,0\n  tiny at 4,0\n  eyes at 0,0 with o as m\n"
    tile = tile.replace("  eyes at 0,0 with o as m\n", "  knot dot 5,2\n")
    worked = chart(tile + "chart 15 x 3\n  tile at 0,0 filling from left cut\n")
    cut = chart("chart 15 x 3\n  leaf x 2 at 0,0 step 6,0\n")
    assert (worked.grid[:, :12] == cut.grid[:, :12]).all()
    assert worked.grid[0, 12:].tolist() == cut.grid[0, :3].tolist()
    assert len(worked.pieces) == 2
    # Of lines and knots those wholly in the part: the line of the leaf is not.
    assert [knot.x for knot in worked.knots if knot.y == 0.5] == [2.5, 8.5, 14.5]
    assert len(worked.lines) == 2


def test_a_fault_in_it_is_told_once_and_where_it_is_written() -> None:
    text = "motif pair 8 x 3\n  leaf at 0,0\n  leaf at 3,0\n  leaf at 6,0\n"
    faults = told(text + "chart fitted\n  pair at 0,0\n  pair mirrored below gap 1\n")
    where = [fault.split(": error: ")[0].split(":")[1] for fault in faults]
    line = HEAD.count("\n") + 1
    assert where == [str(line + 2), str(line + 3), str(line + 3)]
    assert "leaves the motif `pair`" in faults[2] or "leaves the motif `pair`" in faults[1]
    # The same where nothing places it.
    assert told(text + "chart 4 x 3\n  leaf at 0,0\n") == faults


@pytest.mark.parametrize(
    ("lines", "finding"),
    [
        ("motif pair 8 x 3 symmetric left-right\n  leaf at 0,0\n  leaf at 4,0", "counterpart"),
        ("motif pair fitted\n  |m|\n  leaf at 4,0", "A motif with rows of its own says"),
        ("motif pair fitted\n  wrong at 4,0", "There is no motif `wrong`"),
        ("motif pair fitted\n  leaf at 0.3,0", "falls inside a fabric thread"),
        ("motif pair fitted\n  leaf at 0,0 with s as q", "The key has no line for `q`"),
        ("motif pair 4 wide\n  leaf below pair", "Nothing is named `pair`"),
        ("motif pair 4 x 3\n  withdrawn rows 0,0 to 1,1", "withdrawn"),
        ("motif pair fitted\n  leaf below bb named aa\n  leaf below aa named bb", "hangs on"),
        ("motif pair fitted", "holds nothing and states no size"),
        ("motif pair fitted\n  leaf x 2000 at 0,0 step 2,0", "at most 2000 each way"),
    ],
)
def test_what_is_wrong_in_it_is_told(lines: str, finding: str, tmp_path: Path) -> None:
    path = tmp_path / "chart.linen"
    path.write_text(f"{HEAD}{lines}\nchart fitted\n  pair at 0,0\n", "utf-8")
    faults = [render(each) for each in follow(path).findings if each.level == 0]
    assert any(finding in fault for fault in faults), faults


def test_a_motif_may_be_a_bare_place() -> None:
    worked = chart("motif room 5 x 4\n  place here 2 x 2 at 1,1\nchart fitted\n  room at 1,1\n")
    assert (worked.width, worked.height, worked.grid.any()) == (6, 5, False)


def test_older_charts_are_told_what_such_a_line_needs() -> None:
    source = Source("c.linen", "linen 1\nmotif pair 9 x 9\n  leaf at 0,0\n")
    _, findings = read_source(source, Path("c.linen"))
    (fault,) = (each for each in findings if each.name == "unknown-word")
    assert fault.hints[0].message == "such a line needs `linen 2` on the first line"


def test_both_halves_of_a_pair_may_be_symmetric_together() -> None:
    text = "motif pair 8 x 3 symmetric left-right\n  {}leaf at 0,0\n  {}leaf mirrored at 4,0\n"
    worked = chart(text.replace("{}", "") + "chart fitted\n  pair at 0,0\n")
    assert worked.motifs["pair"].rows == ("mu....dm", ".msddsm.".replace("dd", "du"), "k..mm..k")


def test_few_lines_cannot_ask_for_more_than_can_be_worked() -> None:
    levels = "".join(
        motif(f"m{at + 1}", "fitted", [f"m{at} x 10 by 10 at 0,0 step {x},{x}"])
        for at, x in enumerate([1, 10, 100, 1000])
    )
    dot = "motif m0 1 x 1\n  |m|\n"
    faults = told(dot + levels + "chart fitted\n  m4 at 0,0\n")
    assert "`m4` comes to 10,000 x 10,000" in faults[0]
    # Nor on one place: bare cloth, lines, knots, and pieces that take each other's place.
    for rows in ("|.|", "|.|\n  line rope 0,0 1,1", "|.|\n  knot dot 0,0"):
        levels = "".join(motif(f"m{at + 1}", "1 x 1", [f"m{at} at 0,0"] * 100) for at in range(4))
        faults = told(f"motif m0 1 x 1\n  {rows}\n{levels}chart fitted\n  m4 at 0,0\n")
        assert not faults or "at most 50,000 can be placed" in faults[0]


def test_swaps_in_swaps_are_bounded() -> None:
    swaps = ["m as s", "m as k", "s as m", "s as k", "k as m", "k as s", "m as u", "u as m"]
    lines = [f"m{{}} at 0,0 replacing with {swap}" for swap in swaps]
    levels = "".join(
        motif(f"m{at + 1}", "4 x 1", [line.format(at) for line in lines]) for at in range(8)
    )
    _, findings = made(f"motif m0 4 x 1\n  |msku|\n{levels}chart fitted\n  m8 at 0,0\n")
    assert {each.name for each in findings if each.level == 0} <= {"too-many-copies"}


def test_a_text_in_a_motif_can_be_replaced_for_a_copy() -> None:
    text = 'motif sign fitted\n  text "TI" in marking at 0,0 changeable initials\n'
    design, _ = read_source(
        Source("c.linen", f"{HEAD}{text}chart 20 x 4\n  sign at 0,0\n"), Path("c.linen")
    )
    assert design is not None
    worked, _ = compose(personalise(design, {"initials": ("II",)}))
    assert worked is not None
    assert worked.design.motifs["sign"].width == 3


def changes(old: str, new: str) -> list[str]:
    both = compare(chart(old), chart(new))
    teller = Teller.in_terminal(both)
    return [line for change in both.every for line in teller.told(change)]


def test_differences_tell_of_moves_of_the_whole() -> None:
    ends = "chart 30 x 20\n  pair at {}\n  leaf at 20,10\n"
    moved = changes(PAIR + ends.format("2,1"), PAIR + ends.format("5,1"))
    assert moved[0].startswith("pair moved 3 columns to the right, from 2,1 to 5,1")
    assert not any("leaf" in each for each in moved)


def test_differences_tell_what_changed_in_it() -> None:
    ends = "chart 30 x 20\n  pair at 2,1\n  pair at 2,8\n"
    told_ = changes(PAIR + ends, PAIR.replace("with m as k", "with m as s") + ends)
    assert told_[0].startswith("pair redrawn")
