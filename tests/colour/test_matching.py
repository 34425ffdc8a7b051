"""The nearest threads to a colour, and what is typed for a colour."""

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from linenleaf.colour.matching import assign, colour_asked, in_words, nearest_threads, offered
from linenleaf.core.key import Thread, ThreadKind
from scipy.optimize import linear_sum_assignment

HEXES = st.integers(0, 0xFFFFFF).map("#{:06x}".format)


def range_of(colours):
    return [Thread("estuary", str(at), f"colour {at}", each) for at, each in enumerate(colours)]


@given(HEXES, st.lists(HEXES, min_size=1, max_size=20), st.integers(1, 25))
def test_the_nearest_are_those_that_coloraide_puts_first(colour, colours, most):
    found = nearest_threads(colour_asked(colour), range_of(colours), most)
    sought = Color(colour).convert("lab-d65")
    expected = sorted(sought.delta_e(Color(each), method="2000") for each in colours)[:most]
    assert [each.difference for each in found] == pytest.approx(expected, abs=1e-6)
    assert len({each.thread.code for each in found}) == len(found)


def test_of_equals_the_first_of_the_range_comes_first():
    threads = range_of(["#445566", "#8a6a49", "#8a6a49", "#8a6a4a"])
    found = nearest_threads(colour_asked("#8a6a49"), threads, 3)
    assert [each.thread.code for each in found] == ["1", "2", "3"]
    assert [each.difference for each in found[:2]] == [0, 0]


@pytest.mark.parametrize("text", ["#8a6a49", "8A6A49", " #8a6a49 "])
def test_a_colour_in_hexadecimal(text):
    assert colour_asked(text) == pytest.approx(Color("#8a6a49").convert("lab-d65").coords())


@pytest.mark.parametrize("text", ["lab(52 10 -3)", "LAB( 52, 10 ,-3.0 )", "lab(52.0 +10 -3)"])
def test_a_colour_as_lab(text):
    assert colour_asked(text) == pytest.approx([52, 10, -3], abs=1e-9)


def test_lab_measured_under_d50_is_what_browsers_mean_by_lab():
    # CSS Color Module Level 4: lab() is under D50.
    expected = Color("lab(52 10 -3)").convert("lab-d65").coords()
    assert colour_asked("lab(52 10 -3)", "d50") == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(
    "text",
    ["", "red", "#8a6a4", "#8a6a499", "lab(52 10)", "lab(152 0 0)", "lab(52 900 0)", "lab()"],
)
def test_what_is_no_colour(text):
    assert colour_asked(text) is None


@given(st.text(max_size=30))
def test_anything_typed_is_a_colour_or_none(text):
    found = colour_asked(text)
    assert found is None or np.isfinite(found).all()


@pytest.mark.parametrize(
    ("sought", "found", "difference", "words"),
    [
        ((50, 0, 0), (50, 0.4, 0), 0.4, "the same to the eye"),
        ((50, 0, 0), (51, 0, 0), 1.0, "seen only side by side"),
        ((50, 0, 0), (46, 1, 0), 3.9, "near; darker"),
        ((50, 0, 0), (58, -9, 3), 9.9, "another shade; greener, lighter"),
        ((50, 0, 0), (50, 0, -40), 20, "another colour; bluer"),
        ((50, 0, 0), (53, 2.5, 2.2), 5.0, "another shade; lighter, redder"),
        ((50, 0, 0), (50, 0, 2.2), 2.4, "seen only side by side; yellower"),
    ],
)
def test_words(sought, found, difference, words):
    assert in_words(sought, found, difference) == words


SHAPES = st.integers(0, 9).flatmap(lambda rows: st.tuples(st.just(rows), st.integers(rows, 14)))


def total(costs, columns):
    return costs[np.arange(len(columns)), columns].sum()


def least(costs):
    return costs[linear_sum_assignment(costs)].sum()


@given(SHAPES.flatmap(lambda shape: arrays(np.int64, shape, elements=st.integers(-50, 50))))
def test_never_dearer_than_scipy_and_no_column_twice(costs):
    # Whole numbers, so that many ways cost the same.
    found = assign(costs)
    assert len(set(found.tolist())) == len(costs)
    assert total(costs, found) == least(costs)


@given(SHAPES.flatmap(lambda shape: arrays(np.float64, shape, elements=st.floats(0, 1e4))))
def test_of_any_numbers(costs):
    assert total(costs, assign(costs)) == pytest.approx(least(costs), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("shape", [(60, 500), (120, 120)])
def test_as_many_as_a_key_and_a_range_have(shape):
    costs = np.random.default_rng(7).random(shape) ** 2 * 100
    assert total(costs, assign(costs)) == pytest.approx(least(costs), rel=1e-12)


def test_one_by_one_would_be_dearer():
    # The first row would take the cheap column that the second needs more.
    assert assign([[1, 2], [1, 9]]).tolist() == [1, 0]


def test_more_rows_than_columns_or_no_numbers_are_refused():
    with pytest.raises(ValueError, match="3 rows cannot have a column each of 2"):
        assign(np.zeros((3, 2)))
    with pytest.raises(ValueError, match="finite"):
        assign([[np.inf]])


def test_metal_and_beads_are_offered_only_when_asked_for():
    threads = [Thread("odd", kind, kind, "#888888", kind=kind) for kind in ThreadKind]
    unasked = ["stranded", "flat", "perle", "overdyed"]
    assert [each.code for each in offered(threads)] == unasked
    asked = offered(threads, [ThreadKind.METALLIC, ThreadKind.STRANDED])
    assert [each.code for each in asked] == ["stranded", "metallic"]
    assert [each.code for each in offered(threads, [ThreadKind.BEAD])] == ["bead"]
