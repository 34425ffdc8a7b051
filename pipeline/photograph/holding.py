"""A finished chart held against a photograph: what differs, the surest first.

In this order, each step looking at what the ones before left unexplained: whole bands that lie off;
slips of the lattice, which the chart sets right where the lattice is torn; blocks that lie off, and
figures; single cells, neighbours with one common step told as one. A lattice that stays torn is
refused.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, label, uniform_filter

from .bands import STEPS, BandOff, bands_off, moved
from .blocks import BlockOff, blocks_off
from .colours import Cells, Classified, picked
from .company import company
from .differences import Difference, DifferenceKind, Expected, Held, places
from .evidence import Evidence, gather
from .figures import FigureOff, figures_off
from .limits import slipped
from .placing import Floats
from .reading import Reading
from .repair import repaired
from .told import Told

_LEAST = 3.0  # squared distance by which another thread has to be likelier to be told
_ONE_IN = 300.0  # cells, one that a chart has wrong: so much more has to speak against it
_AROUND = 5  # crosses a side of the place in which it is asked how well all threads fit
_POORLY = 1.6  # times the usual distance from the nearest thread there; more is poor
_NEIGHBOURS = 1  # crosses between cells of one group
_EXPLAINED = 0.75  # of a group's cells that one step has to explain


def hold(reading: Reading, expected: Expected) -> tuple[Held | None, tuple[Told, ...]]:
    """Hold a chart against a reading of the same size, and return all that is to be told.

    There is no answer where the lattice slipped and the chart could not set it right.
    """
    cells, plain = expected.cells, expected.plain & ~reading.spoilt
    evidence = gather(reading, cells, plain)
    bands, there, compared = bands_off(evidence, cells, plain)
    lattice, patches = repaired(reading.view, reading.lattice, evidence, there, compared)
    if patches:
        colours, spoilt = reading.view.cells(lattice.offsets)
        reading = replace(reading, lattice=lattice, colours=colours, spoilt=spoilt)
    told = tuple(each for each in reading.told if not each.limit.of_lattice)
    told = (*told, *slipped(lattice))
    if lattice.slipped:
        return None, told
    if bands or patches:
        evidence = gather(reading, there, compared)
    blocks, there, compared = blocks_off(evidence, there, compared)
    if blocks:
        evidence = gather(reading, there, compared)
    figures, explained = _figures(evidence, there, compared)
    seen = evidence.seen
    left = there.copy()
    left[tuple(explained.T[::-1])] = seen.cells[tuple(explained.T[::-1])]
    sureness = seen.probability * lattice.trust
    singles = _singles(evidence, left, compared, seen, sureness, _fit(seen, compared))
    others = sorted([*figures, *singles], key=lambda each: -each.evidence)
    whole = [
        *(_off(DifferenceKind.BAND, _rows_or_columns(each), each, cells, plain) for each in bands),
        *(_off(DifferenceKind.BLOCK, each.box, each, cells, plain) for each in blocks),
    ]
    differences = (*whole, *others)
    held = Held(
        told,
        tuple(_marked(each, expected.apart) for each in differences),
        compared,
        seen.cells,
        sureness,
        _colours(evidence, there, compared),
        tuple(_box(patch.cells) for patch in patches),
        evidence.alike,
    )
    return held, told


def _rows_or_columns(band: BandOff) -> tuple[slice, slice]:
    span = slice(band.first, band.last + 1)
    return (span, slice(None)) if band.rows else (slice(None), span)


def _off(
    kind: DifferenceKind,
    where: tuple[slice, slice],
    off: BandOff | BlockOff,
    cells: Cells,
    plain: NDArray[np.bool_],
) -> Difference:
    mask = np.zeros(cells.shape, dtype=bool)
    mask[where] = True
    # The places of the chart, not of the photograph; without its bare cloth.
    right, down = off.step
    back = np.asarray(moved(mask, (-right, -down)), dtype=bool) & plain & (cells > 0)
    at = places(back if back.any() else mask)
    thread = int(cells[at[0, 1], at[0, 0]])
    return Difference(kind, at, thread, thread, off.step, off.evidence, 1.0)


def _figures(
    evidence: Evidence, cells: Cells, plain: NDArray[np.bool_]
) -> tuple[list[Difference], Cells]:
    """Return the figures that lie off, and all cells that they explain; none twice."""
    taken = np.zeros(cells.shape, dtype=bool)
    told: list[Difference] = []
    for figure in figures_off(evidence, cells, plain):
        at = tuple(figure.changed.T[::-1])
        if taken[at].mean() > 0.3:
            continue
        taken[at] = True
        told.append(_figure(figure))
    return told, places(taken)


def _figure(figure: FigureOff) -> Difference:
    return Difference(
        DifferenceKind.FIGURE,
        figure.cells,
        figure.thread,
        figure.thread,
        figure.step,
        figure.rank * len(figure.changed) ** 0.5 / 2,
        1 - float(np.exp(-figure.rank / 8)),
    )


def _singles(
    evidence: Evidence,
    cells: Cells,
    plain: NDArray[np.bool_],
    seen: Classified,
    sureness: Floats,
    fit: Floats,
) -> list[Difference]:
    """Return single cells that are another thread, joined where one step explains several."""
    # Rare threads, and those without others of them beside it, are a little less likely; but no
    # cross is left out only because it is rare, or alone.
    before = np.log(evidence.palette.share)
    before = before + company(cells, plain, len(before))
    others = evidence.cost - before
    np.put_along_axis(others, cells[..., None].astype(np.intp), np.inf, axis=-1)
    best = others.argmin(axis=-1).astype(np.int32)
    own = evidence.of(cells) - picked(before, cells)
    gain = np.where(plain, own - others.min(axis=-1), 0.0)
    seen = replace(seen, cells=np.where(gain > 0, best, cells))
    alike = np.zeros((others.shape[-1],) * 2, dtype=bool)
    for one, other in evidence.alike:
        alike[one, other] = alike[other, one] = True
    off = (gain > _LEAST) & ~alike[cells, seen.cells]
    gain, sureness = gain * fit, sureness * fit
    # A figure that lies off differs at both its ends: near by is near enough.
    joined, _ = label(binary_dilation(off, np.ones((3, 3)), iterations=_NEIGHBOURS))
    told = []
    for number in np.unique(joined[off]).tolist():
        rows, columns = np.nonzero((joined == number) & off)
        step = _common_step(cells, seen.cells, rows, columns) if len(rows) > 2 else None
        if step is not None:
            told.append(_several(cells, seen, gain, sureness, rows, columns, step))
            continue
        told.extend(
            _single(cells, seen, gain, sureness, row, column)
            for row, column in zip(rows.tolist(), columns.tolist(), strict=True)
        )
    return told


def _fit(seen: Classified, plain: NDArray[np.bool_]) -> Floats:
    """Return (height, width), at most 1, how well the threads fit what lies around each cell.

    Where even the nearest fit poorly, as a little off the crosses, colours spread so much more that
    they say so much less. The cell itself has no say.
    """
    usual = max(float(np.median(seen.distance[plain])), 0.1) if plain.any() else 1.0
    distance = np.where(plain, seen.distance, usual)
    around = uniform_filter(distance, _AROUND) * _AROUND**2 - distance
    return np.asarray(np.minimum(1, _POORLY * usual * (_AROUND**2 - 1) / np.maximum(around, 1e-9)))


def _common_step(
    cells: Cells, seen: Cells, rows: NDArray[np.intp], columns: NDArray[np.intp]
) -> tuple[int, int] | None:
    """Return the step by which the chart's cells near by explain a group of cells, if one does.

    Either all that the chart has there is a step off, or all of one thread, whatever lies around.
    """
    here, there = cells[rows, columns], seen[rows, columns]
    best: tuple[float, tuple[int, int]] = (0.0, (0, 0))
    involved = [
        thread
        for thread in np.unique(np.concatenate([here, there])).tolist()
        if thread > 0
        and ((here == thread) | (there == thread)).all()
        and (here == thread).any()
        and (there == thread).any()
    ]
    for step in STEPS:
        if step == (0, 0):
            continue
        off = moved(cells, step)[rows, columns]
        shares = [float((off == there).mean())]
        shares += [float(((off == t) == (there == t)).mean()) for t in involved]
        best = max(best, (max(shares), step))
    return best[1] if best[0] >= _EXPLAINED else None


def _several(
    cells: Cells,
    seen: Classified,
    gain: Floats,
    sureness: Floats,
    rows: NDArray[np.intp],
    columns: NDArray[np.intp],
    step: tuple[int, int],
) -> Difference:
    at = np.stack([columns, rows], axis=-1).astype(np.int32)
    first = rows[0], columns[0]
    return Difference(
        DifferenceKind.STEP,
        at,
        int(cells[first]),
        int(seen.cells[first]),
        step,
        float(gain[rows, columns].sum()) / 2,
        float(sureness[rows, columns].max()),
    )


def _single(
    cells: Cells, seen: Classified, gain: Floats, sureness: Floats, row: int, column: int
) -> Difference:
    expected, there = int(cells[row, column]), int(seen.cells[row, column])
    kind = (
        DifferenceKind.MISSING
        if there == 0
        else DifferenceKind.EXTRA
        if expected == 0
        else DifferenceKind.WRONG
    )
    at = np.array([(column, row)], dtype=np.int32)
    evidence = float(gain[row, column]) / 2
    sure = float(sureness[row, column]) / (1 + _ONE_IN * math.exp(-evidence))
    return Difference(kind, at, expected, there, (0, 0), evidence, sure)


def _marked(difference: Difference, apart: NDArray[np.bool_] | None) -> Difference:
    if apart is None:
        return difference
    columns, rows = difference.cells.T
    return replace(difference, apart=bool(apart[rows, columns].all()))


def _colours(evidence: Evidence, cells: Cells, plain: NDArray[np.bool_]) -> Floats:
    colours = np.full((len(evidence.palette.lab), 3), np.nan)
    for thread in range(len(colours)):
        mine = plain & (cells == thread)
        if mine.any():
            colours[thread] = np.median(evidence.even.colours[mine], axis=0)
    return colours


def _box(cells: NDArray[np.bool_]) -> tuple[int, int, int, int]:
    rows, columns = np.flatnonzero(cells.any(axis=1)), np.flatnonzero(cells.any(axis=0))
    return int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1
