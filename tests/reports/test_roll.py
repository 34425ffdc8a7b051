"""Pieces of cloth cut from a roll."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.reports.roll import METRIC, YARDS, TooNarrow, plan

SIDES = st.integers(4, 60).map(lambda halves: halves * 5.0)


@given(SIDES, SIDES, st.integers(1, 30), st.integers(300, 1600), st.booleans())
def test_no_other_strips_take_less_of_the_roll(width, height, wanted, roll, turn):
    found = plan((width, height), wanted, float(roll), METRIC, turn=turn)
    held = 0
    for each in found.strips:
        assert {each.across, each.along} == {width, height}
        assert each.side_by_side * each.across <= roll
        assert turn or not each.turned
        held += each.number * each.side_by_side
    assert held - found.spare == wanted
    assert found.spare >= 0
    upright, turned = int(roll // width), int(roll // height) if turn else 0
    least = min(
        number * height + others * width
        for number in range(wanted + 1)
        for others in range(wanted + 1)
        if number * upright + others * turned >= wanted
    )
    assert found.length == least
    assert found.length + 50 <= found.buy < found.length + 150
    assert found.buy % 100 == 0


def test_yards_are_sold_by_the_eighth():
    found = plan((20 * 25.4, 20 * 25.4), 3, 55 * 25.4, YARDS, turn=True)
    assert found.length / 25.4 == pytest.approx(40)
    assert found.buy / 25.4 == pytest.approx(45)  # 40 in and 2 in, up to ten times 4 1/2 in


def test_cloth_with_other_counts_down_is_not_turned_and_says_how_wide_it_must_be():
    assert plan((300, 200), 1, 250, METRIC, turn=True).strips[0].turned
    with pytest.raises(TooNarrow, match=r"25 cm .* piece of 30 cm .* by 20 cm .* must be 30 cm"):
        plan((300, 200), 1, 250, METRIC, turn=False)
    with pytest.raises(TooNarrow, match=r"turned or not; it must be 20 cm"):
        plan((300, 200), 1, 190, METRIC, turn=True)


def test_a_great_many_are_laid_out_at_once():
    found = plan((210, 200), 100_000, 1400, METRIC, turn=True)
    assert sum(each.pieces for each in found.strips) >= 100_000
    assert math.isclose(found.length, 300_004 * 10)
