"""Pages that are painted once, for a process that writes the same ones again and again.

What a page looks like depends on little that other pages do: on the widths of letters that they
have noted for a font. So a page is painted apart, with fonts of its own, and put into each PDF
as it was; its fonts are added to those of the PDF, and images that may be others each time are
drawn anew in their places. Innards of WeasyPrint 70.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass, field
from typing import Any

import pydyf
from weasyprint.pdf.stream import Stream
from weasyprint.text.ffi import ffi, harfbuzz

_STATE = (
    "_current_color",
    "_current_color_stroke",
    "_current_alpha",
    "_current_alpha_stroke",
    "_current_font",
    "_old_font",
)


class _NotApart(Exception):
    """A page, or a part of one, that cannot do without what the other pages have noted."""


@dataclass(frozen=True, eq=False)
class _Place:
    """Where an image is drawn anew; state, matrices: those of the stream there."""

    image: Shown
    width: float
    height: float
    style: Any
    state: Mapping[str, Any]
    matrices: tuple[Any, ...]


@dataclass(eq=False)
class _Stretch:
    """Operators, and what they need in the PDF: fonts, graphics states and pictures."""

    operators: list[Any]
    fonts: dict[Any, Any] = field(default_factory=dict)
    graphics: Mapping[str, Any] = field(default_factory=dict)
    pictures: list[tuple[Any, ...]] = field(default_factory=list)


class _Apart(Stream):  # type: ignore[misc]
    """A stream that no PDF has, and what is drawn into it, stretch by stretch."""

    parts: list[_Stretch | _Place]
    pictures: list[tuple[Any, ...]]
    _fonts: dict[Any, Any]

    @classmethod
    def beside(cls, stream: Any) -> _Apart:
        """Return an empty one for the page that a stream is for."""
        tags: dict[Any, Any] | None = None if stream._tags is None else {}
        apart: _Apart = stream.clone(fonts={}, resources=_graphics(stream), tags=tags)
        apart.__class__ = cls
        apart._ctm_stack = list(stream._ctm_stack)
        apart.parts = []
        apart.pictures = []
        return apart

    def leave_room(self, image: Shown, width: float, height: float, style: Any) -> None:
        """Let an image be drawn here each time."""
        state = {each: getattr(self, each) for each in _STATE}
        place = _Place(image, width, height, style, state, tuple(self._ctm_stack))
        self.stream.append(place)
        self.cut()
        self.parts.append(place)
        self._fonts = {}
        self._resources = _graphics(self)

    def cut(self) -> None:
        """End a stretch. Its operators are known when all is drawn, for some are taken back."""
        self.parts.append(_Stretch([], self._fonts, self._resources["ExtGState"], self.pictures))
        self.pictures = []

    def drawn(self) -> tuple[_Stretch | _Place, ...]:
        """Return all that was drawn.

        Raises:
            _NotApart: when it has letters that no font has, or pictures for letters.
        """
        self.cut()
        stretches = (each for each in self.parts if isinstance(each, _Stretch))
        stretch = next(stretches)
        for each in self.stream:
            if isinstance(each, _Place):
                stretch = next(stretches)
            else:
                stretch.operators.append(each)
        for part in self.parts:
            for font in part.fonts.values() if isinstance(part, _Stretch) else ():
                if font.missing or font.png or font.svg or font.colr:
                    raise _NotApart
                # Its own hold on the face: the font that it comes from may be let go of.
                font.hb_face = ffi.gc(
                    harfbuzz.hb_face_reference(font.hb_face), harfbuzz.hb_face_destroy
                )
        return tuple(self.parts)

    def add_image(self, image: Any, interpolate: bool, ratio: float) -> Any:
        self.pictures.append((image, interpolate, ratio))
        return super().add_image(image, interpolate, ratio)

    def set_state(self, _state: object) -> None:
        # It would be named after how many there are.
        raise _NotApart

    def add_group(self, *_where: object) -> None:
        raise _NotApart

    def add_pattern(self, *_where: object) -> None:
        raise _NotApart

    def add_shading(self, *_what: object, **_more: object) -> None:
        raise _NotApart


def _graphics(stream: Any) -> pydyf.Dictionary:
    """Return resources with no graphics states and images as yet."""
    none = {"ExtGState": pydyf.Dictionary(), "XObject": pydyf.Dictionary()}
    return pydyf.Dictionary({**stream._resources, **none})


class Shown:
    """Stands on a page for an image that may be another one each time it is painted."""

    image: Any

    def get_intrinsic_size(self, resolution: float, font_size: float) -> tuple[float, float, float]:
        """Return width and height in CSS pixels and their ratio, as WeasyPrint asks for them."""
        size: tuple[float, float, float] = self.image.get_intrinsic_size(resolution, font_size)
        return size

    def draw(self, stream: Any, width: float, height: float, style: Any) -> None:
        """Draw into a WeasyPrint stream, `width` by `height` CSS pixels from the origin."""
        if isinstance(stream, _Apart):
            stream.leave_room(self, width, height, style)
        else:
            self.image.draw(stream, width, height, style)


class Painted:
    """Paints a page, in the place of its own `paint`; what is `Shown` there is drawn each time."""

    def __init__(self, page: Any) -> None:
        self._paint = page.paint
        self._scale = 0.0
        self._parts: tuple[_Stretch | _Place, ...] | None = None
        self._tags: list[tuple[Any, dict[str, Any]]] = []

    def __call__(self, stream: Any, scale: float = 1) -> None:
        """Paint the page into a WeasyPrint stream."""
        begun = len(stream.stream)
        try:
            if scale != self._scale:
                self._paint_apart(stream, scale)
            if self._parts is None:
                raise _NotApart
            for part in self._parts:
                if isinstance(part, _Place):
                    _draw(part, stream)
                else:
                    _put(part, stream)
        except _NotApart:
            # What has been noted so far is what will be noted again.
            del stream.stream[begun:]
            self._paint(stream, scale)
        else:
            if stream._tags is not None:
                stream._tags.update((box, dict(tag)) for box, tag in self._tags)

    def _paint_apart(self, stream: Any, scale: float) -> None:
        self._scale, self._parts = scale, None
        apart = _Apart.beside(stream)
        self._paint(apart, scale)
        self._parts = apart.drawn()
        self._tags = list((apart._tags or {}).items())


def _draw(place: _Place, stream: Any) -> None:
    for name, value in place.state.items():
        setattr(stream, name, value)
    stream._ctm_stack = list(place.matrices)
    place.image.draw(stream, place.width, place.height, place.style)


def _put(stretch: _Stretch, stream: Any) -> None:
    """Add operators to a stream, and what they need to what its PDF has.

    Raises:
        _NotApart: when letters have other widths in the PDF, by which they are moved.
    """
    fonts = stream._fonts
    for key, font in stretch.fonts.items():
        widths = fonts[key].widths if key in fonts else {}
        if any(widths.get(glyph, width) != width for glyph, width in font.widths.items()):
            raise _NotApart
    for key, font in stretch.fonts.items():
        if key not in fonts:
            fonts[key] = copy(font)
            fonts[key].widths, fonts[key].to_unicode, fonts[key].missing = {}, {}, {}
            fonts[key].variations = dict(font.variations)
        for glyph, text in font.to_unicode.items():
            fonts[key].to_unicode.setdefault(glyph, text)
        for glyph, width in font.widths.items():
            fonts[key].widths.setdefault(glyph, width)
    for key, value in stretch.graphics.items():
        stream._resources["ExtGState"].setdefault(key, value)
    for picture in stretch.pictures:
        stream.add_image(*picture)
    stream.stream.extend(stretch.operators)
