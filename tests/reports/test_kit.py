"""Lengths to cut for a kit."""

import math
from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.compose.worked import WorkedLine
from linenleaf.core.model import Kind, Thread, Working
from linenleaf.reports.kit import lengths, spare_beads

from ..charts import cell, part
from ..thread_charts import chart, one


def use_of(thread, strands, side=20, **working):
    worked = chart(
        np.ones((side, side)),
        key=(cell("m", part(thread, strands=strands)),),
        working=Working(**working),
    )
    return one(worked)


PUT_UPS = st.builds(
    Thread,
    st.just("estuary"),
    st.just("1"),
    st.just("mud"),
    st.just("#445566"),
    st.floats(0.5, 200),
    st.integers(1, 12),
)


@given(PUT_UPS, st.integers(1, 4), st.floats(0, 0.5), st.integers(1, 40))
def test_a_kit_holds_all_needlefuls_and_the_reserve_and_no_length_too_many(
    thread, strands, reserve, kits
):
    use = use_of(thread, strands)
    found = lengths(use, reserve, kits)
    needed = use.needlefuls * strands * (1 + reserve)  # single strands of a needleful
    held = found.number * thread.strands * found.length / use.longest
    assert held >= needed - 1e-6
    assert found.number == 1 or held - thread.strands * found.length / use.longest < needed
    assert found.each * found.length <= thread.metres * 1000 + 1e-6
    assert found.put_ups * found.each >= found.number * kits
    assert (found.put_ups - 1) * found.each < found.number * kits


def test_a_field_worked_by_hand():
    # 12 needlefuls of 3 strands, 10 % more: 39.6 strands, of which a length has 6: 7 lengths.
    thread = Thread("estuary", "1", "mud", "#445566", 8, 6)
    use = replace(use_of(thread, 3), needlefuls=12, strand_needlefuls=36)
    found = lengths(use, 0.1, 1)
    assert found.number == math.ceil(39.6 / 6) == 7
    # 8 m give 17 lengths of 18 in (457.2 mm); 5 kits take 35 of them.
    assert (found.each, lengths(use, 0.1, 5).put_ups) == (17, 3)


def test_one_long_stitch_is_given_a_length_that_reaches():
    thread = Thread("estuary", "1", "mud", "#445566", 8, 6)
    key = (cell("m", part(thread)), cell("ray", part(thread, Kind.STRAIGHT, strands=1)))
    ray = WorkedLine(2, np.array([(0.0, 0.0), (400.0, 0.0)]), 1, None)
    use = one(chart(np.zeros((2, 400)), key=key, lines=(ray,)))
    assert lengths(use, 0, 1).length >= 400 * 25.4 / 16 + 2 * Working().tail


def test_beads_have_some_to_spare():
    assert [spare_beads(each, 0.1) for each in (1, 9, 10, 11, 100)] == [2, 10, 11, 13, 110]
    assert spare_beads(5, 0) == 6
