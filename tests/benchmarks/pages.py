"""The pages of some 25 booklets and of the demos, read back by PDFium: a long check.

    python -m tests.benchmarks.pages            all of them, some five minutes
    python -m tests.benchmarks.pages 3 7 large  some of them, by what the table calls them
    python -m tests.benchmarks.pages --out DIR  keeps the PDFs, to be looked at

The booklets are chosen so that every pair of paper, ink, language and chart is among them (all
pairs; D. M. Cohen et al., "The AETG system", IEEE Trans. Softw. Eng. 23 (1997) 437, from memory).
Letters, words and drawings are found by PDFium, words put together by pdfplumber. It prints a line
for each booklet and each breach, and leaves with status 1 at a breach:

    bare      a page with words that is under a quarter full, which the next part could have joined
    heading   a heading that is the last line of a page
    ring      the ring of a note that lies on what the note is about
    small     letters smaller than said: 22 points and symbols of 5 mm in large print
    pages     more pages than is aimed at

A page that is nearly bare is the last of a part. It is excused, told with its fill and counted,
only where the next page is begun by design, whatever room is left before it: by a chart, by what
stands after the charts, by a long key, in large print by how to stitch (`by_design`). That a part
did not fit excuses nothing.
"""

from __future__ import annotations

import argparse
import io
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from pathlib import Path

import pikepdf
from linenleaf.booklet.book import bind
from linenleaf.booklet.layout import setting
from linenleaf.chart.options import Ink, Options, Paper
from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedChart
from linenleaf.resolve.read import read
from pdfplumber.utils import extract_words

from tests.pages import QUARTER, Page, fill, lines, pages_of

MM = 72 / 25.4
DENSE = 26  # lines of a key in cells, above which it has pages of its own on any paper
EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
LANGUAGES = ("en-GB", "nl", "de", "fr")
SYMBOLS = [*map(chr, range(0x61, 0x7B)), *map(chr, range(0x41, 0x5B)), *map(chr, range(0xC0, 0xD7))]
LINES = ("line", "back"), ("knot", "knot")


