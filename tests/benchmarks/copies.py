"""How well a booklet in black survives a copier, and whether its picture can be seen.

    python -m tests.benchmarks.copies            the demos and a full-cover chart of random threads
    python -m tests.benchmarks.copies CHART...   other charts

Pages with cells of 2.5 mm are drawn by PDFium at 300 dots to the inch, blurred, speckled, and made
black or white at a threshold, as a copier does that is set for text; then a copy is made of that.
Each symbol is then read by template matching (the normalised correlation of J. P. Lewis, 1995).
Printed of each chart:

    picture    correlation of the ink of the cells with the darkness of their threads (L* of CIE
               15:2004), both blurred over a few cells, over all that is stitched; aim 0.7
    misread    share of symbols that look more like another of the chart; aim 0.5 %
    worst pair share of the crosses of a symbol taken for one that it touches much; aim 3 %
    grid       share of the grid lines that a copy still shows along nine tenths; aim all

Nothing here fails.
"""

from __future__ import annotations

import argparse
import string
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
from linenleaf.booklet.book import bind
from linenleaf.booklet.keylist import short_labels
from linenleaf.booklet.leaves import leaves
from linenleaf.booklet.planning import plan
from linenleaf.chart.edges import margins
from linenleaf.chart.ink import main_part, needle_colour, symbol_box
from linenleaf.chart.likeness import render
from linenleaf.chart.options import Ink, Options
from linenleaf.chart.shapes import outline
from linenleaf.chart.symbols import choose, touching
from linenleaf.colour.colour import lightness
from linenleaf.compose.worked import WorkedChart
from linenleaf.count.count import count
from linenleaf.flow import follow
from scipy import ndimage

EXAMPLES = Path(__file__).resolve().parent.parent.parent / "examples"
CELL, DOTS = 2.5, 300 / 25.4  # mm; to the mm
SIDE = round(CELL * DOTS)
BLUR, NOISE = 0.08, 0.1  # mm, of the optics; of the light, paper being 1
GENERATIONS = 2  # a copy of a copy
THRESHOLD = 0.6  # paper is 1: what is lighter vanishes
EYE = 2.0  # cells
EDGE = 4  # pixels next to the grid lines that nothing is read in
MUCH = 0.1  # of its edge: what a symbol has to touch of another to be a pair with it


def full_cover(folder: Path, threads: int = 40) -> Path:
    """A chart of patches that mingle where they meet, in threads of any colour."""
    chance = np.random.default_rng(11)
    noise = [ndimage.gaussian_filter(chance.normal(size=(110, 120)), 5) for _ in range(threads)]
    grid = np.argmax(np.array(noise) + chance.normal(size=(threads, 110, 120)) * 0.01, axis=0)
    marks = string.ascii_letters[:threads]
    colours = chance.integers(0, 256, (threads, 3))
    key = [
        f'  {mark}  #{r:02x}{g:02x}{b:02x} "thread {mark}"'
        for mark, (r, g, b) in zip(marks, colours, strict=True)
    ]
    rows = ["  |" + "".join(marks[each] for each in row) + "|" for row in grid]
    lines = ["linen 1", 'booklet "Random threads"', "fabric linen 28 over 2", "key", *key]
    path = folder / "random.linen"
    path.write_text("\n".join([*lines, "chart 120 x 110", *rows, ""]), "utf-8")
    return path


def pages(worked: WorkedChart) -> list[tuple[object, np.ndarray, float, float]]:
    """Each chart page with its picture, paper 1, and where its cells begin, in pixels."""
    options = Options(ink=Ink.SYMBOLS, cell=CELL)
    made, findings = bind(worked, options)
    assert made is not None, findings
    used = [each.index for each in count(worked).entries]
    labels = [short_labels(worked.design, used, names=each) for each in (False, True)]
    layout = plan(worked, options, *labels)
    pdf = pypdfium2.PdfDocument(made.data)
    first = next(
        at for at, page in enumerate(pdf) if page.get_textpage().get_text_range(0, 6) == "Chart "
    ) if len(layout.pagination.pages) > 1 else next(
        at for at, page in enumerate(pdf) if "columns 1–" in page.get_textpage().get_text_range()
    )  # fmt: skip
    around, drawn = margins(worked.height), {}
    result = []
    for place, leaf in enumerate(leaves(worked, layout)):
        sheet, part = divmod(place, layout.shared)
        if sheet not in drawn:
            picture = pdf[first + sheet].render(scale=300 / 72, grayscale=True).to_numpy()
            drawn = {sheet: picture.squeeze() / 255}
        across, down = layout.corner(part)
        x = (layout.side + across + leaf.x + around.side) * DOTS
        y = (layout.top + down + leaf.y + around.end) * DOTS
        result.append((leaf.page, drawn[sheet], x, y))
    return result


def copied(picture: np.ndarray) -> np.ndarray:
    """The picture as a copier gives it back: paper 1, ink 0."""
    chance = np.random.default_rng(3)
    for _ in range(GENERATIONS):
        seen = ndimage.gaussian_filter(picture, BLUR * DOTS)
        picture = seen + chance.normal(scale=NOISE, size=seen.shape) >= THRESHOLD
        picture = picture.astype(float)
    return picture


