"""The numbered notes and how sure the chart is, each with the place it speaks of."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..chart.edges import margins
from ..chart.paginate import Page, Pagination
from ..compose.worked import Piece, WorkedChart
from ..core.matter import Note, NoteKind
from ..i18n.wording import Wording
from .openwork import withdrawing

# mm; width of the cells in the small picture of a place, its largest cell, and the one below which
# a band is shown larger.
SMALL_WIDTH, SMALL_CELL, LEAST_CELL = 48.0, 2.6, 0.6
SMALL_HEIGHT = 44.0  # mm, with the figures around, of one that shows more rows than a detail may
# mm; most height of any, the largest cell of an enlarged detail (small crosses are then half as
# large), and the least that it is divided for.
DETAIL_HEIGHT, DETAIL_CELL, DETAIL_LEAST = 105.0, 5.4, 4.2
SHARED = 4  # columns that two parts of a divided detail both show
PLAIN = 1.6  # mm; smaller cells are shown without symbols, which could not be read
WORDS = 70.0  # mm; room for words beside a detail
AROUND = 5  # cells shown around what a note means
LEAST = (20, 14)  # cells shown across and down, where the chart has so many
NEAR, FINEST, MOST = 3, (12, 8), (60, 48)  # the same for an enlarged detail, and the most shown
LARGE_LEAST, LARGE_FINEST = (20, 8), (12, 6)  # and of large print
ABOUT = 0.15  # share of an area that small crosses cover when a note is about them

NoteArea = tuple[float, float, float, float]


@dataclass(frozen=True)
class Shot:
    """One picture of a place. x0 y0 x1 y1: the cells it shows.

    cell: side of a cell; width, height: of the picture. In mm, before large print scales them.
    plain: whether the crosses are too small for symbols.
    """

    address: str
    x0: int
    y0: int
    x1: int
    y1: int
    cell: float
    width: float
    height: float
    plain: bool


@dataclass(frozen=True)
class Place:
    """One numbered note. number: as printed on the chart. area: in crosses, that it means.

    shots: its pictures; a wide detail is divided. pages: the chart pages it is on. fine: crosses
    smaller than the chart's own lie here, and the pictures are details to work from. beside:
    whether the words stand beside the picture. small: the threads spanned and the strands (None for
    those of the key) of the crosses that are smaller than the chart's own.
    """

    number: int
    note: Note
    shots: tuple[Shot, ...]
    pages: tuple[int, ...]
    fine: bool
    beside: bool
    small: tuple[tuple[int, int | None], ...]
    area: NoteArea


@dataclass(frozen=True)
class Places:
    """The notes of one kind."""

    kind: NoteKind
    places: tuple[Place, ...]


def places(
    worked: WorkedChart,
    pagination: Pagination,
    width: float,
    words: Wording,
    height: float = math.inf,
    symbol: float = 0.0,
) -> tuple[Places, ...]:
    """Return the notes, by kind in the order of the booklet, each kind in the order of the source.

    width, height: mm that pictures may take, before large print scales them. symbol: the smallest
    square whose symbol is printed. Numbers run through the whole source, then through the threads
    that are withdrawn, then through pieces whose symbols the chart leaves out, so that they are
    those on the chart.
    """
    room = _Room(width, height, max(symbol, PLAIN), symbol > 0)
    notes = [*worked.design.notes, *withdrawing(worked, words)]
    every = [_place(worked, pagination, room, *each) for each in enumerate(notes, 1)]
    if symbol:
        shown = [each.area for each in every if each.fine]
        more = enumerate(_unseen(worked, words, shown), len(notes) + 1)
        every += [_place(worked, pagination, room, *each) for each in more]
    groups = [
        Places(kind, tuple(each for each in every if each.note.kind is kind)) for kind in NoteKind
    ]
    return tuple(group for group in groups if group.places)


def numbered(groups: Sequence[Places]) -> tuple[tuple[int, Note], ...]:
    """Return all notes with their printed numbers, in the order of the numbers."""
    notes = [(place.number, place.note) for group in groups for place in group.places]
    return tuple(sorted(notes, key=lambda each: each[0]))


def _unseen(worked: WorkedChart, words: Wording, shown: Sequence[NoteArea]) -> Iterator[Note]:
    """Give a note for each piece of small crosses that no enlarged detail shows."""
    for piece in worked.pieces:
        x0, y0, x1, y1 = _bounds(piece)
        seen = any(a <= x0 and b <= y0 and x1 <= c and y1 <= d for a, b, c, d in shown)
        if piece.cell < 1 and not seen:
            text = words.gettext("Small crosses, whose symbols stand here alone.")
            yield Note(NoteKind.NOTE, x0, y0, x1, y1, text, piece.span)


@dataclass(frozen=True)
class _Room:
    """Room for pictures, in mm before large print scales them.

    symbol: the smallest square with a symbol. asked: whether all squares are to be of about that.
    """

    width: float
    height: float
    symbol: float
    asked: bool


def _place(
    worked: WorkedChart, pagination: Pagination, space: _Room, number: int, note: Note
) -> Place:
    width = space.width
    area = _meant(worked, note)
    fine = _is_fine(worked, area)
    around, least = (NEAR, FINEST) if fine else (AROUND, LEAST)
    if space.asked:  # two to a page, where they can
        around, least = (1, LARGE_FINEST) if fine else (NEAR, LARGE_LEAST)
    most_x, most_y = MOST if fine else (worked.width, worked.height)
    x0, x1 = _shown(area[0], area[2], worked.width, around, (least[0], most_x))
    y0, y1 = _shown(area[1], area[3], worked.height, around, (least[1], most_y))
    wide = width - 2 * margins(worked.height).side
    # Of large print no more is larger than it has to be: pages are few enough as it is.
    least_cell, most_cell, small_cell = DETAIL_LEAST, DETAIL_CELL, SMALL_CELL
    if space.asked:
        finest = min((each.cell for each in _small(worked, area)), default=1.0)
        least_cell = most_cell = space.symbol / finest
        small_cell = space.symbol
    most = max(2 * SHARED, math.floor(wide / least_cell)) if fine else x1 - x0
    parts = 1 if x1 - x0 <= most else math.ceil((x1 - x0 - SHARED) / (most - SHARED))
    share = math.ceil((x1 - x0 + SHARED * (parts - 1)) / parts)
    high = min(space.height, DETAIL_HEIGHT)
    if not fine and y1 - y0 > MOST[1]:
        high = min(high, SMALL_HEIGHT)
    room = (wide, high, most_cell) if fine else (min(wide, SMALL_WIDTH), high, small_cell)
    # A band is shown across the page, where it takes no more height than another picture does.
    band = not fine and (x1 - x0) * LEAST_CELL > SMALL_WIDTH
    if band and wide / (x1 - x0) * (y1 - y0) <= min(high, SMALL_WIDTH):
        room = wide, high, small_cell
    # All parts of a detail show as many columns, so that their cells are alike.
    starts = [min(x0 + part * (share - SHARED), x1 - share) for part in range(parts)]
    shots = tuple(
        _shot(worked, f"place:{number}:{part}", (start, y0, start + share, y1), room, space.symbol)
        for part, start in enumerate(starts, 1)
    )
    beside = parts == 1 and (width - shots[0].width >= WORDS if fine else room[0] <= SMALL_WIDTH)
    pages = _pages(note, pagination.pages)
    small = dict.fromkeys((each.over, each.strands) for each in _small(worked, area) if fine)
    return Place(number, note, shots, pages, fine, beside, tuple(small), area)


def _shot(
    worked: WorkedChart,
    address: str,
    area: tuple[int, int, int, int],
    room: tuple[float, float, float],
    symbol: float,
) -> Shot:
    """Return the picture of some cells; room: most width and height of them, and of one cell."""
    around = margins(worked.height)
    columns, rows = area[2] - area[0], area[3] - area[1]
    high = room[1] - 2 * around.end
    cell = min(room[0] / columns, high / rows, room[2])
    width, height = columns * cell + 2 * around.side, rows * cell + 2 * around.end
    return Shot(address, *area, cell, width, height, cell < symbol)


def _is_fine(worked: WorkedChart, area: NoteArea) -> bool:
    """Whether an area is about crosses smaller than the chart's own, not just around some."""
    small = _small(worked, area)
    covered = sum(piece.width * piece.height for piece in small)
    return bool(small) and covered >= ABOUT * (area[2] - area[0]) * (area[3] - area[1])


