"""Other strands, other fabrics: what changes in the needle and in the table of sizes."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.booklet.supplies import size_rows, strands_on
from linenleaf.compose.copies import main_strands, restrand
from linenleaf.compose.worked import Piece, shared
from linenleaf.core.ground import Fabric, Ground
from linenleaf.core.key import KeyEntry, Kind, Part, Strands, Thread
from linenleaf.count.thread import estimate, estimate_in

from ..charts import INK, LAMP, MADDER, SEDGE, cell, part
from ..thread_charts import AT_14, AT_16, chart

KEY = (
    cell("m", part(MADDER)),
    cell("s", part(SEDGE, strands=1)),
    KeyEntry("b", (Part(Kind.FULL, (Strands(INK, 1), Strands(LAMP, 1))),)),
    KeyEntry("rope", (part(INK, Kind.BACK, strands=2),)),
)
GRID = np.array([[1, 1, 1, 2, 3]])


def strands(worked):
    return [
        tuple(each.strands for each in piece.needle)
        for entry in worked.design.key
        for piece in entry.parts
    ]


def test_only_the_needles_of_most_crosses_change():
    worked = chart(GRID, key=KEY)
    assert main_strands(worked) == 2
    assert strands(restrand(worked, 3)) == [(3,), (1,), (2, 1), (2,)]
    assert strands(restrand(worked, 1)) == [(1,), (1,), (1, 1), (2,)]
    assert restrand(worked, 2) is worked


def test_a_piece_takes_the_strands_that_are_stated_for_it():
    shape = np.array([[1, 1, 3]], dtype=np.uint16)

    def taken(stated, key=KEY):
        piece = Piece("fish", 0, 0, 0.5, 1, shape, None, stated)
        worked = chart(np.zeros((1, 2)), key=key, pieces=(piece,))
        return {each.thread: each.strand_metres for each in estimate(worked, AT_16)}, worked

    usual, _ = taken(None)
    thin, worked = taken(1)
    assert thin[MADDER] == pytest.approx(usual[MADDER] / 2)
    assert thin[INK] == usual[INK]  # a blend keeps one strand of each
    thick, _ = taken(4)
    assert (thick[MADDER], thick[INK]) == (2 * usual[MADDER], 2 * usual[INK])
    assert restrand(worked, 3).pieces == worked.pieces
    dyed = (cell("m", part(SEDGE)), *KEY[1:])
    uses = estimate_in(taken(1, dyed)[1], worked)
    assert {each.thread: each.strand_metres for each in uses} == taken(1, dyed)[0]


def test_without_crosses_nothing_changes():
    worked = chart(np.zeros((2, 2)), key=KEY)
    assert main_strands(worked) is None
    assert restrand(worked, 3) is worked


THREADS = st.lists(st.integers(1, 8), min_size=1, max_size=6).map(
    lambda counts: tuple(
        Strands(Thread("", "", str(at), "#000000"), many) for at, many in enumerate(counts)
    )
)


@given(THREADS, st.integers(1, 24))
def test_a_blend_shares_its_strands(needle, wanted):
    found = [each.strands for each in shared(needle, wanted)]
    assert min(found) >= 1
    assert sum(found) == max(wanted, len(needle))
    assert [each.thread for each in shared(needle, wanted)] == [each.thread for each in needle]


@given(THREADS, st.integers(1, 4))
def test_whole_multiples_are_shared_exactly(needle, times):
    whole = sum(each.strands for each in needle)
    assert [each.strands for each in shared(needle, times * whole)] == [
        times * each.strands for each in needle
    ]


def test_half_the_strands_are_half_the_thread():
    worked = chart(np.ones((20, 20)), key=KEY)
    (two,), (one,) = estimate(worked, AT_16), estimate(restrand(worked, 1), AT_16)
    assert one.needle == two.needle
    assert one.skeins == pytest.approx(two.skeins / 2)


@pytest.mark.parametrize(
    ("fabric", "chosen", "expected"),
    [
        # Usual strands by crosses per inch: common practice, tables differ.
        (Fabric("aida", 14, 14, 1, True), 2, 2),
        (Fabric("linen", 36, 36, 2), 2, 1),
        (Fabric("aida", 8, 8, 1, True), 2, 3),
        # The designer's own choice stays where crosses are as large, and is no reason to work
        # thicker on a finer fabric, or thinner on a coarser one.
        (Fabric("aida", 16, 16, 1, True), 3, 3),
        (Fabric("linen", 40, 40, 2), 1, 1),
        (Fabric("aida", 14, 14, 1, True), 3, 3),
    ],
)
def test_strands_on_another_fabric(fabric, chosen, expected):
    worked = chart(np.ones((2, 2)), key=(cell("m", part(MADDER, strands=chosen)),))
    assert strands_on(worked, fabric) == expected


def test_the_table_of_sizes_takes_the_strands_that_it_states():
    worked = chart(np.ones((60, 60)), key=KEY)
    fine = Fabric("linen", 40, 40, 2)
    ground = Ground(AT_16, also=(AT_14, fine))
    worked = replace(worked, design=replace(worked.design, ground=ground))
    own, coarse, thin = size_rows(worked, estimate(worked, AT_16))
    assert (own.strands, coarse.strands, thin.strands) == (2, 2, 1)
    assert coarse.uses == estimate(worked, AT_14)
    assert thin.uses == estimate(restrand(worked, 1), fine)
    assert thin.skeins == sum(use.buy for use in thin.uses)
