"""The composer against one that uses nothing but dictionaries, on random charts."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.items import Cover, Mirror, Placement
from linenleaf.core.model import Design
from linenleaf.core.source import Source

from ..charts import KEY, design, motif
from ..slow_composer import slow_compose

SYMBOLS = ".ms/\\"


@st.composite
def grids(draw: st.DrawFn) -> list[str]:
    width, height = draw(st.integers(1, 4)), draw(st.integers(1, 4))
    rows = st.text(st.sampled_from(SYMBOLS), min_size=width, max_size=width)
    return draw(st.lists(rows, min_size=height, max_size=height))


@st.composite
def designs(draw: st.DrawFn, covers=tuple(Cover), spread: int = 12) -> Design:
    over = draw(st.integers(1, 3))
    names = ["reed", "tern", "fish"]
    motifs = [
        motif(name, *draw(grids()), over=draw(st.sampled_from([None, None, 1, 2])))
        for name in names
    ]
    places = st.integers(-1, spread * over).map(lambda threads: threads / over)
    steps = st.integers(-1, 5 * over).map(lambda threads: threads / over)
    items = draw(
        st.lists(
            st.builds(
                Placement,
                st.sampled_from(names),
                places,
                places,
                mirror=st.sampled_from([None, *Mirror]),
                turns=st.integers(0, 3),
                across=st.integers(1, 3),
                down=st.integers(1, 2),
                step=st.tuples(steps, steps),
                over=st.sampled_from([None, None, None, 1, over]),
                cover=st.sampled_from(covers),
                swap=st.sampled_from([(), (), (("m", "s"), ("s", "m")), (("/", "k"),)]),
            ),
            max_size=5,
        )
    )
    rows = draw(st.sampled_from([(), (), ("." * 14, *["..ss//......mm"] * 3, *["." * 14] * 10)]))
    # Each item gets a place of its own, so that findings can be told apart.
    source = Source("test.linen", " " * 100)
    items = [replace(item, span=source.span(at, at + 1)) for at, item in enumerate(items)]
    return design((14, 14), *items, rows=rows, motifs=motifs, over=over)


def stitches(worked: WorkedChart) -> Counter[tuple[float, float, float, str]]:
    found: Counter[tuple[float, float, float, str]] = Counter()
    whole = [(0.0, 0.0, 1.0, worked.grid)]
    pieces = [(each.x, each.y, each.cell, each.grid) for each in worked.pieces]
    over = worked.design.ground.fabric.over
    for x, y, cell, grid in whole + pieces:
        for row, column in zip(*grid.nonzero(), strict=True):
            at = round((x + column * cell) * over), round((y + row * cell) * over)
            found[*at, round(cell * over), KEY[grid[row, column] - 1].symbol] += 1
    return found


def test_the_finder_of_stitches_is_right():
    worked, _ = compose(design(rows=["m.", "./"], over=2))
    assert worked is not None
    assert stitches(worked) == {(0, 0, 2, "m"): 1, (2, 2, 2, "/"): 1}


@given(designs())
@settings(max_examples=60)
def test_the_same_stitches_or_an_error(made: Design):
    slow = slow_compose(made)
    worked, findings = compose(made)
    assert (worked is None) == bool(slow.overlaps or slow.outside or slow.cut)
    assert bool(findings) == (worked is None)
    if worked is not None:
        assert stitches(worked) == Counter(slow.stitches.values())


@given(designs())
@settings(max_examples=50)
def test_every_item_that_leaves_the_chart_is_named(made: Design):
    slow = slow_compose(made)
    said = {
        (each.span.start, int(re.search(r"with (\d+) stitch", each.message)[1]))
        for each in compose(made)[1]
        if each.name == "outside"
    }
    assert said == set(slow.outside.items())


@given(designs(spread=5))
@settings(max_examples=60)
def test_an_overlap_is_found_if_there_is_one_and_says_how_many_stitches_meet(made: Design):
    slow = slow_compose(made)
    said = {
        (each.span.start, int(found[1] or 1), (float(found[2]), float(found[3])))
        for each in compose(made)[1]
        if each.name == "overlap"
        and (found := re.search(r"with (?:one|(\d+)) .*at ([\d.]+),([\d.]+)\.$", each.message))
    }
    unsaid = {pair: met for pair, met in slow.overlaps.items() if pair not in slow.cut}
    assert bool(said) == bool(unsaid)
    if not unsaid:
        return
    first = min(item for item, _ in slow.overlaps)  # up to here nothing was amiss
    item = made.chart.items[first]
    if item.across * item.down == 1:
        over = made.ground.fabric.over
        assert {each for each in said if each[0] == first} == {
            (first, len(met), top_left(met, over))
            for (late, _), met in unsaid.items()
            if late == first
        }


def top_left(met: set[tuple[int, int, int]], over: int) -> tuple[float, float]:
    y, x = min((y, x) for _, x, y in met)
    return round(x / over, 3), round(y / over, 3)
