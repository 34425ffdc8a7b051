"""Places that hang on other things: against a walk over the same statements with networkx, against
the same chart with every position written out by hand, and against what the reference says."""

from __future__ import annotations

import random
from dataclasses import dataclass
from pathlib import Path

import networkx as nx
import numpy as np
import pytest
from linenleaf.compose.arrange import arrange
from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.diagnostics import Diagnostics, render
from linenleaf.core.source import Source
from linenleaf.resolve.read import read_source

HEAD = """linen 2
fabric linen 28 over 2
key
  m  #a03a3a "madder"
  rope  #20242c "ink" back
motif reed 3 x 2
  |mmm|
  |m.m|
motif tile 4 x 3
  |mmmm|
  |m..m|
  |mmmm|
motif dot 1 x 1
  |m|
alphabet marking height 2
  I |m|
    |m|
  T |mmm|
    |.m.|
"""
SIZES = {"reed": (3, 2), "tile": (4, 3), "dot": (1, 1)}


def made(chart: str) -> tuple[WorkedChart | None, Diagnostics]:
    design, findings = read_source(Source("chart.linen", HEAD + chart), Path("chart.linen"))
    if design is None:
        return None, findings
    worked, more = compose(design)
    return worked, (*findings, *more)


def worked(chart: str) -> WorkedChart:
    whole, findings = made(chart)
    assert whole is not None, "\n".join(map(render, findings))
    return whole


def boxes(chart: str) -> dict[str, tuple[float, ...]]:
    design, findings = read_source(Source("chart.linen", HEAD + chart), Path("chart.linen"))
    assert design is not None, "\n".join(map(render, findings))
    arranged, _ = arrange(design)
    return {thing.name: thing.box for thing in arranged.chart.things if thing.name}


def names(chart: str) -> list[str]:
    return [each.name for each in made(chart)[1]]


# --- against a walk with networkx --------------------------------------------------------------


@dataclass
class Said:
    """One line of a chart: what it places, and the other thing by which that stands."""

    motif: str
    by: int | None
    way: str = ""
    gap: int = 0
    line: str = ""
    at: tuple[int, int] = (0, 0)

    def text(self, number: int) -> str:
        where = f"at {self.at[0]},{self.at[1]}"
        if self.by is not None:
            gap = f" gap {self.gap}" if self.gap else ""
            where = f"{self.way} thing-{self.by}{gap} {self.line}"
        return f"  {self.motif} replacing {where} named thing-{number}\n"


def random_chart(seed: int) -> list[Said]:
    """Things in any order, each by one that stands before it in another order."""
    rng = random.Random(seed)
    many = rng.randint(2, 12)
    order = rng.sample(range(many), many)
    lines: list[Said] = [Said("dot", None)] * many
    for place, number in enumerate(order):
        motif = rng.choice(list(SIZES))
        if place == 0 or rng.random() < 0.15:
            at = rng.randint(60, 70), rng.randint(60, 70)
            lines[number] = Said(motif, None, at=at)
            continue
        way = rng.choice(["below", "above", "right of", "left of"])
        down = way in ("below", "above")
        line = rng.choice(
            ["", "aligned left", "aligned right", "centred left", "centred right"]
            if down
            else ["", "aligned top", "aligned bottom", "centred up", "centred down"]
        )
        by = rng.choice(order[:place])
        lines[number] = Said(motif, by, way, rng.randint(0, 2), line)
    return lines


