"""The numbered drawings of counted stitches, read back out of their SVG."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import numpy as np
import pytest
from linenleaf.booklet.strokediagrams import RIM, repeats, stroke_diagram
from linenleaf.stitches.counted import worked
from linenleaf.stitches.shipped import shipped
from linenleaf.templates.environment import render

SVG = "{http://www.w3.org/2000/svg}"


def numbers(svg: str) -> dict[int, tuple[float, float]]:
    root = ElementTree.fromstring(svg)
    circles = [(float(each.get("cx")), float(each.get("cy"))) for each in root.iter(f"{SVG}circle")]
    texts = [int(each.text) for each in root.iter(f"{SVG}text")]
    assert texts == list(range(1, len(texts) + 1))
    return dict(zip(texts, circles, strict=True))


@pytest.mark.parametrize("name", ["eye", "rice", "long-armed", "four-sided", "two-sided-cross"])
def test_numbers_stand_on_the_strokes_in_their_order(name):
    stitch = shipped()[name]
    figure = stroke_diagram(stitch, False)
    shown = numbers(render("stitches/counted.svg.j2", figure=figure))
    many = repeats(stitch)
    ways = [*worked(stitch, many).ways, *worked(stitch, many, second=True).ways]
    assert len(shown) == len(ways)
    low = np.floor(np.minimum(np.min([place for way in ways for place in way], axis=0), 0))
    for number, way in enumerate(ways, 1):
        start, end = ((np.array(place) - low) * figure.pitch + RIM for place in (way[0], way[-1]))
        at = np.array(shown[number])
        on = np.dot(at - start, end - start) / np.dot(end - start, end - start)
        assert -0.01 < on <= 0.8  # nearer to where the needle comes up
        assert np.hypot(*(at - start - on * (end - start))) < 0.1


@pytest.mark.parametrize("back", [False, True])
def test_numbers_do_not_crowd_where_many_strokes_begin(back):
    figure = stroke_diagram(shipped()["long-armed"], back)
    at = [(count.x, count.y) for count in figure.counts]
    apart = [np.hypot(x - u, y - v) for n, (x, y) in enumerate(at) for u, v in at[:n]]
    assert min(apart) > 2.6 * figure.radius


def test_the_back_is_seen_from_behind():
    front, back = (stroke_diagram(shipped()["cross"], side) for side in (False, True))
    assert len(front.legs) == len(back.beyond) == 2
    assert len(back.legs) == len(front.beyond) == 1
    # Down at the upper right; seen from behind that is the upper left.
    [(x, y)] = re.findall(r"^M([\d.]+) ([\d.]+)", back.legs[0].d)
    assert (float(x), float(y)) == (RIM, RIM)


@pytest.mark.parametrize("back", [False, True])
def test_the_two_sided_italian_cross_can_be_followed(back):
    """No number lies on another, and no thread runs farther than a cross: it turns at the end."""
    figure = stroke_diagram(shipped()["two-sided-italian"], back)
    at = list(numbers(render("stitches/counted.svg.j2", figure=figure)).values())
    apart = [np.hypot(x - u, y - v) for n, (x, y) in enumerate(at) for u, v in at[:n]]
    assert min(apart) > 2 * figure.radius
    for leg in (*figure.legs, *figure.beyond):
        x0, y0, x1, y1 = map(float, re.findall(r"[\d.]+", leg.d))
        assert np.hypot(x1 - x0, y1 - y0) < 1.5 * 3 * figure.pitch
    assert figure.pitch > 6
