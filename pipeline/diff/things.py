"""What became of the things placed, told together for those of one name and one fate."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart
from ..core.items import Point
from .areas import areas
from .canvas import LIKE, Canvas, Classes, Mask, Offset, agreement, lay
from .changes import (
    Added,
    Area,
    Moved,
    Patched,
    Redrawn,
    Removed,
    Renamed,
    Restranded,
    Reworded,
    Sort,
    Spot,
    Turned,
    TurnWords,
)
from .explained import Explained, spot
from .keys import KeyPairs
from .matching import Matched
from .sewn import Sewn
from .units import Unit

MOST_PIECE_AREAS = 8  # in one piece off the grid


@dataclass
class _Groups:
    """Numbers of matches by what is said of them."""

    moved: dict[tuple[Sort, str, Point, TurnWords, int, bool], list[int]] = field(
        default_factory=dict
    )
    added: dict[tuple[Sort, str], list[int]] = field(default_factory=dict)
    removed: dict[tuple[Sort, str], list[int]] = field(default_factory=dict)
    turned: dict[tuple[str, TurnWords, int], list[int]] = field(default_factory=dict)
    reworded: list[int] = field(default_factory=list)
    patched: list[int] = field(default_factory=list)
    restranded: dict[tuple[Sort, str, int | None, int | None], list[int]] = field(
        default_factory=dict
    )


def settle(matches: Sequence[Matched], redrawn: Collection[str], shift: Offset) -> list[Matched]:
    """Take redrawn motifs that only grew to the left or upwards for standing where they stood."""
    settled = []
    for match in matches:
        old, new = match.old, match.new
        stands = False
        if old is not None and new is not None and match.moved and new.name in redrawn:
            x = (old.x + shift[0] - new.x) / new.cell
            y = (old.y + shift[1] - new.y) / new.cell
            stitched = min(np.count_nonzero(old.seen), np.count_nonzero(new.seen))
            if stitched and old.cell == new.cell and x == round(x) and y == round(y):
                same, _ = agreement(old.seen, new.seen, (round(x), round(y)))
                stands = bool(same >= LIKE * stitched)
        settled.append(replace(match, by=(0.0, 0.0)) if stands else match)
    return settled


def things(
    explained: Explained,
    canvas: Canvas,
    redrawn: Mapping[str, Redrawn],
    new: WorkedChart,
    sewn: Sewn,
    shift: Offset,
) -> Iterator[
    Moved | Redrawn | Turned | Added | Removed | Reworded | Patched | Restranded | Renamed
]:
    """Give what became of all things placed, what shares a name and a fate together.

    redrawn: by name, without their copies. sewn: the counted stitches of the new chart. What
    explains nothing that differs is left out: the source was only put together in another way.
    """
    matches, cells, pairs = explained.matches, explained.cells, canvas.pairs
    groups = _grouped(explained, redrawn)
    groups.restranded = _restranded(matches, new, pairs)

    def spots(numbers: Iterable[int]) -> tuple[Spot, ...]:
        unsorted = [spot(matches[at], int(cells[at]), new, sewn, shift) for at in numbers]
        return tuple(sorted(unsorted, key=_reading))

    def here(numbers: Iterable[int]) -> tuple[Area, ...]:
        return areas(canvas, explained.mask(canvas, list(numbers)))

    copies: dict[str, list[int]] = {name: [] for name in redrawn}
    for number, match in enumerate(matches):
        if match.new is not None and match.new.sort is Sort.MOTIF and match.new.name in copies:
            copies[match.new.name].append(number)
    for (sort, name, by, turn, over, lines_only), numbers in groups.moved.items():
        yield Moved(sort, name, by, turn, over, spots(numbers), lines_only)
    for name, drawing in redrawn.items():
        yield replace(drawing, spots=spots(copies[name]), places=here(copies[name]))
    for (name, turn, over), numbers in groups.turned.items():
        yield Turned(name, turn, over, spots(numbers), here(numbers))
    for (sort, name), numbers in groups.added.items():
        yield Added(sort, name, spots(numbers), _stitched(matches, numbers, pairs, new=True))
    for (sort, name), numbers in groups.removed.items():
        yield Removed(sort, name, spots(numbers), _stitched(matches, numbers, pairs, new=False))
    for at in groups.reworded:
        texts = _unit(matches[at].old).name, _unit(matches[at].new).name
        yield Reworded(*texts, spot(matches[at], int(cells[at]), new, sewn, shift), here([at]))
    for at in groups.patched:
        yield _patched(matches[at], pairs)
    for (sort, name, was, now), numbers in groups.restranded.items():
        yield Restranded(sort, name, was, now, spots(numbers))
    names = {
        match.old.name: match.new.name
        for match in matches
        if match.old is not None and match.new is not None and match.plain
    }
    for before, after in names.items():
        if before != after:
            yield Renamed(before, after)


def _grouped(explained: Explained, redrawn: Collection[str]) -> _Groups:
    groups = _Groups()
    for number, match in enumerate(explained.matches):
        old, new = match.old, match.new
        unit = _unit(new or old)
        if match.plain or unit.sort is Sort.GRID or not explained.reported(number):
            continue
        if old is None:
            groups.added.setdefault((unit.sort, unit.name), []).append(number)
        elif new is None:
            groups.removed.setdefault((unit.sort, unit.name), []).append(number)
        elif unit.sort is Sort.TEXT and match.altered:
            groups.reworded.append(number)
        elif match.moved:
            drawn_anew = unit.name in redrawn or not match.altered
            turn = TurnWords.NOT if drawn_anew else turn_of(old, new)
            fate = unit.sort, unit.name, match.by, turn, new.over, unit.bare
            groups.moved.setdefault(fate, []).append(number)
        elif unit.name in redrawn:
            continue
        elif not is_patched(match):
            there = unit.name, turn_of(old, new), new.over
            groups.turned.setdefault(there, []).append(number)
        elif not np.array_equal(old.classes, new.classes):
            groups.patched.append(number)
    return groups


def is_patched(match: Matched) -> bool:
    """Tell whether a piece off the grid stands as it stood, so that its cells are told of."""
    old, new = match.old, match.new
    if old is None or new is None or match.moved or not (old.off_grid and new.off_grid):
        return False
    return turn_of(old, new) is TurnWords.NOT and old.classes.shape == new.classes.shape


def _restranded(
    matches: Sequence[Matched], new: WorkedChart, pairs: KeyPairs
) -> dict[tuple[Sort, str, int | None, int | None], list[int]]:
    """Return the matches that are worked with another number of strands than before.

    What the key says of its own strands is no change of these; saying the same here is none.
    """
    numbers: dict[tuple[Sort, str, int | None, int | None], list[int]] = {}
    for number, match in enumerate(matches):
        if match.old is None or match.new is None or match.old.strands == match.new.strands:
            continue
        cells = np.unique(_indices(match.new.classes, pairs.new_class)).tolist()
        used = {*cells, *(index for index, _ in match.new.counted)} - {0}
        was, now = match.old.strands, match.new.strands
        if any(new.entry(index, was) != new.entry(index, now) for index in used):
            unit = match.new
            numbers.setdefault((unit.sort, unit.name, was, now), []).append(number)
    return numbers


def _unit(unit: Unit | None) -> Unit:
    assert unit is not None
    return unit


def _reading(each: Spot) -> tuple[float, float]:
    box = each.new or each.old
    assert box is not None
    return box[1], box[0]


_TURNS: tuple[tuple[TurnWords, Callable[[Mask], Mask]], ...] = (
    (TurnWords.LEFT_RIGHT, lambda cells: cells[:, ::-1]),
    (TurnWords.TOP_BOTTOM, lambda cells: cells[::-1]),
    (TurnWords.UPSIDE_DOWN, lambda cells: cells[::-1, ::-1]),
    (TurnWords.TO_THE_RIGHT, lambda cells: np.rot90(cells, -1)),
    (TurnWords.TO_THE_LEFT, np.rot90),
    (TurnWords.AND_MIRRORED, np.transpose),
    (TurnWords.AND_MIRRORED, lambda cells: cells[::-1, ::-1].T),
)


def turn_of(old: Unit, new: Unit) -> TurnWords:
    """Return how a thing was turned, by which of its cells are stitched."""
    before, after = old.seen != 0, new.seen != 0
    if old.over != new.over:
        return TurnWords.FINER
    if before.shape == after.shape and np.array_equal(before, after):
        return TurnWords.NOT
    for turn, turned in _TURNS:
        played = turned(before)
        if played.shape == after.shape and np.array_equal(played, after):
            return turn
    return TurnWords.NOT


def _stitched(
    matches: Sequence[Matched], numbers: Iterable[int], pairs: KeyPairs, *, new: bool
) -> tuple[tuple[int, int], ...]:
    """Return how many stitches of each key index some things hold together, most first."""
    classes = pairs.new_class if new else pairs.old_class
    index = {kind: at for at, kind in reversed([*enumerate(classes.tolist())])}
    total = np.zeros(int(classes.max()) + 1, dtype=np.int64)
    for number in numbers:
        unit = matches[number].new if new else matches[number].old
        if unit is not None:
            total += np.bincount(unit.classes.ravel(), minlength=len(total))
            for at, many in unit.counted:
                total[int(classes[at])] += many
    stitched = [(index[kind], int(total[kind])) for kind in np.flatnonzero(total).tolist() if kind]
    return tuple(sorted(stitched, key=lambda each: (-each[1], each[0])))


def _patched(match: Matched, pairs: KeyPairs) -> Patched:
    """Return the changed cells of a piece; its key indices are found again by class."""
    old, new = _unit(match.old), _unit(match.new)
    before, after = (
        _indices(unit.classes, classes)
        for unit, classes in ((old, pairs.old_class), (new, pairs.new_class))
    )
    canvas = lay(pairs, before, after, (0, 0))
    patches = areas(canvas, old.classes != new.classes, MOST_PIECE_AREAS)
    return Patched(new.name, new.x, new.y, new.cell, patches)


def _indices(cells: Classes, classes: NDArray[np.int32]) -> NDArray[np.uint16]:
    table = np.zeros(int(classes.max()) + 1, dtype=np.uint16)
    table[classes[::-1]] = np.arange(len(classes), dtype=np.uint16)[::-1]
    return table[cells]