def solved(lines: list[Said]) -> dict[int, tuple[int, int, int, int]]:
    """Where each stands, worked out in the order in which one hangs on another."""
    graph = nx.DiGraph()
    graph.add_nodes_from(range(len(lines)))
    graph.add_edges_from((said.by, at) for at, said in enumerate(lines) if said.by is not None)
    found: dict[int, tuple[int, int, int, int]] = {}
    for at in nx.topological_sort(graph):
        said = lines[at]
        width, height = SIZES[said.motif]
        if said.by is None:
            x, y = said.at
        else:
            left, top, right, bottom = found[said.by]
            beside = {"left": left, "right": right - width, "top": top, "bottom": bottom - height}
            spare = (right - left - width, bottom - top - height)
            words = said.line.split()
            if not words:
                along = (left, top)
            elif words[0] == "aligned":
                along = (beside[words[1]],) * 2
            else:
                later = words[1] in ("right", "down")
                along = tuple(
                    start + (-(-each // 2) if later else each // 2)
                    for start, each in zip((left, top), spare, strict=True)
                )
            x = {"right of": right + said.gap, "left of": left - said.gap - width}.get(
                said.way, along[0]
            )
            y = {"below": bottom + said.gap, "above": top - said.gap - height}.get(
                said.way, along[1]
            )
        found[at] = x, y, x + width, y + height
    return found


@pytest.mark.parametrize("seed", range(40))
def test_places_are_those_of_a_walk_and_of_positions_written_by_hand(seed):
    lines = random_chart(seed)
    text = "chart 140 x 140\n" + "".join(said.text(at) for at, said in enumerate(lines))
    expected = solved(lines)
    assert boxes(text) == {f"thing-{at}": box for at, box in expected.items()}
    by_hand = "".join(
        Said(said.motif, None, at=expected[at][:2]).text(at) for at, said in enumerate(lines)
    )
    assert np.array_equal(worked(text).grid, worked("chart 140 x 140\n" + by_hand).grid)


# --- one by one --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "box"),
    [
        ("reed below base", (10, 13, 13, 15)),
        ("reed below base gap 2 aligned right", (11, 15, 14, 17)),
        ("reed above base gap 1 centred right", (11, 7, 14, 9)),
        ("reed right of base gap 1", (15, 10, 18, 12)),
        ("reed left of base aligned bottom", (7, 11, 10, 13)),
        ("reed beside gap 1 centred down", (15, 11, 18, 13)),
        ("reed centred left up on chart", (13, 9, 16, 11)),
        ("reed aligned right on chart centred", (27, 9, 30, 11)),
        ("reed below base centred left on chart", (13, 13, 16, 15)),
        ("reed below base right of base gap 1", (15, 13, 18, 15)),
        ("reed at 2,3 20,1", (2, 1, 23, 5)),
        ("reed turned right below", (10, 13, 12, 16)),
        ("reed x 2 by 2 step 4,-3 below gap 1", (10, 14, 17, 19)),
        ("reed over 1 below centred", (11, 13, 12.5, 14)),
        ('text "T" "II" in marking below gap 1 aligned right', (11, 14, 14, 20)),
        ("line rope 1,1 3,4 in base", (11, 11, 13, 14)),
        ("place panel 5 x 4 left of base gap 1", (4, 10, 9, 14)),
        ("place panel 5 x 4 at 1,2", (1, 2, 6, 6)),
        ("place panel 4 x 4 centre at 20,12", (18, 10, 22, 14)),
    ],
)
def test_a_thing_stands_where_its_line_says(line, box):
    named = line if line.startswith("place") else f"{line} named panel"
    assert boxes(f"chart 30 x 20\n tile at 10,10 named base\n {named}\n")["panel"] == box


def test_a_text_that_hangs_on_the_middle_has_its_lines_set_so():
    chart = 'chart 12 wide\n text "T" "I" in marking centred left on chart\n'
    drawn = worked(chart.replace("wide", "x 8")).grid.astype(bool)
    assert drawn[1].nonzero()[0].tolist() == [4, 5, 6]
    assert drawn[6].nonzero()[0].tolist() == [5]


def test_a_chart_is_as_large_as_what_it_holds():
    size = worked("chart fitted\n tile at 2,3\n reed below gap 1 centred left on chart\n")
    assert (size.width, size.height) == (6, 9)
    assert boxes("chart 20 high\n tile at 9,0\n reed below aligned right on chart named low\n")[
        "low"
    ] == (10, 3, 13, 5)


def test_a_gap_of_half_a_cross_is_one_thread():
    assert boxes("chart 9 x 9\n tile at 0,0\n dot below gap 0.5 named low\n")["low"][1] == 3.5
    assert names("chart 9 x 9\n tile at 0,0\n dot below gap 0.3\n") == ["between-threads"]


# --- bands -------------------------------------------------------------------------------------

BANDS = """chart 30 wide
  dot at 3,1
  band gap 1
    reed at 4,1
    tile at 12,0
  band named-one gap 2
    text "IT" in marking
    line rope 0,3 30,3
  band
    tile centred on chart
note in named-one "Here."
"""


def test_bands_stand_one_below_the_other():
    whole = worked(BANDS)
    tops = [thing.box for thing in whole.design.chart.things if thing.sort.value == "band"]
    assert tops == [(0, 3, 30, 6), (0, 8, 30, 11), (0, 11, 30, 14)]
    assert whole.lines[0].points.tolist() == [[0, 11], [30, 11]]
    assert whole.design.notes[0].y0 == 8


def test_a_band_put_in_moves_all_that_follow():
    new = BANDS.replace("  band named-one", "  band gap 1\n    tile at 3,0\n  band named-one")
    before, after = worked(BANDS), worked(new)
    assert after.height == before.height + 4
    assert np.array_equal(after.grid[11:], before.grid[7:])
    assert after.design.notes[0].y0 == before.design.notes[0].y0 + 4


# --- ties --------------------------------------------------------------------------------------


def test_withdrawn_threads_count_from_their_band_and_hold_it_open():
    bands = """chart 12 wide
  reed at 0,1
  withdrawn columns 8,0 to 9,5
  band gap 1
    withdrawn rows 1,2 to 11,3.5
    dot below
  band below-them
    withdrawn rows 0,0 to 12,1
"""
    whole = worked(bands)
    assert [gap.box for gap in whole.gaps] == [(16, 0, 18, 10), (2, 16, 22, 19), (0, 19, 24, 21)]
    assert [item.y for item in whole.design.chart.items] == [1, 6]  # `below` the band itself
    assert whole.design.chart.height == 11  # 10.5, up to a whole cross


def test_what_is_tied_moves_along():
    chart = """chart 20 x 20
  tile at {at} named base
  line rope 0,0 1,1 in base
note in base "All of it."
kept in base at 1,1 "A corner."
inferred in base 0,0 to 2,1 "Lost."
expect m 10 in base
expect m 4 in base 0,0 to 4,1
"""
    one, other = worked(chart.format(at="0,0")), worked(chart.format(at="5,7"))
    for first, second in zip(one.design.notes, other.design.notes, strict=True):
        assert (second.x0, second.y0) == (first.x0 + 5, first.y0 + 7)
        assert (second.x1, second.y1) == (first.x1 + 5, first.y1 + 7)
    assert [each.area for each in other.design.expectations] == [(5, 7, 9, 10), (5, 7, 9, 8)]
    assert (other.lines[0].points - one.lines[0].points).tolist() == [[5, 7], [5, 7]]


# --- what is wrong -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        ("reed below nothing", ["unknown-thing"]),
        ("reed right of nothing", ["unknown-thing"]),
        ("reed centred on nothing", ["unknown-thing"]),
        ("reed below", ["nothing-before"]),
        ("band\n reed above", ["nothing-before"]),
        ("reed", ["missing-place"]),
        ("place panel 3 x 3", ["missing-place"]),
        ("reed centred", ["missing-place"]),
        ("reed at 1,1 named gap", ["reserved-name"]),
        ("reed at 1,1 centred", ["places-disagree"]),
        ("reed at 1,1 on chart", ["places-disagree"]),
        ("reed at 1,1\n reed below aligned top", ["places-disagree"]),
        ("reed at 1,1 named base\n reed beside right of base", ["places-disagree"]),
        ("reed at 1,1\n reed below gap -1", ["absurd-number"]),
        ("reed at 1,1\n reed below gap 99999999999999", ["absurd-number"]),
        ("reed at 1,1\n reed below gap 500", ["outside"]),
        ("reed below low named low", ["ring-of-places"]),
        ("band all\n reed aligned bottom on all centred left", ["ring-of-places"]),
        ("reed below b1 named a1\n reed below c1 named b1\n reed below a1 named c1",
         ["ring-of-places"]),
    ],
)  # fmt: skip
def test_what_cannot_be_placed_is_told_once(lines, found):
    assert names(f"chart 30 x 20\n {lines}\n") == found


def test_a_ring_is_told_with_both_places():
    finding = made("chart 9 x 9\n reed below two named one\n reed below one named two\n")[1][0]
    assert finding.span.line == len(HEAD.splitlines()) + 2
    assert [hint.span.line for hint in finding.hints if hint.span] == [finding.span.line + 1]


def test_a_name_in_a_line_that_cannot_be_read_is_not_missed():
    assert names("chart 9 x 9\n reed at 0,, named lost\n reed below lost\n") == ["bad-position"]


def test_the_words_belong_to_the_second_version():
    old = (HEAD + "chart 9 x 9\n  reed at 0,0 named low\n").replace("linen 2", "linen 1")
    _, findings = read_source(Source("chart.linen", old), Path("chart.linen"))
    assert "`linen 2`" in findings[0].hints[0].message


def test_half_a_cross_is_told_unless_a_side_is():
    chart = "chart 8 x 9\n reed at 0,0\n reed below {} on chart\n"
    assert names(chart.format("centred")) == ["off-middle"]
    assert names(chart.format("centred right")) == []
    assert names('chart 9 x 9\n text "T" in marking at 4,1 centred\n') == ["off-middle"]
    assert names('chart 9 x 9\n text "T" in marking at 4.5,1 centred\n') == []
