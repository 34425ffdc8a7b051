"""Slips are found where one was made, and nowhere else."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.checks.slips.clusters import clusters
from linenleaf.checks.slips.handdrawn import (
    AFTER,
    BACK,
    MATRICES,
    WAYS,
    DrawnSheet,
    HandDrawn,
    Turner,
    sheet_of,
)
from linenleaf.checks.slips.looks import RADIUS, windows
from linenleaf.checks.slips.moves import LIVELY, differing, moves
from linenleaf.checks.slips.odd import Odd, odd_cells
from linenleaf.checks.slips.repeats import Repeats
from linenleaf.checks.slips.slips import CHECKS
from linenleaf.checks.slips.squares import FAR, followed
from linenleaf.compose.turning import Turn
from linenleaf.core.findings import Level
from linenleaf.core.source import Source
from linenleaf.flow import follow
from linenleaf.resolve.read import read
from scipy.ndimage import gaussian_filter, label

from ..benchmarks.slips import DEMOS, SAMPLER, demo, write_drawn_out
from ..planting import ground_of, named, plant, put
from ..snippets import found_in
from .cases import BARE_HEART, CASES, KEY, RAY, band, heart

SLIPPED = f"{RAY}.{RAY}.{BARE_HEART}.{RAY}."
RULES = {each.name for each in CHECKS}  # of this family


def sheet(*grids: np.ndarray, key=()) -> DrawnSheet:
    """Grids of small numbers as drawings; 0 is bare."""
    letters = np.array([ord("."), *range(ord("a"), ord("z") + 1)], np.uint32)
    drawn = [HandDrawn("a drawing", letters[grid], (), None, None) for grid in grids]
    return sheet_of(drawn, Turner(key))


def odd(laid: DrawnSheet) -> list[Odd]:
    """The cells that are odd, and nothing else that may be wrong."""
    seen = windows(laid, LIVELY)
    alone, several = differing(laid, moves(seen))
    repeats = Repeats(laid, seen)
    assert clusters(laid, repeats, several) == []
    return odd_cells(laid, repeats, alone)


def places(found) -> list[tuple[int, int]]:
    """Cells of the first drawing, counted from its corner."""
    return [(each.cell[0] - 1, each.cell[1] - 1) for each in found]


def test_the_eight_ways_move_cells_as_turns_do():
    grid = np.arange(9, dtype=np.uint16).reshape(3, 3)
    for number, way in enumerate(WAYS):
        turned = way.grid(grid)
        for row, column in np.ndindex(3, 3):
            down, across = MATRICES[number] @ (row - 1, column - 1)
            assert turned[down + 1, across + 1] == grid[row, column]
        assert WAYS[AFTER[BACK[number], number]] == Turn()
        for other, first in enumerate(WAYS):
            assert WAYS[AFTER[number, other]] == first.then(way)


@given(st.integers(0, 10**6), st.integers(2, 3))
@settings(max_examples=25)
def test_windows_share_their_look_exactly_where_one_turned_is_the_other(seed, kinds):
    grid = np.random.default_rng(seed).integers(0, kinds, (7, 8))
    laid = sheet(grid)
    seen = windows(laid, 0)
    inner = [(row, column) for row in range(3, 7) for column in range(3, 8)]
    for one, other in pairwise(inner):
        first, second = (
            laid.cells[r - RADIUS : r + RADIUS + 1, c - RADIUS : c + RADIUS + 1]
            for r, c in (one, other)
        )
        alike = any(np.array_equal(way.grid(first), second) for way in WAYS)
        assert (seen.look[one] == seen.look[other]) == alike


@pytest.mark.parametrize("number", range(8))
def test_a_drawing_turned_beside_itself_is_found_as_one_move(number):
    grid = np.random.default_rng(5).integers(0, 4, (16, 16))
    laid = sheet(grid, WAYS[number].grid(grid.astype(np.uint16)))
    first = moves(windows(laid, 12))[0]
    assert first.way == number
    assert first.votes >= 144  # all windows within it, and some at its edges
    row, column = MATRICES[number] @ (3, 4) + first.shift
    assert laid.number[row, column] == 1 - laid.number[3, 4]
    assert laid.cells[row, column] == laid.cells[3, 4]


def test_leaning_stitches_are_alike_when_they_lean_as_their_mirror_image_does(tmp_path):
    tide = '  /  #3a5fa0 "tide" half up\n  \\  #3a5fa0 "tide" half down\n'
    left = ["m/s.m/", "s/m/s.", ".m//sm", "m.s/m/", "/sm.s/", "mm/s.s", "s/.mm/"]
    rows = [row + "...." + row[::-1].translate(str.maketrans("/\\", "\\/")) for row in left]
    text = f"{KEY}{tide}chart 16 x 7\n" + "".join(f"  |{row}|\n" for row in rows)
    assert slips(text, tmp_path) == []
    leaning = text.replace("  |m/s.m/....\\m.s\\m|", "  |m/s.m/....\\m.s/m|")
    assert leaning != text
    assert slips(leaning, tmp_path) == ["odd-twin"]


@given(st.integers(0, 10**6), st.sampled_from(["step", "mirror", "turn"]))
@settings(max_examples=25)
def test_a_slip_in_one_of_many_is_found_and_it_alone(seed, how):
    rng = np.random.default_rng(seed)
    unit = rng.integers(0, 4, (12, 12))
    others = {"step": unit, "mirror": unit[:, ::-1], "turn": np.rot90(unit)}
    grid = np.hstack([unit, others[how], unit, others[how]])
    row, column = rng.integers(2, 10), rng.integers(2, 10)
    grid[row, column] = (grid[row, column] + 1) % 4
    assert places(odd(sheet(grid))) == [(row, column)]


@given(st.integers(0, 10**6))
@settings(max_examples=30)
def test_of_two_either_is_named_with_the_other(seed):
    rng = np.random.default_rng(seed)
    unit = rng.integers(0, 4, (16, 16))
    grid = np.hstack([unit, unit[:, ::-1]])
    row, column = rng.integers(3, 13), rng.integers(3, 13)
    grid[row, column] = (grid[row, column] + 1) % 4
    (found,) = odd(sheet(grid))
    named = {(at[0] - 1, at[1] - 1) for at in (found.cell, *found.twins)}
    assert named == {(row, column), (row, 31 - column)}
    assert not found.sure


@pytest.mark.parametrize("softness", [0.8, 1.5, 3, 6])
@pytest.mark.parametrize("laid", ["once", "mirrored", "tiled"])
def test_a_picture_is_left_alone(softness, laid):
    for seed in (3, 4):
        noise = np.random.default_rng(seed).normal(size=(160, 160))
        field = gaussian_filter(noise, softness)
        for colours in (2, 3, 5, 9):
            steps = np.quantile(field, np.arange(1, colours) / colours)
            grid = np.digitize(field, steps)
            if laid == "mirrored":
                grid = np.hstack([grid[:, :80], grid[:, 79::-1]])
            elif laid == "tiled":
                grid = np.tile(grid[:40, :40], (4, 4))
            assert odd(sheet(grid)) == []


def slips(text, tmp_path):
    return [each.name for each in found_in(text, tmp_path) if each.level <= Level.WARNING]


def test_a_note_that_something_is_kept_keeps_the_slip(tmp_path):
    text = KEY + band(SLIPPED)
    assert slips(text, tmp_path) == ["odd-repeat"]
    assert slips(text + 'kept at 24,4 "So in the old piece."\n', tmp_path) == []
    assert slips(text + 'kept at 4,4 "Not this one."\n', tmp_path) == ["odd-repeat"]
    # What departs from the old piece is no less to be drawn without a slip.
    assert slips(text + 'departure at 24,4 "Evened out."\n', tmp_path) == ["odd-repeat"]


HULL = [
    "...m..m..m....",
    "..mss.m.sssm..",
    "mmmmmmmmmmmmm.",
    ".mmmmmmmmmmmm.",
    "..mmmmmmmmm...",
    "...sssssss....",
]


def boat(mast: int, flag: str = "", hull: str = "m") -> list[str]:
    """A boat with a mast so many crosses high above its rail, and a flag in a thread, if any."""
    top = [f"......m{flag * 2}".ljust(14, "."), f"......m{flag * 3}".ljust(14, ".")]
    low = [row.replace("m" * 12, hull * 12) if row[0] == "." else row for row in HULL]
    return [*(top if flag else []), *["......m......."] * (mast - 2 * bool(flag)), *low]


def fleet(*drawn: list[str], mirrored: bool = False) -> str:
    """Boats side by side, standing on one line, every second one mirrored if asked."""
    high = max(map(len, drawn)) + 1
    stood = [["." * 14] * (high - len(each)) + each for each in drawn]
    if mirrored:
        stood = [[row[:: 1 - 2 * (at % 2)] for row in each] for at, each in enumerate(stood)]
    rows = ["..".join(row) for row in zip(*stood, strict=True)]
    return f"{KEY}chart {len(rows[0])} x {high}\n" + "".join(f"  |{row}|\n" for row in rows)


BOTH = (False, True)


@pytest.mark.parametrize(
    ("drawn", "expected", "mirrored"),
    [
        (drawn, expected, mirrored)
        for drawn, expected, ways in (
            ([boat(10), boat(10)], [], BOTH),
            ([boat(10), boat(11)], [("odd-twin", "`m`")], BOTH),
            ([boat(10), boat(11), boat(10)], [("odd-repeat", "`m`")], BOTH),
            ([boat(10), boat(9), boat(10), boat(10)], [("odd-repeat", "`.`")], (True,)),
            ([boat(10, "m"), boat(11, "m")], [("off-by-one", "At 6,1")], BOTH),
            ([boat(10, "m"), boat(10, "s")], [("other-thread", "`m`")], BOTH),
            ([boat(10, "m"), boat(10, "s"), boat(10, "m")], [("other-thread", "`s`")], BOTH),
            ([boat(10), boat(10, hull="s"), boat(10)], [("other-thread", "`s`")], (False,)),
        )
        for mirrored in ways
    ],
)
def test_a_mast_too_high_and_another_thread_are_told(drawn, expected, mirrored, tmp_path):
    found = [
        (each.name, each.message)
        for each in found_in(fleet(*drawn, mirrored=mirrored), tmp_path)
        if each.name in RULES
    ]
    assert len(found) == len(expected)
    for (name, message), (wanted, begins) in zip(found, expected, strict=True):
        assert name == wanted
        assert message.startswith(begins)


def test_of_three_boats_the_one_with_the_higher_flag_is_named(tmp_path):
    text = fleet(boat(10, "m"), boat(11, "m"), boat(10, "m"))
    (message,) = (e.message for e in found_in(text, tmp_path) if e.name in RULES)
    assert message.startswith("At 22,1 to 26,4 the chart is one row higher than the matching part")


@given(st.integers(0, 10**6), st.sampled_from([0.75, 0.85, 0.95]))
@settings(max_examples=30)
def test_a_figure_is_followed_as_scipy_labels_it(seed, bare):
    """What differs and the figure around it are one component of scipy.ndimage.label."""
    rng = np.random.default_rng(seed)
    unit = rng.choice([0, 1, 2], (60, 60), p=[bare, (1 - bare) / 2, (1 - bare) / 2])
    unit[30, 30] = 1
    other = unit.copy()
    for row, column in rng.integers(27, 33, (4, 2)):
        other[row, column] = (other[row, column] + 1) % 3
    other[30, 30] = 2
    laid = sheet(unit, other)
    (top, left), (second_top, second_left) = laid.corners
    pair = np.array([top + 30, left + 30]), np.array([second_top + 30, second_left + 30]), 0
    found = followed(laid, pair, 10**6, 10**6)
    near = np.s_[30 - FAR : 31 + FAR, 30 - FAR : 31 + FAR]
    differ, alike = (unit != other)[near], ((unit == other) & (unit > 0))[near]
    joined, _ = label(differ | alike, np.ones((3, 3)))
    part = joined == joined[FAR, FAR]
    assert found is not None
    assert np.array_equal(found.marked, part & differ)
    assert found.figure == np.count_nonzero(part & alike)


def test_two_repeats_that_differ_alike_may_be_meant(tmp_path):
    assert slips(KEY + band(f"{RAY}.{BARE_HEART}.{BARE_HEART}.{RAY}."), tmp_path) == []


def test_a_stitch_in_a_colour_of_its_own_is_an_eye_and_no_slip(tmp_path):
    eye = KEY + '  k  #20242c "ink"\n' + heart("msksssssm")
    assert [each.name for each in found_in(eye, tmp_path)] == ["nearly-symmetric"]


@pytest.mark.parametrize("name", ["lone-stitch", "nearly-symmetric"])
def test_a_stated_symmetry_is_left_to_its_own_check(name, tmp_path):
    text = CASES[name].speaks.replace("motif heart 9 x 6", "motif heart 9 x 6 symmetric left-right")
    found = found_in(text, tmp_path)
    assert [each.name for each in found] == ["motif-not-symmetric"]


@pytest.fixture(scope="module")
def drawn_demos(tmp_path_factory):
    """The demos drawn out, by name."""
    folder = tmp_path_factory.mktemp("drawn-out")
    return {name: write_drawn_out(name, folder) for name in DEMOS}


def test_the_demos_are_clean(drawn_demos):
    for name, drawn in drawn_demos.items():
        for flow in (demo(name), follow(drawn)):
            assert [each.name for each in flow.findings if each.level < Level.HINT] == []
            assert not {each.name for each in flow.findings} & RULES


def test_most_slips_in_the_sampler_are_named(drawn_demos):
    """They are planted all at once, far from each other."""
    path = drawn_demos[SAMPLER]
    design = read(path)[0]
    planted = [each for each in plant(ground_of(demo(SAMPLER).worked), 2, seed=2) if each.evidence]
    offsets = [design.chart.row_spans[each.row].start + each.column for each in planted]
    text = design.source.text
    for slip, offset in zip(planted, offsets, strict=True):
        symbol = design.key[slip.symbol - 1].symbol if slip.symbol else "."
        text = put(Source(str(path), text), offset, symbol)
    slipped = path.with_name("slipped.linen")
    slipped.write_text(text, "utf-8")
    told = [each for each in follow(slipped).findings if each.name in RULES]
    found = [bool(named(told, str(slipped), each)) for each in offsets]
    assert len(planted) > 8
    assert sum(found) >= 0.85 * len(planted)


LETTER_M = ["mmm.mm.", *["m..m..m"] * 5, "m.....m"]


def drawn(rows: list[str], head: str = "chart") -> str:
    return f"{head} {len(rows[0])} x {len(rows)}\n" + "".join(f"  |{row}|\n" for row in rows)


@given(st.integers(0, 10**6))
@settings(max_examples=8)
def test_what_stands_beside_an_exact_repeat_changes_nothing(seed):
    rng = np.random.default_rng(seed)
    unit = rng.integers(1, 4, (9, 9))
    version = unit.copy()
    version[4, 4] = version[4, 4] % 3 + 1
    gap, stray = np.zeros((9, 1), int), rng.integers(0, 4, (9, 2))
    laid = [unit, gap, gap, version, gap, gap, unit, gap, stray, gap, gap, version, gap, stray]
    assert odd(sheet(np.pad(np.hstack(laid), 3))) == []


def test_a_letter_alone_is_no_evidence(tmp_path):
    alone = ["." * 11, *(f"..{row}.." for row in LETTER_M), "." * 11, "s" * 11]
    assert slips(KEY + drawn(alone), tmp_path) == []


def specks_in(text, tmp_path):
    return [each.message for each in found_in(text, tmp_path) if each.name == "speck"]


@pytest.mark.parametrize("side", [3, 5])
def test_the_hole_of_a_ring_is_no_speck(side, tmp_path):
    ring = ["m" * side] * side
    ring[side // 2] = "m" * (side // 2) + "." + "m" * (side // 2)
    framed = ["." * (side + 4)] * 2 + [f"..{row}.." for row in ring] + ["." * (side + 4)] * 2
    assert specks_in(KEY + drawn([*framed, "s" * (side + 4)]), tmp_path) == []


def test_a_hole_in_the_stroke_of_a_letter_is_told(tmp_path):
    stroke = ["mmmm"] * 7
    text = "alphabet face height 7\n" + "".join(
        f"  {name} |{row}|\n" if at == 0 else f"    |{row}|\n"
        for name, hole in (("I", "m.mm"), ("H", "mmmm"))
        for at, row in enumerate([*stroke[:3], hole, *stroke[4:]])
    )
    chart = 'chart 20 x 9\n  text "IH" in face at 1,1\n'
    (message,) = specks_in(KEY + text + chart, tmp_path)
    assert message == "A hole is in a field of `m`, at 1,3 of the letter `I` of `face`."


def test_the_true_symmetry_of_a_motif_vouches_for_its_cells(tmp_path):
    """Two leaves of a gate, a handle on each: one leaf is not the other moved along."""
    bars = ["ms" * 4 + "mm"] * 12
    leaf = [*bars, "mmmmmmmmsm", "msmsmsmsks", *bars]
    gate = [row + row[::-1] for row in leaf]
    for head in ("motif gate", "motif gate {} symmetric left-right"):
        size = f"{len(gate[0])} x {len(gate)}"
        block = drawn(gate, "motif gate")
        if "symmetric" in head:
            block = block.replace(size, f"{size} symmetric left-right", 1)
        text = f'{KEY}  k  #20242c "ink"\n{block}chart 24 x 30\n  gate at 1,1\n'
        assert [each.name for each in found_in(text, tmp_path) if each.name in RULES] == []


D = ["....mm", "....mm", "....mm", ".mmmmm", "mm..mm", "mm..mm", "mm..mm", "mm..mm", ".mm.mm"]


@pytest.mark.parametrize(("bowl", "expected"), [("m", []), ("s", ["odd-twin"])])
def test_a_figure_in_one_thread_on_its_head_is_no_evidence(bowl, expected, tmp_path):
    """A d on its head is a p, however nearly; in two threads it is the figure turned."""
    one = [row.replace("mm..mm", f"{bowl}m..mm") for row in D]
    other = [row[::-1] for row in one[::-1]]
    other[5] = f"{other[5][:1]}.{other[5][2:]}"
    rows = ["." * 24] * 2
    rows += [f"..{a}......{b}...." for a, b in zip([*one, "." * 6], ["." * 6, *other], strict=True)]
    text = KEY + drawn([*rows, *["." * 24] * 2, "s" * 24])
    assert slips(text, tmp_path) == expected


def test_a_motif_that_another_repeats_is_uneven_on_purpose(tmp_path):
    uneven = ["mmm...mmm", "msssmsssm", "m.ssssssm", "msssssssm", "msssssssm", ".mmmmmmm."]
    beads = [".........", "m.m...m.m", "mmm...mmm"]
    text = KEY + drawn(uneven, "motif heart")
    placed = "chart 24 x 20\n  heart at 0,0\n"
    assert [each.name for each in found_in(text + placed, tmp_path)] == ["nearly-symmetric"]
    text += drawn([*uneven, *beads], "motif pendant") + placed + "  pendant at 12,0\n"
    assert found_in(text, tmp_path) == ()


FIELD = ["." * 13, *["." + "m" * 11 + "."] * 9, "." * 13, "s" * 13]


def marked(*marks: tuple[int, int, str]) -> str:
    rows = [list(row) for row in FIELD]
    for row, column, symbols in marks:
        rows[row][column : column + len(symbols)] = symbols
    return KEY + drawn(["".join(row) for row in rows])


@pytest.mark.parametrize(
    ("marks", "told"),
    [
        ([(3, 4, ".")], ["A hole is in a field of `m`, at 4,3 of the chart."]),
        ([(3, 4, "s")], ["A lone `s` is in a field of `m`, at 4,3 of the chart."]),
        ([(5, 6, ".")], ["A hole is in a field of `m`, at 6,5 of the chart."]),
        ([(5, 6, "."), *((r, c, ".") for r in (1, 9) for c in (1, 11))], []),  # the hub of a round
        ([(3, 4, "."), (6, 5, "...")], []),  # written on
        ([(3, 4, "."), (7, 8, ".")], []),
        ([(3, 4, "s"), (2, 10, "s"), (1, 11, ".")], []),  # with another by itself at the rim
    ],
)
def test_a_cell_in_a_field_is_told_unless_the_field_is_marked(marks, told, tmp_path):
    assert specks_in(marked(*marks), tmp_path) == told


def test_the_counter_of_a_letter_in_thin_strokes_is_no_hole(tmp_path):
    letter = ["..mm", "mmm.", "m.m.", "mmmm", "..m."]
    rows = ["." * 8, *(f"..{row}.." for row in letter), "." * 8, "s" * 8]
    assert specks_in(KEY + drawn(rows), tmp_path) == []


def test_a_slip_in_a_motif_is_one_however_often_that_is_placed(tmp_path):
    text = KEY + drawn(["m" * 11, *["m" * 11] * 3, "mmmsmmmmmmm", *["m" * 11] * 4], "motif pane")
    text += "chart 40 x 12\n  pane at 0,0\n  pane mirrored at 14,0\n"
    for edge in ("  pane at 28,0\n", ""):
        found = specks_in(f"{text}{edge}".replace("m" * 11, "s" + "m" * 10, 1), tmp_path)
        assert found == ["A lone `s` is in a field of `m`, at 3,4 of the motif `pane`."]


def test_a_part_that_shrank_or_lies_scattered_is_not_told_as_moved(tmp_path):
    hull = [*HULL, *["..ssssmmmsss.."] * 2]
    short = [*HULL, "..ssssmmmsss..", "." * 14]
    assert [n for n in slips(fleet(hull, short), tmp_path) if n == "off-by-one"] == []
    spots = list(map(list, HULL))
    for row, column in ((2, 2), (3, 8), (4, 4), (2, 11)):
        spots[row][column] = "s"
    text = fleet(HULL, ["".join(row) for row in spots])
    assert [each.name for each in found_in(text, tmp_path)] == []
