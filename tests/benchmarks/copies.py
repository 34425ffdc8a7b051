"""How well a booklet in black survives a copier, and whether its picture can be seen.

    python -m tests.benchmarks.copies            the demos, a full-cover chart of random threads,
                                                 and one of all printed symbols side by side
    python -m tests.benchmarks.copies CHART...   other charts
    --copies N                                   copies made of each page, no two alike (2)

Pages with cells of 2.5 mm are copied twice over and read by `copier`. Printed of each chart:

    picture    correlation of the ink of the cells with the darkness of their threads (L* of CIE
               15:2004), both blurred over a few cells, over all cells with a symbol; aim 0.7
    misread    share of symbols that look more like another of the chart; aim 0.5 %
    worst pair share of the crosses of a symbol taken for one that it touches much; aim 3 %
    grid       share of the grid lines that a copy still shows along nine tenths; aim all

Nothing here fails.
"""

from __future__ import annotations

import argparse
import string
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pypdfium2
from linenleaf.booklet.book import bind
from linenleaf.booklet.keylist import short_labels
from linenleaf.booklet.leaves import leaves
from linenleaf.booklet.planning import plan
from linenleaf.chart.edges import margins
from linenleaf.chart.font import build_font
from linenleaf.chart.ink import main_part, needle_colour, symbol_box
from linenleaf.chart.options import Ink, Options
from linenleaf.chart.paginate import Page
from linenleaf.chart.shapes import drawn_names
from linenleaf.chart.symbols import choose
from linenleaf.checks.lookalikes import touching
from linenleaf.colour.colour import lightness
from linenleaf.compose.worked import WorkedChart
from linenleaf.count.count import count
from linenleaf.flow import follow
from numpy.typing import NDArray
from scipy import ndimage

from tests.benchmarks.copier import DOTS, Copy, Picture, Reader, copied

EXAMPLES = Path(__file__).resolve().parent.parent.parent / "examples"
CELL = 2.5  # mm
PITCH = CELL * DOTS
EYE = 2.0  # cells
MUCH = 0.07  # of its edge: what a symbol has to touch of another to be a pair with it
MARKS = string.ascii_letters + string.digits + "".join(map(chr, range(0x100, 0x17F)))


def full_cover(folder: Path, threads: int = 60) -> Path:
    """A chart of patches that mingle where they meet, in threads of any colour."""
    chance = np.random.default_rng(11)
    noise = [ndimage.gaussian_filter(chance.normal(size=(110, 120)), 5) for _ in range(threads)]
    grid = np.argmax(np.array(noise) + chance.normal(size=(threads, 110, 120)) * 0.01, axis=0)
    colours = chance.integers(0, 256, (threads, 3))
    key = [
        f'#{r:02x}{g:02x}{b:02x} "thread {mark}"'
        for mark, (r, g, b) in zip(MARKS, colours, strict=False)
    ]
    return written(folder / "random.linen", key, grid)


def all_symbols(folder: Path) -> Path:
    """A chart on which every symbol lies beside every other."""
    names = drawn_names()
    chance = np.random.default_rng(12)
    key = [
        f'#806040 "thread {mark}" printed {name}' for mark, name in zip(MARKS, names, strict=False)
    ]
    return written(folder / "symbols.linen", key, chance.integers(0, len(names), (110, 120)))


def written(path: Path, key: list[str], grid: NDArray[np.int64]) -> Path:
    """Write a chart of these key lines and cells."""
    lines = ["linen 1", f'booklet "{path.stem}"', "fabric linen 28 over 2", "key"]
    lines += [f"  {mark}  {line}" for mark, line in zip(MARKS, key, strict=False)]
    lines += ["chart 120 x 110"]
    lines += ["  |" + "".join(MARKS[each] for each in row) + "|" for row in grid]
    path.write_text("\n".join([*lines, ""]), "utf-8")
    return path


