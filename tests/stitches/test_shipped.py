"""The shipped file of stitches: its copy, and that one more entry is all that a stitch takes."""

from __future__ import annotations

import numpy as np
import pytest
from linenleaf.booklet.strokediagrams import stroke_diagram
from linenleaf.chart.counted import sample
from linenleaf.chart.options import Ink
from linenleaf.compose.compose import compose
from linenleaf.count.thread import estimate
from linenleaf.grammar import shipped_stitches
from linenleaf.resolve import counted
from linenleaf.resolve.counted import read_shipped
from linenleaf.resolve.read import read
from linenleaf.stitches.kinds import NAMED
from linenleaf.stitches.shipped import shipped

ENTRY = """
stitch wave "wave stitch" over 4 x 2
  up 0,2 down 2,0  up 2,2 down 4,0
"""


def test_the_copy_that_is_read_is_that_of_the_file():
    made, findings = read_shipped(shipped_stitches())
    assert findings == []
    assert made == list(shipped().values())


def test_one_entry_is_all_that_a_stitch_takes(tmp_path, monkeypatch):
    made, findings = read_shipped(shipped_stitches() + ENTRY)
    assert findings == []
    wave = made[-1]
    monkeypatch.setattr(counted, "NAMED", {**NAMED, wave.name: wave})
    path = tmp_path / "wave.linen"
    path.write_text(
        'linen 2\nfabric linen 32 over 2\nkey\n  w  #a03a3a "madder" wave\nchart 4 x 1\n  |w.w.|\n',
        "utf-8",
    )
    design, told = read(path)
    assert told == ()
    worked, told = compose(design)
    assert told == ()
    [lot] = worked.counted
    assert lot.strokes.fronts((1, 1)).tolist() == pytest.approx([8**0.5] * 4)
    # Drawn on the chart, in the key and as a numbered diagram, and its thread is reckoned.
    assert sample(design, 1, Ink.COLOUR, 2, 0.7).d
    assert len(stroke_diagram(wave, False).strokes) >= 2
    [use] = estimate(worked, design.ground.fabric)
    assert use.skeins > 0


# --- for each cross, for each stretch ----------------------------------------------------------

OWN = """\
linen 2
fabric linen 32 over 2
stitch star over 2 x 2 per cross
  up 0,2 down 1,1  up 2,2 down 1,1  up 2,0 down 1,1  up 0,0 down 1,1
stitch dash over 2 x 0 per cross on lines
  up 2,0 down 0,0
stitch long over 2 x 0 per stretch on lines
  up 2,0 down 0,0
key
  s     #a03a3a "madder" star
  dash  #20242c "ink" dash
  long  #227744 "sedge" long
motif small 1 x 1 over 1 strands 1
  |s|
motif large 1 x 1 over 4
  |s|
chart 8 x 6
"""


def laid(tmp_path, chart: str):
    path = tmp_path / "own.linen"
    path.write_text(OWN + chart, "utf-8")
    design, _ = read(path)
    assert design is not None
    worked, _ = compose(design)
    assert worked is not None
    return worked


@pytest.mark.parametrize(("name", "threads"), [("small", 1), ("large", 4)])
def test_a_stitch_for_each_cross_is_as_large_as_a_cross(tmp_path, name, threads):
    worked = laid(tmp_path, f"  {name} at 1,1\n")
    [stand] = worked.stands
    assert stand.stitch.over == (threads, threads)
    [lot] = worked.counted
    ends = np.concatenate([lot.strokes.up, lot.strokes.down]) - 2
    assert ends.min() == 0
    assert ends.max() == threads
    assert (lot.strokes.down - 2 == threads / 2).all()


@pytest.mark.parametrize(("word", "lengths"), [("dash", [2] * 6), ("long", [8, 4])])
def test_on_lines_it_is_as_long_as_a_cross_or_as_a_stretch(tmp_path, word, lengths):
    worked = laid(tmp_path, f"  line {word} 1,1 5,1 5,3\n")
    [lot] = worked.counted
    assert lot.strokes.fronts((1, 1)).tolist() == lengths


@pytest.mark.parametrize(
    ("stitch", "name"),
    [
        ("bad over 2 x 2 per cross", None),
        ("bad over 3 x 3 per cross", "stitch-words"),
        ("bad over 2 x 2 per stretch", "stitch-words"),
        ("bad over 2 x 2 per cross along rows", "stitch-words"),
        ("bad over 2 x 2 step 4,0 per cross", "stitch-words"),
        ("second over 2 x 2", "reserved-name"),
        ("with over 2 x 2", "reserved-name"),
        ("half over 2 x 2", "duplicate-stitch"),
    ],
)
def test_what_cannot_be_stretched_or_named_is_told(tmp_path, stitch, name):
    path = tmp_path / "bad.linen"
    path.write_text(
        f"linen 2\nfabric linen 32 over 2\nstitch {stitch}\n  up 0,2 down 2,0\n"
        'key\n  m  #a03a3a "madder"\nchart 1 x 1\n  |m|\n',
        "utf-8",
    )
    _, findings = read(path)
    told = [(each.name, each.span.line) for each in findings if each.span]
    assert told == ([] if name is None else [(name, 3)])
