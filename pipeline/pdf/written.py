"""Words as glyphs of a PDF, shaped by WeasyPrint once however often they stand in a booklet.

The innards of WeasyPrint 70 that its own lines of text are drawn with; nothing else uses them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

from weasyprint.draw.text import draw_emojis, draw_first_line
from weasyprint.matrix import Matrix
from weasyprint.text.line_break import Layout, strut

from .shortkey import Labels


@dataclass
class Pen:
    """Shapes words, and remembers them for as long as a document is drawn."""

    _shaped: dict[tuple[Any, ...], tuple[list[bytes], list[Any]]] = field(default_factory=dict)

    def shape(self, stream: Any, text: str, style: Any) -> tuple[list[bytes], list[Any]]:
        """Return the operators that show a text, and the pictures that stand in it for letters."""
        font = (*style["font_family"], style["font_size"], style["font_weight"], style["lang"])
        if (text, *font) not in self._shaped:
            layout = Layout(style)
            layout.set_text(text)
            apart = stream.clone()
            line = SimpleNamespace(text=text, style=style, pango_layout=layout, baseline=0.0)
            pictures = draw_first_line(apart, line, "clip", "none", Matrix(d=-1))
            shown = [each for each in apart.stream if not each.endswith(b" Tm")]
            self._shaped[text, *font] = shown, pictures
        return self._shaped[text, *font]


@dataclass(frozen=True, eq=False)
class Written:
    """Labels in the place of an image, in the type of the element that shows them."""

    labels: Labels
    pen: Pen

    def get_intrinsic_size(self, resolution: float, font_size: float) -> tuple[float, float, float]:
        """Return width and height in CSS pixels and their ratio, as WeasyPrint asks for them."""
        return self.labels.get_intrinsic_size(resolution, font_size)

    def draw(self, stream: Any, width: float, height: float, style: Any) -> None:
        """Draw into a WeasyPrint stream, `width` by `height` CSS pixels from the origin."""
        across, down = width / self.labels.width, height / self.labels.height
        _, baseline = strut(style)
        pictures = []
        font = b""
        stream.set_color(style["color"])
        stream.begin_text()
        for text, left, top in self.labels.placed:
            x, y = left * across, top * down + baseline
            shown, stand_ins = self.pen.shape(stream, text, style)
            stream.set_text_matrix(1, 0, 0, -1, x, y)
            for operator in shown:
                if operator.endswith(b" Tf"):
                    if operator == font:
                        continue
                    font = operator
                stream.stream.append(operator)
            pictures.append((x, y, stand_ins))
        stream.end_text()
        for x, y, stand_ins in pictures:
            draw_emojis(stream, style, x, y, stand_ins)
