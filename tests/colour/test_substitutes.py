"""Substitutes for a whole key: each near its own, none twice, neighbours apart."""

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.colour.colorimetry import ciede2000, labs
from linenleaf.colour.substitutes import APART, CLEAR, TooFew, substitutes
from linenleaf.core.key import Thread
from scipy.optimize import linear_sum_assignment

HEXES = st.integers(0, 0xFFFFFF).map("#{:06x}".format)


def range_of(colours, name="shore"):
    return [Thread(name, str(at), f"colour {at}", each) for at, each in enumerate(colours)]


def none_touch(count):
    return np.zeros((count, count), dtype=bool)


def all_touch(count):
    return ~np.eye(count, dtype=bool)


def differences(one, other):
    return ciede2000(labs(one)[:, None], labs(other)[None])


def lack(own, others, touching):
    """What is made small, written out plainly, for columns of the others."""
    squares, between, there = (
        differences(own, others) ** 2,
        differences(own, own),
        differences(others, others),
    )

    def total(columns):
        pairs = [(one, other) for one in range(len(own)) for other in range(one)]
        missed = [
            max(0, min(CLEAR, between[one, other]) - there[columns[one], columns[other]])
            for one, other in pairs
            if touching[one, other]
        ]
        return sum(squares[range(len(own)), list(columns)]) + APART * sum(
            each**2 for each in missed
        )

    return total


@given(st.lists(HEXES, min_size=1, max_size=8), st.lists(HEXES, min_size=8, max_size=30))
def test_where_nothing_touches_it_is_the_assignment_that_scipy_finds(own, others):
    threads, there = range_of(own, "estuary"), range_of(others)
    found = substitutes(threads, none_touch(len(own)), there)
    squares = differences(own, others) ** 2
    best = squares[linear_sum_assignment(squares)].sum()
    assert (found.difference**2).sum() == pytest.approx(best, abs=1e-6)
    assert len({each.code for each in found.chosen}) == len(own)
    assert found.close == ()


def small_case(seed):
    """A few threads that all touch, and a few more to choose from, all of a family of colours."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 5))
    spread = int(rng.choice([40, 120, 256]))
    base = rng.integers(0, 257 - spread, 3)
    levels = (base + rng.integers(0, spread, (count + 6, 3))).tolist()
    colours = ["#{:02x}{:02x}{:02x}".format(*each) for each in levels]
    return colours[:count], colours[count : count + int(rng.integers(max(count, 4), 7))]


def test_of_few_threads_nearly_always_the_best_of_all_ways():
    ratios = []
    for seed in range(200):
        own, others = small_case(seed)
        touching = all_touch(len(own))
        total = lack(own, others, touching)
        found = substitutes(range_of(own, "estuary"), touching, range_of(others))
        got = total([int(each.code) for each in found.chosen])
        ratios.append(got / min(total(way) for way in permutations(range(len(others)), len(own))))
    # No exact way is promised; the steps seldom stop short of the best, and never far from it.
    assert min(ratios) > 1 - 1e-9
    assert sum(each > 1 + 1e-9 for each in ratios) <= 6
    assert max(ratios) < 1.3


@given(
    st.lists(HEXES, min_size=2, max_size=6, unique=True),
    st.lists(HEXES, min_size=6, max_size=20, unique=True),
)
def test_never_worse_than_the_plain_assignment(own, others):
    touching = all_touch(len(own))
    total = lack(own, others, touching)
    found = substitutes(range_of(own, "estuary"), touching, range_of(others))
    plain = linear_sum_assignment(differences(own, others) ** 2)[1]
    assert total([int(each.code) for each in found.chosen]) <= total(plain) + 1e-6


def test_neighbours_are_kept_apart_at_a_small_price():
    # Two blues that touch. One by one, and also as a plain assignment, they would become two
    # threads that cannot be told apart; a little farther off lies one that can.
    own = ["#3a5f8a", "#4a6f9a"]
    others = ["#40668f", "#426891", "#547aa8", "#a33b2e"]
    alone = substitutes(range_of(own), none_touch(2), range_of(others))
    assert [each.colour for each in alone.chosen] == ["#40668f", "#426891"]
    apart = substitutes(range_of(own), all_touch(2), range_of(others))
    assert [each.colour for each in apart.chosen] == ["#40668f", "#547aa8"]
    assert apart.close == ()
    assert differences(["#40668f"], ["#547aa8"])[0, 0] > CLEAR


def test_what_stays_too_near_is_told():
    own, others = ["#2255aa", "#aa2222"], ["#777777", "#787878"]
    found = substitutes(range_of(own), all_touch(2), range_of(others))
    ((one, other, apart),) = found.close
    assert (one, other) == (0, 1)
    assert apart == pytest.approx(differences(["#777777"], ["#787878"])[0, 0])


def test_threads_that_the_designer_left_near_each_other_may_stay_so():
    own = ["#778877", "#798a79"]  # 0.9 apart
    others = ["#778877", "#798a79", "#ffffff"]
    found = substitutes(range_of(own), all_touch(2), range_of(others))
    assert found.difference.tolist() == [0, 0]
    assert found.close == ()


def test_a_range_that_is_too_short_is_refused():
    with pytest.raises(TooFew, match="2 threads are too few; the key needs 3 different ones"):
        substitutes(range_of(["#111111"] * 3), none_touch(3), range_of(["#111111"] * 2))


def test_a_long_key_and_a_long_range_take_no_time():
    rng = np.random.default_rng(3)
    colours = [f"#{each:06x}" for each in rng.integers(0, 1 << 24, 560).tolist()]
    touching = np.triu(rng.random((60, 60)) < 0.2, 1)
    own, others = colours[:60], colours[60:]
    found = substitutes(range_of(own), touching | touching.T, range_of(others))
    assert len({each.code for each in found.chosen}) == 60
    assert not found.close
