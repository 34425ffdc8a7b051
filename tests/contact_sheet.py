"""A sheet of all printed symbols at print size, to be looked at.

python -m tests.contact_sheet OUT.png      or OUT.pdf; 300 dots per inch
python -m tests.contact_sheet OUT.png 4    the same, four times as large, for a screen
"""

import sys
from importlib.resources import files
from pathlib import Path

import numpy as np
from linenleaf.chart.likeness import render
from linenleaf.chart.shapes import all_names, coverage, drawn_names, outline
from linenleaf.colour.colour import channels, ink_for
from PIL import Image, ImageDraw, ImageFont

DOTS = 300 / 25.4  # in a millimetre
SIZES = (2.5, 3.0, 5.0)  # mm
GROUNDS = ("#ffffff", "#f2e6c9", "#bcd3cf", "#8a8f9a", "#1f2a3a")
ACROSS = 6
FACE = files("font_source_sans_pro") / "files" / "SourceSansPro-Regular.ttf"


def stamp(sheet: Image.Image, name: str, size: float, ground: str, x: int, y: int) -> int:
    """Draw one symbol in its cell, return the side of the cell in pixels."""
    pixels = round(size * DOTS)
    ink = render(outline(name), pixels)[:, :, None]
    back, front = np.array(channels(ground)), np.array(channels(ink_for(ground)))
    cell = (back * (1 - ink) + front * ink).round().astype(np.uint8)
    sheet.paste(Image.fromarray(cell), (x, y))
    return pixels


def draw(names: tuple[str, ...], enlarge: int = 1) -> Image.Image:
    """Return the sheet: each symbol at 2.5 mm on every ground, then at 3 and 5 mm."""
    tiny, tall = round(SIZES[0] * DOTS), round(SIZES[2] * DOTS)
    width, height = 5 * tiny + 16 + tall + 40, 2 * tiny + 62
    down = -(-len(names) // ACROSS)
    sheet = Image.new("RGB", (ACROSS * width + 24, down * height + 24), "white")
    pen = ImageDraw.Draw(sheet)
    face = ImageFont.truetype(str(FACE), 22)
    for number, name in enumerate(names):
        x, y = 24 + number % ACROSS * width, 24 + number // ACROSS * height
        pen.text((x, y - 4), f"{name} {coverage(name):.2f}", "#555555", face)
        for place, ground in enumerate(GROUNDS):
            stamp(sheet, name, SIZES[0], ground, x + place * tiny, y + 26)
        stamp(sheet, name, SIZES[1], GROUNDS[0], x, y + 26 + tiny)
        stamp(sheet, name, SIZES[1], GROUNDS[2], x + 40, y + 26 + tiny)
        stamp(sheet, name, SIZES[2], GROUNDS[0], x + 5 * tiny + 10, y + 26)
    if enlarge > 1:
        return sheet.resize((sheet.width * enlarge, sheet.height * enlarge), Image.Resampling.BOX)
    return sheet


def main(arguments: list[str]) -> int:
    """Write the sheet to the file named first."""
    if not arguments or Path(arguments[0]).suffix not in {".png", ".pdf"}:
        sys.stderr.write(f"{__doc__}\n")
        return 2
    names = all_names() if "--all" in arguments else drawn_names()
    enlarge = next((int(each) for each in arguments[1:] if each.isdigit()), 1)
    draw(names, enlarge).save(arguments[0], dpi=(300, 300), resolution=300)
    sys.stdout.write(f"{arguments[0]}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
