"""The printed symbols: sound drawings, clear at print size, and measured as they are."""

import io
import re
import xml.etree.ElementTree as ET
from functools import cache

import cairosvg
import numpy as np
import pytest
from linenleaf.chart import likeness
from linenleaf.chart.likeness import render
from linenleaf.chart.shapes import (
    FOLDER,
    all_names,
    coverage,
    difference,
    drawn_names,
    measures,
    outline,
    parse,
    shape_names,
    symbol_path,
)
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

SVG = "{http://www.w3.org/2000/svg}"


def text_of(name: str) -> str:
    return (FOLDER / f"{name}.svg").read_text(encoding="utf-8")


def drawn_by_cairo(path: str, pixels: int, rule: str = "nonzero") -> NDArray[np.float64]:
    """The ink of SVG path data as another renderer sees it, 0 to 1."""
    svg = (
        f'<svg xmlns="{SVG[1:-1]}" viewBox="0 0 100 100" width="{pixels}" height="{pixels}">'
        f'<path fill-rule="{rule}" d="{path}"/></svg>'
    )
    png = cairosvg.svg2png(bytestring=svg.encode())
    with Image.open(io.BytesIO(png)) as opened:
        return np.asarray(opened.convert("RGBA"))[:, :, 3] / 255


# --- the drawings ------------------------------------------------------------------------------


def test_there_are_enough_of_them():
    assert len(drawn_names()) >= 100
    assert len(shape_names()) >= 200


def test_a_drawing_is_one_plain_path_under_a_plain_word():
    for name in drawn_names():
        assert re.fullmatch("[a-z]{3,}", name)
        root = ET.fromstring(text_of(name))
        assert root.tag == f"{SVG}svg", name
        assert root.attrib == {"viewBox": "0 0 100 100", "fill": "currentColor"}, name
        (path,) = root
        assert path.tag == f"{SVG}path", name
        assert set(path.attrib) == {"d"}, name
        assert set(re.findall("[A-Za-z]", path.attrib["d"])) <= set("MLQZ"), name


@pytest.mark.parametrize("name", all_names())
def test_both_fill_rules_give_the_same_picture(name):
    # So holes run the other way round and nothing overlaps: what a TrueType glyph needs.
    one, other = (drawn_by_cairo(symbol_path(name), 100, rule) for rule in ("nonzero", "evenodd"))
    assert np.abs(one - other).max() < 0.02


@pytest.mark.parametrize("name", all_names()[::3])
def test_our_rendering_agrees_with_another_renderer(name):
    theirs = drawn_by_cairo(symbol_path(name), 60)
    assert np.abs(render(outline(name), 60) - theirs).mean() < 0.005


SIDE = 150  # pixels


@cache
def inked(name: str) -> NDArray[np.bool_]:
    """Where a drawing has ink, on a cell of SIDE pixels."""
    return render(outline(name), SIDE) > 0.5


def test_a_drawing_keeps_off_the_edges_of_its_cell():
    for name in drawn_names():
        down, across = np.nonzero(inked(name))
        assert min(down.min(), across.min()) / SIDE >= 0.09, name
        assert max(down.max(), across.max()) / SIDE <= 0.91, name


@pytest.mark.parametrize("name", drawn_names())
def test_strokes_and_gaps_are_wide_enough_for_print(name):
    # At 2.5 mm a stroke of 8 in 100 is 0.2 mm, which is more than two dots at 300 to the inch. What
    # a disc of that size cannot reach are the tips of corners; a stroke or gap too narrow anywhere
    # would leave a patch of a size that no corner leaves.
    ink = np.pad(inked(name), 20)
    assert largest_patch(ink & ~reached(ink)) < 0.007 * SIDE**2
    assert largest_patch(~ink & ~reached(~ink)) < 0.009 * SIDE**2


