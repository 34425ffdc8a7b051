"""Thirty designs of public bitmaps, the first by name of three packages: nobody here drew them.

    console-setup-linux   fonts of the console (PSF); of those whose Latin capitals and small
                          letters are each drawn in their own way, the first ten by name
    xbitmaps              pictures of one colour (XBM); 14 to 64 pixels a side, the first by name
                          that are no texture
    adwaita-icon-theme    pictures of 16 x 16 pixels in colours, brought to four; of each folder of
                          these, in order

They are read from a folder into which the packages were unpacked, and never kept here.
"""

from __future__ import annotations

import gzip
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import cycle, islice
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

PACKAGES = ("console-setup-linux", "xbitmaps", "adwaita-icon-theme")
EACH = 10  # designs of each package
SYMBOLS = "mskt"
KEY = """linen 1
fabric linen 28 over 2
key
  m  #a03a3a "madder"
  s  #5f7a9a "sea"
  k  #20242c "ink"
  t  #b9a26a "straw"
"""
VERSE = (
    "The tide that took the path away",
    "has left a line of weed and foam",
    "Grey herons wade the quiet bay",
    "and boats with lantern light turn home",
    "Worked 3 May by Jo Quill aged 12",
)
LINES = ("Low water", "Sea holly and thrift", "Boats come home", "Quick as a jay", "Wild geese")
GAP = 4

Cells = NDArray[np.uint8]  # (rows, columns), 0 bare, else a number into SYMBOLS, from 1
Font = dict[str, Cells]


@dataclass(frozen=True)
class PublicDesign:
    """A chart in motifs and lettering, as text. name: of the bitmaps in it."""

    name: str
    text: str


def designs(folder: Path) -> list[PublicDesign]:
    """The thirty, those of each package in turn. Raises FileNotFoundError without the packages."""
    fonts = list(islice(_fonts(folder / "usr/share/consolefonts"), EACH))
    figures = list(islice(_figures(folder / "usr/include/X11/bitmaps"), EACH + 2))
    icons = list(islice(icons_of(folder / "usr/share/icons/Adwaita/16x16", "*/*.png"), EACH * 3))
    if len(fonts) < EACH or len(figures) < EACH + 2 or len(icons) < EACH * 3:
        raise FileNotFoundError(folder)
    return designs_of(fonts, figures, icons)


def designs_of(
    fonts: list[tuple[str, Font]],
    figures: list[tuple[str, Cells]],
    icons: list[tuple[str, Cells]],
) -> list[PublicDesign]:
    """Ten designs of lettering, ten of figures in one colour, ten of icons, by turns."""
    lettered = [_lettered(name, font, at) for at, (name, font) in enumerate(fonts)]
    shown = [_figured(figures[at : at + 3], fonts[at][1], _two_lines(at)) for at in range(EACH)]
    coloured = [
        _figured(icons[3 * at : 3 * at + 3], fonts[-1 - at][1], _two_lines(at))
        for at in range(EACH)
    ]
    return [each for three in zip(lettered, shown, coloured, strict=True) for each in three]


def _two_lines(at: int) -> list[str]:
    return list(islice(cycle(LINES), at, at + 2))


def _fonts(folder: Path) -> Iterator[tuple[str, Font]]:
    seen: set[bytes] = set()
    for path in sorted(folder.glob("*.psf.gz")):
        font = _psf(gzip.decompress(path.read_bytes()))
        letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
        if not all(each in font and font[each].any() for each in letters):
            continue
        looks = {
            half: b"".join(map(_look, map(font.get, half))) for half in (letters[:26], letters[26:])
        }
        if not seen.isdisjoint(looks.values()):
            continue
        seen.update(looks.values())
        yield path.name.partition(".")[0], font


def _look(cells: Cells) -> bytes:
    return bytes(cells.shape) + cells.tobytes()


def _psf(data: bytes) -> Font:
    """The letters of a console font: PC Screen Font 1 or 2, as the manual page psf(5) has it."""
    if data[:4] == b"\x72\xb5\x4a\x86":
        start, flags, many, size, height, width = struct.unpack_from("<6I", data, 8)
        tabled, separator, sequence, code = flags & 1, b"\xff", b"\xfe", "utf-8"
    else:
        assert data[:2] == b"\x36\x04"
        start, height, width, size = 4, data[3], 8, data[3]
        many, tabled = 512 if data[2] & 1 else 256, data[2] & 6
        separator, sequence, code = b"\xff\xff", b"\xfe\xff", "utf-16-le"
    assert tabled
    bits = np.frombuffer(data, np.uint8, many * size, start).reshape(many, height, -1)
    glyphs = np.unpackbits(bits, axis=2)[:, :, :width]
    table = data[start + many * size :]
    font: Font = {}
    at = 0
    for glyph in glyphs:
        end = at
        while table[end : end + len(separator)] != separator:
            end += len(separator)
        for letter in table[at:end].split(sequence)[0].decode(code):
            font[letter] = np.ascontiguousarray(glyph)
        at = end + len(separator)
    return font


