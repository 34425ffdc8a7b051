"""A chart that uses every stitch and every page of a booklet, written out for tests of binding."""

from __future__ import annotations

from pathlib import Path

from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedChart
from linenleaf.resolve.read import read
from PIL import Image

STORY = """\
# The drawer

The cloth lay in a drawer, "folded in eight". See [the trust](https://example.org/marsh) or
[*another* shore](http://example.org/other).

## What was seen

- reeds, and
- one bird,
  - half a cross off.

![The cloth as it was found](found.png "The cloth as it was found.")

| Band | Rows |
|---|---|
| Reeds | 1-30 |
"""

RANGE = """\
code,name,colour,metres,strands,put-up
417,wrack,#3f4a2c,8,6,skein
220,sea lavender,#8a7aa8,8,6,skein
512,lantern,#e0a030,8,6,skein
900,night,#20242c,8,6,skein
101,salt white,#f4f1e4,10,4,card
"""

HEAD = """\
linen 2

booklet "{title}"
  subtitle "a band in five colours"
  designer "Tern & Teasel"
  rights   "Copyright 2026 Tern & Teasel. One working copy for your own use."
  thanks   "to the \\"wardens\\" of the shore"
  edition  "2" 2026-03-14
  story    story.md
  picture  found.png "The drawer."
  original place "a drawer \\"by the sea\\""
  original date  "about 1840"
  needs    "a hoop of 20 cm"
  section  "Framing" framing.md

fabric linen 32 over 2
  colour #e9dfcb "raw flax"
  margin 3 in
  also   linen 28 over 2, aida 14

# So that there are two chart pages, all upright.
pages
  orientation portrait
  break       before column 37

range estuary from estuary.csv

key
  m       estuary 417
  s       estuary 220 with estuary 512   note "One strand of each."
  /       estuary 220 half up
  q       estuary 417 quarter top-left
  ^       estuary 417 three-quarter top-left + estuary 101 quarter
  u       estuary 900 upright
  lantern estuary 512 back 1 strand
  stay    estuary 900 straight 1 strand
  eye     estuary 900 knot 1 strand
  lamp    #f2b33d "amber glass" bead

motif crab 6 x 4 over 1
  |m....m|
  |.mmmm.|
  |.mmmm.|
  |m....m|

motif bird 4 x 3
  |mm..|
  |.mmm|
  |..m.|
"""

TAIL = """
note at 2,2 "Begin here; the reeds hang from this corner."
note at 20.5,10.5 "The bird sits half a cross off the grid."
departure 0,0 to 6,2 "The band was lost; it is \\"charted\\" from its neighbour."
inferred 8,2 to 12,6 "No thread is left here."
kept 30,8 to 34,10 "Her own slip, left as it was."

colourway faded "As it looks today"
  m estuary 101
  ^ estuary 101 + estuary 417

revision "2" 2026-03-14 "Row 4: one cross moved."
revision "1" 2025-11-02 "First edition."
"""

# Full crosses and nothing else: for what is alike in every booklet.
PLAIN = """\
linen 1
booklet "Reed"
  edition "1" 2026-03-14
fabric aida 14
key
  m #334455 "slate"
chart 3 x 2
  |mm.|
  |..m|
"""


def source(
    width: int = 72, height: int = 40, title: str = "Saltmarsh Band", notes: bool = True
) -> str:
    """Return a chart of bands, so many crosses wide and high; at least 40 x 20."""
    bands = ("mmsmms", "ss//ss", "q^u...", "mmmmmm", "......")
    rows = [(bands[row % 5] * (width // 6 + 1))[:width] for row in range(height)]
    # Bare fabric for the crab and the bird.
    rows[8:16] = ["." * 30 + row[30:] for row in rows[8:16]]
    grid = "\n".join(f"  |{row}|" for row in rows)
    return (
        HEAD.format(title=title)
        + f"\nchart {width} x {height}\n{grid}\n"
        + "  crab at 4,10\n"
        + "  bird at 20.5,10.5\n"
        + "  line lantern 1,1 8,1 8,4\n"
        + "  line stay 10,1 16,5\n"
        + "  knot eye 22.5,11\n"
        + "  bead lamp 26,12\n"
        + (TAIL if notes else "")
    )


def write(folder: Path, text: str | None = None, story: str = STORY) -> Path:
    """Write a chart and all its files into a folder; return the path of the chart."""
    (folder / "band.linen").write_text(source() if text is None else text, "utf-8")
    (folder / "estuary.csv").write_text(RANGE, "utf-8")
    (folder / "story.md").write_text(story, "utf-8")
    (folder / "framing.md").write_text("Stretch it over a board.\n", "utf-8")
    Image.new("RGB", (120, 80), "#b8a07a").save(folder / "found.png")
    return folder / "band.linen"


def worked(path: Path) -> WorkedChart:
    """Read and compose a chart that has no errors."""
    design, findings = read(path)
    assert design is not None, [each.message for each in findings]
    chart, findings = compose(design)
    assert chart is not None, [each.message for each in findings]
    return chart
