"""Slips are found where one was made, and nowhere else."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.checks.windows import LEAST_CHANGES, RADIUS, odd_cells
from linenleaf.diagnostics import Level
from scipy.ndimage import gaussian_filter

from ..snippets import found_in
from .cases import BARE_HEART, CASES, KEY, RAY, band, heart

SLIPPED = f"{RAY}.{RAY}.{BARE_HEART}.{RAY}."


SIDE = 2 * RADIUS + 1


def slow_odd_cells(grid):
    """The same by comparing every window with every other."""
    height, width = grid.shape
    padded = np.pad(grid.astype(int), RADIUS, constant_values=-1)
    alike: dict[tuple, list[tuple[int, int]]] = {}
    for row in range(height):
        for column in range(width):
            window = padded[row : row + SIDE, column : column + SIDE].copy()
            window[RADIUS, RADIUS] = -2
            views = [window, window[:, ::-1], window[::-1], window[::-1, ::-1]]
            alike.setdefault(min(tuple(each.ravel()) for each in views), []).append((row, column))
    odd = set()
    for cells in alike.values():
        values = [grid[cell] for cell in cells]
        kinds = set(values)
        if len(cells) >= 3 and len(kinds) == 2 and changes(padded, cells[0]) >= LEAST_CHANGES:
            least = min(kinds, key=values.count)
            if values.count(least) == 1:
                odd.add(cells[values.index(least)])
    return odd


def changes(padded, cell):
    window = padded[cell[0] : cell[0] + SIDE, cell[1] : cell[1] + SIDE]
    across = (window[:, 1:] != window[:, :-1]) & (window[:, 1:] >= 0) & (window[:, :-1] >= 0)
    down = (window[1:] != window[:-1]) & (window[1:] >= 0) & (window[:-1] >= 0)
    return int(across.sum() + down.sum())


def images(grid):
    return [grid, grid[:, ::-1], grid[::-1], grid[::-1, ::-1]]


@given(st.integers(0, 10**6), st.integers(3, 6), st.integers(2, 4))
@settings(max_examples=60, deadline=None)
def test_odd_cells_are_those_found_by_comparing_all_windows(seed, size, copies):
    rng = np.random.default_rng(seed)
    unit = rng.integers(0, 3, (size, size), dtype=np.uint32)
    if seed % 2:
        unit = np.hstack([unit, unit[:, ::-1]])
    grid = np.tile(unit, (copies, copies + 1))
    for _ in range(seed % 3):
        row, column = (int(rng.integers(0, each)) for each in grid.shape)
        grid[row, column] = 3
    found = {(each.row, each.column) for each in odd_cells(images(grid))}
    ambiguous = {cell for cell in slow_odd_cells(grid) ^ found if lively_tie(grid, cell)}
    assert found ^ slow_odd_cells(grid) <= ambiguous


def lively_tie(grid, cell):
    # How lively a window is depends a little on the odd cell in it; at the limit both may be right.
    padded = np.pad(grid.astype(int), RADIUS, constant_values=-1)
    return abs(changes(padded, cell) - LEAST_CHANGES) <= 4


@pytest.mark.parametrize("softness", [1.5, 3, 6])
def test_a_picture_without_repeats_is_left_alone(softness):
    noise = np.random.default_rng(3).normal(size=(300, 300))
    field = gaussian_filter(noise, softness)
    for colours in (2, 3, 5):
        steps = np.quantile(field, np.arange(1, colours) / colours)
        grid = np.digitize(field, steps).astype(np.uint32)
        assert list(odd_cells(images(grid))) == []


def slips(text, tmp_path):
    return [each.name for each in found_in(KEY + text, tmp_path) if each.level <= Level.WARNING]


def test_a_note_that_something_is_kept_keeps_the_slip(tmp_path):
    text = band(SLIPPED)
    assert slips(text, tmp_path) == ["odd-repeat"]
    assert slips(text + 'kept at 24,4 "So in the old piece."\n', tmp_path) == []
    assert slips(text + 'kept at 4,4 "Not this one."\n', tmp_path) == ["odd-repeat"]


def test_two_repeats_that_differ_alike_may_be_meant(tmp_path):
    assert slips(band(f"{RAY}.{BARE_HEART}.{BARE_HEART}.{RAY}."), tmp_path) == []


def test_a_remark_keeps_a_finding_quiet_and_an_idle_one_is_told(tmp_path):
    loud = f"  |{SLIPPED}|"
    text = band(SLIPPED)
    after = text.replace(loud, loud + "   # meant odd-repeat: the maker's own slip")
    assert slips(after, tmp_path) == []
    before = text.replace(loud, "  # meant odd-repeat: the maker's own slip\n" + loud)
    assert slips(before, tmp_path) == []
    unfounded = text.replace(loud, loud + "   # meant odd-repeat:")
    assert slips(unfounded, tmp_path) == ["odd-repeat"]
    other = text.replace(loud, loud + "   # meant lone-stitch: wrong name")
    found = found_in(KEY + other, tmp_path)
    assert [each.name for each in found] == ["odd-repeat", "idle-remark"]


def test_errors_are_never_kept_quiet(tmp_path):
    text = KEY + "chart 3 x 1\n |mms|\nexpect m 5 # meant not-as-expected: I like it\n"
    assert [each.name for each in found_in(text, tmp_path)] == ["not-as-expected", "idle-remark"]


def test_a_stitch_in_a_colour_of_its_own_is_an_eye_and_no_slip(tmp_path):
    eye = KEY + '  k  #20242c "ink"\n' + heart("msksssssm")
    assert [each.name for each in found_in(eye, tmp_path)] == ["nearly-symmetric"]


@pytest.mark.parametrize("name", ["lone-stitch", "nearly-symmetric"])
def test_a_stated_symmetry_is_left_to_its_own_check(name, tmp_path):
    text = CASES[name].speaks.replace("motif heart 9 x 6", "motif heart 9 x 6 symmetric left-right")
    found = found_in(text, tmp_path)
    assert [each.name for each in found] == ["motif-not-symmetric"]
