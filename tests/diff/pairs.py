"""Charts to compare, made in memory or from snippets, and what is asked of the comparison."""

from pathlib import Path

import numpy as np
from linenleaf.compose.compose import compose
from linenleaf.core.items import Placement
from linenleaf.diff.compare import compare
from linenleaf.resolve.read import read

from tests.charts import KEY, design

SYMBOLS = np.array([".", *(entry.symbol[0] for entry in KEY)])


def worked(made):
    chart, findings = compose(made)
    assert chart is not None, [each.message for each in findings]
    return chart


def of_grid(grid, *items, **more):
    """A chart that is one grid of key indices, and what is placed on it."""
    return worked(design(None, *items, rows=["".join(row) for row in SYMBOLS[grid]], **more))


def of_items(size, *items, **more):
    return worked(design(size, *items, **more))


def compared(old, new, **more):
    """The differences of two snippets, or of two worked charts."""
    return compare(old, new, **more)


def of_text(text, path: Path):
    """A chart read from a text that is written to a path."""
    path.write_text(text, "utf-8")
    made, findings = read(path)
    assert made is not None, [each.message for each in findings]
    return worked(made)


def at(name, x, y, **more):
    return Placement(name, x, y, **more)


def changed(found):
    """The changed cells as pairs of column and row, on the new chart."""
    return set(map(tuple, found.cells.tolist()))


def in_areas(areas):
    return {tuple(cell) for each in areas for cell in each.cells.tolist()}
