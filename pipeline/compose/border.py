"""Where the parts of a border lie. All lengths in fabric threads, unless said otherwise."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..core.items import Border, Mirror, Motif
from ..stitches.turn import AS_DRAWN, Turn

_RIGHT = Turn(quarters=1)
_HALF = Turn(quarters=2)
_LEFT = Turn(quarters=3)
_FLIPPED = Turn.of(Mirror.LEFT_RIGHT)
_UPSIDE_DOWN = Turn.of(Mirror.TOP_BOTTOM)

Cells = tuple[int, int, int, int]


@dataclass(frozen=True)
class Side:
    """A run of copies of a motif, or one corner: from x, y on by a step.

    part: the columns and rows that are placed, as the motif lies; None for all.
    """

    motif: str
    turn: Turn
    x: int
    y: int
    step_x: int = 0
    step_y: int = 0
    count: int = 1
    part: Cells | None = None


@dataclass(frozen=True)
class Remainder:
    """What does not come out across or down: the stretches of both sides between their corners.

    rooms: of top and bottom, or of both sides. length: of the repeat. lone: of a centre piece.
    """

    across: bool
    rooms: tuple[int, int]
    length: int
    lone: int = 0

    @property
    def room(self) -> int:
        """The stretch that is told of."""
        return next((room for room in self.rooms if not self.fits(room)), self.rooms[0])

    @property
    def left(self) -> int:
        """What would be left over there."""
        return (self.room - self.lone) % self.length if self.room > 0 else 0

    def fits(self, room: int) -> bool:
        """Tell whether a stretch comes out."""
        both = 2 if self.lone else 1
        return room >= self.lone and (room - self.lone) % (both * self.length) == 0


@dataclass(frozen=True)
class Ring:
    """The frame of a border: its outer edges, and how far each corner reaches along each side.

    corners: width and height of each, clockwise from the top left.
    """

    left: int
    top: int
    right: int
    bottom: int
    corners: tuple[tuple[int, int], ...]

    @property
    def rooms(self) -> tuple[int, int, int, int]:
        """The stretches between the corners: top, right, bottom, left."""
        (w1, h1), (w2, h2), (w3, h3), (w4, h4) = self.corners
        wide, high = self.right - self.left, self.bottom - self.top
        return wide - w1 - w2, high - h2 - h3, wide - w3 - w4, high - h4 - h1


def ring(border: Border, motifs: Mapping[str, Motif], size: tuple[int, int], over: int) -> Ring:
    """Return the frame of a border.

    size: of the chart in crosses. Without a corner motif the corners stay bare, as large as the
    repeat is high.
    """
    repeat = motifs[border.repeat]
    depth = repeat.height * (repeat.over or over)
    wide = high = depth
    if border.corner is not None:
        corner = motifs[border.corner]
        wide, high = (each * (corner.over or over) for each in (corner.width, corner.height))
    turned = (wide, high) if border.mirrored else (high, wide)
    x0, y0, x1, y1 = border.box or (0, 0, *size)
    inset = border.inset * over
    return Ring(
        round(x0 * over) + inset,
        round(y0 * over) + inset,
        round(x1 * over) - inset,
        round(y1 * over) - inset,
        ((wide, high), turned, (wide, high), turned),
    )


def sides(
    border: Border, motifs: Mapping[str, Motif], size: tuple[int, int], over: int
) -> tuple[tuple[Side, ...], tuple[Remainder, ...]]:
    """Return the corners and sides of a border, or what does not come out."""
    frame = ring(border, motifs, size, over)
    rooms = frame.rooms
    repeat = motifs[border.repeat]
    cell = repeat.over or over
    length = repeat.width * cell
    lone = _length(motifs, border.centre, over)
    join = _length(motifs, border.join, over)
    remainders = []
    for across, both in ((True, (rooms[0], rooms[2])), (False, (rooms[1], rooms[3]))):
        left_over = Remainder(across, both, length, lone)
        if not all(_comes_out(room, left_over, join, cell, border) for room in both):
            remainders.append(left_over)
    if remainders:
        return (), tuple(remainders)
    if border.mirrored:
        turns = (AS_DRAWN, _LEFT.then(_FLIPPED), _UPSIDE_DOWN, _LEFT)
        corner_turns = (AS_DRAWN, _FLIPPED, _HALF, _UPSIDE_DOWN)
    else:
        turns = corner_turns = (AS_DRAWN, _RIGHT, _HALF, _LEFT)
    run = [
        side
        for number, (turn, room) in enumerate(zip(turns, rooms, strict=True))
        for side in _Run(border, motifs, frame, over, number, turn).laid(room)
    ]
    return (*_corners(border, frame, corner_turns), *run), ()


def _length(motifs: Mapping[str, Motif], name: str | None, over: int) -> int:
    return 0 if name is None else motifs[name].width * (motifs[name].over or over)


def _comes_out(room: int, left_over: Remainder, join: int, cell: int, border: Border) -> bool:
    rest = room - left_over.lone
    if rest < 0:
        return False
    if border.from_middle:
        return rest % (2 * cell) == 0
    if join and not left_over.lone and room % left_over.length:
        return room >= join and (room - join) % left_over.length == 0
    return left_over.fits(room)


def _corners(border: Border, frame: Ring, turns: Sequence[Turn]) -> Iterator[Side]:
    if border.corner is None:
        return
    (_, _), (w2, _), (w3, h3), (_, h4) = frame.corners
    places = (
        (frame.left, frame.top),
        (frame.right - w2, frame.top),
        (frame.right - w3, frame.bottom - h3),
        (frame.left, frame.bottom - h4),
    )
    for turn, (x, y) in zip(turns, places, strict=True):
        yield Side(border.corner, turn, x, y)


@dataclass(frozen=True)
class _Run:
    """One side: number 0 to 3 clockwise from the top, and how what is on it is turned.

    Along it is measured as its repeat reads: a quarter turn clockwise for each following side, or
    mirrored.
    """

    border: Border
    motifs: Mapping[str, Motif]
    frame: Ring
    over: int
    number: int
    turn: Turn

    def laid(self, room: int) -> Iterator[Side]:
        """Give the runs that fill a stretch between two corners."""
        border = self.border
        length = _length(self.motifs, border.repeat, self.over)
        lone = _length(self.motifs, border.centre, self.over)
        half = (room - lone) // 2
        if border.from_middle:
            yield from self._half(0, half, outwards=False)
            yield from self._half(half + lone, half, outwards=True)
        elif lone:
            yield from self._copies(border.repeat, 0, half // length)
            yield from self._copies(border.repeat, half + lone, half // length)
        else:
            yield from self._copies(border.repeat, 0, room // length)
            if border.join is not None and room % length:
                yield from self._copies(border.join, room // length * length, 1)
        if border.centre is not None:
            yield from self._copies(border.centre, half, 1)

    def _half(self, start: int, room: int, *, outwards: bool) -> Iterator[Side]:
        """Give half a side, which begins in the middle and is cut at the corner."""
        name = self.border.repeat
        motif = self.motifs[name]
        cell = motif.over or self.over
        length = motif.width * cell
        count, left = divmod(room, length)
        first = start if outwards else start + left
        yield from self._copies(name, first, count, flip=not outwards)
        if left:
            # The columns nearest the middle: the first as it is drawn, or the last once flipped.
            columns = left // cell
            where = (0, columns) if outwards else (motif.width - columns, motif.width)
            at = start + count * length if outwards else start
            yield from self._copies(name, at, 1, flip=not outwards, columns=where)

    def _copies(
        self,
        name: str,
        start: int,
        count: int,
        *,
        flip: bool = False,
        columns: tuple[int, int] | None = None,
    ) -> Iterator[Side]:
        """Give copies one after another along the side, or one of some columns of a motif.

        columns: as they stand along the side before it is turned.
        """
        if not count:
            return
        motif = self.motifs[name]
        cell = motif.over or self.over
        turn = (_FLIPPED if flip else AS_DRAWN).then(self.turn)
        first, last = columns or (0, motif.width)
        length, depth = (last - first) * cell, motif.height * cell
        part = None
        if columns is not None:
            corners = np.array([(first, 0), (last, motif.height)], dtype=np.float64)
            lain = np.sort(self.turn.points(corners, motif.width, motif.height), axis=0)
            part = tuple(lain.astype(int).ravel().tolist())
        x, y = self._place(start, count * length, depth)
        step_x, step_y = (0, length) if self.number % 2 else (length, 0)
        yield Side(name, turn, x, y, step_x, step_y, count, part)

    def _place(self, start: int, length: int, depth: int) -> tuple[int, int]:
        """Return the top left corner of what takes a stretch of the side."""
        frame = self.frame
        (w1, _), (_, h2), (w3, h3), (w4, h4) = frame.corners
        mirrored = self.border.mirrored
        match self.number:
            case 0:
                return frame.left + w1 + start, frame.top
            case 1 if mirrored:
                return frame.right - depth, frame.bottom - h3 - start - length
            case 1:
                return frame.right - depth, frame.top + h2 + start
            case 2 if mirrored:
                return frame.left + w4 + start, frame.bottom - depth
            case 2:
                return frame.right - w3 - start - length, frame.bottom - depth
            case _:
                return frame.left, frame.bottom - h4 - start - length


@dataclass(frozen=True)
class Mends:
    """What would make a border come out, in crosses; empty or 0 where nothing near does.

    sizes: of the chart or area. insets: for all four sides; gaps,
    for a border round something. centre: the width of a centre piece.
    join: the width of one. halves: whether halves mirrored from the middle would.
    """

    sizes: tuple[int, ...]
    insets: tuple[int, ...] = ()
    centre: int = 0
    join: int = 0
    halves: bool = False


def mends(
    border: Border,
    motifs: Mapping[str, Motif],
    size: tuple[int, int],
    over: int,
    left_over: Remainder,
) -> Mends:
    """Return what would make a border come out whose repeat does not."""
    frame = ring(border, motifs, size, over)
    sizes = _sizes(frame, left_over, border.inset, over)
    rooms, length = frame.rooms, left_over.length
    lone = left_over.lone
    if any(each % over for each in (*rooms, length, lone)):
        return Mends(sizes)
    whole = [each // over for each in rooms]
    unit, piece = length // over, lone // over
    # Round something a border has a gap, which is the less the farther it is set in.
    first, last = (0, min(whole) // 2 + border.inset) if border.gap is None else (-99, border.gap)
    insets = [
        each
        for each in range(first, last + 1)
        if each != border.inset
        and all(left_over.fits((room + 2 * (border.inset - each)) * over) for room in whole)
    ]
    near = (
        *[each for each in insets if each < border.inset][-1:],
        *[each for each in insets if each > border.inset][:1],
    )
    pieces = {room % (2 * unit) for room in whole}
    joins = {room % unit for room in whole} - {0}
    centre = pieces.pop() if len(pieces) == 1 and min(whole) > 0 else 0
    join = joins.pop() if len(joins) == 1 and not piece and min(whole) > 0 else 0
    halves = all(room >= piece and (room - piece) % 2 == 0 for room in whole)
    if border.gap is not None:
        near = tuple(border.gap - each for each in reversed(near))
    return Mends(sizes, near, centre if centre <= min(whole) else 0, join, halves)


def _sizes(frame: Ring, left_over: Remainder, inset: int, over: int) -> tuple[int, ...]:
    """Return the nearest sizes of the chart or area that come out along one way, in crosses."""
    if left_over.across:
        outer, rooms = frame.right - frame.left, (frame.rooms[0], frame.rooms[2])
    else:
        outer, rooms = frame.bottom - frame.top, (frame.rooms[1], frame.rooms[3])
    crosses = outer // over + 2 * inset

    def fits(candidate: int) -> bool:
        return all(left_over.fits(room + (candidate - crosses) * over) for room in rooms)

    # Whole repeats come round again within `step` crosses, if they ever do.
    step = left_over.length * (2 if left_over.lone else 1)
    least = max(1, crosses - min(rooms) // over + left_over.lone // over)
    below = next(
        (each for each in range(crosses - 1, max(0, crosses - step - 1), -1) if fits(each)), None
    )
    start = max(crosses + 1, least)
    above = next((each for each in range(start, start + step + 1) if fits(each)), None)
    return tuple(each for each in (below, above) if each is not None)
