"""How much of a chart is shown round what differs, and which places share a picture."""

import numpy as np
import pytest
from linenleaf.diff.entries import entries
from linenleaf.diff.views import merged, view

from tests.charts import motif
from tests.diff.pairs import at, compared, of_grid, of_items


def seen(size, *blocks):
    """The windows shown of a chart on which blocks of cells (x, y, across, down) changed."""
    old = np.ones(size[::-1], np.uint16)
    new = old.copy()
    for x, y, across, down in blocks:
        new[y : y + down, x : x + across] = 2
    found = compared(of_grid(old), of_grid(new), thread=False)
    views = merged(found, [view(found, each) for each in entries(found).items])
    assert all(each.old.window == each.new.window for each in views)
    return [each.new.window for each in views]


@pytest.mark.parametrize(
    ("size", "block", "window"),
    [
        ((60, 60), (30, 30, 1, 1), (21, 26, 39, 35)),  # at least 18 by 9 cells, it in the middle
        ((60, 60), (20, 30, 12, 3), (17, 27, 35, 36)),  # 3 cells all round
        ((60, 60), (20, 30, 13, 4), (17, 27, 36, 37)),
        ((60, 60), (0, 58, 2, 2), (0, 51, 18, 60)),  # at an edge as much, beginning there
        ((12, 7), (5, 5, 1, 1), (0, 0, 12, 7)),  # a small chart is shown whole
    ],
)
def test_what_changed_is_shown_with_some_cells_round_it(size, block, window):
    assert seen(size, block) == [window]


@pytest.mark.parametrize(
    ("second", "views"),
    [
        ((47, 30), 1),  # 18 cells of each are shown: the last that touch
        ((48, 30), 2),
        ((30, 38), 1),  # 9 rows
        ((30, 39), 2),
    ],
)
def test_places_whose_pictures_overlap_share_one(second, views):
    assert len(seen((90, 90), (30, 30, 1, 1), (*second, 1, 1))) == views


@pytest.mark.parametrize(("step", "axis", "count"), [(17, 0, 10), (8, 1, 16)])
def test_no_shared_picture_grows_beyond_120_cells(step, axis, count):
    spots = [(20 + step * each, 20) for each in range(count)]
    size = (40 + step * count, 40)
    if axis:
        spots, size = [spot[::-1] for spot in spots], size[::-1]
    windows = seen(size, *((*spot, 1, 1) for spot in spots))
    sides = [each[2 + axis] - each[axis] for each in windows]
    assert len(windows) == 2
    assert 120 - step < max(sides) <= 120


TERN = motif("tern", "..mm...", ".mmmmss", "mm.kmm.", "...m...")
SHORE = motif("shore", *["sk" * 30] * 4)


@pytest.mark.parametrize(
    ("name", "new", "shared"),
    [
        ("tern", (53, 10), True),  # 7 cells wide, 43 farther, 3 on both sides: 56
        ("tern", (54, 10), False),
        ("tern", (10, 44), True),  # 4 cells high, 34 lower, 3 on both sides: 44
        ("tern", (10, 45), False),
        ("shore", (72, 10), True),  # wider than that; but 2 cells from where it was
        ("shore", (76, 10), False),
    ],
)
def test_where_a_motif_went_is_shown_with_where_it_was_if_it_is_not_far(name, new, shared):
    [chart, moved] = (
        of_items((150, 60), at(name, *spot), motifs=(TERN, SHORE)) for spot in ((10, 10), new)
    )
    found = compared(chart, moved, thread=False)
    [item] = entries(found).items
    both = view(found, item)
    assert (both.old.window == both.new.window) == shared
    [[x, y, right, down]] = [both.new.window]
    assert x <= new[0] < right
    assert y <= new[1] < down