@dataclass(frozen=True)
class Made:
    """A chart to be written out: its size, its threads, its lines and knots."""

    width: int
    height: int
    threads: int
    lines: int = 0
    knots: int = 0

    @property
    def notes(self) -> list[tuple[int, int, int, int]]:
        """Areas that the notes are about, as grid lines."""
        w, h = self.width, self.height
        return [
            (2, 2, 5, 4),
            (w // 2, h // 2, w // 2 + 3, h // 2 + 2),
            (w - 5, h - 5, w - 3, h - 3),
        ]

    def source(self, language: str) -> str:
        """Return the chart as it is typed: figures of each thread, with bare fabric between."""
        marks = SYMBOLS[: self.threads]
        key = [
            f'  {mark}  #{40 + 3 * at:02x}{200 - 2 * at:02x}{90 + at:02x} "thread number {at}"'
            for at, mark in enumerate(marks)
        ]
        key += [
            f'  {word}-{at}  #{30 + 15 * at:02x}4060 "{word} {at}" {kind}'
            for (word, kind), many in zip(LINES, (self.lines, self.knots), strict=True)
            for at in range(many)
        ]
        rows = [
            "".join(self._mark(x, y, marks) for x in range(self.width)) for y in range(self.height)
        ]
        drawn = [f"  line line-{at} {at + 1},1 {at + 4},{6 + at % 3}" for at in range(self.lines)]
        drawn += [f"  knot knot-{at} {at + 1},8" for at in range(self.knots)]
        notes = [
            f'note {x0},{y0} to {x1},{y1} "A place, number {at}."'
            for at, (x0, y0, x1, y1) in enumerate(self.notes, 1)
        ]
        head = ["linen 2", 'booklet "A made-up chart"', f"  language {language}"]
        size = f"chart {self.width} x {self.height}"
        body = [f"  |{row}|" for row in rows]
        lines = [*head, "fabric linen 28 over 2", "key", *key, size, *body, *drawn, *notes, ""]
        return "\n".join(lines)

    def _mark(self, x: int, y: int, marks: list[str]) -> str:
        wide, high = 9, 7  # of a figure and the bare fabric beside it
        if x % wide in (0, 1) or y % high in (0, 1):
            return "."
        return marks[(x // wide + 11 * (y // high)) % len(marks)]


CHARTS = (
    Made(12, 12, 2),
    Made(420, 560, 70),
    Made(40, 40, 8, 12, 6),
    Made(120, 60, 12),
    Made(60, 400, 12),
)


@dataclass(frozen=True)
class Case:
    """One booklet: what it is called, its chart and language or demo, and what it is built as."""

    name: str
    chart: Made | Path
    language: str
    options: Options
    most: int = 1000
    large: bool = False


def cases() -> Iterator[Case]:
    """Give the booklets: all pairs of paper, ink, language and chart, then the demos."""
    chosen = []
    for at, chart in enumerate(CHARTS):
        for n, paper in enumerate(Paper):
            ink = tuple(Ink)[(at + 2 * n) % 3]
            chosen.append((paper, ink, LANGUAGES[(at + n) % 4], chart))
    for one, other in combinations(range(4), 2):
        pairs = {(each[one], each[other]) for each in chosen}
        many = [len({each[which] for each in chosen}) for which in (one, other)]
        assert len(pairs) == many[0] * many[1], (one, other)
    for number, (paper, ink, language, chart) in enumerate(chosen, 1):
        yield Case(str(number), chart, language, Options(paper, ink))
    aims = {("saltmarsh-bands", Paper.A4): 30, ("saltmarsh-bands", Paper.LETTER): 32}
    for folder in sorted(each for each in EXAMPLES.iterdir() if each.is_dir()):
        path = folder / f"{folder.name}.linen"
        for paper, ink in ((Paper.A4, Ink.COLOUR), (Paper.LETTER, Ink.SYMBOLS)):
            name, most = f"{folder.name}-{paper.value}", aims.get((folder.name, paper), 1000)
            yield Case(name, path, "", Options(paper, ink), most)
    for paper in (Paper.A4, Paper.LETTER):
        path = EXAMPLES / "saltmarsh-bands/saltmarsh-bands.linen"
        options = Options(paper, large=True)
        yield Case(f"large-{paper.value}", path, "", options, 48, large=True)


def worked(case: Case, folder: Path) -> WorkedChart:
    """Return the chart of a booklet, read as any other."""
    path = case.chart
    if isinstance(path, Made):
        text, path = path.source(case.language), folder / "made.linen"
        path.write_text(text, "utf-8")
    design, findings = read(path)
    assert design is not None, [each.message for each in findings]
    chart, findings = compose(design)
    assert chart is not None, [each.message for each in findings]
    return chart


# --- what stands on a page -----------------------------------------------------------------------


def grid(page: Page) -> tuple[float, float, float, float] | None:
    """Return where grid line 0 would lie, and the step to the next, across and down, in points.

    By the numbers at the edges; None where there are too few.
    """
    plain = [each for each in page.chars if "Symbols" in each["fontname"] and each["upright"]]
    numbers = [each for each in extract_words(plain) if each["text"].isdigit()]
    if not numbers:
        return None
    found: list[float] = []
    top = min(each["bottom"] for each in numbers)
    level = [each for each in numbers if abs(each["bottom"] - top) < 0.5]
    right = Counter(round(each["x1"], 1) for each in numbers).most_common(1)[0][0]
    upright = [each for each in numbers if abs(each["x1"] - right) < 0.2]
    # Figures stand on the lower edge of their boxes, 0.65 of them high.
    for several, low, high, share in ((level, "x0", "x1", 0.5), (upright, "top", "bottom", 0.675)):
        at = sorted(
            {(int(each["text"]), each[low] + (each[high] - each[low]) * share) for each in several}
        )
        if len(at) < 2 or at[0][0] == at[-1][0]:
            return None
        step = (at[-1][1] - at[0][1]) / (at[-1][0] - at[0][0])
        found += [at[0][1] - step * at[0][0], step]
    return found[0], found[1], found[2], found[3]


def parts(data: bytes) -> dict[str, int]:
    """Return the number of the page that each part and each chart begins on, by its name."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        numbers = {page.obj.objgen: at for at, page in enumerate(pdf.pages, 1)}
        names = pikepdf.NameTree(pdf.Root.Names.Dests)
        return {str(name): numbers[to[0].objgen] for name, to in names.items()}


def leaves(begin: dict[str, int]) -> set[int]:
    """Return the numbers of the pages that show a part of the chart."""
    return {at for name, at in begin.items() if name.startswith("chart-")}


def by_design(case: Case, chart: WorkedChart, begin: dict[str, int]) -> set[int]:
    """Return the numbers of the pages that a part begins which joins no other.

    These are the charts and what stands after them; a long key, which has pages of its own to lie
    beside the chart; and in large print, where it ends, how to stitch.
    """
    form = setting(case.options.paper, case.large)
    cells = sum(chart.entry(index).is_cell for index in chart.used)
    names = {"closing"}
    if form.narrow or form.large or cells > DENSE:
        names.add("key")
    if form.large:
        names.add("stitching")
    return leaves(begin) | {begin[name] for name in names if name in begin}


def rings(case: Case, data: bytes, pages: list[Page]) -> Iterator[str]:
    """Give the rings of a made-up chart that lie on what their note is about."""
    if not isinstance(case.chart, Made):
        return
    with pikepdf.open(io.BytesIO(data)) as pdf:
        for page, leaf in zip(pages, pdf.pages, strict=True):
            links = [each for each in leaf.get("/Annots", []) if "/Dest" in each]
            links = [each for each in links if str(each.Dest).startswith("note-")]
            lying = grid(page) if links else None
            if lying is None:
                continue
            x, across, y, down = lying
            for link in links:
                area = case.chart.notes[int(str(link.Dest).removeprefix("note-")) - 1]
                left, low, right, high = map(float, link.Rect)
                middle = (left + right) / 2, page.height - (low + high) / 2
                near = (
                    min(max(middle[0], x + area[0] * across), x + area[2] * across),
                    min(max(middle[1], y + area[1] * down), y + area[3] * down),
                )
                apart = ((middle[0] - near[0]) ** 2 + (middle[1] - near[1]) ** 2) ** 0.5
                if apart < (right - left) / 2 - 0.3:
                    yield f"ring {link.Dest} on page {page.page_number}"


def breaches(case: Case, data: bytes, pages: list[Page], apart: set[int]) -> Iterator[str]:
    """Give all that is not as it should be. apart: pages that begin by design."""
    charts = leaves(parts(data))
    many = len(charts if case.large else pages)
    if many > case.most:
        yield f"pages: {many}, at most {case.most}"
    for page, after in pairwise(pages[1:]):
        if page.page_number in charts:
            continue
        last = lines(page)[-1:]
        # It begins bold, an aside may follow it, and it has no figures as sizes and maps have.
        first = min(last[0], key=lambda each: each["x0"]) if last else {"fontname": ""}
        figures = any(str(each["text"]).isdigit() for row in last for each in row)
        if "Semi" in str(first["fontname"]) and not figures:
            yield f"heading at the end of page {page.page_number}"
        if fill(page) < QUARTER and after.page_number not in apart:
            yield f"bare: page {page.page_number} is {fill(page):.0%} full"
    if case.large:
        for page in pages:
            for each in page.chars:
                least = 5 * MM if "Symbols" in each["fontname"] else 22.0
                if each["size"] < least - 0.05:
                    yield f"small: {each['text']!r} of {each['size']:.1f} on {page.page_number}"
                    break
    yield from rings(case, data, pages)


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("names", nargs="*")
    ask.add_argument("--out", type=Path)
    asked = ask.parse_args()
    broken = excused = 0
    print(f"{'booklet':<24}{'pages':>6}{'charts':>7}{'least full':>11}{'words':>7}{'symbols':>8}")
    with tempfile.TemporaryDirectory() as place:
        for case in cases():
            if asked.names and case.name not in asked.names:
                continue
            chart = worked(case, Path(place))
            made, _ = bind(chart, case.options)
            assert made is not None
            if asked.out:
                asked.out.mkdir(parents=True, exist_ok=True)
                (asked.out / f"{case.name}.pdf").write_bytes(made.data)
            bad, bare = told(case, chart, made.data)
            broken, excused = broken + bad, excused + bare
    print(f"{broken} breaches; {excused} pages under a quarter full before one begun by design")
    return 1 if broken else 0


def told(case: Case, chart: WorkedChart, data: bytes) -> tuple[int, int]:
    """Print what a booklet is like, its breaches and excused pages; return how many of each."""
    pages = pages_of(data)
    begin = parts(data)
    charts, apart = leaves(begin), by_design(case, chart, begin)
    texts = [each for each in pages[1:] if each.page_number not in charts]
    sizes = {True: [99.0], False: [99.0]}
    for each in (letter for page in pages for letter in page.chars):
        sizes["Symbols" in each["fontname"]].append(each["size"])
    print(
        f"{case.name:<24}{len(pages):>6}{len(charts):>7}"
        f"{min(map(fill, texts)):>11.0%}{min(sizes[False]):>7.1f}{min(sizes[True]):>8.1f}"
        f"  {case.options.paper.value} {case.options.ink.value} {case.language}",
        flush=True,
    )
    # The last page of all ends the booklet.
    ends = [each for each in texts if {each.page_number + 1} & apart or each is pages[-1]]
    bare = [each for each in ends if fill(each) < QUARTER]
    for each in bare:
        print(f"    excused: page {each.page_number} is {fill(each):.0%} full", flush=True)
    found = list(breaches(case, data, pages, apart))
    for breach in found:
        print(f"    {breach}", flush=True)
    return len(found), len(bare)


if __name__ == "__main__":
    sys.exit(main())