@dataclass(frozen=True, eq=False)
class Sheet:
    """A chart page: its picture, and where its first cell begins on it, in pixels."""

    page: Page
    picture: Picture
    x: float
    y: float

    def middles(
        self, rows: NDArray[np.int64], columns: NDArray[np.int64]
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return x and y of the middles of cells."""
        page = self.page
        return self.x + (columns - page.x0 + 0.5) * PITCH, self.y + (rows - page.y0 + 0.5) * PITCH


def sheets(worked: WorkedChart) -> Iterator[Sheet]:
    """Print a chart in black and give its pages."""
    options = Options(ink=Ink.SYMBOLS, cell=CELL)
    made, findings = bind(worked, options)
    assert made is not None, findings
    used = [each.index for each in count(worked).entries]
    labels = [short_labels(worked.design, used, names=each) for each in (False, True)]
    layout = plan(worked, options, *labels)
    pdf = pypdfium2.PdfDocument(made.data)
    starts = "Chart " if len(layout.pagination.pages) > 1 else "columns 1–"
    texts = (page.get_textpage().get_text_range() for page in pdf)
    first = next(
        at for at, text in enumerate(texts)
        if (text.startswith(starts) if starts == "Chart " else starts in text)
    )  # fmt: skip
    around, drawn = margins(worked.height), {}
    for place, leaf in enumerate(leaves(layout)):
        sheet, part = divmod(place, layout.shared)
        if sheet not in drawn:
            picture = pdf[first + sheet].render(scale=300 / 72, grayscale=True).to_numpy()
            drawn = {sheet: picture.squeeze().astype(np.float32) / 255}
        across, down = layout.corner(part)
        x = (layout.side + across + leaf.x + around.side) * DOTS
        y = (layout.top + down + leaf.y + around.end) * DOTS
        yield Sheet(leaf.page, drawn[sheet], x, y)


def correlated(
    ink: NDArray[np.float64], dark: NDArray[np.float64], stitched: NDArray[np.bool_]
) -> float:
    """How well blurred ink follows blurred darkness where there are crosses."""
    seen = ndimage.gaussian_filter(stitched.astype(float), EYE)
    blurred = [
        (ndimage.gaussian_filter(np.where(stitched, each, 0), EYE) / np.maximum(seen, 1e-9))
        for each in (ink, dark)
    ]
    return float(np.corrcoef(blurred[0][stitched], blurred[1][stitched])[0, 1])


def inked(sheet: Sheet, rows: NDArray[np.int64], columns: NDArray[np.int64]) -> NDArray[np.float64]:
    """The share of ink within cells of a page, without what lies next to the grid."""
    pixels = np.arange(-11, 11)
    x, y = sheet.middles(rows, columns)
    across = np.round(x[:, None] + pixels).astype(int)
    down = np.round(y[:, None] + pixels).astype(int)
    return 1 - sheet.picture[down[:, :, None], across[:, None, :]].mean(axis=(1, 2))


def survive(copy: Copy, sheet: Sheet) -> list[bool]:
    """Whether each grid line inside a page is still there."""
    page = sheet.page
    lines = []
    for many, other, way in ((page.columns, page.rows, 1), (page.rows, page.columns, 0)):
        along = np.arange(0, other * PITCH)
        for at in range(1, many):
            across = np.full_like(along, at * PITCH)
            x, y = (across, along) if way else (along, across)
            row, column = np.round(copy.at(sheet.x + x, sheet.y + y)).astype(int)
            near = range(-2, 3)
            strip = [
                copy.picture[row, column + aside] if way else copy.picture[row + aside, column]
                for aside in near
            ]
            lines.append(bool((np.min(strip, axis=0) == 0).mean() >= 0.9))
    return lines


def report(name: str, worked: WorkedChart, copies: int) -> None:
    """Print the figures of one chart."""
    # Symbols alone are read here: what is drawn over cells is another matter.
    bare = replace(worked.design, notes=())
    worked = replace(worked, design=bare, lines=(), knots=(), pieces=(), stands=())
    chosen, key = choose(worked), worked.design.key
    whole = np.array([i for i in chosen if symbol_box(key[i - 1])[2] == 1.0])
    whole = whole[[key[i - 1].counted is None for i in whole]]
    font = build_font(chosen, key)
    reader = Reader(font.data, [key[i - 1].symbol for i in whole], CELL)
    meant = np.isin(worked.grid, whole)
    ink = np.zeros(worked.grid.shape)
    taken = np.zeros((len(key) + 1, len(key) + 1), int)
    kept: list[bool] = []
    for number, sheet in enumerate(sheets(worked)):
        page = sheet.page
        own = np.zeros_like(meant)
        own[page.core_y0 : page.core_y1, page.core_x0 : page.core_x1] = True
        rows, columns = np.nonzero(own & meant)
        ink[rows, columns] = inked(sheet, rows, columns)
        for each in range(copies):
            copy = copied(sheet.picture, np.random.default_rng([number, each]))
            kept += survive(copy, sheet)
            read = whole[reader.read(copy, *sheet.middles(rows, columns))]
            np.add.at(taken, (worked.grid[rows, columns], read), 1)
    colours = [lightness(needle_colour(main_part(e).needle)) if e.is_cell and e.counted is None
               else 100.0 for e in key]  # fmt: skip
    dark = 100 - np.array([100.0, *colours])[worked.grid]
    right = taken.diagonal().sum() / taken.sum()
    shares = taken / np.maximum(1, taken.sum(axis=1, keepdims=True))
    np.fill_diagonal(shares, 0)
    touches = touching(worked)
    pairs = np.where(touches > MUCH * touches.sum(axis=1, keepdims=True), shares, 0)
    print(
        f"{name:16} picture {correlated(ink, dark, meant):5.2f}   misread {1 - right:7.2%}"
        f"   worst pair {told(pairs, chosen, 1):24} grid {np.mean(kept):6.1%}"
        f"   often {told(shares, chosen, 6)}"
    )


def told(shares: NDArray[np.float64], chosen: dict[int, str], many: int) -> str:
    """Name the pairs with the highest shares."""
    worst = np.argsort(-shares, axis=None)[:many]
    pairs = [(*np.unravel_index(at, shares.shape), shares.flat[at]) for at in worst]
    return " ".join(f"{chosen[a]}/{chosen[b]} {share:.1%}" for a, b, share in pairs if share) or "-"


def main() -> None:
    """Print the figures of all charts."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("charts", nargs="*", type=Path)
    parser.add_argument("--copies", type=int, default=2)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        own = [
            *sorted(EXAMPLES.glob("*/*.linen")),
            full_cover(Path(folder)),
            all_symbols(Path(folder)),
        ]
        for chart in given.charts or own:
            worked = follow(chart).worked
            if worked is not None:
                report(chart.stem, worked, given.copies)


if __name__ == "__main__":
    main()
