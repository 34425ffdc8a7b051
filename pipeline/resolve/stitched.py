"""Whether the key knows every symbol that is used, and uses it for what it stands for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.items import BARE, Alphabet, Border, Item, Knot, Lettering, Line, Motif, Placement, Swap
from ..core.key import KeyEntry
from ..core.model import Chart
from ..core.source import Span
from ..core.suggest import all_of, did_you_mean
from ..stitches.kinds import STITCHES
from .keylines import ReadKey
from .nesting import inner_first, names_in, swapped
from .settings import MOST_FINDINGS
from .spots import Spots
from .stock import in_stock

MOST_INSIDES = 2_000  # of motifs put together from others, each way their symbols are swapped
_MOST_SYMBOLS = 10  # unknown symbols told of in one grid
_LIKE_BARE = frozenset("·-_ 0°∙•˙")  # written by mistake for bare fabric


@dataclass(frozen=True)
class _Drawing:
    """The grids and shapes of one motif, alphabet or chart. inner: symbols of what it places."""

    what: str
    rows: Sequence[tuple[str, Span]]
    shapes: Sequence[Line | Knot] = ()
    inner: frozenset[str] = frozenset()
    own: frozenset[str] = field(init=False)

    def __post_init__(self) -> None:
        """Gather every symbol and word used."""
        used = set("".join(row for row, _ in self.rows)) - {BARE}
        used.update(shape.symbol for shape in self.shapes)
        object.__setattr__(self, "own", frozenset(used))

    @property
    def symbols(self) -> frozenset[str]:
        """Every symbol and word that it holds."""
        return self.own | self.inner


@dataclass(frozen=True)
class Placeable:
    """Motifs and alphabets by name, and which of them stand in the chart's own file."""

    motifs: Mapping[str, Motif]
    alphabets: Mapping[str, Alphabet]
    own: Sequence[str]


def check_stitches(
    chart: Chart, placeable: Placeable, key: ReadKey, spots: Spots, findings: list[Diagnostic]
) -> None:
    """Look at every grid that is placed, and at every motif and alphabet of the chart's own file.

    Those of a file that is used are looked at only where they are placed, since their other
    motifs may need another key.
    """
    checker = _SymbolChecker(key, spots, findings)
    shapes = [item for item in chart.items if isinstance(item, Line | Knot)]
    spans = zip(chart.rows, chart.row_spans, strict=True)
    checker.look(_Drawing("chart", list(spans), shapes))
    letters = {name: _of_alphabet(each) for name, each in placeable.alphabets.items()}
    motifs = _drawings(placeable.motifs, letters)
    inside = _Inside(placeable.motifs, motifs, letters, checker)
    placed: set[str] = set()
    for item in chart.items:
        placed.update(names_in(item))
        inside.look(item, ())
    for name in placeable.own:
        drawing = motifs.get(name) or letters.get(name)
        if name not in placed and drawing is not None:
            checker.look(drawing)
            for item in placeable.motifs[name].items if name in placeable.motifs else ():
                inside.look(item, ())


class _Inside:
    """Looks at what is placed, and at what that holds in its turn."""

    def __init__(
        self,
        motifs: Mapping[str, Motif],
        drawings: Mapping[str, _Drawing],
        letters: Mapping[str, _Drawing],
        checker: _SymbolChecker,
    ) -> None:
        self.motifs = motifs
        self.drawings = drawings
        self.letters = letters
        self.checker = checker
        self.seen: set[tuple[str, Swap]] = set()

    def look(self, item: Item, outer: Swap) -> None:
        """Look at an item of the chart, or of a motif some of whose symbols are swapped."""
        # A name that is not there has been told of already.
        is_text = isinstance(item, Lettering)
        drawings = self.letters if is_text else self.drawings
        names = [name for name in names_in(item) if name in drawings]
        if isinstance(item, Line | Knot) or not names:
            return
        item_ = swapped(item, outer)
        assert not isinstance(item_, Line | Knot)
        swap = item_.swap
        if isinstance(item_, Lettering) and item_.turns is not None:
            swap = (*swap, *item_.turns.each)
        used = frozenset[str]().union(*(drawings[name].symbols for name in names))
        if outer:  # of the whole's swaps those that are about this part
            swap = tuple(pair for pair in swap if pair[0] in used)
        self.checker.placed([drawings[name] for name in names], swap, item.span)
        for name in () if is_text else names:
            within = (name, tuple(sorted(pair for pair in swap if pair[0] in used)))
            held = self.motifs[name].items
            if held and within not in self.seen and len(self.seen) < MOST_INSIDES:
                self.seen.add(within)
                for inner in held:
                    self.look(inner, within[1])


