"""A part of the piece from near by, and the piece turned over."""

import numpy as np
import pytest
from linenleaf.cloth.behind import behind
from linenleaf.cloth.cloth import paint
from linenleaf.compose.compose import compose
from linenleaf.core.ground import Method, Working
from linenleaf.count.thread import estimate
from linenleaf.pictures.detail import busiest, cut_out, detail
from PIL import Image

from tests.charts import design, knot, line

SIDE = 25.4 / 16  # mm of a cross of the test charts: 32 threads to the inch, over two


def worked(*rows, **more):
    made, findings = compose(design(more.pop("size", None), rows=rows, **more))
    assert made is not None, [each.message for each in findings]
    return made


def quilt(*spots):
    """A field of one thread with a chequered spot of 8 x 6 at each place."""
    rows = [["m"] * 60 for _ in range(40)]
    for left, top in spots:
        for y in range(6):
            for x in range(8):
                rows[top + y][left + x] = "sm"[(x + y) % 2]
    return worked(*map("".join, rows))


@pytest.mark.parametrize("spot", [(0, 0), (40, 2), (30, 33), (52, 34)])
def test_a_detail_shows_the_place_where_most_is_going_on(spot):
    x0, y0, x1, y1 = busiest(quilt(spot), 4 / 3)
    assert 0 <= x0 <= spot[0]
    assert 0 <= y0 <= spot[1]
    assert spot[0] + 8 <= x1 <= 60
    assert spot[1] + 6 <= y1 <= 40
    assert (x1 - x0) / (y1 - y0) == pytest.approx(4 / 3, rel=0.05)


def test_of_places_alike_the_first_is_shown():
    one, both = quilt((2, 2)), quilt((2, 2), (50, 30))
    assert busiest(both, 4 / 3) == busiest(one, 4 / 3)


def test_a_detail_is_a_part_of_the_whole():
    chart = worked(*["msk" * 10 + "." * 30] * 20, notes=())
    box = 24, 5, 44, 20
    near = np.asarray(detail(chart, None, 400, box)).astype(float)
    whole = paint(chart, pixels_per_cross=20, margin=0)
    far = np.asarray(whole.crop((480, 100, 880, 400)).resize((400, 300), Image.Resampling.BOX))
    assert near.shape == far.shape
    blocks = (
        each.reshape(15, 20, 20, 20, 3).mean(axis=(1, 3)) for each in (near, far.astype(float))
    )
    off = np.abs(np.subtract(*blocks))  # the cloth is woven anew for each
    assert off.mean() < 2.5
    assert off.max() < 20


def test_what_is_cut_out_keeps_lines_and_knots_at_their_places():
    items = line("lantern", (2, 2), (12, 8)), knot("eye", (11, 7)), knot("eye", (1, 1))
    chart, _ = compose(design((20, 12), *items))
    part = cut_out(chart, (5, 3, 20, 12))
    assert (part.width, part.height) == (15, 9)
    assert part.lines[0].points.tolist() == [[-3, -1], [7, 5]]
    assert [(each.x, each.y) for each in part.knots] == [(6, 4)]


def test_rows_leave_upright_stitches_on_the_back_as_long_as_the_thread_estimate_has_them():
    """Crosses in rows show upright stitches behind: Dillmont, Encyclopedia, from memory."""
    chart = worked("mmmmm")
    [back] = behind(chart)
    assert (back.ends[:, 0, 0] == back.ends[:, 1, 0]).all()
    [use] = estimate(chart, chart.design.ground.fabric)
    lengths = np.hypot(*(back.ends[:, 1] - back.ends[:, 0]).T) * SIDE
    assert lengths.sum() == pytest.approx(use.back)


def test_crosses_worked_one_by_one_leave_slanting_ones_between_them():
    [back] = behind(worked("mmm", working=Working(method=Method.EACH)))
    slants = (back.ends[:, 0, 0] != back.ends[:, 1, 0]).sum()
    assert slants == 2  # from each cross to the next


def test_the_back_is_seen_from_behind():
    chart = worked("m.........", "..........")
    front, back = (
        np.asarray(paint(chart, width=480, margin=2, back=each)) for each in (False, True)
    )
    red = [(each[..., 0].astype(int) - each[..., 1] > 60) for each in (front, back)]
    front_at, back_at = (np.nonzero(each)[1].mean() for each in red)
    assert front_at < 200
    assert back_at > 280
    assert red[1].sum() < red[0].sum()
