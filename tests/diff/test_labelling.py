"""Areas of cells, held to scipy.ndimage.label."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from linenleaf.diff.areas import boxes, label
from scipy import ndimage

MASKS = hnp.arrays(bool, hnp.array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=14))


def by_scipy(mask, reach):
    """Cells within `reach` of each other join when squares of that side, laid from each, touch."""
    padded = np.pad(mask, reach)
    grown = np.zeros_like(padded)
    for down in range(reach):
        for across in range(reach):
            grown |= np.roll(padded, (down, across), (0, 1))
    labels, _ = ndimage.label(grown, np.ones((3, 3)))
    return labels[reach:-reach, reach:-reach][mask]


def same_partition(one, other):
    """Whether two namings of the same cells join the same ones."""
    pairs = set(zip(one.tolist(), other.tolist(), strict=True))
    return len(pairs) == len(set(one.tolist())) == len(set(other.tolist()))


@given(MASKS, st.integers(1, 4))
def test_areas_are_those_of_scipy(mask, reach):
    x, y, area = label(mask, reach)
    assert np.array_equal(np.stack(np.nonzero(mask)), np.stack([y, x]))
    assert same_partition(area, by_scipy(mask, reach))


@given(MASKS, st.integers(1, 3))
def test_areas_count_from_nought_in_the_order_of_their_first_cells(mask, reach):
    _, _, area = label(mask, reach)
    firsts = list(dict.fromkeys(area.tolist()))
    assert firsts == list(range(len(firsts)))


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.98])
def test_large_masks_too(share):
    mask = np.random.default_rng(5).random((300, 410)) < share
    _, _, area = label(mask)
    labels, many = ndimage.label(mask, np.ones((3, 3)))
    assert area.max() + 1 == many
    assert same_partition(area, labels[mask])


@given(MASKS)
def test_boxes_are_those_of_scipy(mask):
    x, y, area = label(mask)
    named = np.zeros(mask.shape, dtype=int)
    named[y, x] = area + 1
    found = [
        (across.start, down.start, across.stop, down.stop)
        for down, across in ndimage.find_objects(named)
    ]
    assert boxes(x, y, area).tolist() == [list(each) for each in found]


def test_a_chain_of_slanting_steps_is_one_area():
    mask = np.eye(200, dtype=bool)
    _, _, area = label(mask)
    assert set(area.tolist()) == {0}
    _, _, area = label(mask[:, ::2][:, :50])
    assert area.max() == 49


def test_nothing_marked_is_no_area():
    x, y, area = label(np.zeros((3, 4), dtype=bool))
    assert len(x) == len(y) == len(area) == 0
    assert boxes(x, y, area).shape == (0, 4)