def _drawings(motifs: Mapping[str, Motif], letters: Mapping[str, _Drawing]) -> dict[str, _Drawing]:
    """Return motifs by name; the symbols of each are those of all that it holds."""
    drawings: dict[str, _Drawing] = {}
    for name in inner_first(motifs):
        motif = motifs[name]
        rows = list(zip(motif.rows, motif.row_spans, strict=True))
        shapes = [item for item in motif.items if isinstance(item, Line | Knot)]
        made = _Drawing(f"motif `{name}`", rows, (*motif.drawn, *shapes))
        inner = {
            new
            for item in motif.items
            if not isinstance(item, Line | Knot)
            for held in names_in(item)
            for known in (letters if isinstance(item, Lettering) else drawings,)
            if held in known
            for symbol in known[held].symbols
            for new in _symbols_of(symbol, item)
        }
        drawings[name] = replace(made, inner=frozenset(inner))
    return drawings


def _symbols_of(symbol: str, item: Placement | Border | Lettering) -> Iterator[str]:
    """Give what a symbol of something placed may be stitched as."""
    news = [new for old, new in item.swap if old == symbol]
    if isinstance(item, Lettering) and item.turns is not None:
        news += [new for old, new in item.turns.each if old == symbol]
    yield from news or [symbol]


def _of_alphabet(alphabet: Alphabet) -> _Drawing:
    rows = [
        each
        for letter in alphabet.letters.values()
        for each in zip(letter.rows, letter.row_spans, strict=True)
    ]
    drawn = [shape for letter in alphabet.letters.values() for shape in letter.drawn]
    return _Drawing(f"alphabet `{alphabet.name}`", rows, drawn)


