"""A first draft of a chart from a photograph: its cells, and doubtful ones with their reason."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, convolve, label

from .colours import (
    Cells,
    Classified,
    Named,
    Palette,
    classify,
    distances,
    from_key,
    from_named,
    likeliest,
    settled,
    spread,
    surely_named,
)
from .company import company
from .evidence import FARTHEST, gather
from .found import found_palette
from .lattice import TORN
from .light import Even, by_cells, by_cloth, lab
from .placing import Floats
from .reading import Reading
from .repeats import filled
from .told import Limit, Told

SURE = 0.95  # from this sureness a cell is a row of the draft and no doubt
_NAMED = 0.75  # from this sureness a thread of the key is taken for what was seen
_TORN_REACH = 2  # crosses around a rent
# Squared distances of three degrees of freedom: 1 bare cell in 1,000 lies as far off by chance, and
# 1 in 20, of which so many side by side are no chance.
_FAINT, _FAINT_TOGETHER, _TOGETHER = 16.3, 7.8, 3
_STRANGE = 60.0  # squared distance of a colour that is near no thread
_NEAR = 2  # crosses between doubtful cells of one area


@dataclass(frozen=True, eq=False)
class Threads:
    """Which threads there are: found where both are None.

    key: (threads + 1, 3) sRGB 0 to 255 of the cloth and each thread. named: cells of which the user
    has said the thread; 0 is bare cloth. Where both are given the named cells count.
    """

    key: Floats | None = None
    named: Named | None = None


class Doubt(StrEnum):
    """Why a cell is doubtful, in words."""

    LATTICE = "the crosses could not be followed surely here"
    SPOILT = "burnt out or black in the photograph"
    STRANGE = "its colour is near no thread"
    FAINT = "a little off the bare cloth: a faded cross, or a stain"
    NAME = "another thread of the key, which was seen nowhere, may be meant"
    BETWEEN = "its colour lies between two threads"
    REPEAT = "worn here, and taken from its sound sister"


@dataclass(frozen=True, eq=False)
class Doubtful:
    """An area of doubtful cells. cells: (n, 2) columns and rows.

    sister: of REPEAT, column and row of the first cell of the figure that it is taken from, and of
    the figure itself.
    """

    reason: Doubt
    cells: Cells
    sister: tuple[tuple[int, int], tuple[int, int]] | None = None

    @property
    def box(self) -> tuple[int, int, int, int]:
        """Left, top, right, bottom in crosses, the last two not included."""
        (left, top), (right, bottom) = self.cells.min(axis=0), self.cells.max(axis=0) + 1
        return int(left), int(top), int(right), int(bottom)


@dataclass(frozen=True, eq=False)
class Draft:
    """A first draft.

    cells: (height, width) the likeliest thread of each, also where that is doubtful. sureness:
    (height, width), 0 to 1. colours: (threads + 1, 3) sRGB of the cloth and each thread as they
    look in even light. counts: of cells, (threads + 1,). doubts: areas, the largest first.
    """

    cells: Cells
    sureness: Floats
    colours: Floats
    counts: NDArray[np.int64]
    doubts: tuple[Doubtful, ...]


def draft(reading: Reading, threads: Threads) -> tuple[Draft | None, tuple[Told, ...]]:
    """Return a first draft, and all that is to be told; none where that stops it."""
    stops = tuple(each for each in reading.told if each.limit in _NO_DRAFT)
    if stops:
        return None, reading.told
    even, palette, seen, named = seen_threads(reading, threads)
    sureness = seen.probability * reading.lattice.trust
    doubts = doubt_map(reading, seen, sureness, named[seen.cells])
    cells, repeats = _from_sisters(seen.cells, doubts)
    colours = np.array(
        [_usual(even.colours[seen.cells == thread]) for thread in range(len(palette.lab))]
    )
    counts = np.bincount(cells.ravel(), minlength=len(colours))
    made = Draft(cells, sureness * named[seen.cells], colours, counts, (*repeats, *areas(doubts)))
    return made, reading.told


def _from_sisters(
    cells: Cells, doubts: dict[Doubt, NDArray[np.bool_]]
) -> tuple[Cells, tuple[Doubtful, ...]]:
    """Return the cells, worn ones as their sound sisters have them, and the areas of those.

    They are taken out of the other doubts. Where crosses were lost nothing is filled: it may be
    another place. Nor where only the name of a thread is doubtful: no sister knows it.
    """
    doubtful = np.logical_or.reduce(list(doubts.values()))
    worn = doubtful & ~doubts[Doubt.LATTICE] & ~doubts[Doubt.NAME]
    made = cells.copy()
    areas_ = []
    for told in filled(cells, ~doubtful, worn):
        columns, rows = told.cells.T
        made[rows, columns] = told.threads
        for mask in doubts.values():
            mask[rows, columns] = False
        areas_.append(Doubtful(Doubt.REPEAT, told.cells, (told.sister, told.worn)))
    return made, tuple(areas_)


_NO_DRAFT = frozenset({Limit.SLIPPED, Limit.COVERED})


def _usual(colours: Floats) -> Floats:
    usual: Floats = np.median(colours, axis=0) if len(colours) else np.full(3, np.nan)
    return usual


def seen_threads(reading: Reading, threads: Threads) -> tuple[Even, Palette, Classified, Floats]:
    """Return colours in even light, the threads as they look, which each cell is, and more.

    First by the light that bare cloth tells; then anew, by the light that all cells tell which the
    first look was sure of; then by what threads and cloth look like beside each other, and where
    they stand. The last is how sure the names of threads are (threads + 1,).
    """
    even, bare = by_cloth(reading.colours)
    palette = settled(even.lab, _first_palette(even, bare, threads))
    seen = classify(even.lab, palette)
    even = by_cells(reading.colours, seen.cells, seen.probability > SURE)
    surely = (seen.cells == 0) & (seen.probability > SURE)
    # None is where bare cloth was named as a thread, or a thread as bare cloth.
    bare = surely if surely.any() else bare
    first = _first_palette(even, bare, threads)
    palette = settled(even.lab, settled(even.lab, first) if threads.named else palette)
    seen = classify(even.lab, palette)
    named = np.ones(len(palette.lab))
    if threads.key is not None and threads.named is None:
        named = surely_named(first, even.lab, seen)
    # Threads that were found may be several taken for one, which a closer look would only confirm.
    if threads.key is not None or threads.named is not None:
        seen = _closer(reading, even, palette, seen)
    return even, palette, seen, named


def _closer(reading: Reading, even: Even, palette: Palette, seen: Classified) -> Classified:
    """Return which thread each cell is, looked at as if what was surely seen were a chart.

    Cells of a thread that is hardly anywhere sure stay as they are.
    """
    sure = (seen.probability > SURE) & ~reading.spoilt
    evidence = gather(reading, seen.cells, sure)
    many = evidence.cost.shape[-1]
    logs = -0.5 * evidence.cost + np.log(evidence.palette.share)
    logs += company(seen.cells, sure, many)
    closer = likeliest(logs, distances(even.lab, palette)[..., :many])
    known = np.any(evidence.cost < FARTHEST, axis=(0, 1))[seen.cells]
    return Classified(
        np.where(known, closer.cells, seen.cells),
        np.where(known, closer.probability, seen.probability),
        np.where(known, closer.distance, seen.distance),
        np.where(known, closer.second, seen.second),
    )


def _first_palette(even: Even, bare: NDArray[np.bool_], threads: Threads) -> Palette:
    lab_even = even.lab
    precision = spread(lab_even[bare])
    cloth = np.median(lab_even[bare], axis=0)
    if threads.named is not None:
        many = 1 + max(*threads.named, 0 if threads.key is None else len(threads.key) - 1)
        palette = from_named(lab_even, threads.named, many, precision)
        if 0 not in threads.named:
            palette.lab[0] = cloth
    elif threads.key is not None:
        # Light multiplies: in warm light all threads are as much warmer as the cloth is.
        light = np.median(even.colours[bare], axis=0) / np.maximum(threads.key[0], 1)
        palette = from_key(lab_even, cloth, lab(threads.key * light), precision)
    else:
        palette = found_palette(lab_even, cloth, precision)
    return palette


def doubt_map(
    reading: Reading, seen: Classified, sureness: Floats, named: Floats
) -> dict[Doubt, NDArray[np.bool_]]:
    """Return for each reason which cells are doubtful; no cell for two.

    named: (height, width) how sure the names of their threads are.
    """
    rent = binary_dilation(reading.lattice.tear > TORN, iterations=_TORN_REACH)
    bare = seen.cells == 0
    off = bare & (seen.distance > _FAINT_TOGETHER)
    side_by_side = convolve(off.astype(int), np.ones((3, 3), int), mode="constant")
    faint = off & ((seen.distance > _FAINT) | (side_by_side >= _TOGETHER))
    strange = seen.distance > _STRANGE
    reasons = {
        Doubt.LATTICE: rent,
        Doubt.SPOILT: reading.spoilt,
        Doubt.STRANGE: strange,
        Doubt.FAINT: faint,
        Doubt.NAME: named < _NAMED,
        Doubt.BETWEEN: sureness < SURE,
    }
    taken = np.zeros(rent.shape, dtype=bool)
    doubts = {}
    for reason, cells in reasons.items():
        doubts[reason] = cells & ~taken
        taken |= cells
    return doubts


def areas(doubts: dict[Doubt, NDArray[np.bool_]]) -> tuple[Doubtful, ...]:
    """Return doubtful cells gathered into areas: those that lie near each other."""
    made = []
    for reason, cells in doubts.items():
        joined, _ = label(binary_dilation(cells, np.ones((3, 3)), iterations=_NEAR // 2))
        rows, columns = np.nonzero(cells)
        number = joined[rows, columns]
        order = np.argsort(number, kind="stable")
        places = np.stack([columns, rows], axis=-1).astype(np.int32)[order]
        for part in np.split(places, np.flatnonzero(np.diff(number[order])) + 1):
            if len(part):
                made.append(Doubtful(reason, part))
    return tuple(sorted(made, key=lambda area: -len(area.cells)))
