"""What became of the things placed, told together for those of one name and one fate."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart
from ..core.model import Point
from .alignment import LIKE, Classes, Offset, agreement
from .areas import NEAR, areas
from .canvas import Canvas, lay
from .differences import Arrived, Gone, Patched, Redrawn, Reworded, Shifted, Spot, Turned
from .explained import Explained, spot
from .keypairs import KeyPairs
from .labelling import boxes, label
from .matching import Match
from .objects import Figure
from .redrawing import Drawing
from .units import Sort, Unit

MOST_PIECE_AREAS = 8  # in one piece off the grid


@dataclass(frozen=True)
class Gathered:
    """The fates of all things placed."""

    moved: tuple[Shifted, ...] = ()
    arrived: tuple[Arrived, ...] = ()
    gone: tuple[Gone, ...] = ()
    turned: tuple[Turned, ...] = ()
    reworded: tuple[Reworded, ...] = ()
    redrawn: tuple[Redrawn, ...] = ()
    patched: tuple[Patched, ...] = ()


@dataclass
class _Groups:
    """Numbers of matches by what is said of them."""

    moved: dict[tuple[Sort, str, Point, str], list[int]] = field(default_factory=dict)
    arrived: dict[tuple[Sort, str], list[int]] = field(default_factory=dict)
    gone: dict[tuple[Sort, str], list[int]] = field(default_factory=dict)
    turned: dict[tuple[str, str], list[int]] = field(default_factory=dict)
    reworded: list[int] = field(default_factory=list)
    patched: list[int] = field(default_factory=list)


def settle(matches: Sequence[Match], redrawn: Mapping[str, Drawing], shift: Offset) -> list[Match]:
    """Take redrawn motifs that only grew to the left or upwards for standing where they stood."""
    found = []
    for each in matches:
        one, other = each.old, each.new
        if one is not None and other is not None and each.moved and other.name in redrawn:
            x = (one.x + shift[0] - other.x) / other.cell
            y = (one.y + shift[1] - other.y) / other.cell
            stitched = min(np.count_nonzero(one.classes), np.count_nonzero(other.classes))
            if one.cell == other.cell and x == round(x) and y == round(y):
                same, _ = agreement(one.classes, other.classes, (round(x), round(y)))
                if same >= LIKE * stitched:
                    found.append(replace(each, by=(0.0, 0.0)))
                    continue
        found.append(each)
    return found


def gather(
    explained: Explained,
    canvas: Canvas,
    redrawn: Mapping[str, Drawing],
    new: WorkedChart,
    shift: Offset,
) -> Gathered:
    """Tell together what shares a name and a fate.

    What explains no changed cell is left out: the source was only put together in another way.
    """
    matches, cells, pairs = explained.matches, explained.cells, canvas.pairs
    groups = _grouped(explained, redrawn)

    def spots(numbers: Iterable[int]) -> tuple[Spot, ...]:
        found = [spot(matches[each], int(cells[each]), new, shift) for each in numbers]
        return tuple(sorted(found, key=_reading))

    def here(numbers: Iterable[int]) -> NDArray[np.bool_]:
        return explained.mask(canvas, list(numbers))

    copies: dict[str, list[int]] = {name: [] for name in redrawn}
    for number, each in enumerate(matches):
        if each.new is not None and each.new.sort is Sort.MOTIF and each.new.name in copies:
            copies[each.new.name].append(number)
    return Gathered(
        tuple(
            Shifted(sort, name, by, how, spots(numbers))
            for (sort, name, by, how), numbers in groups.moved.items()
        ),
        tuple(
            Arrived(sort, name, spots(numbers), _stitched(matches, numbers, pairs, new=True))
            for (sort, name), numbers in groups.arrived.items()
        ),
        tuple(
            Gone(sort, name, spots(numbers), _stitched(matches, numbers, pairs, new=False))
            for (sort, name), numbers in groups.gone.items()
        ),
        tuple(
            Turned(name, how, spots(numbers), areas(canvas, here(numbers)))
            for (name, how), numbers in groups.turned.items()
        ),
        tuple(
            Reworded(
                _unit(matches[each].old).name,
                _unit(matches[each].new).name,
                spot(matches[each], int(cells[each]), new, shift),
                areas(canvas, here([each])),
            )
            for each in groups.reworded
        ),
        tuple(
            Redrawn(
                name,
                drawing.areas,
                drawing.strokes,
                drawing.points,
                drawing.resized,
                spots(copies[name]),
                areas(canvas, here(copies[name])),
            )
            for name, drawing in redrawn.items()
        ),
        tuple(_patched(matches[each], pairs) for each in groups.patched),
    )


def _grouped(explained: Explained, redrawn: Mapping[str, Drawing]) -> _Groups:
    groups = _Groups()
    for number, each in enumerate(explained.matches):
        unit = each.new or each.old
        assert unit is not None
        if each.plain or unit.sort is Sort.GRID or not explained.reported(number):
            continue
        if each.old is None:
            groups.arrived.setdefault((unit.sort, unit.name), []).append(number)
        elif each.new is None:
            groups.gone.setdefault((unit.sort, unit.name), []).append(number)
        elif unit.sort is Sort.TEXT and each.altered:
            groups.reworded.append(number)
        elif each.moved:
            drawn_anew = unit.name in redrawn or not each.altered
            how = "" if drawn_anew else turn_words(each.old, each.new)
            groups.moved.setdefault((unit.sort, unit.name, each.by, how), []).append(number)
        elif unit.name in redrawn:
            continue
        else:
            how = turn_words(each.old, each.new)
            if unit.off_grid and not how and each.old.classes.shape == each.new.classes.shape:
                groups.patched.append(number)
            else:
                groups.turned.setdefault((unit.name, how), []).append(number)
    return groups


def _unit(unit: Unit | None) -> Unit:
    assert unit is not None
    return unit


def _reading(each: Spot) -> tuple[float, float]:
    box = each.new or each.old
    assert box is not None
    return box[1], box[0]


TURNS = (
    ("mirrored left to right", lambda each: each[:, ::-1]),
    ("mirrored top to bottom", lambda each: each[::-1]),
    ("turned upside down", lambda each: each[::-1, ::-1]),
    ("turned a quarter to the right", lambda each: np.rot90(each, -1)),
    ("turned a quarter to the left", np.rot90),
    ("turned a quarter and mirrored", np.transpose),
    ("turned a quarter and mirrored", lambda each: each[::-1, ::-1].T),
)


def turn_words(old: Unit, new: Unit) -> str:
    """Return how a thing was turned, by which of its cells are stitched; empty if not at all."""
    before, after = old.classes != 0, new.classes != 0
    if old.over != new.over:
        return f"now over {new.over}"
    if before.shape == after.shape and np.array_equal(before, after):
        return ""
    for words, turn in TURNS:
        turned = turn(before)
        if turned.shape == after.shape and np.array_equal(turned, after):
            return words
    return ""


def _stitched(
    matches: Sequence[Match], numbers: Iterable[int], pairs: KeyPairs, *, new: bool
) -> tuple[tuple[int, int], ...]:
    """Return how many cells of each key index some things hold together, most first."""
    classes = pairs.new_class if new else pairs.old_class
    index = {kind: at for at, kind in reversed([*enumerate(classes.tolist())])}
    total = np.zeros(int(classes.max()) + 1, dtype=np.int64)
    for number in numbers:
        unit = matches[number].new if new else matches[number].old
        if unit is not None:
            total += np.bincount(unit.classes.ravel(), minlength=len(total))
    found = [(index[kind], int(total[kind])) for kind in np.flatnonzero(total).tolist() if kind]
    return tuple(sorted(found, key=lambda each: (-each[1], each[0])))


def _patched(match: Match, pairs: KeyPairs) -> Patched:
    """Return the changed cells of a piece; its key indices are found again by class."""
    old, new = _unit(match.old), _unit(match.new)
    before, after = (
        _indices(unit.classes, classes)
        for unit, classes in ((old, pairs.old_class), (new, pairs.new_class))
    )
    canvas = lay(pairs, before, after, (0, 0))
    found = areas(canvas, old.classes != new.classes, MOST_PIECE_AREAS)
    return Patched(new.name, new.x, new.y, new.cell, found)


def _indices(cells: Classes, classes: NDArray[np.int32]) -> NDArray[np.uint16]:
    table = np.zeros(int(classes.max()) + 1, dtype=np.uint16)
    table[classes[::-1]] = np.arange(len(classes), dtype=np.uint16)[::-1]
    return table[cells]


def figures_moved(
    figures: Sequence[Figure], canvas: Canvas, shape: tuple[int, ...]
) -> tuple[Shifted, ...]:
    """Return figures of a chart that is one grid that moved, those that moved together as one."""
    by_step: dict[tuple[int, int], list[Figure]] = {}
    for each in figures:
        by_step.setdefault(each.by, []).append(each)
    found = []
    for step, together in by_step.items():
        mask = np.zeros(shape, dtype=bool)
        bare = np.ones(shape, dtype=bool)
        for each in together:
            mask[each.cells[:, 1], each.cells[:, 0]] = True
        arrived = np.roll(mask, (step[1], step[0]), (0, 1))
        bare = (canvas.new == 0) | arrived
        x, y, group = label(mask, 2 * NEAR)
        spots = []
        for number, box in enumerate(boxes(x, y, group).tolist()):
            mine = group == number
            old = _moved_box(box, canvas.old_left, canvas.old_top)
            new = _moved_box(box, canvas.left + step[0], canvas.top + step[1])
            free = bool(bare[y[mine], x[mine]].all())
            spots.append(Spot(old, new, int(mine.sum()), free))
        found.append(Shifted(Sort.GRID, "", step, "", tuple(spots)))
    return tuple(found)


def _moved_box(box: Sequence[int], x: int, y: int) -> tuple[int, int, int, int]:
    return box[0] + x, box[1] + y, box[2] + x, box[3] + y