class _SymbolChecker:
    def __init__(self, key: ReadKey, spots: Spots, findings: list[Diagnostic]) -> None:
        self.key = key
        self.spots = spots
        self.findings = findings
        self.told: set[tuple[str, str]] = set()
        self.seen: set[tuple[frozenset[str], str]] = set()

    def placed(self, drawings: Sequence[_Drawing], swap: Swap, span: Span | None) -> None:
        """Look at drawings placed together with symbols swapped."""
        used = frozenset[str]().union(*(drawing.symbols for drawing in drawings))
        for old, new in swap if drawings and len(self.findings) < MOST_FINDINGS else ():
            old_place, new_place = self.spots.swap(span, old)
            if old not in used:
                whose = " or ".join(f"the {drawing.what}" for drawing in drawings)
                self.findings.append(
                    finding(
                        "swap-without-effect",
                        f"`{old}` is to be swapped, but {whose} does not hold it.",
                        old_place,
                        f"it holds {all_of(sorted(used)[:12])}",
                    )
                )
            elif new not in self.key.known:
                self.findings.append(self._unknown(new, new_place))
            else:
                self._kinds_agree(old, new, new_place)
        for drawing in drawings:
            self.look(drawing, frozenset(old for old, _ in swap), span)

    def _kinds_agree(self, old: str, new: str, span: Span | None) -> None:
        first, second = self.key.known.get(old), self.key.known.get(new)
        if (len(old) == 1) != (len(new) == 1) or (
            first is not None and second is not None and _work(first) != _work(second)
        ):
            self.findings.append(
                finding(
                    "wrong-kind",
                    f"`{old}` and `{new}` are different kinds of stitch and cannot be swapped.",
                    span,
                    "crosses are swapped for crosses, lines for lines, knots for knots",
                )
            )

    def look(
        self,
        drawing: _Drawing,
        swapped: frozenset[str] = frozenset(),
        placed: Span | None = None,
    ) -> None:
        """Look at a drawing; symbols that are swapped need not be in the key.

        placed: where it is placed, which is to blame for what the stock draws.
        """
        if (swapped, drawing.what) in self.seen:
            return
        self.seen.add((swapped, drawing.what))
        unknown = {
            symbol
            for symbol in drawing.own - swapped
            if len(symbol) == 1
            and symbol not in self.key.known
            and (drawing.what, symbol) not in self.told
        }
        shapes = [shape for shape in drawing.shapes if shape.symbol not in swapped]
        for shape in shapes:
            if len(self.findings) >= MOST_FINDINGS:
                return
            if (drawing.what, shape.symbol) not in self.told:
                self._shape(drawing, shape, placed)
        unknown -= {shape.symbol for shape in shapes}
        if unknown:
            self._unknown_cells(drawing, unknown, placed)

    # --- cells ---

    def _unknown_cells(self, drawing: _Drawing, unknown: set[str], placed: Span | None) -> None:
        first: dict[str, Span] = {}
        counts = dict.fromkeys(unknown, 0)
        for row, span in drawing.rows:
            for symbol in sorted(unknown.intersection(row), key=row.index):
                counts[symbol] += row.count(symbol)
                if symbol not in first:
                    at = span.start + row.index(symbol)
                    first[symbol] = span.source.span(at, at + 1)
        self.told.update((drawing.what, symbol) for symbol in unknown)
        in_order = list(first)
        for symbol in in_order[:_MOST_SYMBOLS]:
            more = _more(counts[symbol] - 1)
            told = self._unknown_cell(symbol, drawing.what, more, first[symbol])
            if placed is not None and in_stock(first[symbol]):
                told = self._blaming(told, symbol, placed)
            self.findings.append(told)
        rest = in_order[_MOST_SYMBOLS:]
        if rest:
            self.findings.append(
                finding(
                    "unknown-symbol",
                    f"The {drawing.what} has {len(rest)} more symbols that the key does not know.",
                    first[rest[0]],
                    "add a line for each to the key",
                )
            )

    def _blaming(self, told: Diagnostic, symbol: str, placed: Span) -> Diagnostic:
        """Return a finding about a drawing of the stock as one about its placement."""
        alike = [name for name in self.key.known if (len(name) == 1) == (len(symbol) == 1)]
        swaps = [f"or swap it where it is placed: `with {symbol} as {own}`" for own in alike[:1]]
        hints = (Hint("it is drawn here", told.span), *told.hints, *map(Hint, swaps))
        return replace(told, span=placed, hints=hints)

    def _unknown_cell(self, symbol: str, what: str, more: str, span: Span) -> Diagnostic:
        if symbol.isspace():
            return finding(
                "blank-in-row",
                f"The {what} has a blank in a row{more}.",
                span,
                "bare fabric is written `.`",
            )
        if symbol == "#":
            return finding(
                "unknown-symbol",
                f"`#` cannot be a symbol, but the {what} has it{more}.",
                span,
                "choose another character",
            )
        hints = []
        other = symbol.swapcase()
        if other != symbol and other in self.key.known:
            hints.append(f"the key does have `{other}`")
        elif symbol in _LIKE_BARE:
            hints.append("bare fabric is written `.`")
        return finding(
            "unknown-symbol",
            f"The key has no line for `{symbol}`, but the {what} has it{more}.",
            span,
            *hints,
            f"add a line for `{symbol}` to the key",
        )

    # --- lines, knots, beads ---

    def _unknown(self, symbol: str, span: Span | None) -> Diagnostic:
        guess = did_you_mean(symbol, self.key.known)
        return finding(
            "unknown-symbol",
            f"The key has no line for `{symbol}`.",
            span,
            guess or f"add a line for `{symbol}` to the key",
        )

    def _shape(self, drawing: _Drawing, shape: Line | Knot, placed: Span | None) -> None:
        place = self.spots.symbol(shape.span)
        if shape.symbol not in self.key.known:
            self.told.add((drawing.what, shape.symbol))
            told = self._unknown(shape.symbol, place)
            if placed is not None and place is not None and in_stock(place):
                told = self._blaming(told, shape.symbol, placed)
            self.findings.append(told)
            return
        entry = self.key.known[shape.symbol]
        word = "line" if isinstance(shape, Line) else self.spots.word(shape.span) or "knot"
        if entry is None or _work(entry) == word:
            return
        self.findings.append(
            finding(
                "wrong-kind",
                f"`{shape.symbol}` stands for {_ARTICLES[_work(entry)]} in the key, "
                f"but for {_ARTICLES[word]} here.",
                place,
                Hint("the key line", entry.span),
                f"write `{_work(entry)} {shape.symbol}`"
                if not entry.is_cell
                else f"give the {word} a word of its own in the key",
            )
        )


_ARTICLES = {"cell": "crosses", "line": "a line", "knot": "a knot", "bead": "a bead"}


def _work(entry: KeyEntry) -> str:
    """Return by which word a key entry is put into a chart."""
    return STITCHES[entry.parts[0].kind].placed or "cell"


def _more(count: int) -> str:
    if count == 0:
        return ""
    return ", here and in one more cell" if count == 1 else f", here and in {count:,} more cells"
