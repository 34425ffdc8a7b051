"""The pictures of the README, the reference and its guides: `python -m tests.manual_pictures`.

Pages of the large demo's booklet, a difference, and charts of the longer examples. A picture has
few colours, so that its file is small. Those of photographs are drawn by `guide_photographs`.
"""

from __future__ import annotations

import io
import re
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Options
from linenleaf.compose.worked import WorkedChart
from linenleaf.diff.compare import compare
from linenleaf.diff.sidebyside import picture
from linenleaf.flow import follow
from linenleaf.pictures.chart_svg import chart_png
from PIL import Image

from tests import guide_photographs

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "grammar" / "pictures"
BOOK = ROOT / "examples" / "saltmarsh-bands" / "saltmarsh-bands.linen"
SMALL = ROOT / "examples" / "first-wader" / "first-wader.linen"
REFERENCE = ROOT / "grammar" / "notation.md"
# By words of theirs that no page before has.
PAGES = {"cover": "", "chart-page": "Chart 8 of", "notes-page": "The name board is worked"}
WIDE, WIDER = 400, 640  # pixels; of a page, of anything else
COLOURS = 64
LONG = 14  # lines of an example from which on it is shown


def pages(booklet: bytes) -> Iterator[tuple[str, Image.Image]]:
    """Yield the pages shown of the booklet."""
    with pypdfium2.PdfDocument(booklet) as pdf:
        for name, words in PAGES.items():
            page = next(each for each in pdf if words in each.get_textpage().get_text_bounded())
            yield name, page.render(scale=2 * WIDE / page.get_width()).to_pil()


def others() -> Iterator[tuple[str, Image.Image]]:
    """Yield the difference between two charts, and the longer examples of the reference."""
    new = worked(SMALL)
    grid = new.grid.copy()
    grid[3:5, 15:18] = grid[12, 20]
    old = replace(new, grid=grid)
    yield "difference", opened(picture(compare(old, new), ".png"))
    for name, text in examples().items():
        with tempfile.TemporaryDirectory() as folder:
            chart = Path(folder) / "example.linen"
            chart.write_text(text, "utf-8")
            yield name, opened(chart_png(worked(chart), WIDER))


def examples() -> dict[str, str]:
    """Return the whole charts of the reference that are long, by the names of their pictures."""
    whole = re.findall(r"^```linen\n(.*?)^```", REFERENCE.read_text("utf-8"), re.M | re.S)
    long = [each for each in whole if each.count("\n") > LONG]
    return {f"example-{number}": each for number, each in enumerate(long, 1)}


def worked(path: Path) -> WorkedChart:
    """Return a chart of ours, which is sound."""
    made = follow(path).worked
    assert made is not None
    return made


def opened(data: bytes) -> Image.Image:
    """Return a picture from the bytes of its file."""
    with Image.open(io.BytesIO(data)) as image:
        return image.convert("RGB")


def written(name: str, image: Image.Image) -> bytes:
    """Return a picture as a small file."""
    wide = min(image.width, WIDE if name in PAGES else WIDER)
    size = wide, round(image.height * wide / image.width)
    small = image.convert("RGB").resize(size, Image.Resampling.LANCZOS)
    file = io.BytesIO()
    few = small.quantize(COLOURS, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
    few.save(file, "PNG", optimize=True)
    return file.getvalue()


def unlike(one: bytes, other: bytes) -> float:
    """Return how far two pictures are apart, 0 to 255, where they differ most."""
    first, second = opened(one), opened(other)
    if first.size != second.size:
        return 255.0
    few = max(1, first.width // 8), max(1, first.height // 8)
    tiny = [
        np.asarray(each.resize(few, Image.Resampling.BOX)).astype(float) for each in (first, second)
    ]
    return float(np.abs(tiny[0] - tiny[1]).max())


def main() -> None:
    """Draw all pictures."""
    bound, _ = bind(worked(BOOK), Options())
    assert bound is not None
    FOLDER.mkdir(exist_ok=True)
    for name, image in (*pages(bound.data), *others()):
        (FOLDER / f"{name}.png").write_bytes(written(name, image))
    for name, data in guide_photographs.draw().items():
        (guide_photographs.FOLDER / f"{name}.jpg").write_bytes(data)


if __name__ == "__main__":
    main()