def tiles(picture: np.ndarray, x: np.ndarray, y: np.ndarray, edge: int) -> np.ndarray:
    """The ink within each of many cells, (n, pixels, pixels), without so many at its edges."""
    inner = np.arange(edge, SIDE - edge)
    rows = (np.round(y)[:, None] + inner).astype(int)
    columns = (np.round(x)[:, None] + inner).astype(int)
    return 1 - picture[rows[:, :, None], columns[:, None, :]]


def normalised(pictures: np.ndarray) -> np.ndarray:
    flat = pictures.reshape(len(pictures), -1)
    flat = flat - flat.mean(axis=1, keepdims=True)
    return flat / np.maximum(np.linalg.norm(flat, axis=1, keepdims=True), 1e-9)


def correlated(ink: np.ndarray, dark: np.ndarray, stitched: np.ndarray) -> float:
    """How well blurred ink follows blurred darkness where there are crosses."""
    seen = ndimage.gaussian_filter(stitched.astype(float), EYE)
    blurred = [
        (ndimage.gaussian_filter(np.where(stitched, each, 0), EYE) / np.maximum(seen, 1e-9))
        for each in (ink, dark)
    ]
    return float(np.corrcoef(blurred[0][stitched], blurred[1][stitched])[0, 1])


def survive(copy: np.ndarray, page: object, x: float, y: float) -> list[bool]:
    """Whether each grid line inside a page is still there."""
    pitch = CELL * DOTS
    right, below = x + page.columns * pitch, y + page.rows * pitch
    lines = []
    for picture, start, many, (low, high) in (
        (copy, x, page.columns, (y, below)),
        (copy.T, y, page.rows, (x, right)),
    ):
        for at in range(1, many):
            middle = round(start + at * pitch)
            strip = picture[round(low) : round(high), middle - 2 : middle + 3]
            lines.append(bool((strip.min(axis=1) == 0).mean() >= 0.9))
    return lines


def report(name: str, worked: WorkedChart) -> None:
    """Print the figures of one chart."""
    # Symbols alone are read here: what is drawn over cells is another matter.
    bare = replace(worked.design, notes=())
    worked = replace(worked, design=bare, lines=(), knots=(), pieces=(), stands=())
    chosen, key = choose(worked), worked.design.key
    whole = [i for i in chosen if symbol_box(key[i - 1])[2] == 1.0]
    looks = {each: 1 - render(outline(chosen[each]), SIDE) for each in whole}
    shifts = [(dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)]
    templates = np.array([
        normalised(np.array([
            np.roll(1 - copied(looks[each]), shift, (0, 1))[EDGE : SIDE - EDGE, EDGE : SIDE - EDGE]
            for each in whole
        ]))
        for shift in shifts
    ])  # fmt: skip
    ink = np.zeros(worked.grid.shape)
    read = np.zeros(worked.grid.shape, int)
    kept: list[bool] = []
    for page, picture, x, y in pages(worked):
        copy = copied(picture)
        kept += survive(copy, page, x, y)
        rows, columns = np.mgrid[page.core_y0 : page.core_y1, page.core_x0 : page.core_x1]
        rows, columns = rows.ravel(), columns.ravel()
        left = x + (columns - page.x0) * CELL * DOTS
        top = y + (rows - page.y0) * CELL * DOTS
        ink[rows, columns] = tiles(picture, left, top, EDGE).mean(axis=(1, 2))
        shown = np.isin(worked.grid[rows, columns], whole)
        seen = normalised(tiles(copy, left[shown], top[shown], EDGE))
        best = (templates @ seen.T).max(axis=0).argmax(axis=0)
        read[rows[shown], columns[shown]] = np.array(whole)[best]
    colours = [lightness(needle_colour(main_part(e).needle)) if e.is_cell and e.counted is None
               else 100.0 for e in key]  # fmt: skip
    dark = 100 - np.array([100.0, *colours])[worked.grid]
    meant = np.isin(worked.grid, whole)
    wrong = meant & (read != worked.grid)
    touches = touching(worked)
    worst, pair = 0.0, ""
    for one in whole:
        for other in whole:
            if touches[one, other] > MUCH * touches[one].sum():
                share = float((read[worked.grid == one] == other).mean())
                if share > worst:
                    worst, pair = share, f"{chosen[one]}/{chosen[other]}"
    taken: dict[str, int] = {}
    for one, other in zip(worked.grid[wrong], read[wrong], strict=True):
        words = f"{chosen[one]}/{chosen[other]}"
        taken[words] = taken.get(words, 0) + 1
    often = sorted(taken.items(), key=lambda each: -each[1])[:5]
    print(
        f"{name:18} picture {correlated(ink, dark, worked.grid > 0):5.2f}   misread"
        f" {wrong.sum() / meant.sum():7.2%}   worst pair {worst:6.1%} {pair:16}"
        f" grid {np.mean(kept):6.1%}   {often}"
    )


def main() -> None:
    """Print the figures of all charts."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("charts", nargs="*", type=Path)
    with tempfile.TemporaryDirectory() as folder:
        charts = parser.parse_args().charts or [
            *sorted(EXAMPLES.glob("*/*.linen")),
            full_cover(Path(folder)),
        ]
        for chart in charts:
            worked = follow(chart).worked
            if worked is not None:
                report(chart.stem, worked)


if __name__ == "__main__":
    main()
