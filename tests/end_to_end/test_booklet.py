"""The booklets of the demos, opened by independent readers.

Nothing here asks the drawing code where a cell is: the pages say it themselves, in their heading
("columns 38–83, rows 218–280") and in the places of their characters.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from click.testing import CliRunner
from linenleaf.cli import main
from linenleaf.colour.colour import contrast
from linenleaf.core.key import Kind

from tests.pages import pages_of

NAMES = ("saltmarsh-bands", "first-wader", "flood-tide")
SYMBOLS = "LinenleafSymbols"
PIXELS, CELL = 4, 32  # to the point, when a page is looked at, and at the least to a cell


@dataclass(frozen=True)
class Sheet:
    """One chart page as a reader finds it.

    number: of the page in the file. x0 y0 x1 y1: the cells it says it shows. rows: its rows as
    text. boxes: place of each of its cells in points, (rows, columns, 4) as x0 top x1 bottom.
    """

    number: int
    x0: int
    y0: int
    x1: int
    y1: int
    rows: list[str]
    boxes: np.ndarray


@dataclass(frozen=True)
class Built:
    """A demo built by the command, and its worked chart."""

    path: Path
    said: str
    worked: object
    sheets: list[Sheet]


def read_sheets(pages):
    heads, overlap = {}, 0
    for number, page in enumerate(pages):
        words = page.extract_text()
        said = re.search(r"Adjoining pages overlap by (\d+)", " ".join(words.split()))
        overlap = int(said[1]) if said else overlap
        own = re.match(r"Chart \d+(?: of \d+)? columns (\d+)–(\d+), rows (\d+)–(\d+)", words)
        if own is not None:
            heads[number] = tuple(map(int, own.groups()))
    width, height = (max(own[last] for own in heads.values()) for last in (1, 3))
    sheets = []
    for number, own in heads.items():
        page = pages[number]
        # Column 1 lies between the lines 0 and 1; beyond its own cells a page shows some of its
        # neighbours'.
        x0, y0 = (max(0, own[first] - 1 - overlap) for first in (0, 2))
        x1, y1 = min(width, own[1] + overlap), min(height, own[3] + overlap)
        chars = [each for each in page.chars if each["fontname"] == SYMBOLS]
        # The cells of the grid are the symbols of one size that there are most of.
        [(size, _)] = Counter(round(each["size"], 3) for each in chars).most_common(1)
        cells = [each for each in chars if abs(each["size"] - size) < 0.01]
        # A piece half a cross off the grid has symbols of the same size between the others.
        for edge in ("x0", "top"):
            [(common, _)] = Counter(round(c[edge] % size, 1) for c in cells).most_common(1)
            cells = [c for c in cells if abs((c[edge] - common) / size % 1 - 0.5) > 0.4]
        lines = {}
        for each in cells:
            lines.setdefault(round(each["top"] / size), []).append(each)
        ordered = [
            sorted(line, key=lambda each: each["x0"])
            for _, line in sorted(lines.items())
            if len(line) >= x1 - x0  # numbers along the edge are no row
        ]
        sheets.append(
            Sheet(
                number,
                x0,
                y0,
                x1,
                y1,
                ["".join(c["text"] for c in line) for line in ordered],
                np.array(
                    [[(c["x0"], c["top"], c["x1"], c["bottom"]) for c in line] for line in ordered]
                ),
            )
        )
    return sheets


@pytest.fixture(scope="module", params=NAMES)
def built(request, built_demo):
    booklet = built_demo(request.param)
    return Built(booklet.path, booklet.said, booklet.worked, read_sheets(booklet.pages))


def source_rows(worked):
    symbols = np.array([".", *(entry.symbol[0] for entry in worked.design.key)])
    return symbols[worked.grid]


def test_the_text_of_every_chart_page_is_the_source(built):
    expected = source_rows(built.worked)
    assert built.sheets
    for sheet in built.sheets:
        area = expected[sheet.y0 : sheet.y1, sheet.x0 : sheet.x1]
        assert sheet.rows == ["".join(row) for row in area], f"page {sheet.number + 1}"


def test_the_pages_together_show_every_cell(built):
    shown = np.zeros(built.worked.grid.shape, dtype=int)
    for sheet in built.sheets:
        shown[sheet.y0 : sheet.y1, sheet.x0 : sheet.x1] += 1
    assert shown.min() == 1


def test_every_worked_cell_has_the_colour_of_its_thread_and_a_symbol(built):
    """Seen by PDFium: the corners of a cell have its colour, and something stands in the middle."""
    worked = built.worked
    times = np.zeros(worked.grid.shape, dtype=int)
    for sheet in built.sheets:
        times[sheet.y0 : sheet.y1, sheet.x0 : sheet.x1] += 1
    busy = crowded(worked)
    plain = np.zeros(len(worked.design.key) + 1, dtype=bool)
    threads = np.zeros((len(plain), 3), dtype=int)
    for index in np.unique(worked.grid[worked.grid > 0]).tolist():
        part = worked.entry(index).parts[0]
        if part.kind is Kind.FULL and len(part.needle) == 1:
            plain[index] = True
            threads[index] = [*bytes.fromhex(part.needle[0].thread.colour[1:])]
    # Where pages overlap the cells are veiled; lines, notes and pieces cover some.
    looked_at = plain[worked.grid] & ~busy & (times == 1)
    document = pypdfium2.PdfDocument(built.path)
    looked = 0
    for sheet in built.sheets:
        side = sheet.boxes[0, 0, 2] - sheet.boxes[0, 0, 0]
        scale = max(PIXELS, CELL / side)
        picture = document[sheet.number].render(scale=scale, rev_byteorder=True).to_numpy()
        grid = worked.grid[sheet.y0 : sheet.y1, sheet.x0 : sheet.x1]
        rows, columns = np.nonzero(looked_at[sheet.y0 : sheet.y1, sheet.x0 : sheet.x1])
        edges = np.round(sheet.boxes[rows, columns] * scale).astype(int)
        sizes = edges[:, 2:] - edges[:, :2]
        for wide, high in np.unique(sizes, axis=0).tolist():  # a pixel more or less
            same = (sizes == (wide, high)).all(axis=1)
            left, top = edges[same, 0], edges[same, 1]
            down, across = np.arange(high)[:, None], np.arange(wide)
            cells = picture[top[:, None, None] + down, left[:, None, None] + across].astype(
                np.int16
            )
            edge, end = round(high * 0.10), round(high * 0.16)
            # Of all four corners, for some symbols reach into one or two of them.
            ends = [*range(edge, end), *range(high - end, high - edge)]
            patches = np.sort(cells[:, ends][:, :, ends].reshape(len(cells), -1, 3), axis=1)
            corner = patches[:, patches.shape[1] // 2]  # a median, quicker than numpy's
            inside = cells[:, edge:-edge, edge:-edge].reshape(len(cells), -1, 3)
            off = np.abs(inside - corner[:, None]).sum(axis=2, dtype=np.int16)
            most = inside[np.arange(len(cells)), off.argmax(axis=1)]
            wanted = threads[grid[rows[same], columns[same]]]
            places = np.stack([columns[same] + sheet.x0, rows[same] + sheet.y0], axis=1)
            assert places[off.max(axis=1) <= 90].tolist() == []  # no symbol
            # A middling colour gives way a little, so that its symbol can be read on it.
            assert places[np.abs(corner - wanted).max(axis=1) >= 90].tolist() == []
            pairs = {
                (*ground, *ink) for ground, ink in zip(corner.tolist(), most.tolist(), strict=True)
            }
            assert [pair for pair in pairs if contrast_of(*pair) < 4.4] == []
            looked += len(cells)
    assert looked > 0.5 * np.count_nonzero((worked.grid > 0) & (times == 1))


@cache
def contrast_of(*levels: int) -> float:
    """The contrast of two colours, each in three levels."""
    one, other = bytes(levels[:3]).hex(), bytes(levels[3:]).hex()
    return contrast(f"#{one}", f"#{other}")


def crowded(worked):
    """Cells that something else may be drawn over: lines, knots, pieces and notes."""
    busy = np.zeros(worked.grid.shape, dtype=bool)

    def block(x0, y0, x1, y1):
        busy[max(0, int(y0) - 2) : int(y1) + 2, max(0, int(x0) - 2) : int(x1) + 2] = True

    for line in worked.lines:
        for (x0, y0), (x1, y1) in zip(line.points, line.points[1:], strict=False):
            for t in np.linspace(0, 1, 200):
                block(*(2 * (x0 + t * (x1 - x0), y0 + t * (y1 - y0))))
    for knot in worked.knots:
        block(knot.x, knot.y, knot.x, knot.y)
    for piece in worked.pieces:
        block(piece.x, piece.y, piece.x + piece.width, piece.y + piece.height)
    for note in worked.design.notes:
        block(note.x0, note.y0, note.x1, note.y0)
        block(note.x0, note.y1, note.x1, note.y1)
        block(note.x0, note.y0, note.x0, note.y1)
        block(note.x1, note.y0, note.x1, note.y1)
    return busy


def test_paper_is_a4_by_iso_216(built):
    # ISO 216:2007: A4 is 210 mm x 297 mm, 595.276 x 841.890 points of 1/72 in.
    for page in pikepdf.open(built.path).pages:
        width, height = (float(page.mediabox[2]), float(page.mediabox[3]))
        assert (width, height) == pytest.approx((595.276, 841.890), abs=0.01)


def test_the_account_agrees_with_the_file_and_with_numpy(built):
    pages = len(pikepdf.open(built.path).pages)
    worked = built.worked
    crosses = int(np.count_nonzero(worked.grid)) + sum(
        int(np.count_nonzero(piece.grid)) for piece in worked.pieces
    )
    assert built.said.startswith(f"{pages} pages, {crosses:,} crosses, ")
    assert built.said.splitlines()[-1] == built.path.name


def test_qpdf_finds_nothing(built):
    if shutil.which("qpdf") is None:
        pytest.skip("qpdf is not installed")
    done = subprocess.run(["qpdf", "--check", built.path], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr


def test_pdftotext_gives_the_rows_back_too(built):
    """A stranger's program: every row of the first chart page stands in its text."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed")
    sheet = built.sheets[0]
    page = str(sheet.number + 1)
    text = subprocess.run(
        ["pdftotext", "-layout", "-f", page, "-l", page, built.path, "-"],
        capture_output=True,
        check=True,
    ).stdout.decode()
    area = source_rows(built.worked)[sheet.y0 : sheet.y1, sheet.x0 : sheet.x1]
    lines = iter(text.splitlines())
    for row in area:
        assert any("".join(row) in line for line in lines), "".join(row)


IN_BLACK = "--paper", "letter", "--ink", "symbols"


@pytest.fixture(scope="module")
def black(demos, tmp_path_factory):
    """A booklet on letter paper for black-and-white printing, built in this process."""
    folder = shutil.copytree(demos / "first-wader", tmp_path_factory.mktemp("black") / "one")
    done = CliRunner().invoke(main, ["build", str(folder / "first-wader.linen"), *IN_BLACK])
    assert done.exit_code == 0, done.output
    return folder / "first-wader--letter-symbols.pdf"


def test_letter_by_ansi(black):
    # US Letter, 8.5 x 11 in = 612 x 792 points (ANSI/ASME Y14.1, size A).
    for page in pikepdf.open(black).pages:
        assert [float(each) for each in page.mediabox] == pytest.approx([0, 0, 612, 792], abs=0.01)


def test_symbols_alone_use_no_colour(black):
    """A booklet for black-and-white printing has chart pages without any colour in them."""
    [sheet, *_] = read_sheets(pages_of(black.read_bytes()))
    picture = pypdfium2.PdfDocument(black)[sheet.number].render(scale=2).to_numpy().astype(int)
    assert (
        picture.max(axis=2) - picture.min(axis=2)
    ).max() < 20  # the black of the text is a little warm
