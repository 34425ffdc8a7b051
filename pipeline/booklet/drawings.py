"""Everything in a booklet that is drawn, under the addresses by which the templates name it.

What draws is loaded, and draws, when the pages are on their way; what has to be known before is
how large each drawing will be.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from typing import TYPE_CHECKING, Protocol

from linenleaf.templates import number

from ..chart.options import Ink
from ..chart.plotted import Plot
from ..compose.worked import WorkedChart
from ..pdf.document import Finisher, Later
from ..pdf.shortkey import SMALL, Labels, Rows
from .howto import HowTo
from .keylist import address
from .layout import Layout
from .leaves import Leaf
from .maps import PageMap
from .places import Place, Places, Shot, numbered
from .samplesize import sample_size
from .shortkeys import LINE, ShortKey

if TYPE_CHECKING:
    from .studio import Studio

_VIEW = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')


@dataclass(frozen=True)
class Drawn:
    """What the pages show that has to be drawn."""

    leaves: tuple[Leaf, ...]
    layout: Layout
    places: tuple[Places, ...]
    map: PageMap
    how: HowTo


class Fill(Protocol):
    """Fills in a template by its name."""

    def __call__(self, name: str, /, **values: object) -> str:
        """Return the filled template."""


@dataclass(frozen=True)
class Drawings:
    """All drawings by address: words that are at hand, and what is drawn later.

    finisher: gives what puts the font of all drawings into the PDF (see `sheet.Press`).
    """

    words: Mapping[str, Labels]
    later: Mapping[str, Later]
    finisher: Callable[[], Finisher]


def drawings(
    worked: WorkedChart, ink: Ink, fill: Fill, drawn: Drawn, progress: Callable[[int, int], None]
) -> Drawings:
    """Return all drawings of a booklet.

    progress: called with how many chart pages are drawn, and how many there are.
    """
    scale = drawn.layout.scale

    @cache
    def studio() -> Studio:
        # A tenth of a second to load and set up, for which the layout of the pages need not wait.
        from .studio import Studio  # noqa: PLC0415

        return Studio(worked, ink, numbered(drawn.places), scale)

    words = {
        each.labels: short_key_labels(each.columns, each.short, scale) for each in drawn.leaves
    }
    later: dict[str, Later] = {}
    for index in drawn.layout.codes:
        size = sample_size(worked.entry(index))
        later[address(index)] = _sized(partial(_sample, studio, index), size, scale)
    for leaf in drawn.leaves:
        size = words[leaf.labels].width, words[leaf.labels].height
        later[leaf.symbols] = _sized(partial(_symbols, studio, leaf, scale), size, scale)
    for group in drawn.places:
        for place in group.places:
            for shot in place.shots:
                # As the template writes them.
                size = float(number(shot.width)), float(number(shot.height))
                later[shot.address] = _sized(partial(_excerpt, studio, place, shot), size, scale)
    borders = partial(fill, "pagemap.svg.j2", map=drawn.map)
    later[drawn.map.address] = Later(lambda: studio().plot(borders()))
    fabric = drawn.how.fabric
    for diagram in drawn.how.diagrams:
        for name in diagram.drawings:
            svg = fill(f"stitches/{name}.svg.j2", over=fabric.over, block=fabric.block)
            later[f"stitch:{name}"] = _sized(partial(_plot, studio, svg), _view(svg), scale)
    pages = _Pages(studio, drawn, progress)
    later.update((leaf.address, Later(partial(pages.draw, leaf))) for leaf in drawn.leaves)
    return Drawings(words, later, lambda: studio().font.finish)


_Open = Callable[[], "Studio"]


class _Pages:
    """Draws the chart pages and tells how many are done."""

    def __init__(self, studio: _Open, drawn: Drawn, progress: Callable[[int, int], None]) -> None:
        self._studio = studio
        self._drawn = drawn
        self._progress = progress
        self._done = 0

    def draw(self, leaf: Leaf) -> Plot:
        count = len(self._drawn.leaves)
        self._progress(self._done, count)
        made = self._studio().page(leaf.page, self._drawn.layout.pagination)
        self._done += 1
        self._progress(self._done, count)
        return made


def _sized(make: Callable[[], object], size: tuple[float, float], scale: float) -> Later:
    return Later(make, size[0] * scale, size[1] * scale)


def _sample(studio: _Open, index: int) -> Plot:
    return studio().sample(index)


def _plot(studio: _Open, svg: str) -> Plot:
    return studio().plot(svg)


def _view(svg: str) -> tuple[float, float]:
    """Return the size of a drawing in mm."""
    found = _VIEW.search(svg)
    assert found is not None
    return float(found[1]), float(found[2])


def _symbols(studio: _Open, leaf: Leaf, scale: float) -> Rows:
    """Return the symbols of a short key, each at the beginning of its entry."""
    placed = tuple(
        (studio().sample(index), across * leaf.short.item, down * LINE + (LINE - SMALL) / 2)
        for across, column in enumerate(leaf.columns)
        for down, index in enumerate(column)
    )
    return Rows(*_extent(leaf.columns, leaf.short), scale, placed)


def short_key_labels(columns: Sequence[Sequence[int]], short: ShortKey, scale: float) -> Labels:
    """Return the words of a short key, column by column, each beside its symbol."""
    placed = tuple(
        (
            short.labels[index],
            round((across * short.item + short.symbol) * scale, 3) / scale,
            down * LINE,
        )
        for across, column in enumerate(columns)
        for down, index in enumerate(column)
    )
    return Labels(*_extent(columns, short), scale, placed)


def _extent(columns: Sequence[Sequence[int]], short: ShortKey) -> tuple[float, float]:
    """Return width and height of a short key."""
    longest = max((len(column) for column in columns), default=1)
    return max(1, len(columns)) * short.item, longest * LINE


def _excerpt(studio: _Open, place: Place, shot: Shot) -> Plot:
    """Return a picture of a place, with no other number on it than its own."""
    return studio().excerpt((place.number, place.note), shot)
