"""The assignment against scipy's."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from linenleaf.colour.assignment import assign
from scipy.optimize import linear_sum_assignment

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
