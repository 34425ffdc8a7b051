"""The numbers on the page map: each on its own ground, however many pages there are."""

import re
from io import BytesIO
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.booklet.layout import setting
from linenleaf.booklet.maps import LEAST_POINTS, POINTS, map_of_pages, page_map, whole_picture
from linenleaf.chart.options import Ink, Paper
from linenleaf.chart.paginate import paginate
from linenleaf.compose.compose import compose
from linenleaf.i18n.catalogue import offered
from linenleaf.i18n.filling import environment
from linenleaf.resolve.read import read
from PIL import Image


@given(
    st.integers(1, 1000),
    st.integers(1, 1000),
    st.sampled_from([(120.0, 200.0), (190.0, 260.0), (90.0, 120.0)]),
    st.sampled_from([(POINTS, LEAST_POINTS), (14.0, 10.0)]),
)
def test_numbers_never_lie_on_each_other(width, height, room, sizes):
    cut = paginate(width, height, room=room, cell=3.0)
    made = page_map(cut, (130.0, 180.0), *sizes)
    named = [each for each in made.tiles if each.named]
    assert named[0].number == 1
    assert sizes[1] - 1e-9 <= made.points <= sizes[0]
    middles = [(each.left + each.width / 2, each.top + each.height / 2) for each in named]
    plates = [made.plate(each) for each in named]
    for (one, other), (first, second) in zip(pairwise(middles), pairwise(plates), strict=True):
        across = abs(other[0] - one[0]) - (first[0] + second[0]) / 2
        down = abs(other[1] - one[1]) - (first[1] + second[1]) / 2
        assert max(across, down) > -1e-6
    below = [each for each in named if each.left == named[0].left]
    for upper, lower in pairwise(below):
        gap = lower.top + lower.height / 2 - upper.top - upper.height / 2
        assert gap >= made.plate(upper)[1] - 1e-6


def test_few_pages_have_all_their_numbers_at_full_size():
    made = page_map(paginate(168, 280, room=(180, 240), cell=3.0), (170.0, 200.0))
    assert len(made.tiles) > 1
    assert all(each.named for each in made.tiles)
    assert made.points == POINTS


def test_numbers_do_not_hide_a_narrow_map():
    """All stand at full size, on the map where it can be as wide as that takes, else beside it."""
    form = setting(Paper.A4)
    for width, height, beside in ((60, 400, False), (20, 640, True)):
        cut = paginate(width, height, room=(190, 250), cell=3.0)
        made = map_of_pages(cut, form)
        assert (made.beside, made.points) == (beside, POINTS)
        assert all(each.named for each in made.tiles)
        assert beside or made.width >= 3 * made.plate(made.tiles[-1])[0]


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
def test_the_map_of_a_large_piece_has_room_below_its_words_in_large_print(paper):
    cut = paginate(168, 280, room=(150, 190), cell=5.0, overlap=1)
    made = map_of_pages(cut, setting(paper, large=True))
    assert len(made.tiles) == 48
    assert all(each.named for each in made.tiles)
    assert (made.points, made.alone) == (22, False)
    many = paginate(600, 800, room=(150, 190), cell=5.0)
    assert map_of_pages(many, setting(paper, large=True)).alone


def test_counted_stitches_are_on_the_small_picture(tmp_path):
    path = tmp_path / "eye.linen"
    path.write_text(
        'linen 2\nbooklet "Eye"\nfabric linen 32 over 2\nkey\n  o  #102030 "sea" eye\n'
        "chart 4 x 4\n  |....|\n  |.o..|\n  |....|\n  |....|\n"
    )
    worked, _ = compose(read(path)[0])
    shown = np.asarray(Image.open(BytesIO(whole_picture(worked, Ink.COLOUR))))
    rows, columns = np.nonzero((shown == (0x10, 0x20, 0x30)).all(axis=2))
    assert (rows.min(), rows.max(), columns.min(), columns.max()) == (2, 5, 2, 5)


def test_the_overlap_is_told_in_squares_whichever_way_pages_adjoin():
    made = page_map(paginate(60, 200, room=(180, 240), cell=3.0), (170.0, 200.0))
    book = SimpleNamespace(map=made, columns=60, rows=200, setting=SimpleNamespace(large=False))
    for language, said in (("en-GB", "by 3 squares on each side"), ("fr", "de 3 cases de chaque")):
        assert said in environment(language).get_template("pagemap.html.j2").render(book=book)


@pytest.mark.parametrize("language", offered())
def test_no_line_ends_before_the_first_or_last_number_of_several_charts(language):
    words = environment(language).get_template("words.html.j2").module
    for pages in ([4], [1, 2], [7, 8, 9], [1, 2, 3, 5]):
        told = words.chart_links(pages, 1)
        assert told.count("\u00a0<a") == 2 * len({pages[0], pages[-1]})
        assert all(before == "," for before in re.findall(r"(\S) <a", told))