def reached(there: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """What a disc of 8 in 100 covers that moves about within what is there."""
    middles = ndimage.distance_transform_edt(there) > 6
    return ndimage.distance_transform_edt(~middles) <= 6


def largest_patch(mask: NDArray[np.bool_]) -> int:
    patches, count = ndimage.label(mask)
    return int(np.bincount(patches.ravel())[1:].max()) if count else 0


def test_no_two_drawings_look_nearly_the_same():
    kept = measures()
    apart = kept.differences[: kept.drawn, : kept.drawn] + np.eye(kept.drawn)
    assert apart.min() > 0.18
    # The first forty by rank, which are the ones most charts use, are well apart.
    assert apart[:40, :40].min() > likeness.ALIKE


def test_there_are_quiet_shapes_for_large_areas():
    assert sum(coverage(name) <= 0.13 for name in drawn_names()) >= 15


# --- outlines ----------------------------------------------------------------------------------


def test_path_data_is_read_into_contours():
    (contour,) = parse("M10 20 L30 20 30 40 Q20 50 10 40Z")
    assert contour.start == (10, 20)
    assert contour.segments == (
        ((30, 20),),
        ((30, 40),),
        ((20, 50), (10, 40)),
        ((10, 20),),
    )


def test_turning_a_contour_over_keeps_its_place():
    (contour,) = parse("M10 20 L30 20 30 40 Q20 50 10 40Z")
    back = contour.turned_over()
    assert back.start == (10, 20)
    assert back.segments == (
        ((10, 40),),
        ((20, 50), (30, 40)),
        ((30, 20),),
        ((10, 20),),
    )
    assert back.turned_over() == contour


@pytest.mark.parametrize("path", ["M0 0 C1 1 2 2 3 3Z", "m0 0 L1 1Z", "L1 1 2 2Z"])
def test_other_path_data_is_refused(path):
    with pytest.raises(ValueError, match="path outside"):
        parse(path)


def test_combined_shapes_are_the_drawing_and_a_bar_or_square():
    # The bar is 76 x 12 of the box; the drawing keeps 0.74 of its size, so 0.74^2 of its ink.
    assert render(outline("gusset-on-plank"), 100).mean() == pytest.approx(
        0.76 * 0.12 + 0.74**2 * render(outline("gusset"), 100).mean(), abs=0.002
    )
    # The square is 84 x 84; the drawing, at 0.76 of its size, is taken out of it.
    assert render(outline("gusset-in-slab"), 100).mean() == pytest.approx(
        0.84**2 - 0.76**2 * render(outline("gusset"), 100).mean(), abs=0.002
    )


# --- the measures ------------------------------------------------------------------------------


def test_the_measures_file_belongs_to_the_drawings():
    kept = measures()
    assert sorted(kept.names) == sorted(all_names())
    assert set(kept.names[: kept.drawn]) == set(drawn_names())
    assert kept.digest == likeness.digest(kept.names), "run: python -m linenleaf.chart.likeness"


def test_kept_measures_are_those_that_measuring_gives():
    kept = measures()
    some = (*kept.names[:20], *kept.names[-12:])
    found = likeness.measure(some)
    rows = [kept.number[name] for name in some]
    # Kept in steps of 1/255.
    assert np.abs(kept.coverage[rows] - found.coverage).max() <= 0.0021
    assert np.abs(kept.differences[np.ix_(rows, rows)] - found.differences).max() <= 0.0021


def test_ranking_is_what_the_measures_are_in():
    kept = measures()
    order = likeness.rank(kept.differences[: kept.drawn, : kept.drawn])
    # Rounding to 1/255 may swap near ties further down.
    assert order[:10] == list(range(10))


def test_difference_of_two_shapes_against_a_plain_reckoning():
    # The definition written out for one pair, with scipy's box blur, at the one shift that is best
    # for two shapes both centred in their cells: none.
    def blurred(picture: NDArray[np.float64], width: int) -> NDArray[np.float64]:
        picture = np.pad(picture, 12)
        for _ in range(2):
            picture = ndimage.uniform_filter(picture, width, mode="constant")
        return picture

    def apart(one: NDArray[np.float64], other: NDArray[np.float64], width: int) -> float:
        one, other = blurred(one, width), blurred(other, width)
        return float(1 - np.minimum(one, other).sum() / np.maximum(one, other).sum())

    ring, slab = render(outline("ring")), render(outline("slab"))
    by_ink = (apart(ring, slab, 3) + apart(ring, slab, 5)) / 2
    inside = np.pad(np.ones((22, 22)), 4)
    ring, slab = inside * (1 - ring), inside * (1 - slab)
    by_paper = (apart(ring, slab, 3) + apart(ring, slab, 5)) / 2
    assert difference("ring", "slab") == pytest.approx(max(by_ink, by_paper), abs=0.003)


def test_difference_is_none_for_the_same_and_much_for_strangers():
    assert difference("ring", "ring") == 0
    assert difference("pip", "slab") > 0.8
    assert difference("pip", "slab") == difference("slab", "pip")
    # A square and a disc of one size are liker than either is to a bar.
    assert difference("slab", "puddle") < difference("slab", "plank")


def test_a_symbol_that_stands_aside_is_still_the_same():
    aside = np.roll(render(outline("pip")), 2, axis=1)
    apart = likeness.differences([render(outline("pip")), aside])[0, 1]
    other = likeness.differences([render(outline("pip")), render(outline("plank"))])[0, 1]
    assert apart < other / 2
