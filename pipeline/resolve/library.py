"""The chart files that take part: the chart itself, and those it uses, without going in circles."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.files import LARGEST_TEXT, beside, read_text
from ..core.source import Source, Span
from ..syntax.cutting import MOST_WORDS, Bulk, bulk
from ..syntax.nodes import ChartFile, UseLine
from ..syntax.parse import parse
from ..syntax.phrases import StockWords, Text
from .stock import stock_file

MOST_FILES, MOST_LINES = 50, 120_000  # and lines in all of them, blank ones apart
DEEPEST = 8  # charts that use charts that use charts ...


@dataclass(frozen=True)
class Volume:
    """One chart file with the folder it lies in."""

    file: ChartFile
    folder: Path
    real: Path


@dataclass(frozen=True)
class Library:
    """The chart's own file first, then those it uses. whole: whether all could be read.

    What is missing from a library that is not whole may stand in a file that was not read. stock:
    what of the stock is used, each with its version.
    """

    volumes: tuple[Volume, ...]
    whole: bool
    stock: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True)
class Shared:
    """A file of motifs, alphabets or thread ranges for charts to use; it holds no chart itself."""

    source: Source


def gather(
    path: Path, file: ChartFile, findings: list[Diagnostic], root: Path | None = None
) -> Library:
    """Return a chart's file and all files that it uses, directly or not.

    root: the folder that nothing leads out of, the chart's own where not stated.
    """
    gatherer = _Gatherer(root or path.parent, findings)
    gatherer.add(Volume(file, path.parent, path.resolve()), (), 0)
    stock = tuple((name, version) for name, (version, _) in gatherer.stock.items())
    return Library(tuple(gatherer.volumes.values()), gatherer.whole, stock)


def no_chart(shared: Shared) -> Diagnostic:
    """Return the finding that a file for charts to use is none itself."""
    end = len(shared.source.text.rstrip())
    return finding(
        "missing-chart",
        "This file holds no chart.",
        shared.source.span(end, end),
        "a chart needs the blocks `fabric`, `key` and `chart`",
        f"motifs and alphabets are brought into a chart by `use {shared.source.name}`",
    )


class _Gatherer:
    def __init__(self, root: Path, findings: list[Diagnostic]) -> None:
        self.root = root
        self.findings = findings
        self.volumes: dict[Path, Volume] = {}
        self.stock: dict[str, tuple[int, Span]] = {}
        self.whole = True
        self.read = Bulk()

    def add(self, volume: Volume, above: tuple[tuple[Path, Span | None], ...], depth: int) -> None:
        self.volumes[volume.real] = volume
        self.read += bulk(volume.file.source)
        self.whole &= not any(
            block.word == "use" and block.head is None for block in volume.file.blocks
        )
        for block in volume.file.blocks:
            if isinstance(block.head, UseLine):
                self._use(volume, block.head, above, depth)

    def _use(
        self,
        volume: Volume,
        line: UseLine,
        above: tuple[tuple[Path, Span | None], ...],
        depth: int,
    ) -> None:
        span = line.path.span
        if isinstance(line.path, StockWords):
            path = self._in_stock(line.path)
            written = shown = str(path)
        else:
            written = line.path.value if isinstance(line.path, Text) else line.path.text
            path, findings = beside(self.root, volume.folder, written, span)
            self.findings.extend(findings)
            beside_it, slash, _ = span.path.rpartition("/")
            shown = f"{beside_it}{slash}{written}"
        if path is None:
            self.whole = False
            return
        chain = (*above, (volume.real, span))
        ring = [place for real, place in chain if real == path]
        if ring:
            self.whole = False
            hints: list[Hint | str] = [
                Hint("the circle passes through here", place) for _, place in chain[:-1]
            ]
            message = (
                "A chart cannot use itself."
                if path == volume.real
                else f"`{written}` uses this file in turn: the charts use each other in a circle."
            )
            self.findings.append(
                finding("use-in-a-ring", message, span, *hints, "take this line out")
            )
            return
        if path in self.volumes:
            return
        if depth + 1 > DEEPEST or len(self.volumes) >= MOST_FILES:
            self.whole = False
            message = (
                f"Charts use charts more than {DEEPEST} deep here."
                if depth + 1 > DEEPEST
                else f"A chart uses at most {MOST_FILES - 1} others."
            )
            self.findings.append(
                finding(
                    "too-many-files",
                    message,
                    span,
                    "put motifs and ranges together into fewer files",
                )
            )
            return
        source, findings = read_text(path, shown, LARGEST_TEXT, span)
        self.findings.extend(findings)
        if source is None:
            self.whole = False
            return
        total = self.read + bulk(source)
        if total.lines > MOST_LINES or total.words > MOST_WORDS:
            self.whole = False
            most = f"{MOST_LINES:,} lines" if total.lines > MOST_LINES else f"{MOST_WORDS:,} words"
            message = f"With this line the files used have more than {most} in all."
            advice = "put what this chart needs into a file of its own"
            self.findings.append(finding("too-many-lines", message, span, advice))
            return
        file, findings = parse(source)
        self.findings.extend(findings)
        self.add(Volume(file, path.parent, path), chain, depth + 1)

    def _in_stock(self, words: StockWords) -> Path | None:
        path = stock_file(words, self.findings)
        if path is None:
            return None
        name, version = words.name.text, int(words.version.text)
        first, place = self.stock.setdefault(name, (version, words.span))
        if version != first:
            self.findings.append(
                finding(
                    "stock-in-two-versions",
                    f"The stock `{name}` is used in the versions {first} and {version}.",
                    words.version.span,
                    Hint("the first is used here", place),
                    "what they draw has the same names: use one of them",
                )
            )
            return None
        return path
