"""Pictures of one pixel a cross: PNG only, of bounded size, nothing in it followed.

The pixels are taken for sRGB, whatever profile stands in the file. A pixel that is transparent,
or more transparent than not, is bare fabric.
"""

from __future__ import annotations

import io
import warnings

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ..core.diagnostics import Diagnostic, Diagnostics, finding
from ..core.raster import picture_size, whole_pictures
from ..core.source import Source
from .cells import LARGEST, Cells, IndexCells, Wanted, too_large

PNG = b"\x89PNG\r\n\x1a\n"
OPAQUE = 128  # of 255; what is less opaque is bare
MOST_SHADES = 256  # colours to which a picture of many is brought before threads are chosen

PixelArray = NDArray[np.uint8]  # (height, width, 4): red, green, blue, and how opaque


def read_pixels(data: bytes, shown: str) -> tuple[PixelArray | None, Diagnostics]:
    """Return the pixels of a PNG, or why it cannot be brought in.

    shown: the file as the user would type it.
    """
    size = picture_size(data) if data.startswith(PNG) else None
    if size is None:
        return None, (_damaged(shown),)
    # Told from the header, before anything is unpacked.
    if too_large(*size):
        return None, (_too_large(size, shown),)
    try:
        with warnings.catch_warnings(), whole_pictures():
            warnings.simplefilter("error")
            with Image.open(io.BytesIO(data), formats=("PNG",)) as picture:
                if picture.size != size:
                    return None, (_damaged(shown),)
                picture.load()
                return _pixels(picture), ()
    except (OSError, ValueError, SyntaxError, EOFError, Warning, Image.DecompressionBombError):
        return None, (_damaged(shown),)


def _pixels(picture: Image.Image) -> PixelArray:
    if not picture.mode.startswith("I"):
        return np.asarray(picture.convert("RGBA"))
    # Grey of 16 bits: the upper eight are what a screen shows.
    levels = np.asarray(picture).astype(np.uint32)
    grey = np.minimum(levels >> 8, 255).astype(np.uint8)
    clear = picture.info.get("transparency")
    opaque = (
        np.where(levels == clear, 0, 255) if isinstance(clear, int) else np.full_like(grey, 255)
    )
    return np.stack([grey, grey, grey, opaque.astype(np.uint8)], axis=-1)


def cells_of(pixels: PixelArray, bare: str | None, most: int) -> tuple[Cells | None, int]:
    """Return the cells of a picture, and how many colours it has.

    bare: a colour `#rrggbb` that is bare fabric. most: colours; a picture of more has no cells.
    """
    packed = _packed(pixels, bare)
    colours, index = np.unique(packed, return_inverse=True)
    has_bare = bool(colours[0] < 0)
    count = len(colours) - has_bare
    if count > most:
        return None, count
    grid = (index.reshape(packed.shape) + (not has_bare)).astype(np.int32)
    return Cells(grid, tuple(Wanted(f"#{each:06x}") for each in colours[has_bare:].tolist())), count


def shades_of(pixels: PixelArray, bare: str | None) -> Cells:
    """Return the cells of a picture of many colours, brought to at most MOST_SHADES."""
    packed = _packed(pixels, bare)
    stitched = packed >= 0
    strip = np.ascontiguousarray(pixels[..., :3][stitched])
    shades = Image.frombytes("RGB", (len(strip), 1), strip.tobytes()).quantize(
        MOST_SHADES, Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE
    )
    palette = np.array(shades.getpalette("RGB"), dtype=np.uint8).reshape(-1, 3)
    taken = palette[np.asarray(shades)[0]]
    lean = np.zeros_like(pixels)
    lean[stitched, :3] = taken
    lean[stitched, 3] = 255
    cells, _ = cells_of(lean, None, MOST_SHADES)
    assert cells is not None
    return cells


def corner_colour(pixels: PixelArray) -> str | None:
    """Return the colour of all four corners of a picture without bare fabric, if they share one."""
    packed = _packed(pixels, None)
    corners = {int(packed[y, x]) for y in (0, -1) for x in (0, -1)}
    if len(corners) > 1 or bool((packed < 0).any()):
        return None
    return f"#{corners.pop():06x}"


def _packed(pixels: PixelArray, bare: str | None) -> IndexCells:
    """Return the colours as numbers, -1 where bare."""
    wide = pixels.astype(np.int32)
    packed = wide[..., 0] << 16 | wide[..., 1] << 8 | wide[..., 2]
    is_bare = pixels[..., 3] < OPAQUE
    if bare is not None:
        is_bare |= packed == int(bare[1:], 16)
    packed[is_bare] = -1
    return packed


def _too_large(size: tuple[int, int], shown: str) -> Diagnostic:
    return finding(
        "chart-too-large",
        f"`{shown}` is {size[0]:,} x {size[1]:,} pixels.",
        Source(shown, "").span(0, 0),
        f"one pixel becomes one cross, and {LARGEST}",
        "a picture with several pixels to the cross is first made smaller, without smoothing",
    )


def _damaged(shown: str) -> Diagnostic:
    return finding(
        "damaged-picture",
        f"`{shown}` is cut off or damaged.",
        Source(shown, "").span(0, 0),
        "save the picture again as PNG",
    )
