"""Whether the key knows every symbol that is used, and uses it for what it stands for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from .diagnostics import Diagnostic, Hint, error, warning
from .keylines import Key
from .model import (
    BARE,
    Alphabet,
    Border,
    Chart,
    Fabric,
    KeyEntry,
    Knot,
    Lettering,
    Line,
    Motif,
    Placement,
    Point,
    Swap,
)
from .source import Span
from .suggest import all_of, did_you_mean

_TOLERANCE = 0.01  # threads; a third of a cross cannot be written out in full
_MOST_SYMBOLS = 10  # unknown symbols told of in one grid


@dataclass(frozen=True)
class _Drawing:
    """The grids and shapes of one motif, alphabet or chart."""

    what: str
    rows: Sequence[tuple[str, Span]]
    lines: Sequence[Line]
    knots: Sequence[Knot]

    def symbols(self) -> set[str]:
        """Return every symbol and word used."""
        used = set("".join(row for row, _ in self.rows))
        used.discard(BARE)
        used.update(line.symbol for line in self.lines)
        used.update(knot.symbol for knot in self.knots)
        return used


def check_stitches(
    chart: Chart,
    motifs: Mapping[str, Motif],
    alphabets: Mapping[str, Alphabet],
    own: Iterable[str],
    key: Key,
    found: list[Diagnostic],
) -> None:
    """Look at every grid that is placed, and at every motif and alphabet of the chart's own file.

    own: names of the motifs and alphabets of the chart's own file. Those of a file that is used
    are looked at only where they are placed.
    """
    checker = _Checker(key, found)
    spans = zip(chart.rows, chart.row_spans, strict=True)
    lines = [item for item in chart.items if isinstance(item, Line)]
    knots = [item for item in chart.items if isinstance(item, Knot)]
    checker.drawing(_Drawing("chart", list(spans), lines, knots))
    drawings = {name: _of_motif(motif) for name, motif in motifs.items()}
    letters = {name: _of_alphabet(alphabet) for name, alphabet in alphabets.items()}
    placed: set[str] = set()
    for item in chart.items:
        if isinstance(item, Placement):
            checker.placed([drawings[item.motif]], item.swap, item.span)
            placed.add(item.motif)
        elif isinstance(item, Border):
            parts = [name for name in (item.repeat, item.corner) if name is not None]
            checker.placed([drawings[name] for name in parts], item.swap, item.span)
            placed.update(parts)
        elif isinstance(item, Lettering):
            checker.placed([letters[item.alphabet]], item.swap, item.span)
            placed.add(item.alphabet)
    for name in own:
        if name not in placed:
            drawing = drawings.get(name) or letters.get(name)
            if drawing is not None:
                checker.drawing(drawing)


def _of_motif(motif: Motif) -> _Drawing:
    rows = list(zip(motif.rows, motif.row_spans, strict=True))
    return _Drawing(f"motif `{motif.name}`", rows, motif.lines, motif.knots)


def _of_alphabet(alphabet: Alphabet) -> _Drawing:
    rows = [
        each
        for letter in alphabet.letters.values()
        for each in zip(letter.rows, letter.row_spans, strict=True)
    ]
    return _Drawing(f"alphabet `{alphabet.name}`", rows, (), ())


class _Checker:
    def __init__(self, key: Key, found: list[Diagnostic]) -> None:
        self.key = key
        self.found = found
        self.told: set[tuple[str, str]] = set()
        self.used: dict[str, set[str]] = {}

    def symbols(self, drawing: _Drawing) -> set[str]:
        if drawing.what not in self.used:
            self.used[drawing.what] = drawing.symbols()
        return self.used[drawing.what]

    def placed(self, drawings: Sequence[_Drawing], swap: Swap, span: Span | None) -> None:
        """Look at drawings placed together with symbols swapped."""
        used = set().union(*(self.symbols(drawing) for drawing in drawings))
        swapped = dict(swap)
        for old, new in swap:
            if old not in used:
                guess = did_you_mean(old, used) if len(old) > 1 else ""
                self.found.append(
                    warning(
                        "swap-without-effect",
                        f"`{old}` is to be swapped, but it does not stand in this "
                        f"{' or '.join(drawing.what for drawing in drawings)}.",
                        span,
                        guess or f"it holds {all_of(sorted(used)[:12])}",
                    )
                )
            elif new not in self.key.known:
                self.found.append(self._unknown(new, span, "The swap brings in"))
            else:
                self._kinds_agree(old, new, span)
        for drawing in drawings:
            self.drawing(drawing, swapped)

    def _kinds_agree(self, old: str, new: str, span: Span | None) -> None:
        first, second = self.key.known.get(old), self.key.known.get(new)
        if (len(old) == 1) != (len(new) == 1) or (
            first is not None and second is not None and _work(first) != _work(second)
        ):
            self.found.append(
                error(
                    "wrong-kind",
                    f"`{old}` and `{new}` are different kinds of stitch and cannot be swapped.",
                    span,
                    "crosses are swapped for crosses, lines for lines, knots for knots",
                )
            )

    def drawing(self, drawing: _Drawing, swapped: Mapping[str, str] | None = None) -> None:
        """Look at a drawing; symbols that are swapped need not be in the key."""
        away = swapped or {}
        known = self.key.known
        used = self.symbols(drawing)
        unknown = {
            symbol for symbol in used if len(symbol) == 1 and symbol not in known
        } - away.keys()
        cells = {symbol for symbol in unknown if (drawing.what, symbol) not in self.told}
        if cells:
            self._unknown_cells(drawing, cells)
        for shape in (*drawing.lines, *drawing.knots):
            if (drawing.what, shape.symbol) in self.told or shape.symbol in away:
                continue
            self._shape(drawing, shape)

    def _unknown_cells(self, drawing: _Drawing, unknown: set[str]) -> None:
        first: dict[str, Span] = {}
        counts = dict.fromkeys(unknown, 0)
        for row, span in drawing.rows:
            present = unknown.intersection(row)
            for symbol in present:
                counts[symbol] += row.count(symbol)
                if symbol not in first:
                    at = span.start + row.index(symbol)
                    first[symbol] = span.source.span(at, at + 1)
        in_order = list(first)
        for symbol in in_order[:_MOST_SYMBOLS]:
            self.told.add((drawing.what, symbol))
            more = counts[symbol] - 1
            and_more = f", here and in {more:,} more cells" if more > 1 else ""
            and_more = ", here and in one more cell" if more == 1 else and_more
            self.found.append(self._unknown_cell(symbol, drawing.what, and_more, first[symbol]))
        if len(in_order) > _MOST_SYMBOLS:
            rest = in_order[_MOST_SYMBOLS:]
            self.told.update((drawing.what, symbol) for symbol in rest)
            self.found.append(
                error(
                    "unknown-symbol",
                    f"The {drawing.what} has {len(rest)} more symbols that the key does not know.",
                    first[rest[0]],
                )
            )

    def _unknown_cell(self, symbol: str, what: str, more: str, span: Span) -> Diagnostic:
        if symbol.isspace():
            return error(
                "blank-in-row",
                f"The {what} has a blank in a row{more}.",
                span,
                "bare fabric is written `.`",
            )
        if symbol == "#":
            return error(
                "unknown-symbol",
                f"`#` cannot be a symbol, but the {what} has it{more}.",
                span,
                "choose another character",
            )
        hints = []
        other = symbol.swapcase()
        if other != symbol and other in self.key.known:
            hints.append(f"the key does have `{other}`")
        elif symbol in _BARE_LIKE:
            hints.append("bare fabric is written `.`")
        return error(
            "unknown-symbol",
            f"The key has no line for `{symbol}`, but the {what} has it{more}.",
            span,
            *hints,
            f"add a line for `{symbol}` to the key",
        )

    def _unknown(self, symbol: str, span: Span | None, lead: str) -> Diagnostic:
        guess = did_you_mean(symbol, self.key.known)
        return error(
            "unknown-symbol",
            f"{lead} `{symbol}`, for which the key has no line.",
            span,
            *([guess] if guess else []),
        )

    def _shape(self, drawing: _Drawing, shape: Line | Knot) -> None:
        what = "line" if isinstance(shape, Line) else "knot or bead"
        if shape.symbol not in self.key.known:
            self.told.add((drawing.what, shape.symbol))
            self.found.append(self._unknown(shape.symbol, shape.span, f"This {what} is worked in"))
            return
        entry = self.key.known[shape.symbol]
        if entry is None:
            return
        wanted = "line" if isinstance(shape, Line) else _written_word(shape)
        if _work(entry) != wanted:
            article = {"line": "a line", "knot": "a knot", "bead": "a bead"}.get(
                _work(entry), "crosses"
            )
            self.found.append(
                error(
                    "wrong-kind",
                    f"`{shape.symbol}` stands for {article} in the key, but for a {wanted} here.",
                    shape.span,
                    Hint("the key line", entry.span),
                )
            )


_BARE_LIKE = frozenset("·-_ 0°∙•˙")


def _work(entry: KeyEntry) -> str:
    """Return by which word a key entry is put into a chart."""
    if entry.is_cell:
        return "cell"
    return "line" if entry.is_line else entry.parts[0].kind.value


def _written_word(knot: Knot) -> str:
    # The model holds knots and beads alike; which word was written stands in the source.
    if knot.span is None:
        return "knot"
    return knot.span.source.text[knot.span.start : knot.span.start + 4]


# --- whole threads -----------------------------------------------------------------------------


def check_threads(
    chart: Chart, motifs: Mapping[str, Motif], fabric: Fabric, found: list[Diagnostic]
) -> None:
    """Hold every position to whole threads of the fabric.

    A hole lies between threads, so a position is a multiple of 1/over. A block weave is pierced
    in the middle of a block too, for knots and lines only.
    """
    told: set[int] = set()

    def look(points: Iterable[Point], over: int, halves: bool, span: Span | None) -> None:
        step = over * 2 if halves and fabric.block and over == 1 else over
        for point in points:
            if all(abs(each * step - round(each * step)) <= _TOLERANCE for each in point):
                continue
            if id(span) not in told:
                told.add(id(span))
                found.append(_between(point, step, fabric, span))
            return

    def shapes(motif: Motif, over: int) -> None:
        for shape in (*motif.lines, *motif.knots):
            look(shape.points, over, True, shape.span)

    for item in chart.items:
        if isinstance(item, Placement):
            look(
                [(item.x, item.y)],
                fabric.over * (2 if item.anchor.value == "centre" else 1),
                False,
                item.at_span,
            )
            look([item.step], fabric.over, False, item.span)
            if item.motif in motifs:
                motif = motifs[item.motif]
                shapes(motif, item.over or motif.over or fabric.over)
        elif isinstance(item, Lettering):
            look([(item.x if not item.centred else 0.0, item.y)], fabric.over, False, item.span)
            if item.centred:
                look([(item.x, 0.0)], fabric.over * 2, False, item.span)
        elif isinstance(item, Line | Knot):
            look(item.points, fabric.over, True, item.span)
    for motif in motifs.values():
        shapes(motif, motif.over or fabric.over)


def _between(point: Point, step: int, fabric: Fabric, span: Span | None) -> Diagnostic:
    unit = "block" if fabric.block else "thread"
    if step == 1:
        advice = f"a cross spans one {unit} here, so positions are whole numbers"
    else:
        advice = f"positions here are multiples of {1 / step:.4g} ({_steps(step)})"
    return error(
        "between-threads",
        f"{point[0]:g},{point[1]:g} falls inside a fabric {unit}.",
        span,
        advice,
    )


def _steps(step: int) -> str:
    return ", ".join(f"{index / step:.3g}" for index in range(min(step, 4) + 1))
