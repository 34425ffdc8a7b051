"""For every check a chart in which it speaks and one in which it does not.

`message` is what the finding says, or how it begins where figures of another stage follow.
"""

from __future__ import annotations

from dataclasses import dataclass

from linenleaf.chart.symbols import shape_names

KEY = """
key
  m  #a03a3a "madder"
  s  #5f7a4a "sedge"
"""
LINES = """
  rope  #20242c "ink" back
  eye   #20242c "ink" knot
"""
HALVES = """
  /  #3a5fa0 "tide" half up
  \\  #3a5fa0 "tide" half down
"""
OPEN = """linen 2
booklet "Test"
fabric linen 32 over 2
"""
HEM = """
key
  h  #5f7a4a "sedge" hemstitch
motif hem 2 x 1 over 3
  |hh|
chart 8 x 6
  hem at 1,1
"""
ODD = """linen 2
booklet "Test"
fabric linen 32 over 2
range odd from odd.csv
key
"""
GAP = """
key
  m  #a03a3a "madder"
chart 4 x 3
  |m..m|
  |....|
  |....|
  withdrawn rows 0,1 to 4,2.5
"""


@dataclass(frozen=True)
class Case:
    speaks: str
    message: str
    silent: str
    also: tuple[str, ...] = ()  # what else cannot but be found there


def shown(
    corners: str = "20,20 140,22 142,142 18,140",
    part: str = "chart",
    more: str = "",
    side: int = 12,
) -> str:
    """A chart with a photograph of 200 x 200 pixels; stitched in its first rows."""
    rows = f"  |{'ms' * (side // 2)}|\n" * 12 + f"  |{'.' * side}|\n" * (side - 12)
    head = f"{OPEN}{KEY}chart {side} x {side}\n{rows}photograph old.png\n"
    return f"{head}  shows {part}\n  corners {corners}\n{more}"


def many_lines(count: int) -> str:
    """A key of so many lines, each used once, none beside another."""
    symbols = [chr(0x4E00 + number) for number in range(count)]
    colours = [f"#{n * 97 % 256:02x}{n * 57 % 256:02x}{n * 151 % 256:02x}" for n in range(count)]
    lines = [
        f'  {symbol} {colour} "thread {number}"'
        for number, (symbol, colour) in enumerate(zip(symbols, colours, strict=True))
    ]
    row = ".".join(symbols)
    return "\n".join(["", "key", *lines, f"chart {len(row)} x 1", f"  |{row}|", ""])


def skein(metres: str) -> str:
    """Forty crosses, which take about 0.147 m of a thread of six strands."""
    return f"""
range estuary from estuary.csv
  metres {metres}
key
  m  estuary 417
working
  reserve 0 %
chart 10 x 4
  |mmmmmmmmmm|
  |mmmmmmmmmm|
  |mmmmmmmmmm|
  |mmmmmmmmmm|
"""


def counted(stitch: str, chart: str, *, fabric: str = "linen 32 over 2", defined: str = "") -> str:
    """A chart with a counted stitch under `o`."""
    return f"""linen 2
booklet "Test"
fabric {fabric}
{defined}
key
  o  #a03a3a "madder" {stitch}
{chart}
"""


EYE = "chart 4 x 4\n  |o...|\n  |....|\n  |....|\n  |....|"
LONG = "stitch long over 1 x 6\n  up 0,6 down 0,0"
LONG_CHART = "chart 3 x 3\n  |o..|\n  |...|\n  |...|"


def row_of(many: int) -> str:
    return f"motif row {many} x 1\n  |{'o' * many}|\nchart 4 x 1\n  row at 0,0"


def two_eyes(second: int) -> str:
    rows = ["." * 8 for _ in range(9)]
    rows[0] = "o" + "." * 7
    rows[second] = rows[second][:4] + "o" + "..."
    drawn = "\n".join(f"  |{row}|" for row in rows)
    return f"motif two 8 x 9 over 1 strands 1\n{drawn}\nchart 6 x 6\n  two at 0,0"


