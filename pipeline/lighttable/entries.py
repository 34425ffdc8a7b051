"""What the page enters into a chart: crosses in its rows, marks, a first draft."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ..colour.colorimetry import from_hex
from ..compose.worked import IndexGrid, WorkedChart
from ..core.diagnostics import Diagnostics
from ..core.source import Source
from ..formatting.tidy import tidy
from ..held.answers import Answer
from ..held.expected import Part, is_lone_cross
from ..held.telling import findings_of
from ..importing.doubts import inferred
from ..importing.marks import mark, whereabouts
from ..importing.rows import NotInRows, with_cells
from ..importing.statement import without
from ..photograph.drafting import Threads, draft
from .asked import AskedMark, AskedUnmark, Cell, NotAsked


class Refused(Exception):
    """What was asked is not done; findings say why, or str() where there are none."""

    def __init__(self, why: str, findings: Diagnostics = ()) -> None:
        """Keep the findings."""
        super().__init__(why)
        self.findings = findings


def crosses_of(worked: WorkedChart) -> dict[str, int]:
    """Return the key lines of whole crosses by their sign; `.` for bare cloth."""
    key = enumerate(worked.design.key, start=1)
    crosses = {entry.symbol: at for at, entry in key if not entry.sign and is_lone_cross(entry)}
    return {".": 0, **crosses}


def with_crosses(worked: WorkedChart, part: Part, cells: Sequence[Cell]) -> tuple[str, IndexGrid]:
    """Return the text of a chart in which cells of a part hold other crosses, and the grid then.

    Raises:
        NotAsked: for a cell outside the part, or no cross of the key.
        Refused: for cells that are drawn in no rows that could be changed.
    """
    indices = _indices(worked, part, cells)
    return _entered(worked, {(x + part.left, y + part.top): of for (x, y), of in indices.items()})


def marked(source: Source, shows: str, asked: AskedMark) -> str:
    """Return the tidy text of a chart with a mark at cells of the part that is shown."""
    return _tidied(source.text, mark(asked.kind, asked.box, asked.words, whereabouts(shows)))


def unmarked(worked: WorkedChart, asked: AskedUnmark) -> str:
    """Return the text of a chart without one of its marks.

    Raises:
        Refused: when none begins there.
    """
    for note in worked.design.notes:
        if note.kind.sets_apart and note.span is not None and note.span.start == asked.at:
            return without(worked.design.source, note.span)
    raise Refused("That mark is no longer in the chart: load the page again.")


def drafted(
    worked: WorkedChart, answer: Answer, shows: str, known: Sequence[Cell]
) -> tuple[str, IndexGrid]:
    """Return the tidy text of a chart with a first draft of a part in its rows, and the grid then.

    worked: the chart with the statement of the photograph. known: cells whose thread the user
    knows; without any the threads are looked for by the colours of the key.

    Raises:
        Refused: when crosses are there already, the key has none, or no draft can be made.
        NotAsked: for a known cell outside the part, or no cross of the key.
    """
    part = answer.part
    if answer.reading is None:
        raise Refused("The crosses could not be followed.", findings_of(worked, answer))
    width, height = answer.reading.size
    if worked.grid[part.top : part.top + height, part.left : part.left + width].any():
        raise Refused(
            "There are crosses in this part already; a draft is only for bare cloth. What differs "
            "from the photograph can be looked through one by one."
        )
    key = worked.design.key
    indices = [0, *(key.index(each) + 1 for each in part.threads if is_lone_cross(each))]
    if len(indices) == 1:
        raise Refused("The key has no crosses yet: write the threads of the piece into it.")
    made, told = draft(answer.reading, _threads(worked, part, indices, known))
    if made is None:
        said = "; ".join(each.message for each in told)
        raise Refused(f"No draft is made of it: {said}")
    cells = np.array(indices)[made.cells]
    rows, columns = np.nonzero(cells)
    places = zip((columns + part.left).tolist(), (rows + part.top).tolist(), strict=True)
    text, grid = _entered(worked, dict(zip(places, cells[rows, columns].tolist(), strict=True)))
    where = whereabouts(shows)
    doubts = inferred(made.doubts, answer.reading.size)
    return _tidied(text, *(each.line(where) for each in doubts)), grid


def _threads(
    worked: WorkedChart, part: Part, indices: Sequence[int], known: Sequence[Cell]
) -> Threads:
    """Return the crosses of the key as threads, numbered as `indices` has them."""
    design = worked.design
    colours = [design.ground.colour]
    for index in indices[1:]:
        colours.append(design.key[index - 1].parts[0].needle[0].thread.colour)
    named: dict[int, tuple[tuple[int, int], ...]] = {}
    for cell, index in _indices(worked, part, known).items():
        if index not in indices:
            raise NotAsked("Another sign of the key has the same thread: say that one.")
        number = indices.index(index)
        named[number] = (*named.get(number, ()), cell)
    return Threads(255 * from_hex(colours), named or None)


def _indices(worked: WorkedChart, part: Part, cells: Sequence[Cell]) -> dict[tuple[int, int], int]:
    """Return the key line that each cell is to hold, by column and row of the part."""
    crosses = crosses_of(worked)
    height, width = part.expected.cells.shape
    indices = {}
    for cell in cells:
        if not (cell.column < width and cell.row < height):
            raise NotAsked(f"The part has {width} columns and {height} rows.")
        if cell.sign not in crosses:
            raise NotAsked("That is no sign of a whole cross in the key of the chart.")
        indices[cell.column, cell.row] = crosses[cell.sign]
    return indices


def _entered(worked: WorkedChart, cells: Mapping[tuple[int, int], int]) -> tuple[str, IndexGrid]:
    try:
        text = with_cells(worked, cells)
    except NotInRows as reason:
        raise Refused(str(reason)) from reason
    grid = worked.grid.copy()
    for (x, y), index in cells.items():
        grid[y, x] = index
    return text, grid


def _tidied(text: str, *lines: str) -> str:
    made, findings = tidy(Source("", "\n".join([text.rstrip("\n"), *lines, ""])))
    if made is None:
        raise Refused("The chart cannot be read with it.", findings)
    return made
