"""Everything in a booklet that is drawn, under the addresses by which the templates name it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import Protocol

from .draw import Drawing, draw_excerpt, draw_page
from .edges import margins
from .howto import HowTo
from .keylist import address
from .leaves import Layout, Leaf
from .maps import PageMap
from .places import Place, Places
from .plot import Plotter
from .plotted import Plot
from .samples import draw_sample, short_key_labels, short_key_symbols

# mm; width of the cells in the small picture of a place, and its largest cell.
EXCERPT_WIDTH, EXCERPT_CELL = 48.0, 2.6
# mm; height of an enlarged detail, and its largest cell: small crosses are then half as large.
DETAIL_HEIGHT, DETAIL_CELL = 105.0, 6.5


@dataclass(frozen=True)
class Drawn:
    """What the pages show that has to be drawn. width: mm across that a detail may take."""

    leaves: tuple[Leaf, ...]
    layout: Layout
    places: tuple[Places, ...]
    map: PageMap
    how: HowTo
    width: float


class Fill(Protocol):
    """Fills in a template by its name."""

    def __call__(self, name: str, /, **values: object) -> str:
        """Return the filled template."""


def drawings(
    drawing: Drawing,
    plotter: Plotter,
    fill: Fill,
    drawn: Drawn,
    progress: Callable[[int, int], None],
) -> tuple[dict[str, object], dict[str, Callable[[], object]]]:
    """Return all drawings by address, and what draws the chart pages when they are asked for.

    progress: called with how many chart pages are drawn, and how many there are.
    """
    found: dict[str, object] = {}
    later: dict[str, Callable[[], object]] = {}
    drawn_before = 0
    scale = drawn.layout.scale

    def plot(svg: str) -> Plot:
        return replace(plotter.plot(svg), scale=scale)

    def page(leaf: Leaf) -> Plot:
        nonlocal drawn_before
        progress(drawn_before, len(drawn.leaves))
        made = plotter.plot(draw_page(drawing, leaf.page, drawn.layout.pagination))
        drawn_before += 1
        progress(drawn_before, len(drawn.leaves))
        return made

    later.update((leaf.address, partial(page, leaf)) for leaf in drawn.leaves)
    samples = {index: plot(draw_sample(drawing, index)) for index in drawn.layout.codes}
    found.update((address(index), each) for index, each in samples.items())
    for leaf in drawn.leaves:
        found[leaf.symbols] = short_key_symbols(leaf.columns, leaf.short, samples, scale)
        found[leaf.labels] = short_key_labels(leaf.columns, leaf.short, leaf.short.labels, scale)
    for group in drawn.places:
        for place in group.places:
            found[place.address] = plot(_excerpt(drawing, place, drawn.width / scale))
    found[drawn.map.address] = plotter.plot(fill("pagemap.svg.j2", map=drawn.map))
    fabric = drawn.how.fabric
    for diagram in drawn.how.diagrams:
        for name in diagram.drawings:
            svg = fill(f"stitches/{name}.svg.j2", over=fabric.over, block=fabric.block)
            found[f"stitch:{name}"] = plot(svg)
    return found, later


def _excerpt(drawing: Drawing, place: Place, width: float) -> str:
    """Return the picture of a place: small beside its words, or large where crosses are small."""
    columns, rows = place.x1 - place.x0, place.y1 - place.y0
    if place.fine:
        around = margins(drawing.worked.height)
        wide, high = width - 2 * around.side, DETAIL_HEIGHT - 2 * around.end
        cell = min(wide / columns, high / rows, DETAIL_CELL)
    else:
        cell = min(EXCERPT_WIDTH / columns, EXCERPT_CELL)
    return draw_excerpt(drawing, (place.x0, place.y0, place.x1, place.y1), cell)