def _figures(folder: Path) -> Iterator[tuple[str, Cells]]:
    for path in sorted(folder.iterdir()):
        with Image.open(path) as picture:
            if not all(14 <= side <= 64 for side in picture.size):
                continue
            cells = np.asarray(picture.convert("1")) == 0
            if path.read_text("ascii").count("_width"):  # in XBM a set bit is black
                yield from no_texture(path.name, cells.astype(np.uint8))


def no_texture(name: str, cells: Cells) -> Iterator[tuple[str, Cells]]:
    """Yield a picture without what is bare around it, if it is neither a texture nor solid."""
    for step in range(1, 9):
        if (cells[step:] == cells[:-step]).all() or (cells[:, step:] == cells[:, :-step]).all():
            return
    figure = trimmed(cells)
    if figure.size and 24 <= np.count_nonzero(figure) <= 0.7 * figure.size:
        yield name, figure


def icons_of(folder: Path, names: str) -> Iterator[tuple[str, Cells]]:
    """Yield the coloured pictures of these names, brought to four colours."""
    for path in sorted(folder.glob(names)):
        if "symbolic" in path.name:
            continue
        with Image.open(path) as picture:
            rgba = picture.convert("RGBA")
        colours = rgba.convert("RGB").quantize(len(SYMBOLS), method=Image.Quantize.MEDIANCUT)
        cells = np.asarray(colours).astype(np.uint8) + 1
        cells[np.asarray(rgba)[:, :, 3] < 128] = 0
        if np.count_nonzero(cells):
            yield path.stem, trimmed(cells)


def trimmed(cells: Cells) -> Cells:
    """Return a picture without what is bare around it."""
    rows, columns = np.nonzero(cells)
    if not rows.size:
        return cells[:0, :0]
    return cells[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]


def _lettered(name: str, font: Font, at: int) -> PublicDesign:
    lines = list(islice(cycle(VERSE), at, at + 4))
    lettering = "\n".join(_lettering(font, "".join(lines), SYMBOLS[at % 3]))
    height = next(iter(font.values())).shape[0]
    wide = max(map(len, lines)) * (next(iter(font.values())).shape[1] + 1) + 2
    texts = [
        f'  text "{line}" in face at 1,{1 + number * (height + 2)}'
        for number, line in enumerate(lines)
    ]
    size = f"chart {wide} x {1 + 4 * (height + 2)}"
    return PublicDesign(name, "\n".join([KEY + lettering, size, *texts]) + "\n")


def _figured(drawn: list[tuple[str, Cells]], font: Font, lines: list[str]) -> PublicDesign:
    """A pair about the middle, a row of the second beneath it, the third alone, and two lines."""
    (_, pair), (_, row), (_, lone) = drawn
    letter = next(iter(font.values())).shape
    many = 4 if row.shape[1] < 30 else 2
    wide = max(
        2 * pair.shape[1] + 3 * GAP,
        many * (row.shape[1] + GAP) + GAP,
        max(map(len, lines)) * (letter[1] + 1) + 2,
        lone.shape[1] + 2 * GAP,
    )
    second = 2 * GAP + pair.shape[0]
    third = second + GAP + row.shape[0]
    fourth = third + GAP + lone.shape[0]
    items = [
        f"  pair at {GAP},{GAP}",
        f"  pair mirrored at {wide - GAP - pair.shape[1]},{GAP}",
        *(f"  row-figure at {GAP + at * (row.shape[1] + GAP)},{second}" for at in range(many)),
        f"  lone at {(wide - lone.shape[1]) // 2},{third}",
        f'  text "{lines[0]}" "{lines[1]}" in face at 1,{fourth} leading 2',
    ]
    blocks = [
        *_motif("pair", pair),
        *_motif("row-figure", row),
        *_motif("lone", lone),
        *_lettering(font, "".join(lines), "k"),
        f"chart {wide} x {fourth + 2 * letter[0] + 3}",
    ]
    name = ", ".join(each for each, _ in drawn)
    return PublicDesign(name, KEY + "\n".join([*blocks, *items]) + "\n")


def _motif(name: str, cells: Cells) -> Iterator[str]:
    yield f"motif {name} {cells.shape[1]} x {cells.shape[0]}"
    yield from (f"  |{row}|" for row in _rows(cells, SYMBOLS))


def _rows(cells: Cells, symbols: str) -> list[str]:
    return ["".join(("." + symbols)[value] for value in row) for row in cells.tolist()]


def _lettering(font: Font, text: str, symbol: str) -> Iterator[str]:
    wanted = sorted(set(text) - {" "})
    height, width = font[wanted[0]].shape
    yield f"alphabet face height {height} spacing 1 space {width}"
    for letter in wanted:
        glyph = font[letter]
        columns = np.flatnonzero(glyph.any(axis=0))
        rows = _rows(glyph[:, columns[0] : columns[-1] + 1], symbol)
        yield f'  "{letter}" |{rows[0]}|'
        yield from (f"      |{row}|" for row in rows[1:])
