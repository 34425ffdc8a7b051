"""Words at their places on a page, set as one drawing instead of one line box each.

A short key stands on every chart page and says much the same on each; as lines of text of their
own its words take a third of the time in which the pages are laid out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from .leaves import LINE, ShortKey

_PX_PER_MM = 96 / 25.4


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
        px = self.scale * _PX_PER_MM
        return self.width * px, self.height * px, self.width / self.height


def short_key_labels(
    columns: Sequence[Sequence[int]], short: ShortKey, labels: Mapping[int, str], scale: float
) -> Labels:
    """Return the words of a short key, column by column, each beside its symbol."""
    placed = tuple(
        (labels[index], round((across * short.item + short.symbol) * scale, 3) / scale, down * LINE)
        for across, column in enumerate(columns)
        for down, index in enumerate(column)
    )
    longest = max((len(column) for column in columns), default=1)
    return Labels(max(1, len(columns)) * short.item, longest * LINE, scale, placed)
