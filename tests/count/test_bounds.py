"""Quick bounds of the thread estimate hold, and tell what is plain without it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.core.ground import Fabric, Working
from linenleaf.count.bounds import bounds
from linenleaf.count.thread import estimate, estimate_some

from ..thread_charts import AT_16, chart

COARSE = Fabric("aida", 8, 8, 1, block=True)


@given(
    st.integers(0, 2**32 - 1),
    st.floats(0.02, 1),
    st.sampled_from([AT_16, COARSE]),
    st.sampled_from([Working(), Working(tail=100, slip=150), Working(carry=0, slip=0, bare=0)]),
)
@settings(max_examples=25)
def test_an_estimate_lies_between_its_bounds(seed, share, fabric, working):
    rng = np.random.default_rng(seed)
    grid = np.where(rng.random((20, 22)) < share, rng.integers(1, 4, (20, 22)), 0)
    grid[0, 0] = 1
    worked = chart(grid, working=working)
    found = bounds(worked, fabric)
    some = {found[0][0].thread}
    assert estimate_some(worked, fabric, some) == tuple(
        use for use in estimate(worked, fabric) if use.thread in some
    )
    for (least, most), use in zip(found, estimate(worked, fabric), strict=True):
        assert least.thread == most.thread == use.thread
        assert least.needle - 1e-6 <= use.needle <= most.needle + 1e-6
        assert least.buy <= use.buy <= most.buy


def test_of_one_area_the_bounds_are_the_estimate():
    worked = chart(np.ones((9, 9)))
    ((least, most),) = bounds(worked, AT_16)
    (use,) = estimate(worked, AT_16)
    assert least.needle == most.needle == pytest.approx(use.needle)
