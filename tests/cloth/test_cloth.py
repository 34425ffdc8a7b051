"""The painted cloth: right colours at right places, the same bytes each time.

The tolerances are for shading: a cross is drawn with light and shadow, so that its middle comes
near its thread's colour but not onto it.
"""

import hashlib
import io
import subprocess
import sys

import numpy as np
import pytest
from linenleaf.cloth.cloth import jpeg, paint, png
from linenleaf.cloth.scale import LARGEST, lattice
from linenleaf.cloth.tiles import legs_of
from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.ground import Fabric
from linenleaf.core.items import Mirror, Placement
from linenleaf.core.key import KeyEntry, Kind, Part, Strands, Way
from PIL import Image

from ..charts import INK, LAMP, MADDER, SEDGE, cell, design, knot, line, motif, part

GROUND = np.array([0xF1, 0xEB, 0xDD])
NEAR = 26  # of 255, by channel


def rgb(colour: str) -> np.ndarray:
    return np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)])


def worked(*arguments, **more) -> WorkedChart:
    made, findings = compose(design(*arguments, **more))
    assert made is not None, findings
    return made


def pixels(chart: WorkedChart, size: int, margin: int = 0) -> np.ndarray:
    return np.asarray(paint(chart, pixels_per_cross=size, margin=margin)).astype(int)


def around(picture: np.ndarray, x: float, y: float, reach: int = 1) -> np.ndarray:
    """Mean colour of the few pixels around a place."""
    return picture[round(y) - reach : round(y) + reach, round(x) - reach : round(x) + reach].mean(
        axis=(0, 1)
    )


def cells(picture: np.ndarray, size: int) -> np.ndarray:
    """Mean colour of each cell."""
    height, width = picture.shape[0] // size, picture.shape[1] // size
    return picture.reshape(height, size, width, size, 3).mean(axis=(1, 3))


def close(colour: np.ndarray, wanted: np.ndarray, by: float = NEAR) -> bool:
    return bool(np.abs(colour - wanted).max() <= by)


def shaded(colour: np.ndarray, wanted: np.ndarray) -> bool:
    """Whether a colour is another one in more or less light."""
    light = float(colour @ wanted / (wanted @ wanted))
    return 0.5 < light < 1.15 and close(colour, light * wanted, 14)


