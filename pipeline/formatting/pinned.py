"""A chart in which every place is written out: nothing hangs on anything else any more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from ..core.items import Box, Point
from ..core.source import Span
from ..syntax.nodes import (
    BandLine,
    Block,
    BorderLine,
    ChartFile,
    ChartHead,
    ExpectLine,
    KeyHead,
    KeyLine,
    LetteringLine,
    Member,
    MotifHead,
    NoteLine,
    PhotographHead,
    PlaceLine,
    PlacementLine,
    ShapeLine,
    ShowsLine,
    WithdrawnLine,
)
from ..syntax.phrases import (
    AreaWords,
    Dimensions,
    Extent,
    Numeral,
    Option,
    Position,
    Row,
    Swaps,
    Word,
)

_HANGING = frozenset({"below", "side", "on", "tied"})


@dataclass(frozen=True)
class Stood:
    """Where the thing of one line came to stand, in crosses.

    by: how far its own positions were moved. box: its corners.
    """

    by: Point
    box: Box


@dataclass(frozen=True)
class Pins:
    """Where everything stands. size: of the chart. lines: by the offset at which each begins.

    things: by name. motifs: of those put together from others, by name.
    """

    size: tuple[int, int]
    lines: Mapping[int, Stood]
    things: Mapping[str, Stood]
    motifs: Mapping[str, Pins] = field(default_factory=dict)


def pinned(file: ChartFile, pins: Pins) -> ChartFile:
    """Return a file that states the position of everything that hung on other things.

    Bands become places, or are taken out where they have no name: positions no longer count from
    them.
    """
    return replace(file, blocks=tuple(_block(block, pins) for block in file.blocks))


def with_symbols(file: ChartFile, shapes: Mapping[str, str]) -> ChartFile:
    """Return a file whose key wishes for these printed symbols, where a line wishes for none.

    shapes: by the character that stands for a line.
    """
    return replace(
        file,
        blocks=tuple(
            replace(block, members=tuple(_wishing(line, shapes) for line in block.members))
            if isinstance(block.head, KeyHead)
            else block
            for block in file.blocks
        ),
    )


def _wishing(line: Member, shapes: Mapping[str, str]) -> Member:
    if not isinstance(line, KeyLine) or line.printed or line.symbol.text not in shapes:
        return line
    name = Word(shapes[line.symbol.text], span=line.span)
    return replace(line, endings=(Option("printed", (name,), span=line.span), *line.endings))


def _block(block: Block, pins: Pins) -> Block:
    head = block.head
    if isinstance(head, MotifHead):
        if head.name.text not in pins.motifs:
            return block
        pins = pins.motifs[head.name.text]
    if isinstance(head, ChartHead | MotifHead):
        size = head.size
        if size.width is None or size.height is None:
            width, height = (_numeral(side, size.span) for side in pins.size)
            head = replace(head, size=Extent(width, height, span=size.span))
        members = [
            _place(line, pins) if isinstance(line, BandLine) else _line(line, pins)
            for line in block.members
            if not isinstance(line, BandLine) or line.name is not None
        ]
        return replace(block, head=head, members=tuple(members))
    if isinstance(head, NoteLine):
        return replace(block, head=replace(head, area=_area(head.area, pins)))
    if isinstance(head, PhotographHead):
        members = [
            replace(line, area=_area(line.area, pins)) if isinstance(line, ShowsLine) else line
            for line in block.members
        ]
        return replace(block, members=tuple(members))
    if isinstance(head, ExpectLine) and head.area is not None:
        return replace(block, head=replace(head, area=_area(head.area, pins)))
    return block


def _place(band: BandLine, pins: Pins) -> Member:
    """Return a named band as a place, since others may run round it or fill it."""
    assert band.name is not None
    x0, y0, x1, y1 = pins.things[band.name.text].box
    size = None
    if x1 > x0 and y1 > y0:
        sides = (_numeral(side, band.span) for side in (x1 - x0, y1 - y0))
        size = Dimensions(*sides, span=band.span)
    at = Option("at", (_position((x0, y0), band.span),), span=band.span)
    word = Word("place", span=band.word.span)
    return PlaceLine(word, band.name, size, (at,), span=band.span)


def _area(area: AreaWords, pins: Pins) -> AreaWords:
    if area.thing is None:
        return area
    stood = pins.things[area.thing.text]
    x0, y0, x1, y1 = stood.box
    span = area.thing.span
    if area.start is None:
        return AreaWords(_position((x0, y0), span), _position((x1, y1), span))
    end = None if area.end is None else _moved(area.end, (x0, y0))
    return AreaWords(_moved(area.start, (x0, y0)), end)


def _line(line: Member, pins: Pins) -> Member:
    stood = pins.lines.get(line.span.start)
    if stood is None or isinstance(line, Row | BorderLine):
        return line
    if isinstance(line, ShapeLine | WithdrawnLine):
        return _drawn(line, stood.by)
    if isinstance(line, LetteringLine):
        return replace(line, options=_of_text(line, stood))
    if isinstance(line, PlacementLine):
        return replace(line, options=_with_at(line.options, stood, line.span))
    if isinstance(line, PlaceLine):
        with_at = _with_at(line.options, stood, line.span)
        return replace(line, options=tuple(each for each in with_at if isinstance(each, Option)))
    return line


def _drawn(line: ShapeLine | WithdrawnLine, by: Point) -> Member:
    options = tuple(each for each in line.options if each.word not in _HANGING)
    if isinstance(line, WithdrawnLine):
        start, end = _moved(line.start, by), _moved(line.end, by)
        return replace(line, start=start, end=end, options=options)
    points = tuple(_moved(point, by) for point in line.points)
    return replace(line, points=points, options=options)


def _of_text(line: LetteringLine, stood: Stood) -> tuple[Option | Swaps, ...]:
    """Return the options of a text: its lines are set as they were."""
    if len(line.lines) > 1 or any(each.word == "at" for each in line.options):
        kept = tuple(each for each in line.options if each.word != "aligned" or _is(each, "right"))
        set_so = [each for each in kept if each.word in ("centred", "aligned")]
        return (*_with_at(kept, stood, line.span), *set_so)
    return _with_at(line.options, replace(stood, by=stood.box[:2]), line.span)


def _with_at(
    options: Sequence[Option | Swaps], stood: Stood, span: Span
) -> tuple[Option | Swaps, ...]:
    """Return the options with a position in place of all that tells of other things."""
    kept: list[Option | Swaps] = []
    is_filling = any(option.word == "filling" for option in options)
    has_position = False
    for option in _without_hanging(options):
        if isinstance(option, Option) and option.word == "at":
            has_position = True
            values = tuple(
                _moved(value, stood.by) if isinstance(value, Position) else value
                for value in option.values
            )
            kept.append(replace(option, values=values))
        elif option.word not in ("centred", "aligned") or (is_filling and option.word == "centred"):
            kept.append(option)
    if not has_position:
        kept.append(Option("at", (_position(stood.by, span),), span=span))
    return tuple(kept)


def _without_hanging(options: Sequence[Option | Swaps]) -> tuple[Option | Swaps, ...]:
    return tuple(each for each in options if each.word not in _HANGING)


def _is(option: Option | Swaps, word: str) -> bool:
    return any(isinstance(each, Word) and each.text == word for each in option.values)


def _moved(place: Position, by: Point) -> Position:
    x, y = float(place.x.text) + by[0], float(place.y.text) + by[1]
    return _position((x, y), place.span) if any(by) else place


def _position(at: Sequence[float], span: Span) -> Position:
    return Position(_numeral(at[0], span), _numeral(at[1], span), span=span)


def _numeral(value: float, span: Span) -> Numeral:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return Numeral("0" if text in ("-0", "") else text, span=span)
