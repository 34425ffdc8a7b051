"""Colours as others see them, against coloraide's own filter of the same published model."""

from __future__ import annotations

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.colour.colour import difference
from linenleaf.colour.vision import Sight, apart, seen

COLOURS = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")
FILTERS = {Sight.NO_RED: "protan", Sight.NO_GREEN: "deutan", Sight.NO_BLUE: "tritan"}


def by_coloraide(colour: str, sight: Sight) -> str:
    filtered = Color(colour).filter(FILTERS[sight], 1.0, method="machado")
    return filtered.convert("srgb").clip().to_string(hex=True)


@given(COLOURS, st.sampled_from(sorted(FILTERS)))
def test_it_is_the_model_of_machado_oliveira_and_fernandes(colour, sight):
    (own,) = seen([colour], sight)
    theirs = by_coloraide(colour, sight)
    apart_by = [abs(int(own[at : at + 2], 16) - int(theirs[at : at + 2], 16)) for at in (1, 3, 5)]
    assert max(apart_by) <= 1  # rounded to eight bits on two ways


@given(COLOURS)
def test_every_eye_sees_the_colour_itself_and_a_grey_print_a_grey(colour):
    assert seen([colour], Sight.ALL) == [colour]
    (grey,) = seen([colour], Sight.GREY)
    assert grey[1:3] == grey[3:5] == grey[5:7]


@pytest.mark.parametrize("sight", FILTERS)
def test_greys_stay_as_they_are(sight):
    # The rows of the published matrices add up to 1.
    greys = [f"#{level:02x}{level:02x}{level:02x}" for level in range(0, 256, 15)]
    assert np.max(apart(greys, seen(greys, sight), Sight.ALL)) < 0.5


def test_how_far_apart_colours_are_is_reckoned_pair_by_pair():
    ones, others = ["#a03a3a", "#102030"], ["#5f7a4a", "#405060"]
    expected = [difference(one, other) for one, other in zip(ones, others, strict=True)]
    assert apart(ones, others, Sight.ALL) == pytest.approx(expected)


def test_red_and_green_come_near_one_another_without_green_cones():
    red, green = ["#b4503c"], ["#7d6e32"]
    assert apart(red, green, Sight.ALL)[0] > 20
    assert apart(red, green, Sight.NO_GREEN)[0] < 10
