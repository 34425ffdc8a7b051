"""Drawings laid many at once are those laid one after the other."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.cloth.stamping import Stamp, blend_at, lay


@st.composite
def stamps(draw):
    rng = np.random.default_rng(draw(st.integers(0, 999)))
    made = []
    for _ in range(draw(st.integers(1, 3))):
        height, width = draw(st.integers(1, 6)), draw(st.integers(1, 6))
        cover = rng.integers(0, 256, (height, width, 1))
        layer = np.concatenate([rng.integers(0, 256, (height, width, 3)) * cover // 255, cover], 2)
        layer[: draw(st.integers(0, 2))] = 0  # rows in which nothing is drawn
        made.append(
            Stamp(layer.astype(np.uint8), draw(st.integers(-3, 3)), draw(st.integers(-3, 3)))
        )
    return made


@given(stamps(), st.lists(st.tuples(st.integers(-5, 25), st.integers(-5, 15)), max_size=40))
def test_what_lies_over_another_does_so_whatever_is_laid_at_once(made, places):
    which = np.arange(len(places)) % len(made)
    one = np.full((14, 22, 3), 200, dtype=np.uint8)
    other = one.copy()
    for number, (x, y) in zip(which.tolist(), places, strict=True):
        stamp = made[number]
        blend_at(one, stamp.layer, x + stamp.left, y + stamp.top)
    lay(other, made, which, np.array(places, dtype=np.int64).reshape(-1, 2))
    assert np.array_equal(one, other)
