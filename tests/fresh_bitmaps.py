"""Twice thirty more designs of fonts and icons that stand on this machine, to hold the rules to.

    fonts-dejavu-core, fonts-dejavu-extra   the first ten fonts by name, 15 pixels high; signs of
                                            DejaVuSans.ttf from U+2600 on, 36 pixels high
    fonts-liberation                        the first ten by name, 13 pixels high; signs of
                                            DejaVuSans.ttf from U+2700 on, 28 pixels high
    adwaita-icon-theme                      pictures of 24 x 24 pixels in `legacy`, the first
                                            thirty by name for the one, the next for the other

All are drawn without smoothing. They were named before they were looked at. The rules were mended
by what the first thirty showed, and held to the second.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from .public_bitmaps import Cells, Font, PublicDesign, designs_of, icons_of, no_texture, trimmed

TRUETYPE = Path("/usr/share/fonts/truetype")
ICONS = Path("/usr/share/icons/Adwaita/24x24")
SIGNS = TRUETYPE / "dejavu" / "DejaVuSans.ttf"
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 "
EACH = 10


@dataclass(frozen=True)
class _Thirty:
    """Where thirty designs come from. heights in pixels; first: code point of the first sign."""

    fonts: str
    letter_height: int
    first: int
    sign_height: int
    icons_from: int


FRESH = (
    _Thirty("dejavu", 15, 0x2600, 36, 0),
    _Thirty("liberation", 13, 0x2700, 28, 3 * EACH),
)


def fresh_designs(which: int) -> list[PublicDesign]:
    """The first or second thirty. Raises FileNotFoundError without the packages."""
    origin = FRESH[which]
    fonts = [
        (path.stem, _lettering(path, origin.letter_height))
        for path in sorted((TRUETYPE / origin.fonts).glob("*.ttf"))[:EACH]
    ]
    figures = list(islice(_signs(origin.first, origin.sign_height), EACH + 2))
    last = origin.icons_from + 3 * EACH
    icons = list(islice(icons_of(ICONS, "legacy/*.png"), origin.icons_from, last))
    if len(fonts) < EACH or len(icons) < 3 * EACH:
        raise FileNotFoundError(TRUETYPE, ICONS)
    return designs_of(fonts, figures, icons)


def _lettering(path: Path, height: int) -> Font:
    face = ImageFont.truetype(path, height)
    wide = max(face.getbbox(each)[2] for each in LETTERS) + 2
    tall = sum(face.getmetrics())
    return {each: _drawn(face, each, (wide, tall)) for each in LETTERS}


def _drawn(face: ImageFont.FreeTypeFont, letter: str, size: tuple[int, int]) -> Cells:
    picture = Image.new("1", size)
    draw = ImageDraw.Draw(picture)
    draw.fontmode = "1"
    draw.text((1, 0), letter, fill=1, font=face)
    return np.asarray(picture).astype(np.uint8)


def _signs(first: int, height: int) -> Iterator[tuple[str, Cells]]:
    face = ImageFont.truetype(SIGNS, height)
    missing = _drawn(face, "\U0010fffe", (2 * height, 2 * height))
    for code in range(first, first + 0x100):
        cells = _drawn(face, chr(code), (2 * height, 2 * height))
        if not np.array_equal(cells, missing):
            yield from no_texture(f"U+{code:04X}", trimmed(cells))
