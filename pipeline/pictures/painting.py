"""SVG of ours as pixels, by CairoSVG: the only module that knows it."""

from __future__ import annotations

from ..core.system import PIXELS, MissingLibrary


def svg_to_png(svg: str, width: int | None = None, height: int | None = None) -> bytes:
    """Return a drawing as PNG, in its own size or in so many pixels.

    Raises:
        MissingLibrary: when cairo is not installed on this computer.
    """
    try:
        import cairosvg  # noqa: PLC0415 - pictures that stay drawings do without
    except OSError as reason:  # cairo could not be loaded
        raise MissingLibrary(
            "The library that paints drawings is not installed on this system; "
            "a picture that ends in .svg can do without it.",
            PIXELS,
        ) from reason
    return bytes(
        cairosvg.svg2png(bytestring=svg.encode(), output_width=width, output_height=height)
    )
