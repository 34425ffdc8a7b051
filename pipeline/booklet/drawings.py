"""Everything in a booklet that is drawn, under the addresses by which the templates name it.

What draws is loaded, and draws, when the pages are on their way; what has to be known before is
how large each drawing will be.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, partial
from typing import TYPE_CHECKING, Protocol

from linenleaf.templates.environment import number

from ..chart.options import Ink
from ..chart.plotted import EmbeddedFont, Plot
from ..compose.worked import WorkedChart
from ..pdf.document import Later
from .howto import HowTo
from .keylist import address
from .layout import Layout, Setting
from .leaves import Leaf, LeafSet
from .maps import PageMap
from .places import Place, Places, Shot, numbered
from .shortkey import sample_size

if TYPE_CHECKING:
    from .studio import Studio

FIGURES, SMALL_FIGURES = 2.6, 2.05  # mm; numbers in drawings of stitches, and of counted ones
_VIEW = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')


@dataclass(frozen=True)
class ToDraw:
    """What the pages show that has to be drawn."""

    leaves: tuple[Leaf, ...]
    layout: Layout
    setting: Setting
    places: tuple[Places, ...]
    map: PageMap
    how: HowTo
    sets: tuple[LeafSet, ...]


class FillTemplate(Protocol):
    """Fills in a template by its name."""

    def __call__(self, name: str, /, **values: object) -> str:
        """Return the filled template."""


@dataclass(frozen=True)
class Drawings:
    """What is drawn later: for the pages that the renderer sets, by address, and the chart pages.

    finished: draws the chart pages; gives them, and what else stands on them, by address, and the
    font of all drawings.
    """

    later: Mapping[str, Later]
    finished: Callable[[], tuple[Mapping[str, Plot], EmbeddedFont]]


def drawings(
    worked: WorkedChart,
    ink: Ink,
    fill: FillTemplate,
    drawn: ToDraw,
    progress: Callable[[int, int], None],
) -> Drawings:
    """Return all drawings of a booklet.

    progress: called with how many chart pages are drawn, and how many there are.
    """
    scale = drawn.layout.scale

    @cache
    def studio() -> Studio:
        # A tenth of a second to load and set up, for which the layout of the pages need not wait.
        from .studio import Studio  # noqa: PLC0415

        return Studio(worked, ink, numbered(drawn.places), drawn.setting)

    later: dict[str, Later] = {}
    for index in drawn.layout.keys.labels.words:
        size = sample_size(worked.entry(index))
        later[address(index)] = _sized(partial(_sample, studio, index), size, scale)
    for group in drawn.places:
        for place in group.places:
            for shot in place.shots:
                # As the template writes them.
                size = float(number(shot.width)), float(number(shot.height))
                later[shot.address] = _sized(partial(_excerpt, studio, place, shot), size, scale)
    borders = partial(fill, "pagemap.svg.j2", map=drawn.map)
    later[drawn.map.address] = Later(lambda: studio().plot(borders()))
    fabric, large = drawn.how.fabric, drawn.setting.drawn(FIGURES)
    larger = drawn.setting.drawn(SMALL_FIGURES)
    for diagram in drawn.how.diagrams:
        for figure in diagram.figures:
            svg = fill("stitches/counted.svg.j2", figure=figure)
            later[f"stitch:{figure.name}"] = _sized(
                partial(_plot, studio, svg, larger), _view(svg), larger
            )
        for name in diagram.drawings:
            svg = fill(
                f"stitches/{name}.svg.j2",
                over=fabric.over,
                block=fabric.block,
                small=drawn.how.piece_over,
            )
            later[f"stitch:{name}"] = _sized(partial(_plot, studio, svg, large), _view(svg), large)

    def finished() -> tuple[Mapping[str, Plot], EmbeddedFont]:
        shown: dict[str, Plot] = {}
        count, done = len(drawn.sets) * len(drawn.leaves), 0
        for each in drawn.sets:
            drawing = studio().inked(each.ink or ink)
            for index in drawn.layout.keys.labels.words:
                shown[each.mark + address(index)] = drawing.sample(index)
            for leaf in drawn.leaves:
                progress(done, count)
                page = drawing.page(leaf.page, drawn.layout.pagination)
                shown[each.mark + leaf.address] = page
                done += 1
        progress(count, count)
        return shown, studio().font

    return Drawings(later, finished)


_Open = Callable[[], "Studio"]


def _sized(make: Callable[[], object], size: tuple[float, float], scale: float) -> Later:
    return Later(make, size[0] * scale, size[1] * scale)


def _sample(studio: _Open, index: int) -> Plot:
    return studio().sample(index)


def _plot(studio: _Open, svg: str, scale: float) -> Plot:
    return studio().plot(svg, scale)


def _view(svg: str) -> tuple[float, float]:
    """Return the size of a drawing in mm."""
    box = _VIEW.search(svg)
    assert box is not None
    return float(box[1]), float(box[2])


def _excerpt(studio: _Open, place: Place, shot: Shot) -> Plot:
    """Return a picture of a place, with no other number on it than its own."""
    return studio().excerpt((place.number, place.note), shot)
