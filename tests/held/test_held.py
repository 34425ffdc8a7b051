"""A chart held against a photograph of a piece that is known: what is told, drawn and counted."""

from __future__ import annotations

import io
import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from linenleaf.cli import main
from linenleaf.compose.compose import compose
from linenleaf.flow import follow
from linenleaf.held.expected import part_of
from linenleaf.resolve.read import read
from PIL import Image

from ..photographs import Conditions, painted, photographed

WIDE, HIGH = 56, 26
HEAD = """linen 2
fabric linen 32 over 2
  colour #e4d8be "flax"
key
  m  #7a2f35 "madder"
  s  #3f5f46 "sedge"
  k  #2f4a72 "tide"
"""
SPRIG = """motif sprig 9 x 9
  |....m....|
  |...mmm...|
  |..mmkmm..|
  |.ss.m.ss.|
  |..sssss..|
  |...sss...|
  |....s....|
  |..sssss..|
  |.ss...ss.|
motif row 8 x 3
  |kk....kk|
  |..kkkk..|
  |mmmmmmmm|
"""
ROWS = ["." * WIDE] * HIGH


def source(second: str = "sprig at 18,7", more: str = "", corners: str = "") -> str:
    lines = [f"chart {WIDE} x {HIGH}", "  row x 6 at 4,2 step 8,0", "  sprig at 6,7"]
    lines += [f"  {second}", "  sprig at 30,7", "  sprig at 42,7 named last"]
    lines += ["  row x 6 mirrored top-bottom at 4,20 step 8,0", more]
    if corners:
        lines += ["photograph piece.jpg", "  shows chart", f"  corners {corners}"]
    return "\n".join([HEAD + SPRIG.rstrip(), *filter(None, lines), ""])


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """With a photograph of the piece, and where its corners were clicked."""
    folder = tmp_path_factory.mktemp("held")
    chart = folder / "true.linen"
    chart.write_text(source(), "utf-8")
    worked = follow(chart).worked
    piece = painted(worked, 0.3, np.random.default_rng(5))
    taken = photographed(piece, Conditions(), 5)
    (folder / "piece.jpg").write_bytes(taken.data)
    corners = " ".join(f"{u:.1f},{v:.1f}" for u, v in taken.placing.corners)
    (folder / "corners.txt").write_text(corners, "utf-8")
    return folder


def held(folder: Path, text: str, *options: str) -> Result:
    chart = folder / "chart.linen"
    chart.write_text(text, "utf-8")
    return CliRunner().invoke(main, ["check", "--photographs", str(chart), *options])


def corners(folder: Path) -> str:
    return (folder / "corners.txt").read_text("utf-8")


def test_a_chart_that_is_right_is_let_pass(folder):
    done = held(folder, source(corners=corners(folder)))
    assert done.exit_code == 0
    assert done.output.endswith("chart.linen: no findings\n")


def test_what_differs_is_told_where_it_was_placed(folder):
    text = source("sprig at 18,8", corners=corners(folder))  # a row too low
    text = text.replace("|....s....|", "|..k.s....|")  # in four copies, of which one lies off
    done = held(folder, text, "--format", "json")
    told = json.loads(done.output)
    findings = [each for each in told["findings"] if each["name"] != "speck"]
    names = [each["name"] for each in findings]
    assert names.count("extra-cross") + names.count("wrong-thread") == 0
    assert names.count("missing-cross") >= 3, names
    off = [each for each in findings if each["name"].endswith("-off")]
    assert off, names
    assert all("one row higher" in each["message"] for each in off)
    assert "sprig at 18,8" in text.splitlines()[off[0]["place"]["line"] - 1]
    [photograph] = told["photographs"]
    assert photograph["file"] == "piece.jpg"
    lost = [each for each in photograph["differences"] if each["kind"] == "missing-cross"]
    assert {(8, 13), (32, 13), (44, 13)} <= {tuple(each["cells"][0]) for each in lost}
    assert all(each["chart"] == "k" and each["photograph"] is None for each in lost)
    assert all(0 <= each["sureness"] <= 1 for each in lost)


def test_departures_are_told_apart(folder):

    text = source(corners=corners(folder)).replace("  sprig at 42,7 named last", "")
    text = text.replace(
        "  sprig at 30,7", "  sprig at 30,7\n  sprig at 42,7 named last with m as s"
    )
    text += 'departure in last "Green here: the red has run."\n'
    done = held(folder, text)
    assert done.exit_code == 0
    assert "[told-apart]" in done.output
    assert "wrong-thread" not in done.output


def test_wrong_corners_are_refused(folder):
    first, second, third, fourth = corners(folder).split()
    crossed = " ".join([second, first, third, fourth])
    done = held(folder, source(corners=crossed))
    assert done.exit_code == 1
    assert "[corners-crossed]" in done.output
    u, v = second.split(",")
    near = " ".join([first, f"{float(u) - 60:.1f},{v}", third, fourth])
    done = held(folder, source(corners=near))
    assert "[slipped]" in done.output
    assert "missing-cross" not in done.output


def test_the_picture_shows_both(folder):
    chart = folder / "chart.linen"
    chart.write_text(source("sprig at 18,8", corners=corners(folder)), "utf-8")
    target = folder / "shown.png"
    done = CliRunner().invoke(
        main, ["picture", str(chart), "--of", "photographs", "-o", str(target), "--width", "400"]
    )
    assert done.exit_code == 0, done.output
    with Image.open(io.BytesIO(target.read_bytes())) as picture:
        wide, high = picture.size
        rings = (np.asarray(picture.convert("RGB")) == (176, 16, 60)).all(axis=-1)
    assert 300 <= wide <= 400
    assert high > 3 * wide * HIGH / WIDE  # three panels, one below the other
    thirds = np.array_split(rings, 3)
    assert all(third.any() for third in thirds)


def test_without_a_photograph_there_is_nothing_to_show(folder):
    chart = folder / "bare.linen"
    chart.write_text(source(), "utf-8")
    done = CliRunner().invoke(main, ["picture", str(chart), "--of", "photographs"])
    assert done.exit_code == 2
    assert "it has no `photograph`" in done.stderr
    assert not (folder / "bare-photographs.png").exists()


def test_cells_under_lines_and_threads_of_two_lines_are_known(tmp_path):
    text = source(more="  line rope 20,10 24,14\n  line rope 2,2 40,2", corners="1,1 9,1 9,9 1,9")
    more = 'key\n  /  #7a2f35 "madder" half up\n  rope  #20242c "ink" back\n'
    text = text.replace("key\n", more, 1)
    Image.new("RGB", (10, 10)).save(tmp_path / "piece.jpg")
    path = tmp_path / "chart.linen"
    path.write_text(text, "utf-8")
    design, _ = read(path)
    worked, _ = compose(design)
    part = part_of(worked, worked.design.showings[0])
    beset = np.argwhere(~part.expected.plain)
    assert {(10, 20), (11, 21), (12, 22), (13, 23)} == set(map(tuple, beset.tolist()))
    assert [entry.symbol for entry in part.threads] == ["m", "rope", "s", "k"]
