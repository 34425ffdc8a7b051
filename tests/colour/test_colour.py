"""Colour arithmetic against published values."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.colour import colour

DATA = Path(__file__).parent.parent / "data"
hexes = st.integers(0, 0xFFFFFF).map("#{:06x}".format)


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


@pytest.mark.parametrize("row", rows("srgb_lab_d65.csv"), ids=lambda row: row["hex"])
def test_lab_of_the_srgb_primaries(row):
    # White 0.95047/1/1.08883 (IEC 61966-2-1 matrix; values as public test suites attribute them to
    # B. Lindbloom). 0.02 leaves room for other roundings of the white.
    published = [float(row[each]) for each in ("L_pub", "a_pub", "b_pub")]
    assert colour.lab(row["hex"]) == pytest.approx(published, abs=0.02)


@pytest.mark.parametrize("row", rows("ciede2000.csv"), ids=lambda row: row["dE00"])
def test_ciede2000_of_published_pairs(row):
    # G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 Color-Difference Formula", Color Research and
    # Application 30(1), 2005, 21-30, table 1; printed to four places.
    one = [float(row[each]) for each in ("L1", "a1", "b1")]
    other = [float(row[each]) for each in ("L2", "a2", "b2")]
    assert colour.ciede2000(one, other) == pytest.approx(float(row["dE00"]), abs=0.00005)
    assert colour.ciede2000(other, one) == pytest.approx(float(row["dE00"]), abs=0.00005)


@pytest.mark.parametrize("row", rows("wcag_contrast.csv"), ids=lambda row: row["fg"] + row["bg"])
def test_contrast_by_the_wcag_formula(row):
    # Ratios by the WCAG 2.2 formula; W3C itself states 21:1 for black on white.
    assert colour.contrast(row["fg"], row["bg"]) == pytest.approx(
        float(row["ratio_formula"]), abs=0.001
    )
    assert colour.contrast(row["bg"], row["fg"]) == colour.contrast(row["fg"], row["bg"])


def test_difference_of_two_colours_is_that_of_an_independent_reckoning():
    one, other = Color("#a03040"), Color("#3060a0")
    assert colour.difference("#a03040", "#3060a0") == pytest.approx(
        one.delta_e(other, method="2000"), abs=1e-4
    )
    assert colour.difference("#a03040", "#a03040") == 0


def test_black_and_white_lie_a_hundred_apart():
    # With equal hue and chroma the formula leaves the lightness step over S_L, which is
    # 1 where the mean lightness is 50 (Sharma, Wu, Dalal 2005, equation 15).
    assert colour.difference("#000000", "#ffffff") == pytest.approx(100, abs=0.001)


def test_matrix_holds_each_pair_both_ways():
    found = colour.differences(["#000000", "#ffffff", "#a03040"])
    assert np.array_equal(found, found.T)
    assert not found.diagonal().any()
    assert found[2, 1] == pytest.approx(colour.difference("#a03040", "#ffffff"), abs=1e-12)


@given(st.floats(0, 1))
def test_srgb_and_linear_light_are_inverse(channel):
    # The two pieces of the published curve do not meet exactly: hence not to the last digit.
    assert colour.from_linear(colour.to_linear(channel)) == pytest.approx(channel, abs=1e-6)


@given(hexes)
def test_grey_keeps_the_luminance(cell):
    shown = colour.grey(cell)
    assert shown[1:3] == shown[3:5] == shown[5:7]
    step = colour.to_linear(1.0) - colour.to_linear(254 / 255)
    assert colour.luminance(shown) == pytest.approx(colour.luminance(cell), abs=step)


@given(hexes)
def test_the_better_ink_always_reaches_the_square_root_of_21(cell):
    best = colour.contrast(cell, colour.ink_for(cell))
    other = {"#000000": "#ffffff", "#ffffff": "#000000"}[colour.ink_for(cell)]
    assert best >= colour.contrast(cell, other)
    assert best >= math.sqrt(21) - 1e-9


@pytest.mark.parametrize(
    ("cell", "ink"),
    [
        ("#ffffff", "#000000"),
        ("#000000", "#ffffff"),
        ("#ffff00", "#000000"),
        ("#0000ff", "#ffffff"),
    ],
)
def test_ink_for_plain_colours(cell, ink):
    assert colour.ink_for(cell) == ink


@given(hexes, st.sampled_from([4.5, 7.0, 9.0]), st.sampled_from([None, "#000000", "#ffffff"]))
def test_a_tint_lets_the_symbol_be_read_and_goes_no_further(cell, least, ink):
    shown = colour.tint(cell, least, ink)
    used = ink or colour.ink_for(cell)
    before, after = colour.contrast(cell, used), colour.contrast(shown, used)
    assert after >= least
    if before >= least:
        assert shown == cell
    else:
        # One 8-bit step further than needed changes the ratio by a few parts in a hundred at most.
        assert after <= least * 1.06


@given(hexes, st.sampled_from(["#000000", "#ffffff"]))
def test_a_tint_keeps_the_hue(cell, ink):
    shown = colour.tint(cell, 7.0, ink)
    one, other = (Color(each).convert("oklch") for each in (cell, shown))
    if min(one["chroma"], other["chroma"]) > 0.04:  # a grey has no hue, a near grey a rough one
        apart = abs((one["hue"] - other["hue"] + 180) % 360 - 180)
        assert apart < 6


def test_a_contrast_that_nothing_has_gives_the_extreme():
    assert colour.tint("#336699", 25, "#000000") == "#ffffff"
    assert colour.tint("#336699", 25, "#ffffff") == "#000000"
