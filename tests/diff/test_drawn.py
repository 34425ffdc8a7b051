"""The picture of changes: rings where cells differ, the chart's own colours inside them."""

import io
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis.extra import numpy as hnp
from linenleaf.cli import main
from linenleaf.diff.compare import compare
from linenleaf.diff.entries import entries
from linenleaf.diff.sidebyside import TooMuch, picture
from linenleaf.diff.views import MOST, MOST_OUTLINED, ShownSide, marks, merged, outline, view
from PIL import Image
from scipy import ndimage

from tests.charts import motif
from tests.diff.pairs import at, compared, of_grid, of_items

DATA = Path(__file__).resolve().parent.parent / "data" / "diff"
RING = (0xB0, 0x10, 0x3C)
SVG = "{http://www.w3.org/2000/svg}"


def one_cell_changed(shape=(40, 50), at_x=20, at_y=17):
    old = np.ones(shape, np.uint16)
    new = old.copy()
    new[at_y, at_x] = 2
    return compared(of_grid(old), of_grid(new), thread=False)


def pixels(found):
    return np.asarray(Image.open(io.BytesIO(picture(found, ".png"))).convert("RGB")).astype(int)


def near(image, colour, by=24):
    return np.abs(image - colour).sum(axis=2) < by


def test_one_ring_before_and_one_after():
    image = pixels(one_cell_changed())
    labels, _ = ndimage.label(near(image, RING, 60), np.ones((3, 3)))
    boxes = ndimage.find_objects(labels)
    large = [each for each in boxes if each[0].stop - each[0].start > 20]
    assert len(large) == 2
    before, after = sorted(large, key=lambda each: each[1].start)
    assert before[0] == after[0]  # at the same height, side by side
    assert before[1].stop < image.shape[1] / 2 < after[1].start


def test_within_the_rings_are_the_colours_of_both_charts():
    found = one_cell_changed()
    image = pixels(found)
    labels, _ = ndimage.label(near(image, RING, 60), np.ones((3, 3)))
    rings = sorted(
        (each for each in ndimage.find_objects(labels) if each[0].stop - each[0].start > 20),
        key=lambda each: each[1].start,
    )
    colours = ["#a03a3a", "#5f7a4a"]  # madder before, sedge after
    for ring, colour in zip(rings, colours, strict=True):
        rgb = [int(colour[at : at + 2], 16) for at in (1, 3, 5)]
        rows, columns = ring
        middle = image[
            (rows.start + rows.stop) // 2 - 10 : (rows.start + rows.stop) // 2 + 10,
            (columns.start + columns.stop) // 2 - 10 : (columns.start + columns.stop) // 2 + 10,
        ]
        assert near(middle, rgb).mean() > 0.15


def test_the_svg_says_what_it_shows():
    root = ET.fromstring(picture(one_cell_changed(), ".svg"))
    assert root.find(f"{SVG}title").text == "What changed in Test"
    assert "Row 18, column 21: 1 cross madder → sedge." in root.find(f"{SVG}desc").text
    names = [each.get("id") for each in root.iter(f"{SVG}pattern")]
    assert len(names) == len(set(names))
    used = {
        each.get("fill")[5:-1]
        for each in root.iter(f"{SVG}path")
        if (each.get("fill") or "").startswith("url(#")
    }
    assert used <= set(names)


def test_places_far_apart_have_pairs_of_their_own_and_near_ones_share():
    old = np.ones((300, 300), np.uint16)
    new = old.copy()
    new[10, 10] = new[14, 16] = new[250, 280] = 2
    found = compared(of_grid(old), of_grid(new), thread=False)
    views = merged(found, [view(found, each) for each in entries(found).items])
    assert len(views) == 2
    assert all(each.old.window == each.new.window for each in views)
    assert [len(each.new.cells) for each in views] == [2, 1]


def test_a_move_across_the_chart_shows_both_places():
    tern = motif("tern", "..mm...", ".mmmmss", "mm.kmm.", "...m...")
    reed = motif("reed", *["s"] * 6)

    def chart(x):
        items = at("tern", x, 5), *(at("reed", n, 60) for n in range(0, 200, 9))
        return of_items((200, 80), *items, motifs=(tern, reed))

    found = compared(chart(3), chart(180), thread=False)
    [item] = entries(found).items
    seen = view(found, item)
    assert seen.old.window[0] == 0
    assert seen.new.window[2] == 192
    assert seen.old.window[2] - seen.old.window[0] < MOST[0]
    near_by = view(compared(chart(3), chart(20), thread=False), entries(found).items[0])
    assert near_by.old.window[2] - near_by.old.window[0] < MOST[0]


