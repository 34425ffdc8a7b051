"""One picture of a chart: SVG that reads well and renders right, PNG and JPEG that show it."""

import io
import re
from dataclasses import replace

import cairosvg
import numpy as np
import pytest
from linenleaf.cloth.scale import LARGEST, lattice
from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.items import Placement
from linenleaf.core.key import KeyEntry, Kind, Part, Strands, Way
from linenleaf.core.matter import Booklet
from linenleaf.pictures.caption import description, prefix
from linenleaf.pictures.painting import STRONG, text_path
from linenleaf.pictures.picture import SUFFIXES, render
from lxml import etree
from PIL import Image

from ..charts import INK, LAMP, MADDER, SEDGE, cell, design, knot, line, motif, part

SVG = "{http://www.w3.org/2000/svg}"
MIXED = (
    cell("m", part(MADDER)),
    cell("s", part(SEDGE)),
    cell("k", part(INK)),
    cell("/", part(SEDGE, Kind.HALF, Way.UP)),
    cell(
        "q",
        part(MADDER, Kind.THREE_QUARTER, Way.TOP_LEFT),
        part(SEDGE, Kind.QUARTER, Way.BOTTOM_RIGHT),
    ),
    cell("+", part(INK, Kind.UPRIGHT)),
    KeyEntry("b", (Part(Kind.FULL, (Strands(INK, 1), Strands(LAMP, 1))),)),
    KeyEntry("lantern", (part(LAMP, Kind.BACK, strands=1),)),
    KeyEntry("eye", (part(INK, Kind.KNOT, strands=1),)),
)


def worked(*arguments, title: str = "Test", **more) -> WorkedChart:
    meant = replace(design(*arguments, **more), booklet=Booklet(title))
    made, findings = compose(meant)
    assert made is not None, findings
    return made


def everything(title: str = "Test") -> WorkedChart:
    """A chart with each kind of stitch, a piece off the grid and one over one."""
    rows = ("mmssk/q+b...", "mmssk/q+b...") + ("............",) * 8
    spot, small = motif("spot", "mm", "ms"), motif("small", "sk", "ks", over=1)
    return worked(
        (12, 10),
        Placement("spot", 2.5, 4),
        Placement("small", 6, 4),
        line("lantern", (1, 8), (5, 8), (7, 6)),
        knot("eye", (9, 8), (10.5, 8)),
        key=MIXED,
        motifs=[spot, small],
        title=title,
        rows=rows,
    )


def rgb(colour: str) -> np.ndarray:
    return np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)])


def opened(data: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(data)) as image:
        return np.asarray(image.convert("RGB")).astype(int)


@pytest.mark.parametrize("what", ["piece", "chart"])
@pytest.mark.parametrize("suffix", SUFFIXES)
def test_every_form_opens_and_is_the_same_each_time(what, suffix):
    chart = everything()
    data = render(chart, what, suffix, 640)
    assert data == render(everything(), what, suffix, 640)
    if suffix == ".svg":
        assert etree.fromstring(data).get("width") == "640"
    else:
        picture = opened(data)
        assert 640 - 40 <= picture.shape[1] <= 640
        assert picture.std() > 10


@pytest.mark.parametrize("what", ["piece", "chart"])
def test_svg_tells_what_it_shows_and_runs_nothing(what):
    title = 'Tide & <script>alert("x")</script>'
    root = etree.fromstring(render(everything(title), what, ".svg", 640))
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    heading, words = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert heading.text.startswith(title)
    assert words.text == ("12 by 10 crosses in 4 colours, drawn for 32-count linen over two.")
    assert root.get("aria-labelledby").split() == [heading.get("id"), words.get("id")]
    tags = {each.tag.removeprefix(SVG) for each in root.iter()}
    assert tags <= {"svg", "title", "desc", "defs", "pattern", "g", "path", "use"}
    ids = [each.get("id") for each in root.iter() if each.get("id")]
    assert len(ids) == len(set(ids))
    for each in root.iter():
        for name, value in each.attrib.items():
            assert not name.startswith("on")
            for target in re.findall(r"url\(#([^)]*)\)", value):
                assert target in ids
            assert "url(" not in value or "url(#" in value
            if name.endswith("href"):
                assert value.removeprefix("#") in ids


def test_two_pictures_on_a_page_do_not_share_names():
    one, other = everything(), everything("Another")
    assert prefix(one) != prefix(other)
    assert prefix(one) != prefix(worked(rows=["mm"]))
    assert prefix(one) == prefix(everything())


