"""The strangest sources that are accepted, and what they cost.

    python -m tests.benchmarks.worst                 every case at its limit, `check` and `build`
    python -m tests.benchmarks.worst notes tables    the cases whose names hold one of these words
    python -m tests.benchmarks.worst --share 0.5     half of what the limit allows, to see growth
    python -m tests.benchmarks.worst --commands check,count,picture,diff,errata,tidy

No accepted source may take more than 10 s and 0.6 s a page. `diff` and `errata` compare with a
chart that holds nine tenths as much. Printed for each case: seconds of the processors and MiB of
memory (of all processes), pages, and seconds against what is allowed. Where a limit refuses the
case, the name of the finding stands there. Takes most of an hour when all is asked for.
"""

from __future__ import annotations

import argparse
import re
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pikepdf
from PIL import Image

from .processes import summed

ALLOWED, ALLOWED_A_PAGE = 10.0, 0.6  # seconds
GIVEN_UP = 400

HEAD = "linen 1\n{booklet}fabric linen 32 over 2\n{fabric}"
KEY = 'key\n  m  #3f4a2c "wrack"\n  s  #d9c79a "sand"\n{key}  rope  #20242c "ink" back\n'
KEY += '  eye  #aa3344 "madder" knot\n  drop  #ffcc55 "amber" bead\n'
SIGNS = "abcdefghijklnopqrtuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"


def chart(
    folder: Path,
    items: str = "",
    *,
    booklet: str = "",
    fabric: str = "",
    key: str = "",
    before: str = "",
    size: str = "60 x 40",
    after: str = "",
) -> None:
    """Write a chart with something strange in one of its places."""
    said = f'booklet "Worst"\n{booklet}' if booklet else ""
    text = HEAD.format(booklet=said, fabric=fabric) + KEY.format(key=key) + before
    text += f"chart {size}\n{items}{after}"
    (folder / "chart.linen").write_text(text, "utf-8")


