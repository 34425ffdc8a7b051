"""The reference: every example in it runs, and what it lists is what the program has.

An example marked `linen` is a whole chart. One marked `linen part` is wrapped in a small chart
that has the motifs, letters and key lines it speaks of. One marked `csv` is a thread range.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from linenleaf.chart import options
from linenleaf.compose import bounds
from linenleaf.compose.compose import compose
from linenleaf.core import files, jpeg, raster
from linenleaf.core.diagnostics import render
from linenleaf.core.ground import Fabric, Ground, Working
from linenleaf.core.key import Thread
from linenleaf.core.matter import Booklet
from linenleaf.core.model import Design
from linenleaf.resolve import (
    alphabets,
    keylines,
    markdown,
    matter,
    needles,
    nesting,
    paging,
    photographs,
    pictures,
    placed,
    settings,
    sharing,
)
from linenleaf.resolve.read import read
from linenleaf.syntax import cutting, statements
from linenleaf.syntax import parse as syntax
from linenleaf.syntax.notation import inner_words

from tests.rasters import SOUND

HOUSE = Path(__file__).resolve().parent.parent
REFERENCE = (HOUSE / "grammar" / "notation.md").read_text("utf-8")
PAGES = REFERENCE + (HOUSE / "grammar" / "stock.md").read_text("utf-8")
EXAMPLES = re.findall(r"^```(\w+(?: \w+)*)\n(.*?)^```$", PAGES, re.MULTILINE | re.DOTALL)
WHOLE = [text for mark, text in EXAMPLES if mark == "linen"]
PARTS = [text for mark, text in EXAMPLES if mark == "linen part"]
NEWER = [text for mark, text in EXAMPLES if mark == "linen part 2"]
RANGES = [text for mark, text in EXAMPLES if mark == "csv"]

DEFAULTS = {
    "fabric": "fabric linen 32 over 2\n",
    "range": "range estuary from estuary.csv\n",
    "key": """key
  m        estuary 417
  s        estuary 220
  t        estuary 900
  ^        estuary 417 three-quarter top-left + estuary 220 quarter
  lantern  estuary 512 back
  eye      estuary 900 knot
  drop     #ffcc55 "amber" bead
""",
    "motif": """motif tern 9 x 4
  |....mm...|
  |..mmmmm..|
  |mmmm..mmm|
  |....m....|
motif leaf 5 x 3
  |..s..|
  |.sss.|
  |..s..|
motif sprig 3 x 3
  |s..|
  |.s.|
  |..s|
""",
    "alphabet": """alphabet marking height 1
  T |m|
  I |m|