def _small(worked: WorkedChart, area: NoteArea) -> list[Piece]:
    return [piece for piece in worked.pieces if piece.cell < 1 and _overlap(_bounds(piece), area)]


def _meant(worked: WorkedChart, note: Note) -> NoteArea:
    """Return the area of a note; a point on a piece off the grid means the whole piece."""
    area = (note.x0, note.y0, note.x1, note.y1)
    if area[:2] == area[2:]:
        for piece in worked.pieces:
            if _overlap(_bounds(piece), area):
                return _bounds(piece)
    return area


def _bounds(piece: Piece) -> NoteArea:
    return piece.x, piece.y, piece.x + piece.width, piece.y + piece.height


def _overlap(one: NoteArea, other: NoteArea) -> bool:
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]


def _shown(
    start: float, end: float, length: int, around: int, bounds: tuple[int, int]
) -> tuple[int, int]:
    """Return the cells of one direction that a picture shows around a stretch."""
    wanted = min(max(math.ceil(end - start) + 2 * around, bounds[0]), bounds[1], length)
    first = math.floor((start + end) / 2 - wanted / 2)
    first = min(max(first, 0), length - wanted)
    return first, first + wanted


def _pages(note: Note, pages: Sequence[Page]) -> tuple[int, ...]:
    """Return the pages whose own cells a note touches; a point on a break is on the later page."""
    return tuple(
        page.number
        for page in pages
        if _meets(note.x0, note.x1, page.core_x0, page.core_x1, page.right is None)
        and _meets(note.y0, note.y1, page.core_y0, page.core_y1, page.below is None)
    )


def _meets(start: float, end: float, low: int, high: int, last: bool) -> bool:
    if start == end:
        return low <= start < high or (last and start == high)
    return start < high and end > low
