"""Counted stitches as they are laid: on threads of their own, each met by what else lies there."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from linenleaf.compose.compose import compose
from linenleaf.count.count import count
from linenleaf.count.thread import estimate
from linenleaf.resolve.read import read

HEAD = """\
linen 2
booklet "Test"
fabric linen 32 over 2
key
  m      #a03a3a "madder"
  o      #223388 "tide" eye
  =      #227744 "sedge" long-armed
  s      #555555 "stone" satin
  r      #a03a3a "madder" rice + #c8912e "gold" 1 strand second
  run    #20242c "ink" double-running
  gold   #c8912e "gold" 3 strands couching + #20242c "ink" 1 strand second
motif eyes 4 x 2
  |o.m.|
  |....|
motif row 4 x 1
  |====|
motif bars 4 x 4 over 1 strands 1
  |s...|
  |ss..|
  |sss.|
  |ssss|
"""


def laid(folder: Path, chart: str):
    path = folder / "test.linen"
    path.write_text(f"{HEAD}chart 12 x 8\n{chart}", "utf-8")
    design, findings = read(path)
    assert design is not None, [each.message for each in findings]
    return compose(design)


def places(worked) -> dict[str, list[list[int]]]:
    return {stand.stitch.name: stand.at.tolist() for stand in worked.stands}


@pytest.mark.parametrize(
    ("options", "eye", "cross"),
    [
        ("at 1,1", [2, 2], [3, 1]),
        ("mirrored at 1,1", [6, 2], [2, 1]),
        ("turned right at 1,1", [2, 2], [2, 3]),
        ("turned half at 1,1", [6, 2], [2, 2]),
        ("mirrored top-bottom at 1,1", [2, 2], [3, 2]),
    ],
)
def test_a_stitch_takes_its_threads_from_its_sign_on_and_turns_with_its_motif(
    tmp_path, options, eye, cross
):
    worked, findings = laid(tmp_path, f"  eyes {options}\n")
    assert findings == ()
    assert places(worked) == {"eye": [eye]}
    assert np.argwhere(worked.grid.T).tolist() == [cross]


def test_signs_below_each_other_are_one_bar(tmp_path):
    worked, _ = laid(tmp_path, "  bars at 2,2\n")
    bars = sorted((at[0], stand.stitch.over) for stand in worked.stands for at in stand.at.tolist())
    assert bars == [(4, (1, 4)), (5, (1, 3)), (6, (1, 2)), (7, (1, 1))]
    [lot] = worked.counted
    assert lot.strokes.run.tolist() == [0, 0, 0, 0]
    assert lot.strokes.fronts((1, 1)).tolist() == [4, 3, 2, 1]


def test_a_row_is_a_run_with_a_first_and_a_last(tmp_path):
    worked, _ = laid(tmp_path, "  row at 0,0\n  row at 4,0\n  row at 0,2\n")
    [lot] = worked.counted
    # Eight together, and four: two strokes more each than there are crosses.
    assert np.bincount(lot.strokes.run).tolist() == [18, 10]


@pytest.mark.parametrize(
    ("chart", "said"),
    [
        ("  eyes at 0,0\n  eyes at 1,1\n", "`eyes` lies on `eyes` with one stitch, at 1,1."),
        (
            "  row at 0,0\n  eyes at 0,0\n",
            "`eyes` lies on `row` with 2 stitches, the first at 0,0.",
        ),
        ("  eyes at 11,0\n", "`eyes` leaves the chart with 2 stitches, the first at 13,0."),
        ("  eyes at -1,0\n", "`eyes` leaves the chart with 1 stitch, at -1,0."),
    ],
)
def test_what_lies_on_it_or_leaves_the_chart_is_told(tmp_path, chart, said):
    _, findings = laid(tmp_path, chart)
    assert said in [each.message for each in findings]


def test_a_sign_in_every_cell_of_the_charts_own_rows_is_told(tmp_path):
    rows = ["oo..........", *["............"] * 7]
    _, (told,) = laid(tmp_path, "".join(f"  |{row}|\n" for row in rows))
    assert told.message == "The chart's own grid lies on itself with one stitch, at 0,0."
    assert "leave the other cells that they cover bare (`.`)" in str(told.hints[-1])


def test_another_takes_its_place_or_clears_it_away(tmp_path):
    worked, findings = laid(tmp_path, "  eyes at 0,0\n  row at 0,1 replacing\n")
    assert findings == ()
    assert set(places(worked)) == {"long-armed"}
    worked, findings = laid(tmp_path, "  eyes at 0,0\n  eyes at 0,0 clearing\n")
    assert findings == ()
    assert places(worked) == {"eye": [[0, 0]]}
    _, findings = laid(tmp_path, "  eyes at 0,0\n  row at 0,1 clearing\n")
    assert [each.name for each in findings] == ["cut-piece"]


def test_both_threads_of_a_stitch_are_counted(tmp_path):
    rows = ["r...........", *["." * 12] * 7]
    worked, _ = laid(tmp_path, "".join(f"  |{row}|\n" for row in rows) + "  line gold 4,6 8,6\n")
    uses = {use.thread.name: use for use in estimate(worked, worked.design.ground.fabric)}
    pitch = 25.4 / 32
    # Crossed corners: two diagonals of 4 before; the laid thread is as long as its line.
    assert uses["madder"].front == pytest.approx(2 * 32**0.5 * pitch)
    assert uses["gold"].front == pytest.approx((4 * 8**0.5 + 8) * pitch)
    assert uses["ink"].front == pytest.approx(2 * 2 * pitch)
    assert count(worked).counted == 1


def test_double_running_is_as_long_behind_as_before(tmp_path):
    worked, _ = laid(tmp_path, "  line run 1,1 5,1 5,5 1,5 1,1\n  line run 5,3 8,3\n")
    [use] = estimate(worked, worked.design.ground.fabric)
    assert use.front == pytest.approx(19 * 2 * 25.4 / 32)
    assert use.back == pytest.approx(use.front)
    [lot] = worked.counted
    assert set(lot.strokes.run) == {0}


def test_bars_are_worked_round_and_rows_by_their_own_strokes(tmp_path):
    rows = ["s" * 12, "." * 12, "=" * 12, *["." * 12] * 5]
    worked, findings = laid(tmp_path, "".join(f"  |{row}|\n" for row in rows))
    assert findings == ()
    uses = {use.thread.name: use for use in estimate(worked, worked.design.ground.fabric)}
    pitch = 25.4 / 32
    # Twelve bars one thread long and two apart: behind each to where the next comes up.
    stone = uses["stone"]
    assert stone.front == pytest.approx(12 * pitch)
    assert stone.back + stone.carried == pytest.approx(11 * math.hypot(2, 1) * pitch)
    [lot] = [each for each in worked.counted if thread_name(worked, each) == "sedge"]
    ways = np.stack([lot.strokes.up, lot.strokes.down], axis=1)
    front = np.hypot(*(ways[:, 1] - ways[:, 0]).T).sum()
    back = np.hypot(*(ways[1:, 0] - ways[:-1, 1]).T).sum()
    assert (uses["sedge"].front, uses["sedge"].back) == pytest.approx((front * pitch, back * pitch))


def test_a_row_of_herringbone_is_reckoned_by_its_strokes(tmp_path):
    # By hand: n stitches four threads high and apart are 2 n slanting legs, each sqrt(32) long, and
    # behind each but the last a stitch of two threads backwards.
    path = tmp_path / "test.linen"
    rows = ["=." * 6, *["." * 12] * 7]
    chart = "chart 12 x 8\n" + "".join(f"  |{row}|\n" for row in rows)
    path.write_text(HEAD.replace("long-armed", "herringbone") + chart, "utf-8")
    design, found = read(path)
    assert design is not None, found
    worked, findings = compose(design)
    assert findings == ()
    [use] = estimate(worked, worked.design.ground.fabric)
    pitch, n = 25.4 / 32, 5
    assert use.front == pytest.approx(2 * n * math.sqrt(32) * pitch)
    assert use.back == pytest.approx((2 * n - 1) * 2 * pitch)
    assert (use.carried, use.tails) == (0, 130)


def thread_name(worked, lot):
    return worked.entry(lot.index).parts[lot.part].needle[0].thread.name
