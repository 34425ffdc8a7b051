"""An overdyed thread changes its colour along the working order, on the piece and in its SVG."""

import re

import numpy as np
import pytest
from linenleaf.cloth.cloth import paint, png
from linenleaf.cloth.overdyed import CROSS, along_steps, cell_steps, stretches
from linenleaf.colour.overdyed import shades
from linenleaf.core.ground import Method, ThreadWorking, Working
from linenleaf.core.key import Kind, Part, Thread, ThreadKind
from linenleaf.pictures.piece_svg import piece_svg

from ..charts import MADDER, cell, part
from ..thread_charts import chart

DYED = Thread(
    "odd", "2", "rosehip", "#b04a3a", kind=ThreadKind.OVERDYED, colours=("#b04a3a", "#2a4ab0")
)
KEY = [cell("r", part(DYED)), cell("m", part(MADDER))]
EACH = Working(own=(ThreadWorking(DYED, method=Method.EACH),))


def steps_in(rows: list[list[int]], working: Working = EACH) -> list[list[int]]:
    made = chart(rows, key=KEY, working=working)
    return cell_steps(made, made.grid).tolist()


def test_thread_goes_on_area_by_area_and_row_by_row():
    assert steps_in([[1, 1, 0, 1], [1, 1, 2, 1]]) == [[0, 1, 0, 4], [2, 3, 0, 5]]
    # Crosses that meet at a corner are one area.
    assert steps_in([[1, 0, 1], [0, 1, 0]]) == [[0, 0, 1], [0, 2, 0]]


def test_there_and_back_the_upper_legs_run_from_right_to_left():
    # Half of what ten crosses show goes out; the first upper leg is laid at the right end.
    assert steps_in([[1] * 10], Working()) == [[9, 9, 8, 8, 7, 7, 6, 6, 5, 5]]


@pytest.mark.parametrize("working", [EACH, Working()])
def test_no_two_crosses_on_end_leap(working):
    far = np.array(steps_in([[1] * 40] * 5, working))
    assert np.abs(np.diff(far, axis=1)).max() == 1


def test_the_piece_shows_the_run_and_other_threads_stay():
    rows = [[1] * 16, [2] * 16]
    made = chart(rows, key=KEY, working=EACH)
    picture = np.asarray(paint(made, pixels_per_cross=16, margin=0)).astype(float)
    means = picture.reshape(2, 16, 16, 16, 3).mean(axis=(1, 3))
    red, blue = means[0, :, 0], means[0, :, 2]
    assert (red[[0, 8]] > blue[[0, 8]]).all()  # its first colour comes round every eight crosses
    assert (red[[4, 12]] < blue[[4, 12]]).all()
    assert np.ptp(means[1], axis=0).max() < 12  # the other thread has one colour
    assert png(paint(made, pixels_per_cross=16)) == png(
        paint(chart(rows, key=KEY, working=EACH), pixels_per_cross=16)
    )


def test_the_svg_has_a_stroke_for_each_shade():
    made = chart([[1] * 16], key=KEY, working=EACH)
    assert set(shades(DYED)) <= set(re.findall("#[0-9a-f]{6}", piece_svg(made, 400)))
    plain = chart([[2] * 16], key=KEY)
    assert set(shades(DYED)).isdisjoint(re.findall("#[0-9a-f]{6}", piece_svg(plain, 400)))


def test_lines_change_after_so_much_thread():
    far = along_steps(np.full(8, CROSS / 2))
    assert far.tolist() == [0, 0, 1, 1, 2, 2, 3, 3]
    back = Part(Kind.BACK, part(DYED, strands=1).needle)
    given = [(each.needle[0].thread.colour, some) for each, some in stretches(far, back)]
    assert given == [(shades(DYED)[at], slice(2 * at, 2 * at + 2)) for at in range(4)]
    plain = part(MADDER, Kind.BACK, strands=1)
    assert list(stretches(far, plain)) == [(plain, slice(0, 8))]
