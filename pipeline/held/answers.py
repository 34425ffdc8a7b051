"""Every photograph of a chart read, and the chart held against it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from ..compose.worked import WorkedChart
from ..core.files import LARGEST_PICTURE, beside, read_bytes
from ..core.matter import Showing
from ..core.raster import Damaged
from ..photograph.differences import Held
from ..photograph.holding import hold
from ..photograph.picture import Photograph, open_photograph
from ..photograph.placing import Landmark, Placing
from ..photograph.reading import Reading, read
from ..photograph.told import Told
from .expected import Part, box_of, part_of

Report = Callable[[str, int, int], None]


@dataclass(frozen=True, eq=False)
class Answer:
    """What became of one photograph.

    photograph: None where it cannot be opened any more. reading, held: None where the crosses could
    not be read, or the chart not be held against them; `told` then says why.
    """

    showing: Showing
    part: Part
    photograph: Photograph | None
    reading: Reading | None
    held: Held | None
    told: tuple[Told, ...]


def placing_of(showing: Showing) -> Placing:
    """Return where a part lies in its photograph."""
    x0, y0, x1, y1 = box_of(showing)
    marks = tuple(Landmark(*place, *pixel) for place, pixel in showing.landmarks)
    return Placing(round(x1 - x0), round(y1 - y0), showing.corners, marks)


def answers(worked: WorkedChart, report: Report | None = None) -> Iterator[Answer]:
    """Hold a chart without errors against each of its photographs, in their order."""
    showings = worked.design.showings
    for number, showing in enumerate(showings):
        if report is not None:
            report("photographs", number, len(showings))
        yield answered(worked, showing)


def answered(worked: WorkedChart, showing: Showing, before: Answer | None = None) -> Answer:
    """Hold a chart without errors against one of its photographs.

    before: an answer of the same photograph, whose crosses are not followed once more if it lies as
    it did.
    """
    part = part_of(worked, showing)
    placing = placing_of(showing)
    photograph, reading, told = _read_before(before, showing.path, placing)
    if photograph is None:
        photograph = _opened(worked, showing)
        if photograph is None:
            return Answer(showing, part, None, None, None, ())
        reading, told = read(photograph, placing)
    if reading is None:
        return Answer(showing, part, photograph, None, None, told)
    held, told = hold(reading, part.expected)
    return Answer(showing, part, photograph, reading, held, told)


def _read_before(
    before: Answer | None, path: str, placing: Placing
) -> tuple[Photograph | None, Reading | None, tuple[Told, ...]]:
    """Return what was read already of the same part of the same photograph."""
    if before is None or before.reading is None or before.showing.path != path:
        return None, None, ()
    same = before.reading.view.placing == placing
    return (before.photograph, before.reading, before.reading.told) if same else (None, None, ())


def _opened(worked: WorkedChart, showing: Showing) -> Photograph | None:
    blame = showing.span or worked.design.source.span(0, 0)
    path, _ = beside(worked.design.folder, worked.design.folder, showing.path, blame)
    if path is None:
        return None
    data, _ = read_bytes(path, showing.path, LARGEST_PICTURE, blame)
    try:
        return None if data is None else open_photograph(data)
    except Damaged:
        return None