def slants(way: str) -> str:
    return (
        "motif slant 2 x 2 over 1 strands 1\n  |oo|\n  |..|\n"
        f"chart 4 x 1\n  slant at 0,0\n  slant {way}at 1,0"
    )


def heart(row: str) -> str:
    return f"""
motif heart 9 x 6
  |mmm...mmm|
  |msssmsssm|
  |msssssssm|
  |{row}|
  |msssssssm|
  |.mmmmmmm.|
chart 9 x 6
  heart at 0,0
"""


RAY, BARE_HEART = "ssssmssss", "sssssssss"


def band(row: str) -> str:
    return f"""
chart 40 x 9
  |m...s...m.m...s...m.m...s...m.m...s...m.|
  |.m..s..m...m..s..m...m..s..m...m..s..m..|
  |..m.s.m.....m.s.m.....m.s.m.....m.s.m...|
  |...msm.......msm.......msm.......msm....|
  |{row}|
  |...msm.......msm.......msm.......msm....|
  |..m.s.m.....m.s.m.....m.s.m.....m.s.m...|
  |.m..s..m...m..s..m...m..s..m...m..s..m..|
  |m...s...m.m...s...m.m...s...m.m...s...m.|
"""


def star(row: str) -> str:
    """A star placed once, and drawn once more by hand beside it, its first row as given."""
    return f"""
motif star 7 x 7 symmetric left-right
  |m..s..m|
  |.m.s.m.|
  |..msm..|
  |sssmsss|
  |..msm..|
  |.m.s.m.|
  |m..s..m|
chart 20 x 9
  |....................|
  {row}
  |..m.s.m.............|
  |...msm..............|
  |.sssmsss............|
  |...msm..............|
  |..m.s.m.............|
  |.m..s..m............|
  |....................|
  star mirrored top-bottom at 12,1
"""


def leaves(row: str) -> str:
    """A leaf and its mirror image, drawn by hand, the fifth row as given."""
    return f"""
chart 15 x 9
  |...m.......m...|
  |..msm.....msm..|
  |..mssm...mssm..|
  |.mssm.....mssm.|
  {row}
  |..msm.....msm..|
  |...msm...msm...|
  |....m.....m....|
  |.ss.m.....m.ss.|
"""


def boats(*rows: str) -> str:
    """Two boats drawn by hand, the second one mirrored, with its first rows as given."""
    hull = [
        "..............ss..........",
        "..............ssss........",
        "..............ss..........",
        "..............mm..........",
        "............s.mm..........",
        "..........sss.mm.m........",
        "........sssss.mm.mmm......",
        "......sssssss.mm.mmmmm....",
        "....mmmmmmmmmmmmmmmmmmm...",
        "s.m.m.m.s.m.m.m.s.m.m.m.sm",
        ".sssssssssssssssssssssssm.",
        "..mmmsmmmmmmsmmmmmsmmmmm..",
        "...mmmmmmmmmmmmmmmmmmmm...",
    ]
    other = [*rows, *hull[len(rows) :]]
    both = "".join(f"  |{one}..{two[::-1]}|\n" for one, two in zip(hull, other, strict=True))
    return f"\nchart 54 x 13\n{both}"


def field(row: str) -> str:
    """A field of one thread with one row as given, and below it the other thread."""
    return f"""
chart 7 x 6
  |mmmmmmm|
  |mmmmmmm|
  |{row}|
  |mmmmmmm|
  |mmmmmmm|
  |sssssss|
"""


