"""The short key of a page names what is seen on it, and no line that passes it by."""

from linenleaf.booklet.howto import how_to
from linenleaf.booklet.met import Met
from linenleaf.chart.paginate import paginate

from ..snippets import worked_of

KEY = 'key\n  m  #a03a3a "madder"\n  stay  #202030 "ink" straight\n'
ROPE = KEY + "chart 12 x 12\n" + "  |............|\n" * 12 + "  line stay 0,12 12,0\n"


def test_a_slanted_line_is_met_only_where_it_passes(tmp_path):
    met = Met(worked_of(ROPE, tmp_path))
    stay = (2,)
    assert met.within(0, 6, 6, 12) == met.within(6, 0, 12, 6) == met.within(0, 0, 12, 12) == stay
    assert met.within(0, 0, 5, 5) == met.within(7, 7, 12, 12) == ()
    assert met.within(0, 0, 6, 6) == ()  # where it touches but the corner


def test_the_corner_is_bare_only_where_nothing_is_stitched(tmp_path):
    bare = worked_of(ROPE, tmp_path)
    lined = worked_of(ROPE.replace("0,12 12,0", "0,0 12,12"), tmp_path)
    cut = paginate(12, 12, room=(90, 90))
    assert how_to(bare, cut).bare_corner
    assert not how_to(lined, cut).bare_corner
