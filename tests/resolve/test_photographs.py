"""Photographs in a chart: what each shows, where, and that it moves with what it is tied to."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from click.testing import CliRunner
from linenleaf.cli import main
from linenleaf.compose.arrange import arrange
from linenleaf.core.matter import Showing
from linenleaf.core.raster import seen_size
from linenleaf.core.source import Source
from linenleaf.formatting.tidy import tidy
from linenleaf.resolve.read import read
from PIL import Image

CHART = """linen 2
fabric linen 32 over 2
key
  m  #a03a3a "madder"
motif reed 4 x 2
  |m..m|
  |.mm.|
chart 20 x 20
  reed at 2,3 named first
  reed below gap 2 named second
photograph band.jpg
  shows    second
  corners  10,10 90,12 91,70 9,68
  landmark 2,1 at 50,40
"""


def photograph(turned: int = 1) -> bytes:
    """A JPEG of 100 x 80 pixels; turned: what its Exif says of how it is to be looked at."""
    exif = Image.Exif()
    exif[0x0112] = turned
    into = io.BytesIO()
    Image.new("RGB", (100, 80), "#e8e0d0").save(into, "JPEG", exif=exif)
    return into.getvalue()


def told(folder: Path, text: str, data: bytes | None = None) -> tuple[Showing | None, list[str]]:
    (folder / "band.jpg").write_bytes(data or photograph())
    path = folder / "chart.linen"
    path.write_text(text, "utf-8")
    design, findings = read(path)
    names = [each.name for each in findings]
    if design is None:
        return None, names
    placed, _ = arrange(design)
    return placed.showings[0], names


def test_it_shows_the_thing_where_that_came_to_lie(tmp_path):
    showing, names = told(tmp_path, CHART)
    assert names == []
    assert (showing.x0, showing.y0, showing.x1, showing.y1) == (2, 7, 6, 9)
    assert showing.corners == ((10, 10), (90, 12), (91, 70), (9, 68))
    assert showing.landmarks == (((2, 1), (50, 40)),)
    moved, _ = told(tmp_path, CHART.replace("gap 2", "gap 5"))
    assert (moved.y0, moved.y1) == (10, 12)


@pytest.mark.parametrize(
    ("part", "box"),
    [
        ("chart", (0, 0, 20, 20)),
        ("1,2 to 9,14", (1, 2, 9, 14)),
        ("second 1,0 to 3,2", (3, 7, 5, 9)),
    ],
)
def test_other_parts(tmp_path, part, box):
    text = CHART.replace("shows    second", f"shows    {part}")
    showing, names = told(tmp_path, text)
    assert names == []
    assert (showing.x0, showing.y0, showing.x1, showing.y1) == box
    assert tidy(Source("chart.linen", text))[0].replace("\n\n", "\n") == text


def test_its_size_is_that_of_the_picture_as_it_is_looked_at(tmp_path):
    assert seen_size(photograph(1)) == (100, 80)
    assert seen_size(photograph(6)) == (80, 100)  # Exif 2.32, 4.6.4: turned by a quarter
    showing, _ = told(tmp_path, CHART, photograph(6))
    assert (showing.width, showing.height) == (80, 100)


@pytest.mark.parametrize(
    ("old", "new", "name"),
    [
        ("  shows    second\n", "", "incomplete-photograph"),
        ("  corners  10,10 90,12 91,70 9,68\n", "", "incomplete-photograph"),
        ("  shows    second\n", "  shows    second\n  shows    first\n", "repeated-line"),
        ("shows    second", "shows    third", "unknown-thing"),
        ("band.jpg", "bend.jpg", "missing-file"),
        ("band.jpg", "../band.jpg", "outside-folder"),
        ("10,10 90,12", "10,10 90000,12", "absurd-number"),
        ("91,70 9,68", "91,70", "line-stops-early"),
    ],
)
def test_what_is_wrong_is_told(tmp_path, old, new, name):
    showing, names = told(tmp_path, CHART.replace(old, new))
    assert showing is None
    assert name in names, names


def test_a_damaged_photograph_is_told(tmp_path):
    showing, names = told(tmp_path, CHART, photograph()[:-200])
    assert showing is None
    assert names == ["damaged-picture"]


def test_tidy_writes_out_what_it_shows(tmp_path):
    told(tmp_path, CHART)
    path = tmp_path / "chart.linen"
    done = CliRunner().invoke(main, ["tidy", "--absolute", str(path)])
    assert done.exit_code == 0, done.output
    assert "shows    2,7 to 6,9\n" in path.read_text("utf-8")


def test_a_difference_tells_of_photographs(tmp_path):
    for name, text in (("old", CHART), ("new", CHART.replace("9,68", "8,68"))):
        (tmp_path / name).mkdir()
        told(tmp_path / name, text)
    paths = [str(tmp_path / name / "chart.linen") for name in ("old", "new")]
    done = CliRunner().invoke(main, ["diff", *paths])
    assert "photograph band.jpg" in done.output
    assert "shows 2,7 to 6,9, corners 10,10 90,12 91,70 8,68" in done.output
