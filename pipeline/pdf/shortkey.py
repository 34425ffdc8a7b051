"""The short key of a chart page: its symbols and its words, each as one drawing.

A short key stands on every chart page and says much the same on each. As lines of text of their
own its words would take a third of the time in which the pages are laid out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ..chart.plotted import PX_PER_MM, Plot

SMALL, WIDEST = 3.7, 6.4  # mm; height and most width of a drawing in a chart page's short key


@dataclass(frozen=True, eq=False)
class Rows:
    """The symbols of a short key as one picture; each is drawn from its one form in the PDF.

    width, height: in the unit of the chart pages, of so many mm (scale). placed: each plot and
    where its top left corner stands.
    """

    width: float
    height: float
    scale: float
    placed: tuple[tuple[Plot, float, float], ...]

    def get_intrinsic_size(
        self, _resolution: float, _font_size: float
    ) -> tuple[float, float, float]:
        """Return width and height in CSS pixels and their ratio, as WeasyPrint asks for them."""
        px = self.scale * PX_PER_MM
        return self.width * px, self.height * px, self.width / self.height

    def draw(self, stream: Any, width: float, height: float, style: object) -> None:
        """Draw into a WeasyPrint stream, `width` by `height` CSS pixels from the origin."""
        across, down = width / self.width, height / self.height
        for plot, x, y in self.placed:
            scale = min(SMALL / plot.height, WIDEST / plot.width)
            high = plot.height * scale
            with stream.stacked():
                stream.transform(e=x * across, f=(y + (SMALL - high) / 2) * down)
                plot.draw(stream, plot.width * scale * across, high * down, style)


@dataclass(frozen=True)
class Labels:
    """Words, and the left end and the top of the line of each.

    width, height: of the whole, in the unit of the chart pages, of so many mm (scale).
    """

    width: float
    height: float
    scale: float
    placed: tuple[tuple[str, float, float], ...]

    def get_intrinsic_size(
        self, _resolution: float, _font_size: float
    ) -> tuple[float, float, float]:
        """Return width and height in CSS pixels and their ratio, as WeasyPrint asks for them."""
        px = self.scale * PX_PER_MM
        return self.width * px, self.height * px, self.width / self.height