def told(text: str) -> Callable[[Path, int], None]:
    """A case of a story: a piece of text again and again, so many bytes in all."""

    def write(folder: Path, many: int) -> None:
        (folder / "story.md").write_text("x\n\n" + text * (many // len(text.encode())), "utf-8")
        chart(folder, "  line rope 1,1 3,3\n", booklet="  story story.md\n")

    return write


def table(folder: Path, many: int, columns: int = 1) -> None:
    cells = "|" + "a|" * columns + "\n"
    head = cells + "|" + "-|" * columns + "\n"
    (folder / "story.md").write_text(head + cells * (many // columns), "utf-8")
    chart(folder, "  line rope 1,1 3,3\n", booklet="  story story.md\n")


def sections(folder: Path, many: int) -> None:
    (folder / "part.md").write_text(("A word or two of the tide. " * 12 + "\n\n") * many, "utf-8")
    chart(
        folder,
        "  line rope 1,1 3,3\n",
        booklet="".join(f'  section "Part {n}" part.md\n' for n in range(20)),
    )


def pictured(folder: Path, many: int, side: int = 60) -> None:
    noise = np.random.default_rng(1).integers(0, 255, (side, side, 3), dtype=np.uint8)
    for number in range(many):
        Image.fromarray(np.roll(noise, number, 0)).save(folder / f"p{number}.png")
    lines = "".join(f'  picture p{n}.png "Shore {n}"\n' for n in range(many))
    chart(folder, "  line rope 1,1 3,3\n", booklet=lines)


def notes(folder: Path, many: int, spread: int = 60, size: str = "60 x 40") -> None:
    lines = [
        f'note at {n % spread},{n // spread % 40} "Note {n} says something here."'
        for n in range(many)
    ]
    chart(folder, "  line rope 1,1 3,3\n", after="\n".join(lines) + "\n", size=size)


def areas(folder: Path, many: int) -> None:
    lines = [f'departure 0,0 to {n % 60 + 1},40 "Departure {n}."' for n in range(many)]
    chart(folder, "  line rope 1,1 3,3\n", after="\n".join(lines) + "\n")


def long_notes(folder: Path, many: int) -> None:
    text = "A word of it. " * 700
    lines = [f'note at {n % 60},{n // 60 % 40} "{text}"' for n in range(many)]
    chart(folder, "  line rope 1,1 3,3\n", after="\n".join(lines) + "\n")


def revisions(folder: Path, many: int, words: str = "Row 44: a cross too far left.") -> None:
    lines = [f'revision "{n}" "{words}"' for n in range(many)]
    chart(folder, "  line rope 1,1 3,3\n", after="\n".join(lines) + "\n")


def needs(folder: Path, many: int) -> None:
    chart(folder, "  line rope 1,1 3,3\n", booklet='  needs "A hoop"\n' * many)


def also(folder: Path, many: int) -> None:
    fabrics = "".join(f"  also linen {20 + n} over 2\n" for n in range(many))
    chart(folder, noise(folder, 300, 8, 0.1), fabric=fabrics, size="300 x 300", key=keys(8))


def keys(many: int, kind: str = "") -> str:
    signs = [*SIGNS, *map(chr, range(0x3400, 0x3400 + many))][:many]
    return "".join(
        f'  {sign}  #{n * 7 % 256:02x}{n * 13 % 256:02x}{n * 29 % 256:02x} "thread {n}" {kind}\n'
        for n, sign in enumerate(signs)
    )


def words(many: int, kind: str) -> str:
    return "".join(
        f"  {kind}-{n}  #{n * 7 % 256:02x}{n * 13 % 256:02x}{n * 29 % 256:02x} "
        f'"{kind} {n}" {kind}\n'
        for n in range(many)
    )


def noise(_folder: Path, side: int, threads: int, cover: float = 1.0, high: int = 0) -> str:
    random = np.random.default_rng(5)
    signs = np.array([*SIGNS, *map(chr, range(0x3400, 0x3400 + threads))][:threads])
    cells = signs[random.integers(0, threads, (high or side, side))]
    cells[random.random(cells.shape) >= cover] = "."
    return "".join(f"|{''.join(row)}|\n" for row in cells)


def noisy(
    folder: Path, many: int, threads: int = 60, cover: float = 1.0, ratio: int = 1, high: int = 0
) -> None:
    high = high or many // ratio
    rows = noise(folder, many, threads, cover, high)
    chart(folder, rows, key=keys(threads), size=f"{many} x {high}")


def coarse(folder: Path, many: int) -> None:
    noisy(folder, many, 60, 0.1)
    made = folder / "chart.linen"
    made.write_text(made.read_text().replace("linen 32 over 2", "aida 14 over 12", 1))


def all_keys(folder: Path, many: int) -> None:
    # With the two cells, one line, one knot and one bead that all these charts have.
    cells = min(many, 207)
    rest = many - cells - 5
    lines = "".join(f"  line back-{n} {n % 60},0 {n % 60},{n % 40 + 1}\n" for n in range(rest // 2))
    dots = "".join(f"  knot knot-{n} {n % 60},{n % 40}\n" for n in range(rest - rest // 2))
    key = keys(cells) + words(rest // 2, "back") + words(rest - rest // 2, "knot")
    chart(folder, noise(folder, 60, cells, 1.0, 40) + lines + dots, key=key)


def blends(folder: Path, many: int) -> None:
    needle = " with ".join(f'#{n}{n}4455 "blend {n}" 4 strands' for n in range(6))
    signs = [*SIGNS, *map(chr, range(0x3400, 0x3400 + many))][:many]
    corners = ("top-left", "top-right", "bottom-left", "bottom-right")
    parts = " + ".join(f"{needle} quarter {corner}" for corner in corners)
    key = "".join(f"  {sign} {parts}\n" for sign in signs)
    chart(folder, noise(folder, 300, many), key=key, size="300 x 300")


def quarters(folder: Path, many: int) -> None:
    corners = ("top-left", "top-right", "bottom-left", "bottom-right")
    key = "".join(
        f"  {sign} " + " + ".join(f'#{n + 16:02x}2233 "t {n}" quarter {c}' for c in corners) + "\n"
        for n, sign in enumerate(SIGNS[:20])
    )
    chart(folder, noise(folder, many, 20), key=key, size=f"{many} x {many}")


def colourways(folder: Path, many: int, side: int = 60) -> None:
    ways = "".join(
        f'colourway way-{n} "Way {n}"\n  a  #{n % 256:02x}4455 "other {n}"\n' for n in range(many)
    )
    chart(folder, noise(folder, side, 20), key=keys(20), size=f"{side} x {side}", after=ways)


def points(folder: Path, many: int) -> None:
    """Lines of as many points as a statement can hold."""
    each = [f"{n % 60},{n // 60 % 40}" for n in range(1000)]
    lines = f"  line rope {' '.join(each)}\n" * (many // 1000)
    chart(folder, lines)


def short_lines(folder: Path, many: int) -> None:
    lines = "".join(
        f"  line rope {n % 59},{n // 59 % 39} {n % 59 + 1},{n // 59 % 39 + 1}\n"
        for n in range(many)
    )
    chart(folder, lines)


def long_lines(folder: Path, many: int) -> None:
    lines = "".join(f"  line rope 0,{n % 1000} 2000,{(n * 7) % 1000}\n" for n in range(many))
    chart(folder, lines, size="2000 x 1000")


def knots(folder: Path, many: int) -> None:
    each = " ".join(f"{n % 60},{n // 60 % 40}" for n in range(1000))
    chart(folder, f"  knot eye {each}\n" * (many // 1000))


def shapely(folder: Path, many: int) -> None:
    """A motif of lines placed again and again."""
    before = (
        "motif star 4 x 4\n"
        + "  |....|\n" * 4
        + "  line rope 0,0 4,4 4,0 0,4 2,2 0,0\n  knot eye 2,2\n"
    )
    across = min(many, 100)
    placed = f"  star x {across} by {many // across} at 0,0 step 4,4\n"
    chart(folder, placed, before=before, size=f"{across * 4} x {many // across * 4}")


def copies(folder: Path, many: int) -> None:
    before = "motif dot 1 x 1\n  |m|\n"
    side = int(many**0.5)
    rows = "".join(f"  dot x {side} at 0,{n} step 1,0\n" for n in range(side))
    chart(folder, rows, before=before, size=f"{side} x {side}")


def cells(folder: Path, many: int) -> None:
    side = 1000
    row = "|" + "m" * side + "|\n"
    times = many // side**2
    before = f"motif big {side} x {side}\n" + row * side
    chart(folder, "  big at 0,0 replacing\n" * times, before=before, size=f"{side} x {side}")


def pieces(folder: Path, many: int) -> None:
    before = "motif dot 2 x 2 over 1\n  |m.|\n  |.m|\n"
    side = int(many**0.5)
    rows = f"  dot x {side} by {side} at 0,0 step 1,1\n"
    chart(folder, rows, before=before, size=f"{side + 1} x {side + 1}")


def large_pieces(folder: Path, many: int) -> None:
    side = 200
    before = f"motif fine {side} x {side} over 1\n" + noise(folder, side, 8)
    rows = f"  fine x {many} at 0,0.5 step 100,0\n"
    chart(folder, rows, before=before, key=keys(8), size=f"{100 * many + 1} x 120")


def letters(folder: Path, many: int) -> None:
    before = "alphabet tall height 2 spacing 0 space 1\n  T |m|\n    |m|\n"
    text = "T" * 1900
    lines = "".join(f'  text "{text}" in tall at 0,{2 * n}\n' for n in range(many // 1900))
    high = max(1, 2 * (many // 1900))
    chart(folder, lines, before=before, size=f"1900 x {high}")


def spaced(folder: Path, many: int) -> None:
    """Texts that hold nothing."""
    before = "alphabet tall height 2 spacing 0 space 0\n  T |m|\n    |m|\n"
    lines = f'  text "{" " * 1900}T" in tall at 0,0 replacing\n' * many
    chart(folder, lines, before=before)


def expectations(folder: Path, many: int) -> None:
    lines = "expect m 0\nexpect s 0 in 0,0 to 1000,900\n" * (many // 2)
    chart(folder, noise(folder, 1000, 8), key=keys(8), size="1000 x 1000", after=lines)


def motifs(folder: Path, many: int) -> None:
    random = np.random.default_rng(3)
    made, placed = [], []
    for n in range(many):
        cells = np.where(random.random((8, 8)) < 0.5, "m", ".")
        made.append(f"motif m{n:05} 8 x 8 symmetric both\n" if n % 2 else f"motif m{n:05} 8 x 8\n")
        if n % 2:
            cells[:, 4:] = cells[:, 3::-1]
            cells[4:] = cells[3::-1]
        made += [f"|{''.join(row)}|\n" for row in cells]
        placed.append(f"  m{n:05} at {n % 100 * 8},{n // 100 * 8}\n")
    size = f"800 x {-(-many // 100) * 8}"
    chart(folder, "".join(placed), before="".join(made), size=size)


def alphabets(folder: Path, many: int) -> None:
    made = "".join(
        f"alphabet al{n:05} height 1\n" + "".join(f"  {s} |m|\n" for s in SIGNS[:8])
        for n in range(many // 8)
    )
    chart(folder, "  line rope 1,1 3,3\n", before=made)


def ranges(folder: Path, many: int) -> None:
    for number in range(50):
        rows = "".join(f"{n},thread {n},#{n % 4096:03x}{n % 4096:03x}\n" for n in range(many // 50))
        (folder / f"r{number}.csv").write_text("code,name,colour\n" + rows)
    lines = "".join(f"range r{number:02} from r{number}.csv\n" for number in range(50))
    chart(folder, "  line rope 1,1 3,3\n", before=lines)


def uses(folder: Path, many: int) -> None:
    for number in range(49):
        made = "".join(f"motif u{number:02}-{n} 1 x 1\n|m|\n" for n in range(many // 49 // 2))
        (folder / f"u{number}.linen").write_text("linen 1\n" + made)
    lines = "".join(f"use u{number}.linen\n" for number in range(49))
    chart(folder, "  line rope 1,1 3,3\n", before=lines)


def remarks(folder: Path, many: int) -> None:
    chart(folder, "  line rope 1,1 3,3\n", after="# meant not-used: so it is\n" * many)


def specks(folder: Path, many: int) -> None:
    side = int(many**0.5)
    chart(
        folder,
        noise(folder, side, 2, 0.02),
        key=keys(2),
        size=f"{side} x {side}",
    )


def borders(folder: Path, many: int) -> None:
    before = "motif leaf 2 x 2\n  |m.|\n  |.m|\n"
    lines = "".join(f"  border leaf, corner leaf inset {2 * n}\n" for n in range(many))
    side = 4 * many + 4
    chart(folder, lines, before=before, size=f"{side} x {side}")


def swaps(folder: Path, many: int) -> None:
    before = "motif dot 1 x 1\n  |m|\n"
    lines = f"  dot at 1,1 replacing with {', '.join(['m as s'] * 1500)}\n" * many
    chart(folder, lines, before=before)


def blank(folder: Path, many: int) -> None:
    chart(folder, "  line rope 1,1 3,3\n", after="\n" * many)


def texts(folder: Path, many: int) -> None:
    """Long words in the lines of the booklet."""
    word = "a" * 9_999
    lines = "".join(f'  {each} "{word}"\n' for each in ("subtitle", "designer", "rights", "thanks"))
    lines += "".join(
        f'  original {each} "{word}"\n' for each in ("place", "date", "size", "materials", "keeper")
    )
    chart(folder, "  line rope 1,1 3,3\n", booklet=lines + f'  needs "{word}"\n' * many)


@dataclass(frozen=True)
class Case:
    """A strange source: how it is written, and how much of it the limits allow."""

    name: str
    write: Callable[[Path, int], None]
    most: int


STORY = 256 * 1024 - 8
CASES = (
    Case("story: one word", told("abcdefghij"), STORY),
    Case("story: one word of emphasis", told("*a_"), STORY),
    Case("story: strong words", told("**a** "), 60_000),
    Case("story: stars", told("*"), STORY),
    Case("story: brackets", told("["), STORY),
    Case("story: links", told("[a](https://b.c) "), 160_000),
    Case("story: quotes", told("'\"" * 499 + "\n\n"), STORY),
    Case("story: back ticks", told("`a` "), 40_000),
    Case("story: back ticks unclosed", told("`a ``b "), 70_000),
    Case("story: escapes", told("&amp;"), STORY),
    Case("story: hard breaks", told("a\\\n"), 30_000),
    Case("story: soft breaks", told("a\n"), STORY),
    Case("story: paragraphs", told("a\n\n"), 59_900),
    Case("story: headings", told("# a\n"), 79_900),
    Case("story: list", told("- a\n"), 39_900),
    Case("story: loose list", told("- a\n\n"), 49_900),
    Case("story: empty list", told("-\n"), 39_900),
    Case("story: nested list", told("- - - - - - - - a\n"), 22_400),
    Case("story: quoted", told(">" * 40 + "a\n\n"), 20_000),
    Case("story: rules", told("---\n\n"), 99_000),
    Case("story: code block", told("    a\n"), STORY),
    Case("story: fences", told("```\na\n```\n"), 199_000),
    Case("story: definitions", told("[a]: b\n"), STORY),
    Case("story: wide letters", told("漢字"), STORY),
    Case("story: words", told("tide and reed "), STORY),
    Case("story: table", table, 8_000),
    Case("story: wide table", lambda folder, many: table(folder, many, 100), 9_800),
    Case("story: table of one row", lambda folder, many: table(folder, many, many), 4_900),
    Case("sections", sections, 800),
    Case("texts of one word", texts, 20),
    Case("pictures", pictured, 100),
    Case("large pictures", lambda folder, many: pictured(folder, many, 3000), 5),
    Case("notes", notes, 2_000),
    Case("notes at one place", lambda folder, many: notes(folder, many, 1), 2_000),
    Case("areas", areas, 2_000),
    Case("long notes", long_notes, 1_000),
    Case("revisions", revisions, 2_000),
    Case("long revisions", lambda f, n: revisions(f, n, "A word of it. " * 700), 1_000),
    Case("needs", needs, 200),
    Case("other fabrics", also, 40),
    Case("key lines", all_keys, 500),
    Case("blends of quarters", blends, 20),
    Case("quarters", quarters, 1_000),
    Case("colourways", colourways, 20),
    Case("colourways of a large chart", lambda f, n: colourways(f, n, 500), 20),
    Case("points of lines", points, 50_000),
    Case("short lines", short_lines, 25_000),
    Case("long lines", long_lines, 1_000),
    Case("knots", knots, 50_000),
    Case("motif of lines", shapely, 7_000),
    Case("copies", copies, 200_000),
    Case("cells laid over cells", cells, 100_000_000),
    Case("small pieces", pieces, 10_000),
    Case("large pieces", large_pieces, 15),
    Case("letters", letters, 100_000),
    Case("empty texts", spaced, 5_000),
    Case("expectations", expectations, 500),
    Case("motifs", motifs, 5_000),
    Case("alphabets", alphabets, 40_000),
    Case("ranges", ranges, 59_000),
    Case("files used", uses, 110_000),
    Case("remarks", remarks, 50_000),
    Case("specks", specks, 1_000_000),
    Case("borders", borders, 200),
    Case("swaps", swaps, 500),
    Case("cloth of many threads", coarse, 1_400),
    Case("narrow chart", lambda f, n: noisy(f, 1, 60, 1.0, high=n), 2_000),
    Case("blank lines", blank, 16_000_000),
    Case("wide chart", lambda f, n: noisy(f, n, 60, 1.0, n), 2_000),
    Case("noise", noisy, 1_400),
    Case("scattered", lambda f, n: noisy(f, n, 60, 0.1), 1_400),
)


@dataclass(frozen=True)
class Cost:
    """What one command cost. pages: of the booklet. said: how it ended, in a word."""

    seconds: float
    memory: float  # MiB of all its processes together, at the highest
    pages: int
    said: str


def cost(folder: Path, other: Path, command: str) -> Cost:
    """Carry out one command on the chart of a folder; `other` is what it is compared with."""
    source, against = folder / "chart.linen", other / "chart.linen"
    words: dict[str, list[str | Path]] = {
        "diff": ["diff", against, source, "-o", folder / "diff.png"],
        "errata": ["errata", against, source, "-o", folder / "errata.pdf"],
        "picture": ["picture", source, "-o", folder / "piece.png"],
        "tidy": ["tidy", "--check", source],
    }
    one = summed("-m", "linenleaf", *words.get(command, [command, source]), most=GIVEN_UP)
    made = {"build": "chart.pdf", "errata": "errata.pdf"}.get(command)
    pages = _pages(folder / made) if made else 0
    return Cost(one.cpu, one.memory, pages, _ended(one.status, one.said))


def _ended(status: int, said: str) -> str:
    if "Traceback" in said:
        return "TRACEBACK " + said.strip().splitlines()[-1][:80]
    if status < 0:
        return f"ended by signal {-status}"
    names = re.findall(r"error: .*?\[([a-z-]+)\]", said) or re.findall(r"\[([a-z-]+)\]", said)
    return f"{status}: {', '.join(dict.fromkeys(names))[:60]}" if status else ""


def _pages(pdf: Path) -> int:
    if not pdf.exists():
        return 0
    with pikepdf.open(pdf) as opened:
        return len(opened.pages)


def main() -> None:
    """Print the table."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("names", nargs="*")
    ask.add_argument("--share", type=float, default=1.0)
    ask.add_argument("--commands", default="check,build")
    asked = ask.parse_args()
    print(f"{'case':<32}{'many':>10} {'command':<8}{'cpu s':>8}{'MiB':>7}{'pages':>7}{'share':>7}")
    for case in CASES:
        if asked.names and not any(word in case.name for word in asked.names):
            continue
        many = max(1, int(case.most * asked.share))
        with tempfile.TemporaryDirectory() as made:
            folder, other = Path(made) / "new", Path(made) / "old"
            for place, part in ((folder, many), (other, max(1, many * 9 // 10))):
                place.mkdir()
                case.write(place, part)
            for command in asked.commands.split(","):
                one = cost(folder, other, command)
                share = one.seconds / (ALLOWED + ALLOWED_A_PAGE * one.pages)
                print(
                    f"{case.name:<32}{many:>10} {command:<8}{one.seconds:>8.1f}{one.memory:>7.0f}"
                    f"{one.pages or '':>7}{share:>7.2f} {'OVER ' if share > 1 else ''}{one.said}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
