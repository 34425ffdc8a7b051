"""Corners, perspective and landmarks: against a published formula and against Pillow."""

from __future__ import annotations

import numpy as np
import pytest
from linenleaf.photograph.placing import Landmark, Placing, homography
from linenleaf.photograph.told import Limit
from PIL import Image

CORNERS = ((40.0, 30.0), (610.0, 52.0), (588.0, 415.0), (22.0, 390.0))
SQUARE = ((0, 0), (1, 0), (1, 1), (0, 1))


def heckbert(corners):
    """Unit square to quadrilateral: P. Heckbert, Fundamentals of Texture Mapping and Image
    Warping, University of California, Berkeley, 1989, section 2.2.3."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    dx1, dx2, sx = x1 - x2, x3 - x2, x0 - x1 + x2 - x3
    dy1, dy2, sy = y1 - y2, y3 - y2, y0 - y1 + y2 - y3
    below = dx1 * dy2 - dx2 * dy1
    g, h = (sx * dy2 - dx2 * sy) / below, (dx1 * sy - sx * dy1) / below
    return np.array(
        [
            [x1 - x0 + g * x1, x3 - x0 + h * x3, x0],
            [y1 - y0 + g * y1, y3 - y0 + h * y3, y0],
            [g, h, 1],
        ]
    )


def test_four_corners_give_the_perspective_of_the_published_formula():
    assert np.allclose(homography(SQUARE, CORNERS), heckbert(CORNERS), rtol=1e-9)


def test_four_corners_give_the_perspective_of_scikit_image():
    """Figures of `ProjectiveTransform.from_estimate`, scikit-image 0.26.0, taken once by hand."""
    corners = ((40.0, 30.0), (1410.0, 52.0), (1388.0, 315.0), (22.0, 290.0))
    theirs = [
        [8.056839639871427, -0.5979904096999875, 40.0],
        [0.1273410633819536, 8.693156720621369, 30.0],
        [-6.944841481594226e-05, 9.134501363689829e-05, 1.0],
    ]
    assert np.allclose(Placing(168, 30, corners).matrix, theirs, rtol=1e-9)


def test_pillow_draws_the_same_perspective():
    """Pillow's own transform, asked to straighten the piece, puts marks where `pixels` has them."""
    placing = Placing(20, 12, CORNERS)
    places = np.array([(0.5, 0.5), (17.5, 2.5), (9.5, 6.5), (3.5, 10.5)])
    photograph = Image.new("L", (640, 440))
    for u, v in placing.pixels(places):
        photograph.paste(255, (round(u) - 3, round(v) - 3, round(u) + 3, round(v) + 3))
    m = placing.matrix @ np.diag([0.1, 0.1, 1.0])  # ten pixels a cross
    straight = photograph.transform(
        (200, 120), Image.Transform.PERSPECTIVE, tuple((m / m[2, 2]).ravel()[:8])
    )
    seen = np.asarray(straight)
    assert all(seen[int(10 * y), int(10 * x)] == 255 for x, y in places)
    assert (seen > 128).mean() < 0.02


def test_more_points_than_four_are_met_as_well_as_can_be():
    rng = np.random.default_rng(4)
    true = homography(SQUARE, CORNERS)
    places = rng.uniform(0, 1, (30, 2))
    pixels = np.column_stack([places, np.ones(30)]) @ true.T
    pixels = pixels[:, :2] / pixels[:, 2:] + rng.normal(0, 0.01, (30, 2))
    assert np.abs(homography(places, pixels) - true).max() < 0.2


def test_places_and_pixels_are_each_others_way_back():
    placing = Placing(20, 12, CORNERS)
    places = np.array([[3.0, 4.0], [19.0, 0.5]])
    assert np.allclose(placing.places(placing.pixels(places)), places)


def limits(corners=CORNERS, size=(40, 26), landmarks=()):
    return [each.limit for each in Placing(*size, corners, landmarks).faults(640, 480)]


def test_good_corners_are_not_told_of():
    assert limits(landmarks=(Landmark(0, 0, 41.0, 31.0),)) == []


@pytest.mark.parametrize(
    ("corners", "limit"),
    [
        ((CORNERS[0], CORNERS[2], CORNERS[1], CORNERS[3]), Limit.CORNERS_CROSSED),
        (CORNERS[::-1], Limit.CORNERS_CROSSED),
        ((CORNERS[0], (300.0, 215.0), CORNERS[2], CORNERS[3]), Limit.CORNERS_IN_LINE),
        ((CORNERS[0],) * 4, Limit.CORNERS_IN_LINE),
        (((-5.0, 3.0), *CORNERS[1:]), Limit.CORNERS_OUTSIDE),
        (((float("nan"), 3.0), *CORNERS[1:]), Limit.CORNERS_OUTSIDE),
        (((40.0, 481.0), *CORNERS[1:]), Limit.CORNERS_OUTSIDE),
    ],
)
def test_bad_corners_are_told(corners, limit):
    assert limits(corners) == [limit]


@pytest.mark.parametrize(
    ("size", "limit"),
    [
        ((100, 64), Limit.SMALL),
        ((120, 76), Limit.TOO_SMALL),
        ((4, 30), Limit.TOO_FEW),
        ((900, 900), Limit.TOO_LARGE),
    ],
)
def test_crosses_too_small_or_too_many_are_told(size, limit):
    assert limits(size=size) == [limit]


def test_landmarks_off_are_told():
    outside, off = Landmark(41, 3, 300, 200), Landmark(20, 13, 100, 100)
    assert limits(landmarks=(outside, off)) == [Limit.LANDMARK_OUTSIDE, Limit.LANDMARK_OFF]
