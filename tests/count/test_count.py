"""Counts against numpy's and a plain dictionary's."""

from collections import Counter

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.compose.compose import compose
from linenleaf.core.items import Knot, Line, Placement
from linenleaf.core.key import KeyEntry, Kind, Thread
from linenleaf.count.count import BeadCount, count

from ..charts import INK, KEY, LAMP, MADDER, SEDGE, cell, design, motif, part


def counted(*args, **more):
    worked, found = compose(design(*args, **more))
    assert worked is not None, found
    return count(worked), worked


def by_symbol(counts):
    return {each.entry.symbol: each.number for each in counts.entries}


ROWS = st.integers(1, 12).flatmap(
    lambda width: st.lists(
        st.text(alphabet=".msk/\\", min_size=width, max_size=width), min_size=1, max_size=12
    )
)


@given(ROWS)
def test_counts_are_those_of_a_plain_dictionary_and_of_numpy(rows):
    counts, worked = counted(rows=rows)
    plain = Counter("".join(rows))
    del plain["."]
    assert by_symbol(counts) == plain
    values, numbers = np.unique(worked.grid, return_counts=True)
    assert {each.index: each.cells for each in counts.entries} == {
        int(value): int(number) for value, number in zip(values, numbers, strict=True) if value
    }
    assert counts.crosses == np.count_nonzero(worked.grid)
    assert sum(each.number for each in counts.threads) == counts.crosses


def test_a_picture_counted_by_hand():
    counts, _ = counted(
        (4, 4),
        Line("lantern", ((0, 0), (4, 0), (4, 2))),
        Knot("eye", ((1, 1), (3.5, 3.5))),
        rows=("mm..", "m/..", "..s\\", "...."),
    )
    assert by_symbol(counts) == {"m": 3, "/": 1, "s": 1, "\\": 1, "lantern": 6, "eye": 2}
    assert (counts.crosses, counts.line_stitches, counts.knots) == (6, 6, 2)
    threads = {
        each.thread: {(kind.kind, kind.over): kind.number for kind in each.kinds}
        for each in counts.threads
    }
    assert threads == {
        MADDER: {(Kind.FULL, 2): 3},
        SEDGE: {(Kind.FULL, 2): 1, (Kind.HALF, 2): 2},
        LAMP: {(Kind.BACK, 2): 6},
        INK: {(Kind.KNOT, 2): 2},
    }


def test_beads_are_counted_apart_from_threads():
    # Two key lines of one bead, and a thread of the same colour card that is used as thread too.
    amber = Thread("", "", "amber glass", "#f2b33d")
    key = (
        cell("m", part(MADDER)),
        KeyEntry("lamp", (part(amber, Kind.BEAD),)),
        KeyEntry("star", (part(amber, Kind.BEAD),)),
        KeyEntry("berry", (part(MADDER, Kind.BEAD),)),
        KeyEntry("eye", (part(MADDER, Kind.KNOT),)),
    )
    counts, _ = counted(
        (4, 1),
        Knot("lamp", ((0, 0), (1, 0))),
        Knot("star", ((2, 0),)),
        Knot("berry", ((3, 0),)),
        Knot("eye", ((4, 0), (4, 1))),
        rows=("mm..",),
        key=key,
    )
    assert counts.beads == (BeadCount(amber, 3), BeadCount(MADDER, 1))
    assert [each.thread for each in counts.threads] == [MADDER]
    assert {kind.kind: kind.number for kind in counts.threads[0].kinds} == {
        Kind.FULL: 2,
        Kind.KNOT: 2,
    }
    assert counts.knots == 2


def test_over_one_crosses_are_counted_as_such():
    counts, _ = counted(
        (6, 6),
        Placement("dot", 0, 0),
        Placement("dot", 3, 3, over=1),
        motifs=(motif("dot", "ms", "s."),),
    )
    got = {each.entry.symbol: (each.cells, each.other) for each in counts.entries}
    assert got == {"m": (1, ((1, 1),)), "s": (2, ((1, 2),))}
    madder = next(each for each in counts.threads if each.thread == MADDER)
    assert {(kind.kind, kind.over): kind.number for kind in madder.kinds} == {
        (Kind.FULL, 2): 1,
        (Kind.FULL, 1): 1,
    }


def test_two_part_stitches_in_a_cell_count_for_both_threads_and_one_cell():
    both = cell("^", part(MADDER, Kind.THREE_QUARTER), part(SEDGE, Kind.QUARTER))
    counts, _ = counted(rows=("^^",), key=(*KEY, both))
    assert counts.crosses == 2
    assert {each.thread: each.number for each in counts.threads} == {MADDER: 2, SEDGE: 2}
