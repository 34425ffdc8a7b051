"""From the lines of a chart file and of those it uses to a design: every name is looked up."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Generic, TypeVar

from ..core.characters import HIDDEN
from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.ground import Ground, ThreadWorking, Working
from ..core.items import Alphabet, Item, Knot, Line, Motif
from ..core.key import Colourway, Thread
from ..core.matter import Booklet
from ..core.model import Chart, Design
from ..core.paging import Paging
from ..core.source import Span
from ..syntax.cutting import stated
from ..syntax.nodes import (
    AlphabetHead,
    Block,
    BookletHead,
    ChartHead,
    ColourwayHead,
    ExpectLine,
    FabricHead,
    MotifHead,
    NoteLine,
    PagesHead,
    RangeHead,
    RevisionLine,
    WorkingHead,
)
from ..syntax.phrases import Word
from ..syntax.statements import HEADS
from .alphabets import resolve_alphabet
from .colourways import resolve_colourway
from .counted import known_stitches
from .grounds import resolve_ground, resolve_working
from .keylines import ReadKey, Stitches, check_name, resolve_key
from .layout import Layout
from .library import Library, Shared, Volume, no_chart
from .matter import resolve_booklet, resolve_expectations, resolve_note, resolve_revision
from .motifs import resolve_motif
from .needles import Basket
from .nesting import check_nesting, placed_names
from .paging import resolve_paging
from .photographs import resolve_photographs
from .placed import Names
from .placing import check_cut_short, check_points, resolve_chart
from .settings import (
    MOST_COLOURWAYS,
    MOST_EXPECTED,
    MOST_NOTES,
    MOST_REVISIONS,
    at_most,
)
from .spots import Spots
from .stitched import Placeable, check_stitches
from .threads import ThreadRange, resolve_range
from .threadways import check_ways, resolve_ways
from .wholethreads import check_threads

MOST_RANGES, MOST_IN_RANGES = 50, 60_000  # and threads in all of them
_MISSING = {"fabric": "missing-fabric", "key": "missing-key", "chart": "missing-chart"}
_DUPLICATE = {
    "range": "duplicate-range",
    "motif": "duplicate-motif",
    "alphabet": "duplicate-alphabet",
    "colourway": "duplicate-colourway",
}
_Head = TypeVar("_Head")
_Line = TypeVar("_Line", NoteLine, RevisionLine, ExpectLine)
_Made = TypeVar("_Made")


class Resolver:
    """Resolves a chart file, or a file for charts to use; what is wrong is added to `findings`.

    root: the folder that nothing leads out of.
    """

    def __init__(self, library: Library, root: Path, findings: list[Diagnostic]) -> None:
        self.library = library
        self.root = root
        self.findings = findings
        self.main = library.volumes[0]
        self.source = self.main.file.source

    def design(self) -> Design | None:
        """Return what the chart file describes, None where a part of it is missing."""
        self._needed()
        basket = Basket(self._ranges(), self._broken_names("range"), self.library.whole)
        ways = resolve_ways(list(self._blocks("thread")), basket, self.findings)
        basket.strands |= {each.thread.named: each.strands for each in ways if each.strands}
        key = resolve_key(list(self._blocks("key")), basket, self._stitches(), self.findings)
        alphabets = self._collect("alphabet", AlphabetHead, resolve_alphabet)
        names = self._names(alphabets)
        motifs = self._motifs(names)
        booklet = self._booklet()
        ground = self._ground()
        working = self._working(ways)
        paging = self._paging()
        chart, layout = self._chart(names)
        drawn_here = [item for name in motifs.own for item in motifs.made[name].items]
        on_chart = chart.items if chart is not None else ()
        placed = placed_names([*on_chart, *drawn_here], motifs.made)
        kept_motifs = motifs.kept(placed)
        kept_alphabets = alphabets.kept(placed)
        if chart is not None:
            spots = Spots(block for volume in self.library.volumes for block in volume.file.blocks)
            placeable = Placeable(motifs.made, alphabets.made, [*motifs.own, *alphabets.own])
            drawn: list[Item] = [*chart.items]
            for motif in motifs.made.values():
                drawn += (*motif.drawn, *motif.items)
            for alphabet in alphabets.made.values():
                drawn += [shape for each in alphabet.letters.values() for shape in each.drawn]
            check_points([each for each in drawn if isinstance(each, Line | Knot)], self.findings)
            if key.known:
                check_stitches(chart, placeable, key, spots, self.findings)
            if ground is not None:
                check_threads(
                    chart, kept_motifs, kept_alphabets, ground.fabric, spots, self.findings
                )
        notes = [
            resolve_note(line, layout, self.findings)
            for line in self._few(NoteLine, MOST_NOTES, "notes")
        ]
        colourways = self._colourways(key, basket)
        revisions = [
            resolve_revision(line, self.findings)
            for line in self._few(RevisionLine, MOST_REVISIONS, "revisions")
        ]
        expected = self._few(ExpectLine, MOST_EXPECTED, "lines of `expect`")
        expectations = resolve_expectations(expected, key, layout, self.findings)
        threads = _threads_used(key, colourways)
        if working is not None and key.entries:
            check_ways(working, threads, self.findings)
        if booklet is None or ground is None or working is None or chart is None or paging is None:
            return None
        return Design(
            self.source,
            self.root,
            stated(self.source),
            booklet,
            ground,
            threads,
            key.entries,
            kept_motifs,
            kept_alphabets,
            chart,
            tuple(note for note in notes if note is not None),
            colourways,
            tuple(revisions),
            expectations,
            working,
            resolve_photographs(list(self._blocks("photograph")), layout, self.root, self.findings),
            stock=self.library.stock,
            paging=paging,
        )

    def shared(self) -> None:
        """Look at all that charts can use; what needs a key is looked at where it is used."""
        basket = Basket(self._ranges(), self._broken_names("range"), self.library.whole)
        resolve_key(list(self._blocks("key")), basket, self._stitches(), self.findings)
        alphabets = self._collect("alphabet", AlphabetHead, resolve_alphabet)
        self._motifs(self._names(alphabets))

    def _stitches(self) -> Stitches:
        blocks = [
            block for volume in self.library.volumes for block in self._blocks("stitch", volume)
        ]
        return known_stitches(blocks, self.findings)

    # --- what must be there ---

    def _needed(self) -> None:
        words = {block.word for block in self.main.file.blocks}
        if any(each.name == "too-many-findings" for each in self.findings):
            return  # the blocks may stand in the part that was not read
        end = len(self.source.text.rstrip())
        place = self.source.span(end, end)
        if words.isdisjoint({"fabric", "key", "chart"}):
            self.findings.append(no_chart(Shared(self.source)))
            return
        for word in ("fabric", "key", "chart"):
            if word not in words:
                example = HEADS[word].example
                self.findings.append(
                    finding(_MISSING[word], f"The file has no `{word}`.", place, f"add `{example}`")
                )
        keys = list(self._blocks("key"))
        if keys and not any(block.members or block.broken for block in keys):
            self.findings.append(
                finding(
                    "empty-key",
                    "There is no line in the key.",
                    keys[0].span,
                    'below it come lines such as `m  #a03a3a "madder"`',
                )
            )

    # --- blocks ---

    def _blocks(self, word: str, volume: Volume | None = None) -> Iterator[Block]:
        for block in (volume or self.main).file.blocks:
            if block.word == word:
                yield block

    def _few(self, kind: type[_Line], most: int, what: str) -> Sequence[_Line]:
        """Return the lines of a kind that is bounded in number."""
        heads = [block.head for block in self.main.file.blocks if isinstance(block.head, kind)]
        return at_most(most, what, heads, self.findings)

    def _only(self, word: str, kind: type[_Head]) -> tuple[Block, _Head | None] | None:
        """Return the one block of a kind, its head None where it could not be read.

        A second block is a finding.
        """
        blocks = list(self._blocks(word))
        for block in blocks[1:]:
            self.findings.append(
                finding(
                    "second-block",
                    f"A chart file has one `{word}` block.",
                    block.span,
                    Hint("the first one is here", blocks[0].span),
                    f"move the lines below it into the first `{word}`",
                )
            )
        if not blocks:
            return None
        head = blocks[0].head
        return blocks[0], head if isinstance(head, kind) else None

    def _broken_names(self, word: str) -> frozenset[str]:
        """Return what may be the names of blocks whose first line could not be read."""
        return frozenset(
            name
            for volume in self.library.volumes
            for block in self._blocks(word, volume)
            if block.head is None
            for broken in block.broken[:1]
            for name in broken.words[1:2]
        )

    def _booklet(self) -> Booklet | None:
        if not any(self._blocks("booklet")):
            stem = HIDDEN.sub("", self.source.name.removesuffix(".linen"))
            title = stem.replace("-", " ").replace("_", " ").strip()
            return Booklet(title.capitalize() or "Chart")
        block = self._only("booklet", BookletHead)
        return block and resolve_booklet(*block, self.root, self.findings)

    def _ground(self) -> Ground | None:
        block = self._only("fabric", FabricHead)
        return block and resolve_ground(*block, self.findings)

    def _working(self, ways: tuple[ThreadWorking, ...]) -> Working | None:
        if not any(self._blocks("working")):
            return Working(own=ways)
        block = self._only("working", WorkingHead)
        working = block and resolve_working(block[0], self.findings)
        return working and replace(working, own=ways)

    def _paging(self) -> Paging | None:
        if not any(self._blocks("pages")):
            return Paging()
        block = self._only("pages", PagesHead)
        return block and resolve_paging(block[0], self.findings)

    def _chart(self, names: Names) -> tuple[Chart | None, Layout]:
        block = self._only("chart", ChartHead)
        if block is None:
            return None, Layout(self.findings)
        check_cut_short(block[0], self.main.file.blocks, self.findings)
        return resolve_chart(*block, names, self.findings)

    def _ranges(self) -> dict[str, ThreadRange]:
        ranges: dict[str, ThreadRange] = {}
        threads = 0
        for volume in self.library.volumes:
            for block in self._blocks("range", volume):
                if not isinstance(block.head, RangeHead):
                    continue
                name = block.head.name
                check_name(name, self.findings)
                if len(ranges) >= MOST_RANGES:
                    self.findings.append(
                        finding(
                            "too-many-files",
                            f"A chart has at most {MOST_RANGES} thread ranges.",
                            name.span,
                            "put ranges together into fewer files",
                        )
                    )
                    return ranges
                if name.text in ranges:
                    self._duplicate("range", name, ranges[name.text].span)
                    continue
                ranges[name.text] = made = resolve_range(
                    block, block.head, self.root, volume.folder, self.findings
                )
                threads += len(made.threads)
                if threads > MOST_IN_RANGES:
                    self.findings.append(
                        finding(
                            "range-too-long",
                            f"With this line the ranges have more than {MOST_IN_RANGES:,} threads.",
                            name.span,
                            "leave out those that the chart does not use",
                        )
                    )
                    return ranges
        return ranges

    def _collect(
        self,
        word: str,
        kind: type[_Head],
        resolve: Callable[[Block, _Head, list[Diagnostic]], _Made],
    ) -> _Collected[_Made]:
        """Return all motifs or alphabets, of the chart's own file and of those it uses."""
        collected: _Collected[_Made] = _Collected()
        places: dict[str, Span] = {}
        for volume in self.library.volumes:
            for block in self._blocks(word, volume):
                if not isinstance(block.head, kind):
                    continue
                name: Word = block.head.name  # type: ignore[attr-defined]  # both kinds have one
                if name.text in places:
                    self._duplicate(word, name, places[name.text])
                    continue
                places[name.text] = name.span
                made = resolve(block, block.head, self.findings)
                collected.named[name.text] = collected.made[name.text] = made
                if volume is self.main:
                    collected.own[name.text] = None
        collected.named.update((name, None) for name in self._broken_names(word) - places.keys())
        return collected

    def _names(self, alphabets: _Collected[Alphabet]) -> Names:
        """Return what may be placed: motifs may place others that are drawn further down."""
        blocks = (block for each in self.library.volumes for block in self._blocks("motif", each))
        heads = (block.head for block in blocks)
        motifs = {head.name.text for head in heads if isinstance(head, MotifHead)}
        return Names(motifs | self._broken_names("motif"), alphabets.named, self.library.whole)

    def _motifs(self, names: Names) -> _Collected[Motif]:
        """Return all motifs; one that holds itself, or is too deep, holds nothing of others."""

        def resolve(block: Block, head: MotifHead, findings: list[Diagnostic]) -> Motif:
            return resolve_motif(block, head, names, findings)

        motifs = self._collect("motif", MotifHead, resolve)
        for name in check_nesting(motifs.made, self.findings):
            motifs.made[name] = replace(motifs.made[name], items=(), things=())
        return motifs

    def _duplicate(self, word: str, name: Word, first: Span | None) -> None:
        article = "an" if word[0] in "aeiou" else "a"
        self.findings.append(
            finding(
                _DUPLICATE[word],
                f"There is {article} {word} `{name.text}` already.",
                name.span,
                Hint("the first one is here", first),
                "give one of them another name",
            )
        )

    def _colourways(self, key: ReadKey, basket: Basket) -> tuple[Colourway, ...]:
        made: dict[str, Colourway | None] = {}
        places: dict[str, Span] = {}
        blocks = list(self._blocks("colourway"))
        for block in at_most(MOST_COLOURWAYS, "colourways", blocks, self.findings):
            head = block.head
            if not isinstance(head, ColourwayHead):
                continue
            if head.name.text in places:
                self._duplicate("colourway", head.name, places[head.name.text])
                continue
            places[head.name.text] = head.name.span
            made[head.name.text] = resolve_colourway(block, head, key, basket, self.findings)
        return tuple(each for each in made.values() if each is not None)


@dataclass
class _Collected(Generic[_Made]):
    """What was read, by name; `named` has None for a name whose block could not be read."""

    named: dict[str, _Made | None] = field(default_factory=dict)
    made: dict[str, _Made] = field(default_factory=dict)
    own: dict[str, None] = field(default_factory=dict)  # in order

    def kept(self, placed: Container[str]) -> dict[str, _Made]:
        """Return those of the chart's own file, and of the others those that are placed."""
        return {
            name: made for name, made in self.made.items() if name in placed or name in self.own
        }


def _threads_used(key: ReadKey, colourways: tuple[Colourway, ...]) -> tuple[Thread, ...]:
    needles = [part.needle for entry in key.entries for part in entry.parts]
    needles += [needle for way in colourways for change in way.changes for needle in change.needles]
    used = dict.fromkeys(each.thread for needle in needles for each in needle)
    return tuple(used)