def test_the_chart_in_pixels_has_each_cell_in_its_colour_with_its_symbol():
    chart = worked(rows=["mmss", "mksk", "...."])
    picture = opened(render(chart, "chart", ".png", 1200))
    unit = _unit(picture, 4)
    left, top = (picture.shape[1] - 4 * unit) // 2, (picture.shape[0] - 3 * unit) // 2
    for y, row in enumerate(("mmss", "mksk")):
        for x, mark in enumerate(row):
            area = picture[
                top + y * unit : top + (y + 1) * unit, left + x * unit : left + (x + 1) * unit
            ]
            ground = rgb({"m": MADDER, "s": SEDGE, "k": INK}[mark].colour)
            same = np.abs(area - ground).max(axis=2) < 6
            assert same.mean() > 0.35, (x, y)
            inner = ~same[unit // 5 : -unit // 5, unit // 5 : -unit // 5]
            assert inner.mean() > 0.01, (x, y)  # a symbol stands in it
    bare = picture[top + 2 * unit + unit // 2, left + unit // 2]
    assert bare.tolist() == [255, 255, 255]


def _unit(picture: np.ndarray, columns: int) -> int:
    """Pixels of a cell: the widest run of the first row that is not paper, by columns."""
    dark = np.nonzero(np.abs(picture - rgb(MADDER.colour)).max(axis=2) < 6)
    return round((dark[1].max() - dark[1].min()) / 2)


def test_cells_too_small_for_symbols_show_plain_fills():
    rows = ["ms" * 60] * 100
    picture = opened(render(worked(rows=rows), "chart", ".png", 400))
    colours = {tuple(each) for each in picture.reshape(-1, 3).tolist()}
    assert tuple(rgb(MADDER.colour)) in colours
    assert tuple(rgb(SEDGE.colour)) in colours


def test_the_chart_as_svg_and_in_pixels_agree():
    chart = everything()
    data = render(chart, "chart", ".png", 900)
    size = opened(data).shape
    drawn = cairosvg.svg2png(
        bytestring=render(chart, "chart", ".svg", 900), output_width=size[1], output_height=size[0]
    )
    apart = np.abs(opened(data) - opened(drawn)).mean()
    assert apart < 12


def test_pieces_lines_and_knots_stand_at_their_places_in_the_chart():
    plain, full = worked((12, 10), key=MIXED), everything()
    before, after = (opened(render(each, "chart", ".png", 900)) for each in (plain, full))
    assert before.shape == after.shape
    changed = np.abs(before - after).max(axis=2) > 40
    rows, columns = np.nonzero(changed)
    # The first stitch is at 0,0 and the last thing drawn, a knot, at 10.5,8.
    unit = (columns.max() - columns.min()) / 10.8
    assert 50 < unit < 62
    left, top = columns.min(), rows.min()
    for x, y, colour in ((3.5, 4.12, MADDER), (9, 8, INK), (10.5, 8, INK)):
        seen = after[round(top + y * unit), round(left + x * unit)]
        assert np.abs(seen - rgb(colour.colour)).max() < 40, (x, y, seen)


def test_the_piece_as_svg_shows_each_thread_in_its_cell():
    chart = worked(rows=["mmss", "kkss"])
    width = 700
    picture = opened(cairosvg.svg2png(bytestring=render(chart, "piece", ".svg", width)))
    margin = lattice(chart, width=width).margin
    unit = width / (4 + 2 * margin)
    for y, row in enumerate(("mmss", "kkss")):
        for x, mark in enumerate(row):
            top, left = round((margin + y) * unit), round((margin + x) * unit)
            area = picture[top : top + round(unit), left : left + round(unit)]
            thread = {"m": MADDER, "s": SEDGE, "k": INK}[mark]
            assert (np.abs(area - rgb(thread.colour)).max(axis=2) < 12).mean() > 0.2, (x, y)
    corner = picture[5 : round(unit), 5 : round(unit)].mean(axis=(0, 1))
    assert np.abs(corner - rgb("#f1ebdd")).max() < 30


def test_the_piece_as_svg_has_one_path_for_each_thread_and_leg():
    root = etree.fromstring(render(worked(rows=["ms"] * 30), "piece", ".svg", 400))
    paths = [each for each in root.iter(f"{SVG}path") if each.get("id")]
    assert len(paths) == 4  # two threads, two legs each
    assert all(each.get("d").count("M") == 30 for each in paths)


def test_no_picture_of_a_chart_is_larger_than_it_may_be():
    with Image.open(io.BytesIO(render(worked((40, 2000)), "chart", ".png", 8000))) as image:
        assert image.width * image.height < LARGEST * 1.1


def test_another_form_is_a_fault_of_ours():
    with pytest.raises(ValueError, match="no such picture"):
        render(worked(rows=["m"]), "piece", ".gif", 100)
    with pytest.raises(ValueError, match="no such picture"):
        render(worked(rows=["m"]), "cover", ".png", 100)


def test_what_a_picture_says_of_itself():
    assert (
        description(worked(rows=["mm"]))
        == "2 by 1 crosses in 1 colour, drawn for 32-count linen over two."
    )


def test_figures_as_outlines_stand_where_they_are_anchored():
    def reach(anchor: str) -> tuple[float, float]:
        svg = (
            f'<svg xmlns="{SVG[1:-1]}" viewBox="0 0 100 20" width="1000" height="200">'
            f'<path d="{text_path("120", 50, 15, 10, STRONG, anchor)}"/></svg>'
        )
        with Image.open(io.BytesIO(cairosvg.svg2png(bytestring=svg.encode()))) as image:
            columns = np.nonzero(np.asarray(image)[..., 3].max(axis=0))[0]
        return columns.min() / 10, columns.max() / 10

    start, middle, end = reach("start"), reach("middle"), reach("end")
    assert 50 <= start[0] < 51.5
    assert 48.5 < end[1] <= 50
    assert sum(middle) / 2 == pytest.approx(50, abs=0.5)
    assert start[1] - start[0] == pytest.approx(end[1] - end[0], abs=0.15)
