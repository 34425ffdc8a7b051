"""What is said about the chart: notes, colourways, editions, expected counts, idle definitions."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..compose.misplaced import place
from ..compose.worked import IndexGrid, WorkedChart
from ..core.items import Lettering
from ..core.matter import Expectation
from ..core.paging import Axis
from ..core.source import Span
from ..count.count import count
from ..i18n.catalogue import language_of, offered, speaks
from ..resolve.nesting import placed_names
from .checking import Check, Fault
from .keys import used_indices

_FIRST = frozenset({"", "1", "1st", "first", "I", "i"})


def _note_outside(worked: WorkedChart) -> Iterator[Fault]:
    for note in worked.design.notes:
        inside = min(note.x0, note.y0) >= 0 and note.x1 <= worked.width and note.y1 <= worked.height
        if not inside:
            ends = dict.fromkeys([place((note.x0, note.y0)), place((note.x1, note.y1))])
            yield Fault(
                f"The {note.kind.value} at {' to '.join(ends)} lies outside the chart, which is "
                f"{worked.width} x {worked.height}.",
                note.span,
                ("move it in: columns come first, then rows",),
            )


def _break_outside(worked: WorkedChart) -> Iterator[Fault]:
    ends = {Axis.ROW: worked.height, Axis.COLUMN: worked.width}
    for each in worked.design.paging.breaks:
        last = ends[each.axis]
        if not 1 < each.before <= last:
            where = (
                f"the chart ends with {each.axis} {last}"
                if each.before > 1
                else ("the first page begins there anyway")
            )
            yield Fault(
                f"No page can begin with {each.axis} {each.before}: {where}.",
                each.span,
                ("take this line out",) if last < 2 else (f"name a {each.axis} from 2 to {last}",),
            )


def _colourway_unused(worked: WorkedChart) -> Iterator[Fault]:
    used = used_indices(worked)
    symbols = {worked.entry(index).symbol for index in used}
    for colourway in worked.design.colourways:
        for change in colourway.changes:
            if change.symbol not in symbols:
                yield Fault(
                    f"The colourway `{colourway.name}` changes `{change.symbol}`, in which "
                    "nothing is stitched.",
                    change.span,
                    ("take this line out",),
                )


def _other_language(worked: WorkedChart) -> Iterator[Fault]:
    booklet = worked.design.booklet
    if speaks(booklet.language):
        return
    yield Fault(
        f"There are no words for a booklet in `{language_of(booklet.language)}`: its headings and "
        "fixed sentences will be in English.",
        booklet.language_span or booklet.span,
        (f"there are words for {', '.join(offered())}",),
    )


def _edition_without_revision(worked: WorkedChart) -> Iterator[Fault]:
    design = worked.design
    edition = design.booklet.edition
    if edition in _FIRST or any(revision.edition == edition for revision in design.revisions):
        return
    yield Fault(
        f"This is edition {edition}, but nothing says what changed in it.",
        design.booklet.edition_span or design.booklet.span,
        (f'add `revision "{edition}" "what changed, and where"`',),
    )


def _not_as_expected(worked: WorkedChart) -> Iterator[Fault]:
    whole = {each.entry.symbol: each.number for each in count(worked).entries}
    for expectation in worked.design.expectations:
        held = (
            whole.get(expectation.symbol, 0)
            if expectation.area is None
            else _in_area(worked, expectation)
        )
        if held != expectation.count:
            where = "the chart"
            if expectation.area is not None:
                x0, y0, x1, y1 = expectation.area
                where = f"{place((x0, y0))} to {place((x1, y1))}"
            yield Fault(
                f"{expectation.count} of `{expectation.symbol}` are expected, but {where} holds "
                f"{held}.",
                expectation.span,
                (f"{_difference(expectation.count, held)}: put the chart right, or the number",),
            )


def _difference(wanted: int, held: int) -> str:
    apart = abs(held - wanted)
    return f"{apart} too {'many' if held > wanted else 'few'}"


def _in_area(worked: WorkedChart, expected: Expectation) -> int:
    assert expected.area is not None
    x0, y0, x1, y1 = expected.area
    indices = [
        index for index, entry in enumerate(worked.design.key, 1) if entry.symbol == expected.symbol
    ]
    number = sum(_cells_in(worked.grid, index, (x0, y0, x1, y1)) for index in indices)
    over = worked.design.ground.fabric.over
    for stand in worked.stands:
        if stand.index in indices:
            middle = (stand.at + np.array(stand.stitch.over) / 2) / over
            within = (middle >= (x0, y0)).all(axis=1) & (middle < (x1, y1)).all(axis=1)
            number += int(np.count_nonzero(within))
    for piece in worked.pieces:
        area = ((x0 - piece.x) / piece.cell, (y0 - piece.y) / piece.cell)
        area_end = ((x1 - piece.x) / piece.cell, (y1 - piece.y) / piece.cell)
        number += sum(_cells_in(piece.grid, index, (*area, *area_end)) for index in indices)
    return number


def _cells_in(grid: IndexGrid, index: int, area: tuple[float, float, float, float]) -> int:
    """Count the cells wholly inside an area given in cells."""
    x0, y0, x1, y1 = area
    near = 1e-6  # a third of a cross is not exact
    left, top = (max(0, int(np.ceil(each - near))) for each in (x0, y0))
    right, bottom = (max(0, int(np.floor(each + near))) for each in (x1, y1))
    return int(np.count_nonzero(grid[top:bottom, left:right] == index))


def _never_placed(worked: WorkedChart) -> Iterator[Fault]:
    design = worked.design
    inside = [item for motif in design.motifs.values() for item in motif.items]
    items = [*design.chart.items, *inside]
    motifs = placed_names((each for each in items if not isinstance(each, Lettering)), {})
    alphabets = placed_names((each for each in items if isinstance(each, Lettering)), {})
    for name, motif in design.motifs.items():
        if name not in motifs and _own(worked, motif.span):
            yield Fault(
                f"The motif `{name}` is never placed.",
                motif.span,
                (f"place it, such as `{name} at 0,0`, or take it out",),
            )
    for name, alphabet in design.alphabets.items():
        if name not in alphabets and _own(worked, alphabet.span):
            yield Fault(
                f"Nothing is set in the alphabet `{name}`.",
                alphabet.span,
                ("set a text in it, or take it out",),
            )


def _own(worked: WorkedChart, span: Span | None) -> bool:
    # A file that is used may well hold more than one chart needs.
    return span is None or span.source.path == worked.design.source.path


CHECKS = (
    Check("note-outside", _note_outside),
    Check("break-outside", _break_outside),
    Check("idle-colourway", _colourway_unused),
    Check("words-in-english", _other_language),
    Check("edition-without-revision", _edition_without_revision),
    Check("not-as-expected", _not_as_expected),
    Check("never-placed", _never_placed),
)
