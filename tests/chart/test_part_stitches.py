"""The shapes of part stitches on the chart, read by fontTools: each lies where its thread lies."""

import numpy as np
import pytest
from fontTools.pens.recordingPen import RecordingPen
from fontTools.svgLib.path import parse_path
from linenleaf.chart.crosses import Palette, crosses
from linenleaf.chart.ink import symbol_box
from linenleaf.chart.options import Ink
from linenleaf.core.key import Kind, Way

from tests.charts import MADDER, SEDGE, cell, part

CORNERS = {
    Way.TOP_LEFT: (0, 0),
    Way.TOP_RIGHT: (1, 0),
    Way.BOTTOM_LEFT: (0, 1),
    Way.BOTTOM_RIGHT: (1, 1),
}
ALONE = [
    *((kind, way) for kind in (Kind.QUARTER, Kind.THREE_QUARTER) for way in CORNERS),
    *((Kind.HALF, way) for way in (Way.UP, Way.DOWN)),
    (Kind.UPRIGHT, None),
]
SIDE = 48  # points across a cell, of which none lies on an edge
CENTRES = (np.arange(SIDE) + 0.5) / SIDE


def outlines(*parts):
    """The corners of what is drawn for a cell of these parts, by kind."""
    palette = Palette([cell("m", *parts)], Ink.COLOUR)
    drawn = crosses(np.array([[1]], np.uint16), palette).patches
    found = {}
    for region, patch in zip(palette.regions[0][1], drawn, strict=True):
        pen = RecordingPen()
        parse_path(patch.d, pen)
        assert {command for command, _ in pen.value} <= {"moveTo", "lineTo", "closePath"}
        found[region.kind] = np.array([points[0] for _, points in pen.value if points])
    return found


def outline(kind, way):
    return outlines(part(MADDER, kind, way))[kind]


def inside(points, x, y):
    """Whether places lie within an outline, by the edges to their right."""
    x, y = np.asarray(x, float), np.asarray(y, float)
    odd = np.zeros(np.broadcast(x, y).shape, bool)
    for (x0, y0), (x1, y1) in zip(points, np.roll(points, -1, axis=0), strict=True):
        if y0 != y1:
            odd ^= ((y0 > y) != (y1 > y)) & (x < x0 + (y - y0) * (x1 - x0) / (y1 - y0))
    return odd


def mask(points):
    return inside(points, CENTRES[None, :], CENTRES[:, None])


@pytest.mark.parametrize("way", CORNERS)
def test_a_quarter_fills_its_quarter(way):
    x, y = CORNERS[way]
    wanted = np.zeros((SIDE, SIDE), bool)
    wanted[24 * y : 24 * (y + 1), 24 * x : 24 * (x + 1)] = True
    assert np.array_equal(mask(outline(Kind.QUARTER, way)), wanted)


@pytest.mark.parametrize("way", CORNERS)
def test_a_three_quarter_and_the_quarter_beside_it_fill_the_cell(way):
    opposite = next(each for each in CORNERS if sum(CORNERS[each]) == 2 - sum(CORNERS[way])
                    and CORNERS[each][0] != CORNERS[way][0])  # fmt: skip
    both = outlines(part(MADDER, Kind.THREE_QUARTER, way), part(SEDGE, Kind.QUARTER, opposite))
    large, small = mask(both[Kind.THREE_QUARTER]), mask(both[Kind.QUARTER])
    assert np.array_equal(large, ~small)
    # The half cross of the three-quarter, from corner to corner, lies on its own ground.
    (x, y), along = CORNERS[way], np.linspace(0.01, 0.99, 9)
    assert inside(both[Kind.THREE_QUARTER], along, along if x != y else 1 - along).all()
    far = abs(1 - x - 0.2), abs(1 - y - 0.2)
    assert inside(both[Kind.QUARTER], *far)
    assert np.array_equal(mask(outline(Kind.THREE_QUARTER, way)), large)


@pytest.mark.parametrize("way", [Way.UP, Way.DOWN])
def test_a_half_cross_is_a_band_along_its_thread(way):
    band = mask(outline(Kind.HALF, way))
    band = band[::-1] if way is Way.UP else band
    assert np.array_equal(band, band.T)
    assert np.array_equal(band, band[::-1, ::-1])
    assert band.diagonal().all()
    # Of the two other corners so much is left that anybody sees which way it lies.
    assert 0.1 < 1 - band.mean() < 0.2
    assert not band[::-1].diagonal()[[0, -1]].any()


def test_an_upright_cross_is_upright():
    plus = mask(outline(Kind.UPRIGHT, None))
    for turned in (plus.T, plus[::-1], plus[:, ::-1]):
        assert np.array_equal(plus, turned)
    assert plus[24].all()
    assert not plus[:10, :10].any()
    assert plus[11:37, 11:37].all()


@pytest.mark.parametrize(("kind", "way"), ALONE)
def test_a_symbol_stands_within_the_shape_as_large_as_may_be(kind, way):
    points = outline(kind, way)
    x, y, side = symbol_box(cell("m", part(MADDER, kind, way)))

    def fits(larger):
        """Whether the box lies within, made larger towards the other side of the cell."""
        left, top = (x if x < 1 - x - side else x - larger), (y if y < 1 - y - side else y - larger)
        if abs(2 * x + side - 1) < 1e-6:  # in the middle: to all sides
            left, top = x - larger / 2, y - larger / 2
        edge = np.linspace(1e-6, side + larger - 1e-6, 9)
        around = [(edge, edge[0]), (edge, edge[-1]), (edge[0], edge), (edge[-1], edge)]
        return all(inside(points, left + one, top + other).all() for one, other in around)

    assert fits(0)
    assert not fits(0.1)
    if way in CORNERS:
        mirrored = {
            tuple(min(each, 1 - each - size) for each in (left, top))
            for left, top, size in (symbol_box(cell("m", part(MADDER, kind, w))) for w in CORNERS)
        }
        assert len({tuple(np.round(each, 6)) for each in mirrored}) == 1


def test_the_symbol_of_a_full_cross_has_the_whole_cell():
    assert symbol_box(cell("m", part(MADDER))) == (0, 0, 1)
