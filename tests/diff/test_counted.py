"""Counted stitches between two charts: told once, with the motif that they stand in."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner
from linenleaf.cli import main

HEAD = """\
linen 2
booklet "Test"
fabric linen 32 over 2
key
  m  #a03a3a "madder"
  o  #223388 "tide" eye
motif spot 4 x 2
  |o.o.|
  |....|
"""


def told(folder: Path, old: str, new: str, change: tuple[str, str] = ("", "")) -> str:
    for name, chart in (("old", old), ("new", new)):
        head = HEAD.replace(*change) if name == "new" and change[0] else HEAD
        (folder / f"{name}.linen").write_text(f"{head}chart 12 x 6\n{chart}", "utf-8")
    done = CliRunner().invoke(main, ["diff", str(folder / "old.linen"), str(folder / "new.linen")])
    return done.output


def test_a_motif_of_eyelets_moves_as_one(tmp_path):
    said = told(tmp_path, "  spot at 0,0\n", "  spot at 2,1\n")
    assert "spot moved 2 columns to the right and 1 row down, from 0,0 to 2,1" in said
    assert "Algerian eye" not in said


def test_single_stitches_are_told_by_name_and_place(tmp_path):
    rows = ["o...........", *["." * 12] * 5]
    more = [rows[0], rows[1], "....o.o.....", *rows[3:]]
    old, new = ("".join(f"  |{row}|\n" for row in each) for each in (rows, more))
    assert "2 x Algerian eye tide added, at 4,2 and 6,2" in told(tmp_path, old, new)
    assert told(tmp_path, old, old).endswith(
        "No difference that can be seen on the chart or in its words.\n"
    )


def test_a_stitch_of_another_kind_is_told_of_the_key(tmp_path):
    said = told(tmp_path, "  spot at 0,0\n", "  spot at 0,0\n", ('"tide" eye', '"tide" smyrna'))
    assert "o: tide, Algerian eye, 2 strands -> tide, Smyrna cross, 2 strands" in said
    assert "Lines and knots" not in said
