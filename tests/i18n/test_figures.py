"""Figures as people read them."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.core.ground import MM_PER_INCH
from linenleaf.i18n.figures import cm, cut_cm, cut_inches, inches

PARTS = dict(zip("⅛¼⅜½⅝¾⅞", range(1, 8), strict=True))
SIXTEENTHS = st.integers(0, 16 * 100)  # to 100 inches


def read(written):
    """Inches as written, in eighths."""
    whole = written.rstrip("".join(PARTS))
    return 8 * int(whole or 0) + PARTS.get(written[len(whole) :], 0)


@pytest.mark.parametrize(
    ("mm", "shown"), [(266.7, "26.7"), (50.0, "5"), (0.0, "0"), (1234.56, "123.5")]
)
def test_centimetres(mm, shown):
    assert cm(mm) == shown


@pytest.mark.parametrize(
    ("eighths", "shown"), [(0, "0"), (3, "⅜"), (8, "1"), (110, "13¾"), (111, "13⅞")]
)
def test_inches(eighths, shown):
    assert inches(eighths * MM_PER_INCH / 8) == shown


@pytest.mark.parametrize(
    ("mm", "in_cm", "in_inches"),
    [
        # 168 crosses at 16 per inch and 3 in on each side: exactly 16½ in, 41.91 cm.
        (168 / 16 * MM_PER_INCH + 6 * MM_PER_INCH, "42", "16½"),
        # 31 crosses at 14 per inch and 3 in on each side: 8.214 in, 20.86 cm.
        (31 / 14 * MM_PER_INCH + 6 * MM_PER_INCH, "21", "8¼"),
        (200.0, "20", "8"),
        (200.1, "20.5", "8"),
        (205.0, "20.5", "8¼"),
    ],
)
def test_a_piece_to_cut_worked_by_hand(mm, in_cm, in_inches):
    assert (cut_cm(mm), cut_inches(mm)) == (in_cm, in_inches)


@given(SIXTEENTHS)
def test_a_piece_to_cut_is_never_smaller_and_less_than_a_quarter_inch_larger(sixteenths):
    mm = sixteenths * MM_PER_INCH / 16
    exact = Fraction(sixteenths, 16)
    found = Fraction(read(cut_inches(mm)), 8)
    assert found == Fraction(math.ceil(exact * 4), 4)


@given(st.integers(0, 20_000))
def test_a_piece_to_cut_is_never_smaller_and_less_than_half_a_centimetre_larger(tenths):
    found = Fraction(cut_cm(tenths / 10))
    assert found == Fraction(math.ceil(Fraction(tenths, 50)), 2)


@given(st.integers(1, 400), st.sampled_from([11, 14, 16, 18, 20]), st.integers(0, 16))
def test_whole_quarters_are_not_rounded_up_by_the_arithmetic(crosses, per_inch, margin):
    exact = Fraction(crosses, per_inch) + 2 * Fraction(margin, 4)
    mm = crosses * MM_PER_INCH / per_inch + 2 * (margin / 4 * MM_PER_INCH)
    assert Fraction(read(cut_inches(mm)), 8) == Fraction(math.ceil(exact * 4), 4)
