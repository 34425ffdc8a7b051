"""View models of the other colourways: how the piece looks in each, and what to buy for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from ..compose.copies import recolour
from ..compose.worked import WorkedChart
from ..core.ground import MM_PER_INCH
from ..count.count import BeadCount, count
from ..count.thread import ThreadUse, estimate_in
from ..i18n.trade import SKEIN
from .layout import Setting
from .textwidth import MM_PER_POINT

WAY = "way:"
ROOM = 62.0, 96.0  # mm, for each picture
LEAST = 42.0  # mm; height of each picture, if it is not too wide for that
# rem; a row of the table, and what else stands there: title, headings, two lines about the whole
ROW, NARROW_ROW, BEFORE_ROWS = 1.8, 1.25, 5.8
DPI = 180
AROUND = 2  # crosses of bare cloth on each side


@dataclass(frozen=True)
class ColourwayView:
    """One colourway. address: of its picture, width and height of that in mm."""

    title: str
    address: str
    width: float
    height: float
    threads: tuple[ThreadUse, ...]
    beads: tuple[BeadCount, ...]

    @property
    def buy(self) -> int:
        """Whole put-ups of all threads."""
        return sum(each.buy for each in self.threads)

    @property
    def skeins_alone(self) -> bool:
        """Whether all threads are sold in skeins."""
        return all(each.thread.put_up == SKEIN for each in self.threads)


def ways(worked: WorkedChart, form: Setting) -> tuple[ColourwayView, ...]:
    """Return all colourways of a chart; form: how the pages are set that they stand on."""
    width, height = _extent(worked, form)
    views: list[ColourwayView] = []
    for number, colourway in enumerate(worked.design.colourways):
        other = recolour(worked, colourway.name)
        uses = estimate_in(other, worked)
        title, beads = colourway.title or colourway.name, count(other).beads
        views.append(ColourwayView(title, f"{WAY}{number}", width, height, uses, beads))
    return tuple(views)


def way_pictures(worked: WorkedChart, form: Setting) -> dict[str, Callable[[], object]]:
    """Return what paints the pictures of all colourways when they are asked for, by address."""
    pixels = round(_extent(worked, form)[0] / MM_PER_INCH * DPI)
    return {
        f"{WAY}{number}": partial(_painted, recolour(worked, colourway.name), pixels)
        for number, colourway in enumerate(worked.design.colourways)
    }


def _extent(worked: WorkedChart, form: Setting) -> tuple[float, float]:
    """Return width and height of each picture in mm: about as high as the table beside it.

    Colourways of small pieces share a page so.
    """
    threads = {
        each.thread
        for index in worked.used
        for part in worked.entry(index).parts
        for each in part.needle
    }
    row = NARROW_ROW if form.narrow else ROW
    beside = (BEFORE_ROWS + row * len(threads)) * form.points * MM_PER_POINT
    fabric = worked.design.ground.fabric
    across = (worked.width + 2 * AROUND) * fabric.cross_width
    down = (worked.height + 2 * AROUND) * fabric.cross_height
    scale = min(ROOM[0] / across, max(LEAST, min(ROOM[1], beside)) / down)
    return across * scale, down * scale


def _painted(worked: WorkedChart, width: int) -> tuple[bytes, str]:
    from ..cloth.cloth import jpeg, paint  # noqa: PLC0415

    return jpeg(paint(worked, width=width, margin=AROUND)), "image/jpeg"