""",
}


def wrapped(part: str) -> str:
    """A whole chart around a part of one."""
    word = part.split(maxsplit=1)[0]
    blocks = dict(DEFAULTS)
    if word not in statements.HEADS:
        return "linen 1\n" + "".join(blocks.values()) + f"chart 126 x 166\n{part}"
    if word == "key":
        del blocks["motif"], blocks["alphabet"]
    blocks.pop(word, None)
    return "linen 1\n" + "".join(blocks.values()) + "chart 126 x 166\n" + part


def in_version_two(part: str) -> str:
    """A whole chart in `linen 2` around a part of one."""
    word = part.split(maxsplit=1)[0]
    key = (
        "  o  estuary 417  eye\n  =  estuary 220  long-armed\n  tide  estuary 900  double-running\n"
    )
    text = wrapped(part).replace("linen 1\n", "linen 2\n", 1)
    return text if word == "key" else text.replace("key\n", f"key\n{key}", 1)


def attempt(folder: Path, text: str) -> Design:
    (folder / "estuary.csv").write_text(RANGES[0], "utf-8")
    for name in ("story.md", "reeds.md"):
        (folder / name).write_text("# Reeds\n", "utf-8")
    for name in ("cover.png", "mark.png", "shore.jpg", "old-band.png"):
        (folder / name).write_bytes(SOUND["png-colour"][0])
    (folder / "letters.linen").write_text("linen 1\nalphabet low height 1\n  i |m|\n", "utf-8")
    path = folder / "example.linen"
    path.write_text(text, "utf-8")
    design, findings = read(path)
    assert design is not None, "\n".join(map(render, findings))
    assert findings == ()
    worked, findings = compose(design)
    assert worked is not None, "\n".join(map(render, findings))
    return design


@pytest.mark.parametrize("text", WHOLE, ids=range(len(WHOLE)))
def test_a_whole_example_is_a_chart(tmp_path, text):
    attempt(tmp_path, text)


@pytest.mark.parametrize("text", PARTS, ids=[f"{n}-{t.split()[0]}" for n, t in enumerate(PARTS)])
def test_a_part_works_in_a_chart(tmp_path, text):
    attempt(tmp_path, wrapped(text))


@pytest.mark.parametrize("text", NEWER, ids=[f"{n}-{t.split()[0]}" for n, t in enumerate(NEWER)])
def test_a_part_in_newer_words_works_in_a_chart(tmp_path, text):
    attempt(tmp_path, in_version_two(text))


def test_the_first_chart_has_ten_lines_at_most():
    assert len(WHOLE[0].splitlines()) <= 10


def test_every_statement_has_an_example():
    shown = {
        line.split()[0] for text in [*WHOLE, *PARTS, *NEWER] for line in text.splitlines() if line
    }
    assert set(statements.HEADS) <= shown


def test_every_word_of_the_grammar_is_in_the_reference():
    words = {*inner_words(), *(statement.word for statement in statements.STATEMENTS)} - {""}
    assert len(words) > 60
    told = re.sub(r"<!-- index.*end of the index -->", "", REFERENCE, flags=re.DOTALL)
    missing = [word for word in words if not re.search(rf"(?<![\w-]){word}(?![\w-])", told)]
    assert not missing


@pytest.mark.parametrize(
    ("row", "values"),
    [
        ("chart file", (files.LARGEST_TEXT // 2**20, cutting.MOST_LINES)),
        ("a line that is not a row", (syntax.LONGEST_LINE,)),
        ("a text", (keylines.LONGEST_TEXT,)),
        ("chart, motif, row", (settings.LARGEST_SIDE,)),
        ("height of letters", (alphabets.HIGHEST_LETTER,)),
        (
            "key",
            (
                keylines.MOST_KEY_LINES,
                sharing.MOST_PARTS,
                needles.MOST_IN_BLEND,
                needles.MOST_IN_NEEDLE,
            ),
        ),
        ("motifs in motifs", (nesting.DEEPEST, bounds.MOST_INSIDES)),
        ("lines of `pages`", (paging.MOST_BREAKS,)),
        ("pages of one's own size", (options.LEAST_SIDE, options.MOST_SIDE)),
        ("repeats of one placement", (placed.MOST_COPIES,)),
        ("story or section", (files.LARGEST_STORY // 2**10, markdown.MOST_PICTURES)),
        ("picture", (files.LARGEST_PICTURE // 2**20, raster.LARGEST_SIDE, jpeg.MOST_SCANS)),
        ("`photograph`", (photographs.MOST_PHOTOGRAPHS, photographs.MOST_LANDMARKS)),
        (
            "all pictures of a booklet",
            (
                pictures.MOST_PICTURES,
                pictures.MOST_BYTES_IN_ALL // 2**20,
                pictures.MOST_PIXELS_IN_ALL // 10**6,
                matter.MOST_PICTURES,
            ),
        ),
    ],
)
def test_the_limits_are_those_of_the_program(row, values):
    line = re.search(rf"^\| {row} \| (.*) \|$", REFERENCE, re.MULTILINE)
    assert line
    for value in values:
        assert f"{value:,}" in line[1]


def assumed(what: str) -> str:
    """What the reference's table of defaults says, up to the first comma or bracket."""
    row = re.search(rf"^\| `{what}` \| ([^|(,]*)", REFERENCE, re.MULTILINE)
    assert row
    return row[1].strip()


def test_what_is_assumed_is_what_the_model_assumes():
    thread = Thread("", "", "", "")
    assert (thread.metres, thread.strands, thread.put_up) == (8, 6, "skein")
    working = Working()
    assert assumed("needleful") == f"{working.needleful / 25.4:g} in"
    assert assumed("tail") == f"{working.tail / 10:g} cm at each end"
    assert assumed("carry") == f"{working.carry:g} mm"
    assert assumed("slip") == f"{working.slip / 10:g} cm"
    assert assumed("bare") == f"{working.bare:g} crosses"
    assert assumed("reserve") == f"{working.reserve * 100:g} %"
    assert assumed("method") == f"`{working.method}`"
    ground = Ground(Fabric("linen", 1, 1))
    assert ground.colour in REFERENCE
    assert ground.margin == pytest.approx(3 * 25.4)
    assert Booklet("").language == "en-GB"