@pytest.mark.parametrize(
    ("new", "suffix"),
    [
        ("boats-motif", ".svg"),
        ("boats-moves", ".svg"),
        ("boats-moves", ".png"),
        ("boats-moves", ".pdf"),
        ("boats-key", ".svg"),
        ("boats-shifted", ".svg"),
    ],
)
def test_every_difference_can_be_drawn(new, suffix, tmp_path):
    target = tmp_path / f"change{suffix}"
    charts = [str(DATA / f"{each}.linen") for each in ("boats-1", new)]
    done = CliRunner().invoke(main, ["diff", *charts, "-o", str(target)])
    assert done.exit_code == 0, done.output
    assert done.output.endswith(f"{target}\n")
    data = target.read_bytes()
    if suffix == ".png":
        image = Image.open(io.BytesIO(data))
        assert image.width <= 1600
    elif suffix == ".svg":
        assert ET.fromstring(data).tag == f"{SVG}svg"
    else:
        assert len(pypdfium2.PdfDocument(data)) >= 1


def test_a_picture_is_the_same_each_time():
    found = one_cell_changed()
    assert picture(found, ".png") == picture(found, ".png")
    assert picture(found, ".svg") == picture(found, ".svg")


def test_a_huge_chart_is_drawn_small():
    old = np.random.default_rng(1).integers(1, 4, (40, 500)).astype(np.uint16)
    new = old.copy()
    new[5:35, 5:495] = 2
    found = compared(of_grid(old), of_grid(new), thread=False)
    image = Image.open(io.BytesIO(picture(found, ".png")))
    assert image.width <= 1600
    assert np.asarray(image).std() > 10


@given(hnp.arrays(bool, hnp.array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=9)))
def test_the_outline_goes_once_round_every_marked_cell(mask):
    edges = set()
    for run in outline(mask).split("M")[1:]:
        if "H" in run:
            start, end = run.split("H")
            x, y = map(int, start.split())
            steps = {((each, y), (each + 1, y)) for each in range(x, int(end))}
        else:
            start, end = run.split("V")
            x, y = map(int, start.split())
            steps = {((x, each), (x, each + 1)) for each in range(y, int(end))}
        assert not steps & edges
        edges |= steps
    expected = set()
    for y, x in np.argwhere(mask).tolist():
        sides = [((x, y), (x + 1, y)), ((x, y + 1), (x + 1, y + 1)), ((x, y), (x, y + 1)),
                 ((x + 1, y), (x + 1, y + 1))]  # fmt: skip
        expected ^= set(sides)
    assert edges == expected


def test_what_lies_outside_the_window_is_not_drawn():
    cells = np.array([[0, 0], [15, 12], [99, 99]])
    drawn = marks(ShownSide((10, 10, 20, 20), cells, ((40.0, 40.0, 50.0, 50.0),)))
    assert drawn.outline.count("M") == 4
    assert drawn.rings.count("M") == 1


def test_where_very_many_cells_differ_only_rings_are_drawn():
    wide, high = 100, MOST_OUTLINED // 100
    window = (0, 0, wide, high + 1)
    cells = np.argwhere(np.ones((wide, high), bool))
    assert marks(ShownSide(window, cells, ())).outline
    drawn = marks(ShownSide(window, np.concatenate((cells, [[0, high]])), ()))
    assert (drawn.outline, drawn.rings.count("M")) == ("", 1)


def test_charts_without_a_changed_place_are_shown_whole():
    grid = np.ones((6, 9), np.uint16)
    found = compare(of_grid(grid), of_grid(grid))
    [whole] = merged(found, [])
    assert whole.old.window == whole.new.window == (0, 0, 9, 6)
    assert picture(found, ".png")


def test_a_picture_of_too_much_is_refused_in_a_sentence(monkeypatch):
    old, new = np.ones((2, 40, 40), np.uint16)
    new[::7, 1:-1:7] = 2
    found = compared(of_grid(old), of_grid(new), thread=False)
    assert picture(found, ".svg")
    # 40 rows before; after, 6 of them have 6 cells of another thread, each of which parts a run.
    monkeypatch.setattr("linenleaf.diff.sidebyside.MOST_RUNS", 40 + 40 + 6 * 12 - 1)
    with pytest.raises(TooMuch, match=r"would show 152 runs of cells, and at most 151"):
        picture(found, ".svg")
