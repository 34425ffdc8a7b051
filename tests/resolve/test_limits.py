"""The table "Limits and safety" of grammar/notation.md is true, line by line.

For each line: a source at the limit passes, one beyond it is refused with a finding. The figures
are read from the table, so that it cannot say another one.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from linenleaf.core.diagnostics import Diagnostic
from linenleaf.flow import follow
from PIL import Image

NOTATION = Path(__file__).resolve().parents[2] / "grammar" / "notation.md"
HEAD = 'linen 1\n{book}fabric linen 32 over 2\n{cloth}key\n  m  #3f4a2c "wrack"\n{key}'
HEAD += '  rope  #20242c "ink" back\n  eye  #aa3344 "madder" knot\n'
BOOK = 'booklet "Limits"\n'
SIGNS = [chr(each) for each in range(0x3400, 0x3400 + 600)]

Files = dict[str, str | bytes]


def limits() -> dict[str, list[int]]:
    """The figures of each line of the table, by what it is about."""
    text = NOTATION.read_text("utf-8").partition("| what | at most |")[2].partition("\n\n")[0]
    rows = re.findall(r"^\| (?!what|-)(.+?) \| (.+?) \|$", text, re.MULTILINE)
    return {what: [int(n.replace(",", "")) for n in re.findall(r"[\d,]*\d", most)]
            for what, most in rows}  # fmt: skip


def chart(
    body: str = "|m.|\n|..|\n",
    *,
    book: str = "",
    cloth: str = "",
    key: str = "",
    before: str = "",
    size: str = "2 x 2",
    after: str = "",
    **files: str | bytes,
) -> Files:
    head = HEAD.format(book=BOOK + book if book else "", cloth=cloth, key=key)
    return {"chart.linen": f"{head}{before}chart {size}\n{body}{after}", **files}


def told(folder: Path, files: Files) -> list[Diagnostic]:
    """The errors of a chart."""
    for name, text in files.items():
        (folder / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return [each for each in follow(folder / "chart.linen").findings if each.level == 0]


def found(folder: Path, files: Files) -> set[str]:
    """The names of the errors of a chart."""
    return {each.name for each in told(folder, files)}


def story(text: str) -> Files:
    return chart(book="  story story.md\n", **{"story.md": text})


def row(width: int) -> Files:
    return chart("|" + "m" * width + "|\n", size=f"{width} x 1")


def worded(words: int) -> Files:
    """Most words stand in remarks behind statements, half of these in a file that is used."""
    many = (words - 3_000) // 4_006
    dots = [f"motif d-{n} 1 x 1 #{' a' * 4_000}\n|m|\n" for n in range(many)]
    half, rest = "".join(dots[: many // 2]), "".join(dots[many // 2 :])
    plain = "line rope 0,0 1,1 #"
    used = {"u.linen": f"linen 1\n{half}"}
    there = re.sub('".*?"', "", chart(f"{plain}\n", before="use u.linen\n")["chart.linen"])
    left = words - len(re.findall(r"[^\s,]+", f"linen 1 {there}")) - 4_006 * many
    return chart(f"{plain}{' a' * left}\n", before=f"use u.linen\n{rest}", **used)


def letters(height: int) -> Files:
    first = "  T |m|\n" + "    |m|\n" * (height - 1)
    return chart(before=f"alphabet tall height {height}\n" + first)


def keys(cells: int, others: int = 0) -> Files:
    # With `m`, `rope` and `eye`.
    lines = "".join(f'  {s}  #{n:06x} "t {n}"\n' for n, s in enumerate(SIGNS[: cells - 1]))
    lines += "".join(f'  back-{n}  #{n:06x} "b {n}" back\n' for n in range(others - 2))
    return chart(key=lines)


def stitches(parts: int) -> Files:
    # Quarters in all corners, and one more that no cell has room for.
    corners = ["top-left", "top-right", "bottom-left", "bottom-right", "top-left"]
    joined = " + ".join(f'#11223{n} "q {n}" quarter {c}' for n, c in enumerate(corners[:parts]))
    return chart(key=f"  x  {joined}\n")


def blend(threads: int) -> Files:
    return chart(key="  x  " + " with ".join(f'#11223{n} "b {n}"' for n in range(threads)) + "\n")


def strands(many: int) -> Files:
    return chart(key=f'  x  #112233 "x" {many} strands\n')


def colourways(many: int) -> Files:
    return chart(after="".join(f'colourway way-{n}\n m #00{n:04x} "w {n}"\n' for n in range(many)))


def repeats(across: int) -> Files:
    dots = f"dot x {across} by 100 at 0,0 step 1,1\n"
    return chart(dots, before="motif dot 1 x 1\n|m|\n", size=f"{across} x 100")


def copies(many: int) -> Files:
    lines = "dot x 2000 by 5 at 0,0 step 1,1 replacing\n" * (many // 10_000)
    lines += "dot at 0,0 replacing\n" * (many % 10_000)
    return chart(lines, before="motif dot 1 x 1\n|m|\n", size="2000 x 5")


def points(many: int) -> Files:
    # Placed fifty times from a motif, and the rest drawn.
    line = "  line rope " + "0,0 1,1 " * 500 + "\n"
    drawn = f"star x {many // 1000} at 0,0 step 1,0\n" + "knot eye 1,1\n" * (many % 1000)
    return chart(drawn, before="motif star 1 x 1\n  |.|\n" + line, size="60 x 2")


def large(many: int, corner: str) -> Files:
    """A motif of one stitch and much bare cloth again and again, and one of a cell."""
    side = 1000
    before = f"motif big {side} x {side}\n|m{'.' * (side - 1)}|\n" + f"|{'.' * side}|\n" * (
        side - 1
    )
    before += "motif dot 1 x 1\n|m|\n"
    lines = f"big at {corner} replacing\n" * (many // side**2)
    return chart(lines + f"dot at {corner} replacing\n" * (many % side**2), before=before)


def threads(many: int) -> Files:
    rows = "".join(f"{n},t {n},#aabbcc\n" for n in range(many))
    return chart(before="range estuary from r.csv\n", **{"r.csv": "code,name,colour\n" + rows})


def ranges(many: int, each: int = 1) -> Files:
    files = {
        f"r{n}.csv": "code,name,colour\n" + "".join(f"{c},t,#aabbcc\n" for c in range(each))
        for n in range(many)
    }
    return chart(before="".join(f"range r{n:02} from r{n}.csv\n" for n in range(many)), **files)


def sections(many: int, size: int = 1) -> Files:
    lines = "".join(f'  section "S {n}" part.md\n' for n in range(many))
    return chart(book=lines, **{"part.md": "a " * (size // 2)})


def used(many: int, lines: int = 1, own: int = 0) -> Files:
    files = {f"u{n}.linen": "linen 1\n" + "# x\n" * lines for n in range(many)}
    lines_of_use = "".join(f"use u{n}.linen\n" for n in range(many))
    return chart(before=lines_of_use + "# x\n" * own, **files)


def deep(many: int) -> Files:
    files = {f"u{n}.linen": f"linen 1\nuse u{n + 1}.linen\n" for n in range(many)}
    files[f"u{many}.linen"] = "linen 1\n"
    return chart(before="use u1.linen\n", **files)


def nested(many: int, over: str = "m0") -> Files:
    """Motifs each of which holds the one before, or all the same one."""
    blocks = "motif m0 1 x 1\n|m|\n" + "".join(
        f"motif m{n + 1} 1 x 1\n{over.format(n)} at 0,0\n" for n in range(many)
    )
    text = chart(f"m{many} at 0,0\n", before=blocks)["chart.linen"]
    return {"chart.linen": text.replace("linen 1", "linen 2", 1)}


def fabrics(many: int) -> Files:
    return chart(cloth="  also aida 14\n" * many)


def own_stitches(many: int, strokes: int, wide: int = 2) -> Files:
    blocks = "".join(
        f"stitch my-{n} over {wide} x 2\n" + "  up 0,2 down 2,0\n" * strokes for n in range(many)
    )
    text = chart()["chart.linen"].replace("linen 1", "linen 2", 1)
    return {"chart.linen": text.replace("key\n", f"{blocks}key\n", 1)}


def pages(breaks: int) -> Files:
    text = chart("|m.|\n" * 60, size="2 x 60")["chart.linen"].replace("linen 1", "linen 2", 1)
    lines = "".join(f"  break before row {row}\n" for row in range(2, breaks + 2))
    return {"chart.linen": f"{text}pages\n{lines}"}


def address(lines: int) -> Files:
    text = chart(book='  address "a"\n' * lines)["chart.linen"]
    return {"chart.linen": text.replace("linen 1", "linen 2", 1)}


def gaps(many: int) -> Files:
    lines = "".join(f"withdrawn rows 0,{at} to 2,{at + 1}\n" for at in range(many))
    text = chart(lines, size="2 x 300")["chart.linen"]
    return {"chart.linen": text.replace("linen 1", "linen 2", 1)}


def left(threads: int) -> Files:
    # In gaps along the whole chart, and the last as long as it takes.
    ends = [2000.0] * (threads // 4000) + [threads % 4000 / 2] * (threads % 4000 > 0)
    lines = "".join(f"withdrawn rows 0,{at} to {end:g},{at + 1}\n" for at, end in enumerate(ends))
    text = chart(lines, size="2000 x 60")["chart.linen"]
    return {"chart.linen": text.replace("linen 1", "linen 2", 1)}


def photographs(many: int, marks: int = 0) -> Files:
    into = io.BytesIO()
    Image.new("RGB", (100, 100)).save(into, "PNG")
    block = "photograph p.png\n  shows chart\n  corners 10,10 90,10 90,90 10,90\n"
    block += "".join(f"  landmark 4,4 at {n % 20 + 40},{n // 20 + 40}\n" for n in range(marks))
    text = chart("|mm......|\n" * 8, size="8 x 8", after=block * many)["chart.linen"]
    return {"chart.linen": text.replace("linen 1", "linen 2", 1), "p.png": into.getvalue()}


def ways(many: int) -> Files:
    """Each thread of a key has a block; the key has three lines besides."""
    named = ['#3f4a2c "wrack"', '#20242c "ink"', '#aa3344 "madder"']
    named += [f'#3f4a2c "t{n}"' for n in range(many - 3)]
    key = "".join(f"  line-{n}  {thread} back\n" for n, thread in enumerate(named[3:500]))
    blocks = "".join(f"thread {thread}\n  method each\n" for thread in named)
    text = chart(key=key, after=blocks)["chart.linen"]
    return {"chart.linen": text.replace("linen 1", "linen 2", 1)}


def dyed(colours: int) -> Files:
    table = f"code,name,colour,kind,colours\n1,rosehip,#b04a3a,overdyed,{'#b04a3a ' * colours}\n"
    text = chart(before="range shore from shore.csv\n")["chart.linen"]
    return {"chart.linen": text.replace("linen 1", "linen 2", 1), "shore.csv": table}


# What the table says: the line, which of its figures, a source with so many, and the finding.
CASES: list[tuple[str, int, Callable[[int], Files], str]] = [
    ("chart file", 2, lambda n: chart(after="# x\n" * (n - 9)), "too-many-lines"),
    ("a line that is not a row", 0, lambda n: chart(f"line rope 0,0 1,1{' ' * (n - 18)}#\n"),
        "line-too-long"),
    ("a line that is not a row", 1, worded, "too-many-lines"),
    ("a text", 0, lambda n: chart(after=f'note at 0,0 "{"a" * n}"\n'), "text-too-long"),
    ("a name", 0, lambda n: chart(before=f"motif {'a' * n} 1 x 1\n|m|\n"), "name-too-long"),
    ("chart, motif, row", 0, row, "absurd-number"),
    ("chart, motif, row", 1, lambda n: chart("line rope 0,0 1,1\n", size=f"2000 x {-(-n // 2000)}"),
        "too-many-crosses"),
    ("height of letters", 0, letters, "absurd-number"),
    ("key", 0, lambda n: keys(214, n - 214), "key-too-long"),
    ("key", 1, keys, "too-many-symbols"),
    ("key", 2, stitches, "too-many-parts"),
    ("key", 3, blend, "blend-too-long"),
    ("key", 4, strands, "absurd-number"),
    ("colourways", 0, colourways, "too-many-of-a-kind"),
    ("motifs in motifs", 0, lambda n: nested(n, "m{}"), "motifs-too-deep"),
    ("motifs in motifs", 1, nested, "too-many-copies"),
    ("repeats of one placement", 0, lambda n: repeats(-(-n // 100)), "too-many-repeats"),
    ("all that is placed", 1, lambda n: large(n, "0,0"), "too-many-copies"),
    ("all that is placed", 2, lambda n: large(n, "0.5,0"), "too-many-copies"),
    ("lines, knots and beads", 0, points, "too-many-points"),
    ("thread range", 3, ranges, "too-many-files"),
    ("thread range", 4, lambda n: ranges(25, -(-n // 25)), "range-too-long"),
    ("story or section", 0, lambda n: story("a" * 1024 * n), "file-too-large"),
    ("story or section", 2, lambda n: story("'" * n), "too-intricate"),
    ("story or section", 3, sections, "too-many-files"),
    ("story and sections in all", 1, lambda n: story("|a|\n|-|\n" + "|a|\n" * (n - 1)),
        "too-intricate"),
    ("story and sections in all", 2, lambda n: story("*a* " * n), "too-intricate"),
    ("story and sections in all", 3, lambda n: story("***\n" * n), "too-intricate"),
    ("`note` and the like", 0, lambda n: chart(after='note at 0,0 "a"\n' * n),
        "too-many-of-a-kind"),
    ("`thread`", 0, ways, "too-many-of-a-kind"),
    ("colours of an overdyed thread", 0, dyed, "overdyed-colours"),
    ("`withdrawn`", 0, gaps, "too-many-of-a-kind"),
    ("`withdrawn`", 1, left, "too-many-of-a-kind"),
    ("`revision`", 0, lambda n: chart(after='revision "1" "a"\n' * n), "too-many-of-a-kind"),
    ("`expect`", 0, lambda n: chart(after="expect m 1\n" * n), "too-many-of-a-kind"),
    ("`needs`", 0, lambda n: chart(book='  needs "a"\n' * n), "too-many-of-a-kind"),
    ("lines of `pages`", 0, pages, "too-many-of-a-kind"),
    ("`address`", 0, address, "too-many-of-a-kind"),
    ("stitches of a chart's own", 0, lambda n: own_stitches(n, 1), "too-many-of-a-kind"),
    ("stitches of a chart's own", 1, lambda n: own_stitches(1, n), "too-many-of-a-kind"),
    ("stitches of a chart's own", 2, lambda n: own_stitches(1, 1, n), "absurd-number"),
    ("other fabrics", 0, fabrics, "too-many-fabrics"),
    ("`photograph`", 0, photographs, "too-many-of-a-kind"),
    ("`photograph`", 1, lambda n: photographs(1, n), "too-many-of-a-kind"),
    ("files used", 0, used, "too-many-files"),
    ("files used", 1, deep, "too-many-files"),
    ("files used", 2, lambda n: used(3, 30_000, n - 90_015), "too-many-lines"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("what", "which", "source", "finding"), CASES, ids=[f"{c[0]} {c[1]}" for c in CASES]
)
def test_at_the_limit_and_beyond(
    what: str,
    which: int,
    source: Callable[[int], Files],
    finding: str,
    tmp_path: Path,
) -> None:
    most = limits()[what][which]
    assert found(tmp_path, source(most)) == set()
    assert finding in found(tmp_path, source(most + 1))


# Dear ones, which are counted line by line.
BY_LINE: list[tuple[str, int, Callable[[int], Files], str, str]] = [
    ("all that is placed", 0, copies, "too-many-copies", "dot at 0,0 replacing"),
    ("thread range", 1, threads, "range-too-long", "20000,t 20000,#aabbcc"),
]


@pytest.mark.parametrize(("what", "which", "source", "finding", "line"), BY_LINE)
def test_all_lines_but_the_last_are_let_pass(
    what: str,
    which: int,
    source: Callable[[int], Files],
    finding: str,
    line: str,
    tmp_path: Path,
) -> None:
    (error,) = told(tmp_path, source(limits()[what][which] + 1))
    assert error.name == finding
    assert error.span.source.text.endswith(f"\n{line}\n")
    assert error.span.source.line_text(error.span.line) == line
    assert error.span.line == error.span.source.text.count("\n")


def test_every_line_of_the_table_is_looked_at() -> None:
    # Looked at with strange pictures, with many charts, with fabrics, with pages, with differences.
    elsewhere = {
        "pages of one's own size",
        "picture",
        "all pictures of a booklet",
        "a folder that is named",
        "fabric count",
        "runs of cells of one thread in the picture of a difference (`diff -o`)",
    }
    assert limits().keys() - elsewhere == {case[0] for case in (*CASES, *BY_LINE)}