CASES = {
    "motif-not-symmetric": Case(
        KEY
        + """
motif leaf 5 x 2 symmetric left-right
  |ms.sm|
  |m.s.s|
chart 5 x 2
  leaf at 0,0
""",
        "The motif `leaf` is marked symmetric left-right, but 1 cell breaks it: "
        "`m` at 0,1 against `s` at 4,1.",
        KEY
        + HALVES
        + """
motif leaf 4 x 2 symmetric left-right
  |/ss\\|
  |m..m|
chart 4 x 2
  leaf at 0,0
""",
    ),
    "chart-not-symmetric": Case(
        KEY
        + """
chart 5 x 2 symmetric half-turn
  |m.s.m|
  |m.s..|
""",
        "The chart is marked symmetric half-turn, but 1 cell breaks it: "
        "`m` at 0,0 against `.` at 4,1.",
        KEY
        + """
motif tern 2 x 1
  |ms|
chart 6 x 2 symmetric both
  tern at 0,0
  tern mirrored at 4,0
  tern mirrored top-bottom at 0,1
  tern mirrored both at 4,1
""",
    ),
    "no-length": Case(
        KEY
        + LINES
        + """
chart 2 x 1
  |ms|
  line rope 0,0 1,1 1,1 2,0
  knot eye 1,1
""",
        "The line `rope` has a stitch of no length at 1,1.",
        KEY
        + LINES
        + """
chart 2 x 1
  |ms|
  line rope 0,0 1,1 2,0
  knot eye 1,1
""",
    ),
    "doubled-line": Case(
        KEY
        + LINES
        + """
chart 3 x 1
  |ms.|
  line rope 0,0 3,0 1,0
  knot eye 1,1
""",
        "The line `rope` goes twice over the same stitch, at 1,0.",
        KEY
        + LINES
        + """
chart 3 x 1
  |ms.|
  line rope 0,0 3,0 3,1 1,1
  knot eye 1,1
""",
    ),
    "shared-line": Case(
        KEY
        + LINES
        + """
motif box 2 x 1
  |ms|
  line rope 0,0 2,0 2,1 0,1 0,0
chart 4 x 1
  box x 2 at 0,0 step 2,0
  knot eye 1,1
""",
        "The lines `rope` and `rope` share a stitch at 2,0: it is worked twice.",
        KEY
        + LINES
        + """
motif box 2 x 1
  |ms|
  line rope 0,0 2,0 2,1
chart 4 x 1
  box x 2 at 0,0 step 2,0
  knot eye 1,1
""",
    ),
    "knot-on-knot": Case(
        KEY
        + LINES
        + """
chart 2 x 1
  |ms|
  line rope 0,0 1,1
  knot eye 1,1 1,0 1,1
""",
        "Two knots or beads are in one hole, at 1,1.",
        KEY
        + LINES
        + """
chart 2 x 1
  |ms|
  line rope 0,0 1,1
  knot eye 1,1 1,0
""",
    ),
    "piece-without-note": Case(
        KEY
        + """
motif tern 2 x 1
  |ms|
chart 9 x 4
  tern x 2 at 1.5,1 step 4,0
note at 0,4 "Nothing is near this."
""",
        "`tern` lies off the grid, and no note tells the stitcher.",
        KEY
        + """
motif tern 2 x 1
  |ms|
chart 9 x 4
  tern x 2 at 1.5,1 step 4,0
note 1,0 to 3,3 "These two sit half a cross to the right."
""",
    ),
    "off-centre": Case(
        KEY
        + """
motif tern 3 x 2
  |mms|
  |.ms|
chart 21 x 4
  tern at 2,1
  tern mirrored at 17,1
""",
        "`tern` is at 17,1, one cross off the mirror image of the other one, which would be at "
        "16,1.",
        KEY
        + """
motif tern 3 x 2
  |mms|
  |.ms|
chart 21 x 4
  tern at 2,1
  tern mirrored at 16,1
""",
    ),
    "not-on-this-fabric": Case(
        KEY
        + """
motif tern 2 x 1
  |ms|
motif fish 2 x 1
  |sm|
chart 9 x 4
  tern at 1.5,1
  fish at 5,2 over 1 strands 1
note at 1,1 "Half a cross to the right."
note at 5,2 "Over one."
fabric linen 32 over 2
  also linen 28 over 2, aida 14, linen 20 over 1, linen 40 over 4
""",
        "What is off the grid or over another number of threads cannot be worked on aida 14 and "
        "linen 20 over 1: `tern`, `fish`.",
        KEY
        + """
motif tern 2 x 1
  |ms|
chart 9 x 4
  tern at 1.5,1
note at 1,1 "Half a cross to the right."
fabric linen 32 over 2
  also linen 28 over 2, linen 40 over 4
""",
    ),
    "strands-of-the-chart": Case(
        KEY
        + """
motif fish 2 x 1 over 1
  |ms|
chart 9 x 4
  fish at 5,2
note at 5,2 "Over one."
fabric linen 32 over 2
""",
        "`fish` is worked over one in the strands of the key, up to 2: it states none of its own.",
        KEY
        + """
motif fish 2 x 1 over 1 strands 2
  |ms|
motif tern 2 x 1
  |ms|
chart 9 x 4
  fish at 5,2
  tern at 1.5,1
  tern at 1,2 over 1 strands 1
note at 1,1 "Half a cross to the right."
note at 5,2 "Over one."
fabric linen 32 over 2
""",
    ),
    "no-hole-here": Case(
        KEY
        + LINES
        + """
  +  #a03a3a "madder" upright
chart 3 x 1
  |ms+|
  knot eye 0.5,0.5
  line rope 0,0 2,0
fabric linen 28 over 2
  also aida 14, linen 32 over 2, aida 16
""",
        "On aida 14 and aida 16 there is no hole where `eye` and `+` begin or end.",
        KEY
        + LINES
        + """
chart 3 x 1
  |msm|
  knot eye 1,1
  line rope 0,0 2,0
fabric aida 14
  also linen 32 over 2
""",
    ),
    "no-hole-in-the-middle": Case(
        KEY
        + """
  ^  #a03a3a "madder" quarter top-left
chart 3 x 1
  |ms^|
fabric linen 18 over 1
""",
        "`^` is a stitch to the middle of a cross, but over one there is no hole in the middle.",
        KEY
        + """
  ^  #a03a3a "madder" quarter top-left
chart 3 x 1
  |ms^|
fabric linen 28 over 2
""",
    ),
    "unused-symbol": Case(
        KEY
        + """
chart 3 x 1
  |mmm|
""",
        "Nothing is stitched in `s`.",
        KEY
        + """
chart 3 x 1
  |mms|
""",
    ),
    "same-stitch": Case(
        KEY
        + """
  d  #a03a3a "madder" 2 strands
chart 3 x 1
  |mds|
""",
        "`d` and `m` are one and the same stitch.",
        KEY
        + """
  d  #a03a3a "madder" 1 strand
chart 3 x 1
  |mds|
""",
    ),
    "not-divided": Case(
        ODD + "  t  odd 4 2 strands\nchart 6 x 1\n  |tttttt|\n",
        "`odd 4` is perle and does not divide; `t` asks for 2 strands of it.",
        ODD + "  t  odd 4\nchart 6 x 1\n  |tttttt|\n",
    ),
    "few-stitches": Case(
        """
range estuary from estuary.csv
key
  m  estuary 417
  s  estuary 220
chart 6 x 2
  |mmmmmm|
  |ssss..|
""",
        "`estuary 220` is used for only 4 stitches, but a whole skein of it has to be bought.",
        """
range estuary from estuary.csv
key
  m  estuary 417
  s  estuary 220
chart 6 x 2
  |mmmmmm|
  |sssss.|
""",
    ),
    "alike-threads": Case(
        """
key
  m  #a03a3a "madder"
  n  #a43c3a "rust"
chart 2 x 1
  |mn|
""",
        "`madder` and `rust` lie side by side and are hard to tell apart: their colours differ by "
        "1.2 (CIEDE2000).",
        """
key
  m  #a03a3a "madder"
  n  #a43c3a "rust"
chart 3 x 1
  |m.n|
""",
    ),
    "alike-to-some": Case(
        """
key
  m  #d25a3a "rust"
  n  #60a03a "weed"
chart 4 x 1
  |mnmn|
""",
        "To an eye without green cones (deuteranopia) these look alike and lie side by side: "
        "`m` and `n` (2.0).",
        """
key
  m  #d25a3a "rust"
  n  #2f5a1e "weed"
chart 4 x 1
  |mnmn|
""",
    ),
    "alike-in-grey": Case(
        """
key
  m  #504040 "peat"  printed almond
  n  #404069 "dusk"  printed buckle
chart 4 x 1
  |mnmn|
""",
        "In a grey print these look alike and lie side by side: `m` and `n` (0.0).",
        """
key
  m  #504040 "peat"  printed ring
  n  #404069 "dusk"  printed slab
chart 4 x 1
  |mnmn|
""",
    ),
    "break-outside": Case(
        OPEN
        + KEY
        + """
chart 3 x 1
  |mms|
pages
  break before column 4
""",
        "No page can begin with column 4: the chart ends with column 3.",
        OPEN
        + KEY
        + """
chart 3 x 1
  |mms|
pages
  break before column 3
""",
    ),
    "note-outside": Case(
        KEY
        + """
chart 3 x 1
  |mms|
note 1,1 to 4,1 "Too far."
""",
        "The note at 1,1 to 4,1 lies outside the chart, which is 3 x 1.",
        KEY
        + """
chart 3 x 1
  |mms|
kept 0,0 to 3,1 "All of it."
""",
    ),
    "idle-colourway": Case(
        KEY
        + """
  t  #3a5fa0 "tide"
chart 3 x 1
  |mms|
colourway faded "As it looks today"
  m  #b07070 "pink"
  t  #8090a0 "grey"
""",
        "The colourway `faded` changes `t`, in which nothing is stitched.",
        also=("unused-symbol",),
        silent=KEY
        + """
chart 3 x 1
  |mms|
colourway faded "As it looks today"
  m  #b07070 "pink"
""",
    ),
    "words-in-english": Case(
        'linen 1\nbooklet "Reeds"\n  language da\n' + KEY + "chart 4 x 1\n  |mmss|\n",
        "There are no words for a booklet in `da`: its headings and fixed sentences will be in "
        "English.",
        'linen 1\nbooklet "Reeds"\n  language de-AT\n' + KEY + "chart 4 x 1\n  |mmss|\n",
    ),
    "edition-without-revision": Case(
        'linen 1\nbooklet "Test"\n  edition "2"\n'
        + KEY
        + """
chart 3 x 1
  |mms|
revision "1" "First printing."
""",
        "This is edition 2, but nothing says what changed in it.",
        'linen 1\nbooklet "Test"\n  edition "2"\n'
        + KEY
        + """
chart 3 x 1
  |mms|
revision "2" "Row 1: the last cross is sedge."
""",
    ),
    "not-as-expected": Case(
        KEY
        + """
chart 4 x 2
  |mms.|
  |m..m|
expect m 4
expect m 3 in 0,0 to 2,1
""",
        "3 of `m` are expected, but 0,0 to 2,1 holds 2.",
        KEY
        + LINES
        + """
motif tern 2 x 1
  |ms|
chart 4 x 2
  |mms.|
  |m...|
  tern at 3,1 over 1 strands 1
  line rope 0,0 3,0
  knot eye 1,1 2,1
expect m 4
expect m 1 in 3,1 to 4,2
expect m 0 in 3.5,1 to 4,2
expect s 2
note at 3,1 "Over one."
""",
    ),
    "never-placed": Case(
        KEY
        + """
motif tern 2 x 1
  |ms|
chart 3 x 1
  |mms|
""",
        "The motif `tern` is never placed.",
        KEY
        + """
motif tern 2 x 1
  |ms|
alphabet marking height 1
  A |m|
chart 3 x 1
  tern at 0,0
  text "A" in marking at 2,0
""",
    ),
    "lone-stitch": Case(
        KEY + heart("msmsssssm"),
        "There is a lone `m` at 2,3 of the motif `heart`; at its mirror image, 6,3, there is none, "
        "though all else is symmetric.",
        KEY + heart("msmsssmsm"),
    ),
    "nearly-symmetric": Case(
        KEY + heart("m.ssssssm"),
        "But for one cell the motif `heart` would be symmetric: `.` at 1,3 against `s` at 7,3.",
        KEY + heart("m.sssssm."),  # two cells: this may well be drawn so
    ),
    "odd-repeat": Case(
        KEY + band(f"{RAY}.{RAY}.{BARE_HEART}.{RAY}."),
        "`s` at 24,4 of the chart is where the matching cells at 14,4 and 34,4 have `m`.",
        KEY + band(f"{RAY}." * 4),
    ),
    "nearly-a-motif": Case(
        KEY + star("|.m.....m............|"),
        "At 1,1 the chart holds `star` with one cell different: "
        "`.` at 4,1 where the motif has `s`.",
        KEY + star("|.mm...mm............|"),  # three cells differ: another star
    ),
    "odd-twin": Case(
        KEY + leaves("|.ms.m.....mssm.|"),
        "`.` at 3,4 of the chart and `s` at 11,4 differ, though everything around them matches: "
        "one of them is probably a slip.",
        KEY + leaves("|.m..m.....mssm.|"),  # two cells differ: it may be another leaf
    ),
    "off-by-one": Case(
        KEY
        + boats(
            "..........................",
            "..............ss..........",
            "..............ssss........",
            "..............ss..........",
        ),
        "At 14,0 to 18,4 the chart is one row higher than the matching part at 36,0 to 40,4.",
        KEY + boats(),
    ),
    "other-thread": Case(
        KEY
        + boats(
            "..............mm..........",
            "..............mmmm........",
            "..............mm..........",
        ),
        "`s` is used for 8 cells at 14,0 to 18,3 of the chart, where the matching part at "
        "36,0 to 40,3 has `m`.",
        KEY + boats(),
    ),
    "speck": Case(
        KEY + field("mmmsmmm"),
        "A lone `s` is in a field of `m`, at 3,2 of the chart.",
        KEY + field("msmmmsm"),  # where it stands more than once it is a pattern
    ),
    "unknown-shape": Case(
        KEY
        + """
  t  #3a5fa0 "tide" printed bottle
chart 3 x 1
  |mst|
""",
        "There is no printed symbol called `bottle`.",
        KEY
        + """
  t  #3a5fa0 "tide" printed ring
chart 3 x 1
  |mst|
""",
    ),
    "shape-wished-twice": Case(
        """
key
  m  #a03a3a "madder" printed ring
  s  #5f7a4a "sedge" printed ring
chart 2 x 1
  |ms|
""",
        "`s` and `m` both ask to be printed as `ring`.",
        """
key
  m  #a03a3a "madder" printed ring
  s  #5f7a4a "sedge" printed plank
chart 2 x 1
  |ms|
""",
    ),
    "too-many-symbols": Case(
        many_lines(len(shape_names()) + 1),
        f"The key has {len(shape_names()) + 1} lines for cells",
        many_lines(len(shape_names())),
    ),
    "printed-unused": Case(
        KEY
        + """
  rope  #20242c "ink" back printed ring
chart 2 x 1
  |ms|
  line rope 0,0 1,1
""",
        "`rope` is drawn as it is stitched and has no printed symbol.",
        KEY
        + """
  rope  #20242c "ink" back
chart 2 x 1
  |ms|
  line rope 0,0 1,1
""",
    ),
    "alike-symbols": Case(
        """
key
  m  #a03a3a "madder" printed ring
  s  #5f7a4a "sedge" printed vane
chart 2 x 1
  |ms|
""",
        "`m` and `s` lie side by side, and their printed symbols `ring` and `vane` look alike",
        """
key
  m  #a03a3a "madder" printed ring
  s  #5f7a4a "sedge" printed vane
chart 3 x 1
  |m.s|
""",
    ),
    "on-withdrawn": Case(
        OPEN
        + KEY
        + """
chart 8 x 4
  |.m......|
  |........|
  |.s......|
  |........|
  withdrawn rows 1,1 to 7,2.5
""",
        "`s` lies on withdrawn threads, first at 1,2.",
        OPEN
        + KEY
        + """
chart 8 x 4
  |.m......|
  |........|
  |........|
  |.s......|
  withdrawn rows 1,1 to 7,2.5
""",
    ),
    "not-withdrawn": Case(
        OPEN + HEM + "  withdrawn rows 1,1 to 7,2\n",
        "`h` ties threads from 1,1 to 2.5,2.5, where none are withdrawn.",
        OPEN + HEM + "  withdrawn rows 1,1 to 7,2.5\n",
    ),
    "withdrawn-on-fabric": Case(
        OPEN + "  also linen 32 over 2, aida 14" + GAP,
        "The threads that are withdrawn cannot be withdrawn from `aida 14`.",
        OPEN + "  also linen 28 over 2" + GAP,
    ),
    "last-of-a-skein": Case(
        skein("0.16"),
        "Of 1 skein of `estuary 417` only 0.",
        skein("0.2"),
    ),
    "pulled-on-blocks": Case(
        counted("eye", EYE, fabric="aida 14"),
        "`o` is pulled, but the blocks of aida 14 cannot be drawn together.",
        counted("eye", EYE),
    ),
    "long-float": Case(
        counted("long", LONG_CHART, fabric="linen 10 over 2", defined=LONG),
        "Threads of `o` lie 15.2 mm long on the front, first at 0,3; above 12 mm they catch",
        counted(
            "long", LONG_CHART, fabric="linen 10 over 2", defined=f"{LONG}\nworking\n  float 16 mm"
        ),
    ),
    "short-row": Case(
        counted("montenegrin", row_of(1)),
        "A row of `o` at 0,0 is too short for its stitch, which reaches farther ahead.",
        counted("montenegrin", row_of(2)),
    ),
    "holes-apart": Case(
        counted("eye", two_eyes(1)),
        "Two `o` touch at 2,0.5, but their holes do not meet.",
        counted("eye", two_eyes(2)),
    ),
    "direction-changes": Case(
        counted("gobelin", slants("mirrored ")),
        "The stitches of `o` change their direction within a field, at 1,0.",
        counted("gobelin", slants("")),
    ),
    "part-uneven": Case(
        shown(part="0,0 to 11.5,12"),
        "What this photograph shows does not begin and end between whole crosses.",
        shown(part="0,0 to 11,12"),
    ),
    "part-outside": Case(
        shown(part="0,0 to 13,12"),
        "What this photograph shows, 0,0 to 13,12, does not lie in the chart, which is 12 x 12.",
        shown(part="0,0 to 12,12"),
    ),
    "corners-outside": Case(
        shown("20,20 240,22 142,142 18,140"),
        "The corner at 240,22 is outside the photograph, which is 200 x 200 pixels.",
        shown("20,20 200,22 142,142 18,140"),
    ),
    "corners-crossed": Case(
        shown("140,22 20,20 142,142 18,140"),
        "The corners are crossed.",
        shown("18,140 20,20 140,22 142,142"),  # turned by a quarter
    ),
    "corners-in-line": Case(
        shown("20,20 140,20 80,20 18,140"),
        "Three of the four corners lie in a line.",
        shown("20,20 140,20 120,80 18,140"),
    ),
    "landmark-outside": Case(
        shown(more="  landmark 13,6 at 100,100\n"),
        "The landmark at 13,6 is outside the 12 x 12 crosses.",
        shown(more="  landmark 6,6 at 81,82\n"),
    ),
    "landmark-off": Case(
        shown(more="  landmark 6,6 at 130,81\n"),
        "The landmark at 6,6 lies 5 crosses from where the corners have it.",
        shown(more="  landmark 6,6 at 85,79\n"),
    ),
    "too-small-to-read": Case(
        shown("20,20 68,20 68,68 20,68"),
        "A cross is 4.0 pixels wide in this photograph, too few to be read.",
        shown(),
    ),
    "small-crosses": Case(
        shown("20,20 86,20 86,86 20,86"),
        "A cross is 5.5 pixels wide in this photograph; many cells will be doubtful.",
        shown("20,20 92,20 92,93 20,92"),
    ),
    "part-too-small": Case(
        shown(part="0,0 to 12,4"),
        "12 x 4 crosses are too few to follow.",
        shown(part="0,0 to 12,5"),
    ),
    "part-too-large": Case(
        shown(side=502),
        "502 x 502 crosses are too many for one photograph.",
        shown(part="0,0 to 12,12", side=502),
    ),
}