@pytest.mark.parametrize("size", [4, 5, 6, 10, 16, 24, 40])
@pytest.mark.parametrize("thread", [MADDER, SEDGE, INK], ids=lambda each: each.name)
def test_the_middle_of_a_cross_has_the_colour_of_its_thread(size, thread):
    picture = pixels(worked(rows=["mmm"] * 3, key=[cell("m", part(thread))]), size)
    for y in range(3):
        for x in range(3):
            seen = around(picture, (x + 0.5) * size, (y + 0.5) * size, max(1, size // 10))
            assert close(seen, rgb(thread.colour)), (x, y, seen)


@pytest.mark.parametrize("size", [4, 10, 24])
def test_bare_cells_show_the_linen(size):
    picture = pixels(worked(rows=["m....", ".....", "....."]), size)
    for x, y in ((2, 0), (4, 2), (2, 2)):
        assert close(cells(picture, size)[y, x], GROUND, 20)
    assert not close(cells(picture, size)[0, 0], GROUND, 40)


def test_linen_is_woven_and_uneven_and_a_block_weave_has_holes_at_the_corners():
    linen = pixels(worked(rows=["....."] * 5), 24).mean(axis=2)
    assert 4 < linen.std() < 30
    # No two rooms of four threads look the same.
    rooms = linen.reshape(5, 24, 5, 24).transpose(0, 2, 1, 3).reshape(25, -1)
    assert len(np.unique(rooms, axis=0)) == 25
    aida = Fabric("aida", 14, 14, 1, block=True)
    block = pixels(worked(rows=["....."] * 5, fabric=aida), 24).mean(axis=2)
    holes = [block[y - 1 : y + 1, x - 1 : x + 1].mean() for y in (24, 72) for x in (24, 48)]
    assert max(holes) < block[36 - 6 : 36 + 6, 36 - 6 : 36 + 6].mean() - 40


@pytest.mark.parametrize("size", [3, 4, 7, 12])
def test_every_cell_is_nearest_to_its_own_thread(size):
    rng = np.random.default_rng(5)
    rows = ["".join(row) for row in np.array(list("msk."))[rng.integers(0, 4, (30, 40))]]
    chart = worked(rows=rows)
    seen = cells(pixels(chart, size), size)
    # A cell is part thread, part cloth in the shade of the thread.
    tones = np.array(
        [GROUND] + [0.7 * rgb(each.colour) + 0.3 * 0.7 * GROUND for each in (MADDER, SEDGE, INK)]
    )
    nearest = np.linalg.norm(seen[:, :, None] - tones, axis=-1).argmin(axis=-1)
    assert np.array_equal(nearest, chart.grid)


def test_the_same_chart_gives_the_same_bytes_in_another_process():
    chart = worked(rows=["ms/k", "k.\\m"])
    here = hashlib.sha256(png(paint(chart)) + jpeg(paint(chart))).hexdigest()
    code = (
        "import hashlib; from linenleaf.cloth.cloth import jpeg, paint, png;"
        "from tests.cloth.test_cloth import worked;"
        "chart = worked(rows=['ms/k', 'k.\\\\m']);"
        "print(hashlib.sha256(png(paint(chart)) + jpeg(paint(chart))).hexdigest())"
    )
    there = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout
    assert there.strip() == here


def test_jpeg_and_png_are_what_they_say_and_agree():
    image = paint(worked(rows=["mmss"] * 4), pixels_per_cross=12)
    with Image.open(io.BytesIO(png(image))) as exact:
        assert exact.format == "PNG"
        assert np.array_equal(np.asarray(exact), np.asarray(image))
    with Image.open(io.BytesIO(jpeg(image))) as packed:
        assert packed.format == "JPEG"
        apart = np.abs(np.asarray(packed).astype(int) - np.asarray(image))
        assert apart.mean() < 6


def test_half_crosses_lie_the_way_they_are_named():
    up = pixels(worked(rows=["/"]), 24)
    down = pixels(worked(rows=["\\"]), 24)
    thread = rgb(SEDGE.colour)
    for at in (7, 12, 17):
        assert close(around(up, at, 24 - at), thread)
        assert close(around(down, at, at), thread)
    assert around(up, 6, 6).mean() > thread.mean() + 60
    assert around(down, 18, 6).mean() > thread.mean() + 60


@pytest.mark.parametrize(
    ("way", "x", "y"),
    [
        (Way.TOP_LEFT, 0.3, 0.3),
        (Way.TOP_RIGHT, 0.7, 0.3),
        (Way.BOTTOM_LEFT, 0.3, 0.7),
        (Way.BOTTOM_RIGHT, 0.7, 0.7),
    ],
)
def test_a_quarter_lies_in_its_corner_and_a_three_quarter_crosses_it(way, x, y):
    thread = rgb(MADDER.colour)
    quarter = pixels(worked(rows=["q"], key=[cell("q", part(MADDER, Kind.QUARTER, way))]), 40)
    assert close(around(quarter, 40 * x, 40 * y, 2), thread)
    assert not shaded(around(quarter, 40 * (1 - x), 40 * (1 - y), 2), thread)
    most = pixels(worked(rows=["q"], key=[cell("q", part(MADDER, Kind.THREE_QUARTER, way))]), 40)
    assert shaded(around(most, 40 * x, 40 * y, 2), thread)
    # The half cross that runs across the corner joins the two corners beside it.
    assert shaded(around(most, 40 * (1 - x), 40 * y, 2), thread)
    assert shaded(around(most, 40 * x, 40 * (1 - y), 2), thread)
    assert not shaded(around(most, 40 * (1 - x), 40 * (1 - y), 2), thread)


@pytest.mark.parametrize(
    ("parts", "legs"),
    [
        # The upper leg falls from top left to bottom right.
        ([part(MADDER)], [((0, 1), (1, 0)), ((0, 0), (1, 1))]),
        ([part(MADDER, Kind.UPRIGHT)], [((0.5, 1), (0.5, 0)), ((0, 0.5), (1, 0.5))]),
        # Half crosses lie on the quarters, those of another thread too.
        (
            [
                part(MADDER, Kind.THREE_QUARTER, Way.TOP_RIGHT),
                part(SEDGE, Kind.QUARTER, Way.BOTTOM_LEFT),
            ],
            [((1, 0), (0.5, 0.5)), ((0, 1), (0.5, 0.5)), ((0, 0), (1, 1))],
        ),
    ],
)
def test_legs_lie_on_each_other_as_they_are_worked(parts, legs):
    assert [(leg.start, leg.end) for leg in legs_of(parts)] == legs


def test_two_parts_share_a_cell():
    entry = cell(
        "^",
        part(MADDER, Kind.THREE_QUARTER, Way.TOP_LEFT),
        part(SEDGE, Kind.QUARTER, Way.BOTTOM_RIGHT),
    )
    picture = pixels(worked(rows=["^"], key=[entry]), 40)
    assert shaded(around(picture, 10, 10, 2), rgb(MADDER.colour))
    assert shaded(around(picture, 31, 31, 2), rgb(SEDGE.colour))


def test_an_upright_cross_stands_up():
    picture = pixels(worked(rows=["+"], key=[cell("+", part(INK, Kind.UPRIGHT))]), 40)
    for x, y in ((20, 8), (20, 32), (8, 20), (32, 20)):
        assert close(around(picture, x, y, 2), rgb(INK.colour), 40)
    for x, y in ((6, 6), (34, 34)):
        assert around(picture, x, y, 2).mean() > 120


def test_a_blend_shows_both_threads():
    blend = KeyEntry("b", (Part(Kind.FULL, (Strands(INK, 1), Strands(LAMP, 1))),))
    picture = pixels(worked(rows=["bbb"] * 3, key=[blend]), 24).reshape(-1, 3)
    for thread in (INK, LAMP):
        share = (np.abs(picture - rgb(thread.colour)).max(axis=1) < 40).mean()
        assert share > 0.12, thread.name


def test_more_strands_cover_more_linen():
    covered = []
    for strands in (1, 2, 3):
        key = [cell("m", part(INK, strands=strands))]
        picture = pixels(worked(rows=["mmm"] * 3, key=key), 24)
        covered.append((picture.mean(axis=2) < 80).mean())
    assert covered[0] + 0.1 < covered[1] < covered[2] - 0.05


def test_a_piece_off_the_grid_lies_at_its_true_place():
    spot = motif("spot", "mm", "mm")
    chart = worked((8, 6), Placement("spot", 3.5, 2), motifs=[spot])
    assert len(chart.pieces) == 1
    size = 20
    picture = pixels(chart, size, margin=2)
    for x, y in ((4, 2.5), (5, 2.5), (4, 3.5), (5, 3.5)):
        seen = around(picture, (x + 2) * size, (y + 2) * size, 2)
        assert close(seen, rgb(MADDER.colour)), (x, y)
    thread = np.abs(picture - rgb(MADDER.colour)).max(axis=2) < NEAR
    rows, columns = np.nonzero(thread)
    assert columns.min() / size - 2 == pytest.approx(3.5, abs=0.12)
    assert (columns.max() + 1) / size - 2 == pytest.approx(5.5, abs=0.12)
    assert rows.min() / size - 2 == pytest.approx(2, abs=0.12)
    assert (rows.max() + 1) / size - 2 == pytest.approx(4, abs=0.12)


@pytest.mark.parametrize("size", [7, 10, 15, 24])
def test_crosses_over_one_are_half_as_large_at_any_scale(size):
    spot = motif("spot", "ms", "sm", over=1)
    picture = pixels(worked((4, 4), Placement("spot", 2, 1), motifs=[spot]), size)
    for x, y, thread in (
        (2.25, 1.25, MADDER),
        (2.75, 1.25, SEDGE),
        (2.25, 1.75, SEDGE),
        (2.75, 1.75, MADDER),
    ):
        other = SEDGE if thread is MADDER else MADDER
        seen = around(picture, x * size, y * size, 1)
        apart = [np.abs(seen - rgb(each.colour)).sum() for each in (thread, other)]
        assert apart[0] < apart[1], (x, y, seen)
    assert close(cells(pixels(worked((4, 4)), size), size)[3, 3], GROUND, 20)


def test_a_mirrored_motif_gives_a_mirrored_picture_and_another_one():
    flag = motif("flag", "mms", "m..")
    plain = worked((5, 4), Placement("flag", 1, 1), motifs=[flag])
    turned = worked((5, 4), Placement("flag", 1, 1, mirror=Mirror.LEFT_RIGHT), motifs=[flag])
    first, second = (pixels(each, 12) for each in (plain, turned))
    assert not np.array_equal(first, second)
    apart = np.abs(cells(first, 12)[:, ::-1] - cells(second, 12)).max()
    assert apart < 30
    assert np.abs(cells(first, 12) - cells(second, 12)).max() > 60


def test_back_stitch_is_broken_at_the_holes_and_straight_stitch_is_not():
    straight = KeyEntry("ray", (part(INK, Kind.STRAIGHT, strands=1),))
    back = KeyEntry("mast", (part(INK, Kind.BACK, strands=1),))
    chart = worked(
        (6, 5), line("mast", (1, 1), (5, 1)), line("ray", (1, 3), (5, 3)), key=[back, straight]
    )
    picture = pixels(chart, 24)
    for x in (1.5, 2.5, 3.5, 4.5):
        assert close(around(picture, x * 24, 24), rgb(INK.colour), 40)
        assert close(around(picture, x * 24, 72), rgb(INK.colour), 40)
    for hole in (2, 3, 4):
        assert picture[24 - 1 : 24 + 1, hole * 24].mean() > 70
        assert close(around(picture, hole * 24, 72), rgb(INK.colour), 40)


def test_a_knot_and_a_bead_stand_at_their_places_and_a_bead_shines():
    dot = KeyEntry("dot", (part(MADDER, Kind.KNOT),))
    bead = KeyEntry("bead", (part(MADDER, Kind.BEAD),))
    chart = worked((7, 4), knot("dot", (2, 2)), knot("bead", (5, 2)), key=[dot, bead])
    picture = pixels(chart, 24)
    red = picture[..., 0] - picture[..., 1] > 50
    for x in (2, 5):
        rows, columns = np.nonzero(red[:, (x - 1) * 24 : (x + 1) * 24])
        assert rows.mean() == pytest.approx(48, abs=2)
        assert columns.mean() == pytest.approx(24, abs=2)
    spot = picture[36:60, 108:132]
    assert spot.min(axis=2).max() > 225  # the light in the glass
    assert picture[44:52, 44:52].min(axis=2).max() < 225


def test_lines_and_knots_at_the_edge_and_beyond_the_picture_are_cut():
    chart = worked((3, 3), line("lantern", (0, 0), (3, 0), (3, 3)), knot("eye", (0, 0), (3, 3)))
    picture = pixels(chart, 20)
    assert picture.shape == (60, 60, 3)
    # Half of each line at the edge is still there: its row of pixels is not that of bare linen.
    assert shaded(around(picture, 10, 1), rgb(LAMP.colour))
    assert shaded(around(picture, 59, 30), rgb(LAMP.colour))
    assert close(around(picture, 1, 1), rgb(INK.colour), 60)


def test_an_uneven_fabric_has_cells_higher_than_wide():
    at = lattice(worked(rows=["mm"] * 2, fabric=Fabric("linen", 36, 27, 2)), pixels_per_cross=12)
    assert (at.across, at.down) == (12, 16)


def test_the_picture_is_as_wide_as_asked_for():
    chart = worked(rows=["m" * 17] * 9)
    for width in (64, 333, 1600):
        image = paint(chart, width=width)
        assert image.width == width
        assert image.height / width == pytest.approx((9 + 6) / (17 + 6), rel=0.03)


@pytest.mark.parametrize("size", [(1, 1), (2000, 2000), (1, 2000), (2000, 1), (300, 300)])
@pytest.mark.parametrize("asked", [{}, {"width": 8000}, {"pixels_per_cross": 64}])
def test_no_picture_is_larger_than_it_may_be(size, asked):
    chart = worked(size)
    at = lattice(chart, **asked)
    pixels_in_all = (size[0] + 2 * at.margin) * at.across * (size[1] + 2 * at.margin) * at.down
    assert pixels_in_all <= LARGEST
    assert min(at.across, at.down) >= 1


def test_a_narrow_chart_asked_for_very_wide_stays_within_bounds():
    image = paint(worked((1, 60)), width=8000)
    assert image.width * image.height <= LARGEST * 1.01
