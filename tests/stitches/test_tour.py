"""Double running: walked stitch by stitch, and held against networkx for what hangs together."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import networkx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.stitches.tour import tours

HOLES = st.integers(0, 9)
STITCHES = st.lists(
    st.tuples(HOLES, HOLES).filter(lambda two: two[0] < two[1]),
    min_size=1,
    max_size=30,
    unique=True,
)
SQUARE = [(0, 1), (1, 2), (2, 3), (0, 3)]


def walked(ways: list[list[int]]) -> tuple[Counter, Counter]:
    sides = (Counter(), Counter())
    for way in ways:
        assert way[0] == way[-1]
        for number, two in enumerate(pairwise(way)):
            sides[number % 2][tuple(sorted(two))] += 1
    return sides


@given(STITCHES)
def test_every_stitch_lies_once_on_each_side(stitches):
    ways = list(tours(np.array(stitches)))
    once = Counter(stitches)
    assert walked(ways) == (once, once)
    assert len(ways) == networkx.number_connected_components(networkx.Graph(stitches))


def test_twice_round_a_square_would_be_wrong():
    """An Euler tour of the doubled square, but with two of its sides twice on the front."""
    front, _ = walked([[0, 1, 2, 3, 0, 1, 2, 3, 0]])
    assert set(front.values()) == {2}
    assert walked(list(tours(np.array(SQUARE))))[0] == Counter(SQUARE)


def test_a_branch_is_worked_on_the_way():
    way = next(tours(np.array([(0, 1), (1, 2), (1, 3)])))
    assert way in ([0, 1, 2, 1, 3, 1, 0], [0, 1, 3, 1, 2, 1, 0])


@pytest.mark.parametrize("many", [1, 1000])
def test_a_long_line_needs_no_deep_recursion(many):
    [way] = tours(np.array([(n, n + 1) for n in range(many * 5)]))
    assert len(way) == 10 * many + 1
