"""Photographs that were never taken are read, and charts held against them; two small seeds."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from linenleaf.photograph.differences import DifferenceKind, Expected
from linenleaf.photograph.drafting import Doubt, Threads, draft
from linenleaf.photograph.holding import hold
from linenleaf.photograph.picture import Photograph, open_photograph
from linenleaf.photograph.placing import Landmark, Placing
from linenleaf.photograph.proposing import propose_size
from linenleaf.photograph.reading import Reading, read
from linenleaf.photograph.told import Limit
from scipy.ndimage import label

from ..photographs import Conditions, Piece, Taken, creased, painted, photographed, sampler

SIZE = 56, 30
SEEDS = {1: Conditions(), 2: Conditions(bending=creased)}


@cache
def taken(seed: int) -> Taken:
    rng = np.random.default_rng([seed, 3])
    piece = painted(sampler(*SIZE, seed), 0.3, rng)
    return photographed(piece, SEEDS[seed], seed)


@cache
def reading(seed: int) -> Reading:
    photograph = taken(seed)
    made, told = read(open_photograph(photograph.data), photograph.placing)
    assert made is not None
    assert told == ()
    return made


def named(piece: Piece) -> dict[int, tuple[tuple[int, int], ...]]:
    """The first four cells of each thread, as a user would point at them."""
    threads = np.unique(piece.cells).tolist()
    where = {thread: np.argwhere(piece.cells == thread)[:4].tolist() for thread in threads}
    return {thread: tuple((x, y) for y, x in cells) for thread, cells in where.items()}


@pytest.mark.parametrize("seed", SEEDS)
def test_crosses_are_followed_and_cells_read(seed):
    """Nearly every cell is right, and what is wrong is among those that are unsure."""
    piece = taken(seed).piece
    height, width = piece.cells.shape
    y, x = np.mgrid[0:height, 0:width] + 0.5
    found = reading(seed).lattice.pixels(np.stack([x, y], axis=-1))
    off = np.linalg.norm(found - taken(seed).middles, axis=-1)
    assert np.quantile(off, 0.99) < 0.5 * SEEDS[seed].pixels
    made, _ = draft(reading(seed), Threads(named=named(piece)))
    assert made is not None
    wrong = made.cells != piece.cells
    assert wrong.mean() <= 0.005
    assert made.sureness[~wrong].mean() > 0.97
    assert (made.sureness[wrong] > 0.99).sum() <= 2


def test_threads_are_found_where_none_are_named():
    """Every thread found is nearly all of one true thread: too many are no harm, too few are."""
    piece = taken(1).piece
    made, _ = draft(reading(1), Threads())
    assert made is not None
    most = [np.bincount(piece.cells[made.cells == each]).max() for each in range(len(made.counts))]
    assert sum(most) / piece.cells.size > 0.98
    assert made.counts.sum() == piece.cells.size


def held(seed: int, chart: np.ndarray, plain: np.ndarray | None = None):
    plain = np.ones(chart.shape, bool) if plain is None else plain
    made, told = hold(reading(seed), Expected(chart.astype(np.int32), plain))
    assert made is not None, told
    return made


@pytest.mark.parametrize("seed", SEEDS)
def test_a_right_chart_holds(seed):
    told = held(seed, taken(seed).piece.cells).differences
    assert len(told) <= 3
    assert all(each.sureness < 0.75 for each in told)


def test_single_crosses_are_told_with_what_is_seen():
    piece = taken(1).piece
    chart = piece.cells.copy()
    threads = np.unique(chart[chart > 0]).tolist()
    crosses, bare = np.argwhere(chart > 0), np.argwhere(chart == 0)
    (y0, x0), (y1, x1), (y2, x2) = crosses[20].tolist(), crosses[90].tolist(), bare[400].tolist()
    chart[y0, x0] = next(each for each in threads if each != chart[y0, x0])
    chart[y1, x1] = 0
    chart[y2, x2] = threads[0]
    told = {
        tuple(each.cells[0].tolist()): (each.kind, each.expected, each.seen)
        for each in held(1, chart).differences[:3]
    }
    assert told == {
        (x0, y0): (DifferenceKind.WRONG, chart[y0, x0], piece.cells[y0, x0]),
        (x1, y1): (DifferenceKind.EXTRA, 0, piece.cells[y1, x1]),
        (x2, y2): (DifferenceKind.MISSING, threads[0], 0),
    }


def test_what_is_not_plain_is_not_compared():
    chart, plain = taken(1).piece.cells.copy(), np.ones(SIZE[::-1], bool)
    at = tuple(np.argwhere(chart > 0)[20])
    chart[at], plain[at] = 0, False
    cells = [each.cells.tolist() for each in held(1, chart, plain).differences]
    assert [[at[1], at[0]]] not in cells


def test_a_figure_a_row_off_is_told_as_one():
    piece = taken(1).piece
    chart = piece.cells.copy()
    joined, many = label(piece.cells > 0, structure=np.ones((3, 3)))
    for number in range(1, many + 1):
        at = np.argwhere(joined == number)
        there = at + (1, 0)  # noqa: RUF005 - an array
        thread = piece.cells[tuple(at[0])]
        alone = (piece.cells[tuple(at.T)] == thread).all()
        if alone and 10 < len(at) < 40 and there[:, 0].max() < SIZE[1]:
            break
    chart[tuple(at.T)] = 0
    chart[tuple(there.T)] = thread
    first = held(1, chart).differences[0]
    assert first.kind in {DifferenceKind.FIGURE, DifferenceKind.STEP}
    assert first.step == (0, -1)
    assert first.sureness > 0.9


@pytest.mark.parametrize("step", [(0, 1), (0, -1), (1, 0)])
def test_a_band_off_is_told_as_that_and_nothing_else(step):
    right, down = step
    chart = taken(1).piece.cells.copy()
    chart[4:24] = np.roll(chart, (-down, -right), (0, 1))[4:24]
    plain = np.ones(chart.shape, bool)
    plain[[3, 4, 23, 24]] = False  # what became of the rows beside it is not the point
    differences = held(1, chart, plain).differences
    assert [each.kind for each in differences[:1]] == [DifferenceKind.BAND]
    assert differences[0].step == step
    assert all(each.evidence < differences[0].evidence / 20 for each in differences[1:])


def test_a_block_off_is_told_as_one():
    chart = taken(1).piece.cells.copy()
    block = slice(12, 24), slice(26, 50)
    chart[block] = np.roll(chart, (0, -1), (0, 1))[block]
    first = held(1, chart).differences[0]
    assert first.kind is DifferenceKind.BLOCK
    assert first.step == (1, 0)
    left, top, right, bottom = first.box
    assert left >= 25
    assert right <= 51
    assert top >= 12
    assert bottom <= 24


def test_blur_is_told_as_blur():
    """Sharp ones are not: all others are read without a word."""
    photograph = photographed(taken(1).piece.part(0, 0, 28, 30), Conditions(blur=1.5), 1)
    _, told = read(open_photograph(photograph.data), photograph.placing)
    assert told[0].limit is Limit.BLURRED
    assert Limit.NO_WEAVE not in [each.limit for each in told]


def test_a_part_that_is_kept_is_told_apart():
    chart = taken(1).piece.cells.copy()
    y, x = np.argwhere(chart > 0)[20].tolist()
    chart[y, x] = 0
    apart = np.zeros(chart.shape, bool)
    apart[y, x] = True
    made, _ = hold(reading(1), Expected(chart, np.ones(chart.shape, bool), apart))
    assert made is not None
    assert made.differences[0].apart


@pytest.mark.parametrize(
    ("seed", "size", "how", "sure"),
    [
        (1, (32, 24), SEEDS[1], True),
        (2, (32, 24), SEEDS[2], True),
        (2, (24, 18), Conditions(pixels=5), False),  # too few and too small
    ],
)
def test_a_size_is_proposed_with_evidence(seed, size, how, sure):
    """It is right, or said to be unsure."""
    photograph = photographed(taken(seed).piece.part(0, 0, *size), how, seed)
    proposal, told = propose_size(open_photograph(photograph.data), photograph.placing.corners)
    assert told == ()
    assert proposal is not None
    assert proposal.is_sure == sure
    if sure:
        assert (proposal.width, proposal.height) == size
    assert f"top edge is {proposal.across[0]:.1f} crosses" in proposal.evidence


def test_a_wrong_size_slips_and_is_refused_everywhere():
    """Three columns too many: crosses are lost, which is told, and neither drafted nor held."""
    photograph = taken(1)
    width, height = SIZE
    placing = Placing(width + 3, height, photograph.placing.corners)
    made, told = read(open_photograph(photograph.data), placing)
    assert [each.limit for each in told] == [Limit.SLIPPED]
    assert made is not None
    assert draft(made, Threads())[0] is None
    chart = np.pad(photograph.piece.cells, ((0, 0), (0, 3)))
    answer, told = hold(made, Expected(chart, np.ones(chart.shape, bool)))
    assert answer is None
    assert [each.limit for each in told] == [Limit.SLIPPED]


def test_a_landmark_is_snapped():
    """Shown a third of a cross off, landmarks change nothing: they tell which cross, not where."""
    photograph = taken(1)
    placing = photograph.placing
    marks = []
    for x, y in ((12, 9), (30, 20), (44, 12)):
        u, v = reading(1).lattice.pixels((x, y)) + placing.pixels_per_cross * 0.3
        marks.append(Landmark(x, y, float(u), float(v)))
    shown = Placing(placing.width, placing.height, placing.corners, tuple(marks))
    made, _ = read(open_photograph(photograph.data), shown)
    assert made is not None
    change = np.abs(made.lattice.offsets - reading(1).lattice.offsets)
    assert np.quantile(change, 0.99) < 0.15


@pytest.mark.parametrize("kind", ["flat", "noise", "stripes"])
def test_what_holds_no_crosses_is_refused(kind):
    rng = np.random.default_rng(5)
    pixels = np.full((190, 290, 3), 180.0)
    if kind == "stripes":  # broad ones, as printed
        pixels += (60 * np.sin(np.arange(290) / 40))[None, :, None]
    pixels += rng.normal(0, 30 if kind == "noise" else 3, pixels.shape)
    photograph = Photograph(np.clip(pixels, 0, 255).astype(np.uint8))
    corners = ((25.0, 25.0), (265.0, 25.0), (265.0, 165.0), (25.0, 165.0))
    made, told = read(photograph, Placing(30, 17, corners))
    assert Limit.NO_CROSSES in [each.limit for each in told] or Limit.SLIPPED in [
        each.limit for each in told
    ]
    assert made is None or draft(made, Threads())[0] is None


def test_faint_is_not_bare():
    """A figure that has faded to a breath of its colour is a doubt, not sure bare cloth."""
    photograph = taken(1)
    made = reading(1)
    piece = photograph.piece
    at = np.argwhere(piece.cells > 0)[30:60]
    colours = made.colours.copy()
    bare = np.median(colours[piece.cells == 0], axis=0)
    faded = bare * (0.93, 0.92, 0.94)
    for y, x in at:
        colours[y, x] = faded
    worn = Reading(made.view, made.lattice, colours, made.spoilt, made.told)
    drafted, _ = draft(worn, Threads(named=named(piece)))
    assert drafted is not None
    doubtful = {
        (int(x), int(y))
        for area in drafted.doubts
        if area.reason in {Doubt.FAINT, Doubt.BETWEEN, Doubt.REPEAT}
        for x, y in area.cells
    }
    bare_now = [(int(x), int(y)) for y, x in at if drafted.cells[y, x] == 0]
    assert sum(place in doubtful for place in bare_now) >= 0.7 * len(bare_now)
