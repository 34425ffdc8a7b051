"""What single functions take that must never loop over the cells of a chart, or over pairs.

    python -m tests.benchmarks.functions

Prints the best of three runs of each, in CPU seconds of this machine. Nothing fails on time.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import numpy as np
from linenleaf.chart.font import build_font
from linenleaf.chart.shapes import shape_names
from linenleaf.chart.symbols import choose
from linenleaf.cloth.cloth import paint
from linenleaf.colour import colour
from linenleaf.compose.arrange import arrange
from linenleaf.compose.compose import compose
from linenleaf.core.items import Placement
from linenleaf.core.model import Design
from linenleaf.core.source import Source
from linenleaf.core.suggest import nearest
from linenleaf.lsp.answers import edits
from linenleaf.lsp.desk import examine
from linenleaf.reports.codeunits import units_before
from linenleaf.resolve.read import read, read_source

from ..chart.test_font import key_of
from ..chart.test_symbols import worked
from ..charts import design, motif
from ..sources import SMALL, folder_with
from .processes import ROOT

DEMO = ROOT / "examples/saltmarsh-bands/saltmarsh-bands.linen"
Work = Callable[[], object]


def _hanging(count: int) -> Design:
    """A chart of so many things, each beside or below the one before."""
    ways = ("right of", "below", "left of", "above")
    lines = [f"  tern {ways[at % 4]} t-{at} named t-{at + 1}" for at in range(count - 1)]
    text = "\n".join(
        [
            "linen 2",
            "fabric aida 14",
            "key",
            '  m  #a03a3a "madder"',
            "motif tern 1 x 1",
            "  |m|",
            "chart 100 x 100",
            "  tern at 5,5 named t-0",
            *lines,
        ]
    )
    made, findings = read_source(Source("chart.linen", text), Path("chart.linen"))
    assert made is not None, findings
    return made


def works(place: Path) -> Iterator[tuple[str, Work]]:
    """Yield what is done and a function that does it."""
    rng = np.random.default_rng(7)
    square = ["".join(row) for row in rng.choice(list("ms.k"), (1000, 1000))]
    made = design(rows=square)
    yield "compose a grid of 1,000 x 1,000", lambda: compose(made)

    tern = motif("tern", "m.m", ".m.")
    spots = (Placement("tern", 3 * (at % 100), 2 * (at // 100)) for at in range(5000))
    many = design((300, 100), *spots, motifs=[tern])
    yield "compose 5,000 motifs", lambda: compose(many)

    for count in (5_000, 10_000):
        stairs = _hanging(count)
        yield f"reckon out {count:,} places that hang on each other", partial(arrange, stairs)

    text = SMALL.partition("chart")[0] + "chart 1000 x 1000\n" + ("|" + "m.s." * 250 + "|\n") * 1000
    path = folder_with(place, text)
    yield "read a grid of 1,000 x 1,000", lambda: read(path)

    cloth, _ = compose(design(rows=[row[:170] for row in square[:230]]))
    assert cloth is not None
    yield "paint 170 x 230 crosses, 10 pixels each", lambda: paint(cloth, pixels_per_cross=10)

    colours = [f"#{(number * 83 + 7) % 0x1000000:06x}" for number in range(0, 200_000, 1000)]
    yield "differences of 200 colours, kept after the first", lambda: colour.differences(colours)

    chart = worked(rng.integers(1, 201, size=(300, 300)), 200)
    yield "choose 200 symbols", lambda: choose(chart)

    key = key_of("".join(chr(0x4E00 + number) for number in range(60)))
    chosen = dict(enumerate(shape_names()[:60], start=1))
    yield "build a font of 60 symbols", lambda: build_font(chosen, key)

    names = [f"reed-{number}" for number in range(20_000)] + ["oyster-catcher"]
    yield "the nearest of 20,000 names", lambda: nearest("oister-catcher", names)

    rows = "|....|\n" * 60_000, "  |....|\n" * 60_000
    yield "edits of 60,000 like rows", lambda: list(edits(*rows))

    marks = Source("marks", "e" + "\u0301" * 20_000 + "q")
    yield "the place behind 20,000 marks", lambda: units_before(marks, len(marks.text) - 1)

    yield "findings of the large demo, as an editor asks", lambda: examine(DEMO, {})


def main() -> None:
    with tempfile.TemporaryDirectory() as place:
        for name, work in works(Path(place)):
            taken = []
            for _ in range(3):
                begun = time.process_time()
                work()
                taken.append(time.process_time() - begun)
            print(f"{name:<52}{min(taken):>8.3f}")


if __name__ == "__main__":
    main()
