"""The choice of printed symbols: apart where threads touch, quiet where large, and stable."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from linenleaf.chart.shapes import PLAINEST, coverage, difference, drawn_names, measures
from linenleaf.chart.symbols import check_wishes, choose, shape_names
from linenleaf.checks.lookalikes import touching
from linenleaf.compose.worked import Piece, WorkedChart
from linenleaf.core.ground import Fabric, Ground
from linenleaf.core.key import KeyEntry, Kind, Part, Strands, Thread, Way
from linenleaf.core.matter import Booklet
from linenleaf.core.model import Chart, Design
from linenleaf.core.source import Source
from numpy.typing import NDArray
from scipy import ndimage

MARKS = [chr(code) for code in range(0x21, 0x17F) if chr(code).isprintable() and chr(code) != "."]
NEEDLE = (Strands(Thread("", "", "reed green", "#6b7f4f"), 2),)

Grid = NDArray[np.uint16]


def needle(colour: str) -> tuple[Strands, ...]:
    return (Strands(Thread("", "", "a thread", colour), 2),)


def line(mark: str, printed: str = "", kind: Kind = Kind.FULL, colour: str = "") -> KeyEntry:
    """A line of the key; without a colour in a grey that goes with its mark."""
    grey = f"{ord(mark) * 37 % 256:02x}" if len(mark) == 1 else "80"
    return KeyEntry(mark, (Part(kind, needle(colour or f"#{grey * 3}")),), printed=printed)


def design(key: Sequence[KeyEntry], width: int = 8, height: int = 8) -> Design:
    return Design(
        source=Source("marsh.linen", ""),
        folder=Path(),
        version=1,
        booklet=Booklet("Marsh"),
        ground=Ground(Fabric("linen", 32, 32, 2)),
        threads=(),
        key=tuple(key),
        motifs={},
        alphabets={},
        chart=Chart(width, height),
    )


def worked(
    grid: Grid, key: Sequence[KeyEntry] | int, pieces: tuple[Piece, ...] = ()
) -> WorkedChart:
    lines = [line(mark) for mark in MARKS[:key]] if isinstance(key, int) else key
    return WorkedChart(
        design(lines, grid.shape[1], grid.shape[0]),
        grid.astype(np.uint16),
        np.full(grid.shape, -1, np.int32),
        pieces,
        (),
        (),
        (),
    )


@cache  # never changed
def patches(seed: int, threads: int) -> Grid:
    """A chart like a shore from above: patches of each thread, a third of the fabric bare."""
    chance = np.random.default_rng(seed)
    heights = [
        ndimage.gaussian_filter(chance.normal(size=(120, 160)), width) * width
        for width in chance.uniform(1.5, 6, size=threads)
    ]
    grid = np.argmax(heights, axis=0) + 1
    bare = ndimage.gaussian_filter(chance.normal(size=grid.shape), 5)
    grid[bare > np.quantile(bare, 0.67)] = 0
    return grid.astype(np.uint16)


@cache
def blended(seed: int, threads: int) -> Grid:
    """A chart like a sky: every cell stitched, shades that mingle where they meet."""
    chance = np.random.default_rng(seed)
    height = ndimage.gaussian_filter(chance.normal(size=(120, 160)), 6)
    height = (height - height.min()) / np.ptp(height)
    shade = np.clip(height * threads + chance.normal(size=height.shape) * 0.8, 0, threads - 1)
    return (chance.permutation(threads)[shade.astype(int)] + 1).astype(np.uint16)


CHARTS = [
    (make, seed, threads)
    for seed in range(6)
    for make, threads in ((patches, 12), (patches, 30), (blended, 30), (blended, 50))
]


# --- what touches ------------------------------------------------------------------------------


def test_touches_are_counted_across_down_and_at_corners():
    counts = touching(worked(np.array([[1, 2], [3, 0]]), 3))
    assert counts.tolist() == [
        [0, 6, 6, 6],
        [6, 0, 1, 1],
        [6, 1, 0, 1],
        [6, 1, 1, 0],
    ]


def test_a_thread_does_not_touch_itself_and_pieces_count():
    piece = Piece("fish", 0, 0, 0.5, 1, np.array([[1, 1, 2]], dtype=np.uint16), None)
    counts = touching(worked(np.zeros((4, 4)), 2, (piece,)))
    assert counts.tolist() == [[0, 13, 7], [13, 0, 1], [7, 1, 0]]


# --- the choice --------------------------------------------------------------------------------


@pytest.mark.parametrize(("make", "seed", "threads"), CHARTS)
def test_every_line_in_use_has_a_drawn_symbol_of_its_own(make, seed, threads):
    grid = make(seed, threads)
    chosen = choose(worked(grid, threads))
    assert sorted(chosen) == sorted(set(grid[grid > 0].tolist()))
    assert len(set(chosen.values())) == len(chosen)
    assert set(chosen.values()) <= set(drawn_names())


def touches_between_alike(grid: Grid, chosen: dict[int, str], threads: int) -> float:
    """The share of touches that lie between symbols less than half different."""
    counts = touching(worked(grid, threads))
    total = alike = 0
    for one, shape in chosen.items():
        for other, neighbour in chosen.items():
            total += counts[one, other]
            alike += counts[one, other] * (difference(shape, neighbour) < 0.5)
    return alike / total


def mean_difference(grid: Grid, chosen: dict[int, str], threads: int) -> float:
    """The mean difference of symbols that touch, each touch counted."""
    counts = touching(worked(grid, threads))
    rows = [measures().number[chosen[index]] for index in sorted(chosen)]
    used = sorted(chosen)
    weights = counts[np.ix_(used, used)]
    return float((weights * measures().differences[np.ix_(rows, rows)]).sum() / weights.sum())


def test_threads_that_touch_get_symbols_that_differ_far_more_than_by_chance():
    chance = np.random.default_rng(5)
    ours, theirs, ours_alike, theirs_alike, ours_least, theirs_least = ([] for _ in range(6))
    for make, seed, threads in CHARTS:
        grid = make(seed, threads)
        chosen = choose(worked(grid, threads))
        ours.append(mean_difference(grid, chosen, threads))
        ours_alike.append(touches_between_alike(grid, chosen, threads))
        ours_least.append(least_difference(chosen))
        for _ in range(3):
            drawn = dict(zip(chosen, chance.permutation(drawn_names()).tolist(), strict=False))
            theirs.append(mean_difference(grid, drawn, threads))
            theirs_alike.append(touches_between_alike(grid, drawn, threads))
            theirs_least.append(least_difference(drawn))
    assert np.mean(ours) > 1.1 * np.mean(theirs)
    assert np.mean(ours_alike) < np.mean(theirs_alike) / 10
    assert np.mean(ours_least) > 1.4 * np.mean(theirs_least)


def least_difference(chosen: dict[int, str]) -> float:
    names = list(chosen.values())
    return min(difference(one, other) for one in names for other in names if one != other)


def bare_cloth(before: Grid, chance: np.random.Generator) -> NDArray[np.bool_]:
    return (before == 0) & (chance.random(before.shape) < 0.05)


def here_and_there(before: Grid, chance: np.random.Generator) -> NDArray[np.bool_]:
    return chance.random(before.shape) < 0.2


def nearly_all_of_a_thread(before: Grid, chance: np.random.Generator) -> NDArray[np.bool_]:
    return (before == chance.integers(1, before.max())) & (chance.random(before.shape) < 0.9)


@pytest.mark.parametrize("taken", [bare_cloth, here_and_there, nearly_all_of_a_thread])
@pytest.mark.parametrize(("make", "seed", "threads"), CHARTS)
def test_a_thread_added_at_the_end_changes_no_other_symbol(make, seed, threads, taken):
    before = make(seed, threads)
    after = np.pad(before, ((0, 0), (0, 3)), constant_values=threads + 1)
    after[:, :-3][taken(before, np.random.default_rng(seed))] = threads + 1
    old = choose(worked(before, threads))
    new = choose(worked(after, threads + 1))
    assert new.pop(threads + 1) not in old.values()
    assert new == old


def test_a_line_put_into_the_middle_of_the_key_leaves_most_symbols():
    kept = []
    for make, seed, threads in CHARTS:
        before = make(seed, threads)
        lines = [line(mark) for mark in MARKS[:threads]]
        middle = threads // 2
        longer = [*lines[:middle], line("¶"), *lines[middle:]]
        after = np.where(before > middle, before + 1, before)
        after[0, 0] = middle + 1
        old = {lines[i - 1].symbol: s for i, s in choose(worked(before, lines)).items()}
        new = {longer[i - 1].symbol: s for i, s in choose(worked(after, longer)).items()}
        kept.append(np.mean([new[mark] == old[mark] for mark in old]))
    assert np.mean(kept) >= 0.85


def test_a_line_that_comes_into_use_takes_no_symbol_from_another():
    grid = patches(1, 12)
    without = np.where(grid == 5, 0, grid)
    old, new = choose(worked(without, 12)), choose(worked(grid, 12))
    assert 5 not in old
    assert {index: new[index] for index in old} == old


LIGHT_TO_DARK = ["#f4f1e4", "#b0b0b0", "#777777", "#4a4a4a", "#181818"]  # L* 95, 72, 50, 31, 8


def inks(side: int) -> list[float]:
    """The ink of five threads from light to dark, each on a square of so many crosses a side."""
    lines = [line(mark, colour=colour) for mark, colour in zip("abcde", LIGHT_TO_DARK, strict=True)]
    chosen = choose(worked(np.kron(np.arange(1, 6)[None], np.ones((side, side))), lines))
    return [coverage(chosen[each]) for each in range(1, 6)]


def test_ink_follows_the_darkness_of_the_thread():
    assert inks(10) == sorted(inks(10))
    assert inks(10)[0] <= 0.13
    assert inks(10)[-1] >= 0.29


def test_large_areas_are_quiet():
    # 1600 crosses each: no more than half of what their lightness allows.
    for ink, most in zip(inks(40), (0.065, 0.145, 0.215, 0.285, 0.365), strict=True):
        assert ink <= most + 1 / 255


def test_ink_goes_by_the_threads_of_the_chart_itself_in_every_colourway():
    lines = [line(mark) for mark in MARKS[:12]]
    chart = worked(patches(2, 12), lines)
    other = [line(each.symbol, colour="#101010") for each in lines]
    recoloured = replace(chart.design, key=tuple(other), own_key=tuple(lines))
    assert choose(replace(chart, design=recoloured)) == choose(chart)


def test_part_stitches_get_plain_shapes():
    ways = [Way.TOP_LEFT, Way.TOP_RIGHT, Way.BOTTOM_LEFT, Way.BOTTOM_RIGHT]
    lines = [
        KeyEntry(mark, (Part(kind, NEEDLE, way),))
        for mark, kind, way in zip(
            MARKS, [Kind.QUARTER, Kind.THREE_QUARTER] * 8, ways * 4, strict=False
        )
    ]
    chosen = choose(worked(np.arange(1, 17).reshape(4, 4), lines))
    assert set(chosen.values()) <= PLAINEST <= set(drawn_names())


def test_the_choice_does_not_hang_on_place():
    grid = patches(2, 12)
    assert choose(worked(grid, 12)) == choose(worked(np.fliplr(grid), 12))


def test_two_hundred_lines_get_two_hundred_symbols():
    grid = np.random.default_rng(3).integers(1, 201, size=(300, 300))
    chart = worked(grid, 200)
    chosen = choose(chart)
    assert len(set(chosen.values())) == 200
    # Combined shapes come only when all drawings are given.
    assert set(drawn_names()) <= set(chosen.values())


# --- wishes ------------------------------------------------------------------------------------


def test_a_wish_is_granted_and_the_others_keep_off_it():
    grid = patches(3, 12)
    plain = choose(worked(grid, 12))
    wished = plain[2]
    lines = [line(mark) for mark in MARKS[:12]]
    lines[8] = line(MARKS[8], printed=wished)
    chosen = choose(worked(grid, lines))
    assert chosen[9] == wished
    assert len(set(chosen.values())) == 12
    assert check_wishes(design(lines)) == ()


def test_no_line_takes_a_symbol_like_one_wished_for_further_down():
    for mark in MARKS[:40]:
        lines = [line(mark), line("|", printed="slab")]
        assert difference(choose(worked(np.array([[1, 2]]), lines))[1], "slab") > 0.5


def test_a_combined_shape_may_be_wished_for():
    assert "gusset-on-plank" in shape_names()
    lines = [line("a"), line("b", printed="gusset-on-plank")]
    assert choose(worked(np.array([[1, 2]]), lines))[2] == "gusset-on-plank"


def test_wishes_that_cannot_be_granted_are_reported_and_passed_over():
    lines = [
        line("a", "kite"),
        line("b", "kite"),
        line("c", "kit"),
        line("mast", "oar", Kind.BACK),
    ]
    found = check_wishes(design(lines))
    assert [each.name for each in found] == [
        "shape-wished-twice",
        "unknown-shape",
        "printed-unused",
    ]
    assert "`a`" in found[0].message
    assert "kite" in found[1].hints[0].message
    chosen = choose(worked(np.array([[1, 2, 3]]), lines))
    assert chosen[1] == "kite"
    assert len(set(chosen.values())) == 3


@pytest.mark.parametrize(("old", "new"), [("heart", "gusset"), ("key-on-plank", "trivet-on-plank")])
def test_a_wish_for_a_drawing_that_was_taken_out_is_told_its_follower(old, new):
    (found,) = check_wishes(design([line("a", old)]))
    assert found.name == "unknown-shape"
    assert f"`{new}` took its place" in found.message
    assert new in shape_names()


def test_more_lines_than_symbols_is_an_error_and_no_symbol_is_given_twice():
    marks = [chr(0x4E00 + number) for number in range(len(shape_names()) + 2)]
    lines = [line(mark) for mark in marks]
    assert [each.name for each in check_wishes(design(lines))] == ["too-many-symbols"]
    assert check_wishes(design(lines[:-2])) == ()
    chosen = choose(worked(np.arange(1, len(lines) + 1).reshape(1, -1), lines))
    assert len(set(chosen.values())) == len(chosen) == len(shape_names())
