"""The numbers of grammar/thread.md are those of the estimate."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from linenleaf.compose.compose import compose
from linenleaf.core.ground import Fabric, Method, Working
from linenleaf.count.carrying import BARE_TIMES, MOST_CROSSES
from linenleaf.count.stints import KNOT
from linenleaf.count.thread import estimate
from linenleaf.resolve.read import read

from ..charts import MADDER, cell, part
from ..thread_charts import AT_14, AT_16, ENDLESS, SIDE, chart, needle, one
from .test_thread import HALF, QUARTER, THREE, UPRIGHT, crosses_of_the_first_skein

CROSS = cell("m", part(MADDER))
PAGE = (Path(__file__).resolve().parent.parent.parent / "grammar" / "thread.md").read_text("utf-8")
WORDS = " ".join(PAGE.split())
BLOCK, EXAMPLE = re.findall(r"^```linen\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)


def table(first):
    """The rows of the table whose first heading is given."""
    found = re.search(rf"^\| {first} \|.*\n\|[ -|]*\n((?:\|.*\n)+)", PAGE, re.MULTILINE)
    assert found
    return [[cell.strip() for cell in row.strip("|").split("|")] for row in found[1].splitlines()]


def composed(tmp_path, text):
    path = tmp_path / "example.linen"
    path.write_text(text, "utf-8")
    design, findings = read(path)
    assert design, findings
    worked, findings = compose(design)
    assert worked, findings
    return worked


def test_the_example_is_what_the_estimate_says(tmp_path):
    worked = composed(tmp_path, EXAMPLE)
    uses = estimate(worked, worked.design.ground.fabric)
    rows = table("thread")
    assert len(rows) == len(uses)
    for row, use in zip(rows, uses, strict=True):
        lengths = (use.front, use.back, use.carried, use.tails, use.left)
        assert row == [
            use.thread.name,
            *(f"{each:.1f} mm" for each in lengths),
            f"{use.strand_metres:.3f} m",
            f"{use.skeins:.3f}",
            str(use.buy),
        ]


def test_the_words_of_the_example_add_up():
    assert f"s = {SIDE} mm" in WORDS
    assert f"{21 * 2 * math.sqrt(2):.2f} s" in WORDS
    madder = {
        "front": 21 * 2 * math.sqrt(2) * SIDE,
        "back": (36 + 6 + 1) * SIDE,
        "carried": math.sqrt(2) * SIDE,
    }
    row = table("thread")[0]
    assert row[1:4] == [f"{each:.1f} mm" for each in madder.values()]


def test_the_shares_of_two_key_lines():
    grid = np.zeros((4, 10))
    grid[0], grid[3] = 1, 2
    use = one(chart(grid, key=(CROSS, HALF)))
    crosses, halves = (each.strand_metres for each in use.entries)
    assert crosses == pytest.approx(2 * halves, abs=3e-6)
    assert f"two thirds, {crosses:.3f} m of {use.strand_metres:.3f} m." in WORDS


def test_the_block_states_the_defaults(tmp_path):
    worked = composed(tmp_path, f"{EXAMPLE}\n{BLOCK}".replace("linen 1", "linen 2", 1))
    stated = worked.design.working
    usual = Working()
    assert (stated.needleful, stated.tail, stated.carry) == pytest.approx(
        (usual.needleful, usual.tail, usual.carry)
    )
    assert (stated.slip, stated.bare) == (usual.slip, usual.bare)
    assert (stated.method, stated.reserve) == (usual.method, pytest.approx(usual.reserve))


def test_the_table_states_the_defaults():
    stated = {word.strip("`"): value for word, value, _ in table("word")}
    usual = Working()
    assert stated == {
        "needleful": f"{usual.needleful / 25.4:g} in ({usual.needleful:g} mm)",
        "tail": f"{usual.tail / 10:g} cm at each end",
        "carry": f"{usual.carry:g} mm",
        "slip": f"{usual.slip:g} mm",
        "bare": f"{usual.bare:g} crosses",
        "method": f"`{usual.method}`",
        "reserve": f"{usual.reserve:.0%} of the length used".replace("%", " %"),
    }
    assert f"`carry` ({usual.carry:g} mm) | `slip` ({usual.slip / 10:g} cm)" in WORDS
    never = BARE_TIMES * usual.bare
    assert f"`bare` ({usual.bare:g} crosses) | four times `bare` ({never:g} crosses)" in WORDS
    assert BARE_TIMES == 4
    assert f"No way is longer than {MOST_CROSSES} crosses" in WORDS


@pytest.mark.parametrize(
    ("name", "entry", "method"),
    [
        ("row of n crosses there and back", CROSS, Method.ROWS),
        ("row of n, each finished", CROSS, Method.EACH),
        ("row of n half crosses", HALF, Method.ROWS),
        ("row of n quarters", QUARTER, Method.ROWS),
        ("row of n three-quarters", THREE, Method.ROWS),
        ("row of n upright crosses", UPRIGHT, Method.ROWS),
    ],
)
def test_the_formulas_of_rows_are_those_of_the_estimate(name, entry, method):
    front, back = next(row[1:3] for row in table("stitch") if row[0] == name)
    fabric = Fabric("linen", 36, 30, 2)
    w, h = fabric.cross_width, fabric.cross_height
    letters = {"n": 10, "w": w, "h": h, "d": math.hypot(w, h)}
    worked = chart(np.ones((1, 10)), key=(entry,), working=Working(method=method))
    use = one(worked, fabric)
    assert use.front == pytest.approx(worth(front, letters))
    assert use.back == pytest.approx(worth(back, letters))


def worth(formula, letters):
    """The value of a formula as it is printed: `2 n d` is a product."""
    written = re.sub(r"(?<=[\w)]) (?=[\w(])", " * ", formula)
    return eval(written, {"__builtins__": {}}, letters)


def test_the_knot_is_as_long_as_stated():
    knot = next(row[1] for row in table("stitch") if row[0].startswith("French knot"))
    assert knot == f"{KNOT} mm"


def test_the_length_of_a_cross_in_a_long_row():
    use = needle(np.ones((1, 5000)), working=ENDLESS)
    assert f"= {(use.front + use.back) / 5000:.3f} mm" in WORDS


def test_what_a_needleful_and_a_skein_work():
    use = needle(np.ones((36, 100)), AT_14)
    assert f"works {3600 / use.needlefuls:.0f} crosses of a field" in WORDS
    at_14, at_16 = (crosses_of_the_first_skein(fabric) for fabric in (AT_14, AT_16))
    assert f"from about {round(at_14, -1):,} crosses at 14 per inch" in WORDS
    assert f"from about {round(at_16, -1):,} at 16" in WORDS


def test_a_filled_field_stays_as_near_the_least_as_stated():
    (most,) = re.findall(r"stays within (\S+) times", WORDS)
    for side in range(10, 80, 7):
        use = needle(np.ones((side, side)), working=ENDLESS)
        least = use.front + (2 * side * side - 1) * SIDE
        assert use.front + use.back <= float(most) * least
