"""A drawing as PDF operators, in the place of an image.

Apart from `plot`, which makes it, so that the process that sets the pages need not load all that
drawing needs.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass, field
from hashlib import md5
from typing import Any

import pydyf

PX_PER_MM = 96 / 25.4


@dataclass(frozen=True, eq=False)
class Plot:
    """A drawing as PDF operators, in the place of an image.

    width, height: in the drawing's own units, which are mm. data: the operators, compressed.
    scale: how much larger it is shown where nothing else is asked for.
    """

    width: float
    height: float
    data: bytes = field(repr=False)
    scale: float = 1.0

    @property
    def id(self) -> str:
        """A name for this drawing, the same for the same content."""
        return md5(self.data, usedforsecurity=False).hexdigest()

    @property
    def operators(self) -> bytes:
        """The operators as they are before compression."""
        return zlib.decompress(self.data)

    def get_intrinsic_size(
        self, _resolution: float, _font_size: float
    ) -> tuple[float, float, float]:
        """Return width and height in CSS pixels and their ratio, as WeasyPrint asks for them."""
        px = self.scale * PX_PER_MM
        return self.width * px, self.height * px, self.width / self.height

    def draw(self, stream: Any, width: float, height: float, _style: object) -> None:
        """Draw into a WeasyPrint stream, `width` by `height` CSS pixels from the origin."""
        name = stream.add_image(self, False, 1)
        with stream.stacked():
            stream.transform(a=width / self.width, d=height / self.height)
            stream.draw_x_object(name)

    def get_x_object(self, _interpolate: bool, _ratio: float) -> pydyf.Stream:
        """Return the drawing as a form, as WeasyPrint asks for it when it writes the images.

        Compressed here, once and at zlib's usual level: pydyf would do it at the highest, which
        takes four times as long to save two bytes in a hundred.
        """
        # None is replaced by the fonts that all pages share (see Plotter.finish).
        fonts = pydyf.Dictionary({"Font": None})
        return pydyf.Stream(
            [self.data],
            {
                "Type": "/XObject",
                "Subtype": "/Form",
                "BBox": pydyf.Array([0, 0, self.width, self.height]),
                "Resources": fonts,
                "Filter": "/FlateDecode",
            },
        )
