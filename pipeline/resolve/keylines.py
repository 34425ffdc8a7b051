"""The key: which stitch each symbol and each word stands for."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass

from ..core.characters import is_visible
from ..core.counted import Counted, Stands
from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.key import KeyEntry, Kind, Lies, Part, Strands, Way
from ..core.source import Span
from ..core.suggest import did_you_mean
from ..stitches.kinds import ASSUMED, CORNERS, STITCHES
from ..syntax.cutting import stated
from ..syntax.nodes import Block, KeyLine
from ..syntax.notation import notation
from ..syntax.phrases import KindWords, PartWords, Text, Word
from .needles import Basket, needle
from .sharing import parts_agree

Stitches = Callable[[], Mapping[str, Counted | None]]  # None: of that name, but at fault

MOST_KEY_LINES = 500
LONGEST_TEXT = 10_000  # characters of a text

# What stitches are called elsewhere, and what is said of each.
_OTHERWISE = {
    "backstitch": "a line in back stitch is `back`",
    "back-stitch": "a line in back stitch is `back`",
    "french": "a French knot is `knot`",
    "knots": "a French knot is `knot`",
    "beads": "write `bead`",
    "stitch": "leave the word out: `back`, `cross`",
    "two": "a number is written in figures: `2 strands`",
    "three": "a number is written in figures: `3 strands`",
    "one": "a number is written in figures: `1 strand`",
}

_OPPOSITE = {
    way: next(each for each, at in CORNERS.items() if at == (1 - corner[0], 1 - corner[1]))
    for way, corner in CORNERS.items()
}


@dataclass(frozen=True)
class ReadKey:
    """The key as read.

    entries: the lines that could be read. known: every symbol and word that a line of the key
    stands under, with None where the line itself is at fault, so that it is blamed only once.
    """

    entries: tuple[KeyEntry, ...]
    known: Mapping[str, KeyEntry | None]

    @property
    def symbols(self) -> list[str]:
        """The symbols and words, in order."""
        return list(self.known)


def resolve_key(
    blocks: Sequence[Block], basket: Basket, stitches: Stitches, findings: list[Diagnostic]
) -> ReadKey:
    """Return the key of a chart's `key` blocks.

    stitches: gives the counted stitches by name; asked only where the key names one.
    """
    entries: list[KeyEntry] = []
    known: dict[str, KeyEntry | None] = {}
    places: dict[str, Span] = {}
    for block in blocks:
        known.update((each.words[0], None) for each in block.broken if each.words)
        for line in block.members:
            if not isinstance(line, KeyLine) or len(known) > MOST_KEY_LINES:
                continue
            symbol = line.symbol.text
            if symbol in places:
                findings.append(
                    finding(
                        "duplicate-symbol",
                        f"The key has two lines for `{symbol}`.",
                        line.symbol.span,
                        Hint("the first one is here", places[symbol]),
                        "give one of them another symbol",
                    )
                )
                continue
            places[symbol] = line.symbol.span
            known[symbol] = entry = _entry(line, basket, stitches, findings)
            if entry is not None:
                entries.append(entry)
    if len(entries) > MOST_KEY_LINES:
        findings.append(
            finding(
                "key-too-long",
                f"The key has more than {MOST_KEY_LINES} lines.",
                entries[MOST_KEY_LINES].span,
                "use one thread for those that are nearly alike",
            )
        )
    return ReadKey(tuple(entries), known)


def check_symbol(word: Word, findings: list[Diagnostic]) -> bool:
    """Tell whether a word can stand at the head of a key line."""
    text = word.text
    if len(text) > 1:
        return check_name(word, findings)
    if is_visible(text):
        return True
    findings.append(
        finding(
            "bad-symbol",
            f"U+{ord(text):04X} cannot be a symbol: it cannot be seen standing alone.",
            word.span,
            "choose a letter, a figure or a sign",
        )
    )
    return False


def check_name(
    word: Word, findings: list[Diagnostic], taken: Collection[str] = frozenset()
) -> bool:
    """Tell whether a name is free to be given; taken: words that cannot stand where it is used."""
    if word.text in taken or word.text in notation(stated(word.span.source)).reserved:
        findings.append(
            finding(
                "reserved-name",
                f"`{word.text}` is a word of the notation and cannot be a name.",
                word.span,
                f"choose another, such as `my-{word.text}`",
            )
        )
        return False
    if len(word.text) > 60:
        findings.append(
            finding("name-too-long", "A name has at most 60 characters.", word.span, "shorten it")
        )
        return False
    return True


def text_value(text: Text, findings: list[Diagnostic]) -> str:
    """Return what a text says, if it is not too long."""
    if len(text.value) > LONGEST_TEXT:
        findings.append(
            finding(
                "text-too-long",
                f"A text has at most {LONGEST_TEXT:,} characters; this has {len(text.value):,}.",
                text.span,
                "a longer text goes into a story or section file",
            )
        )
    return text.value


def _entry(
    line: KeyLine, basket: Basket, stitches: Stitches, findings: list[Diagnostic]
) -> KeyEntry | None:
    if not check_symbol(line.symbol, findings):
        return None
    for repeated, what in ((line.printed, "printed symbol"), (line.notes, "note")):
        if len(repeated) > 1:
            findings.append(
                finding(
                    "repeated-option",
                    f"This line has two {what}s.",
                    repeated[1].span,
                    "take one of them out",
                )
            )
            return None
    kinds: list[_Said | None] = []
    for part in line.parts:
        kinds.append(_kind(part, line.symbol, kinds, stitches, findings))
    parts: list[Part] = []
    before = len(findings)
    ways = _ways(kinds, line, findings)
    for words, kind, way in zip(line.parts, kinds, ways, strict=True):
        if kind is None:
            continue
        threads = needle(words, basket, STITCHES[kind.kind].strands, findings)
        if threads is not None and are_threads(kind.kind, threads, words, findings):
            parts.append(Part(kind.kind, threads, way, kind.stitch, kind.second, words.span))
    if len(parts) < len(line.parts) or len(findings) > before:
        return None
    if not parts_agree(line, parts, findings):
        return None
    note = text_value(line.notes[0], findings) if line.notes else ""
    printed = line.printed[0].text if line.printed else ""
    return KeyEntry(line.symbol.text, tuple(parts), note, printed, line.span)


def are_threads(
    kind: Kind, needle: Sequence[Strands], words: PartWords, findings: list[Diagnostic]
) -> bool:
    """Tell whether a stitch can be worked with what is named for it."""
    beads = [each.thread for each in needle if each.thread.kind.traits.bead]
    if not beads or STITCHES[kind].bead:
        return True
    findings.append(
        finding(
            "bead-for-thread",
            f"{beads[0].label} is a bead; {STITCHES[kind].many} are worked with thread.",
            words.span,
            f"name a thread, or give the bead a key line of its own: `drop  {beads[0].label} bead`",
        )
    )
    return False


@dataclass(frozen=True)
class _Said:
    """Which stitch a part of a key line is, and in which words that is said, if in any."""

    kind: Kind
    words: KindWords | None = None
    stitch: Counted | None = None
    second: bool = False


_COUNTED = {
    Stands.ALONE: Kind.COUNTED,
    Stands.ROWS: Kind.COUNTED,
    Stands.BARS: Kind.COUNTED,
    Stands.LINES: Kind.LINED,
    Stands.POINTS: Kind.WOUND,
}
STATED = tuple(kind.value for kind in Kind if not kind.by_strokes)
_SECOND = "second"  # the word for the second thread of a counted stitch
BEHIND_THREADS = frozenset({_SECOND, "with", "printed"})  # words where a stitch may be named


def _kind(
    part: PartWords,
    symbol: Word,
    before: Sequence[_Said | None],
    stitches: Stitches,
    findings: list[Diagnostic],
) -> _Said | None:
    """Return the kind of stitch of a part; full where none is stated and it is a cell's.

    before: the parts before it in the same line.
    """
    stated = [kind for each in part.needles for kind in each.kinds]
    if len(stated) > 1:
        named = [kind.kind for kind in stated if kind.kind.text not in (*STATED, _SECOND)]
        strange = next((word for word in named if word.text not in stitches()), None)
        if strange is not None:
            _named(strange, stitches(), findings)
            return None
        findings.append(
            finding(
                "repeated-option",
                "The kind of stitch is stated twice.",
                stated[1].span,
                "two stitches in one cell are joined by `+`",
            )
        )
        return None
    for_cells = len(symbol.text) == 1
    if not stated:
        if for_cells:
            return _Said(ASSUMED)
        findings.append(
            finding(
                "missing-kind",
                f"The key does not say what `{symbol.text}` stands for.",
                part.span,
                "a word stands for a line, knot or bead: add `back`, `straight`, `knot` or `bead`",
                "a symbol for crosses has one character",
            )
        )
        return None
    words = stated[0]
    said = _said(words, before, stitches, findings)
    if said is None or (said.kind.lies is Lies.CELL) == for_cells:
        return said
    kind = said.kind
    if for_cells:
        message = (
            f"`{symbol.text}` is one character, so it stands for crosses, "
            f"not for {STITCHES[kind].many}."
        )
        hint = "a line, knot or bead has a word of two or more characters: `lantern`"
    else:
        message = f"`{symbol.text}` is a word, so it cannot stand for {STITCHES[kind].many}."
        hint = "a stitch that fills cells has a symbol of one character"
    findings.append(finding("wrong-kind", message, words.span, hint))
    return None


def _said(
    words: KindWords,
    before: Sequence[_Said | None],
    stitches: Stitches,
    findings: list[Diagnostic],
) -> _Said | None:
    """Return which stitch words say."""
    if words.kind.text == _SECOND:
        return _second(words, before, findings)
    if words.kind.text in STATED:
        return _Said(Kind(words.kind.text), words)
    stitch = _named(words.kind, stitches(), findings)
    return None if stitch is None else _Said(_COUNTED[stitch.stands], words, stitch)


def _named(
    word: Word, stitches: Mapping[str, Counted | None], findings: list[Diagnostic]
) -> Counted | None:
    """Return the counted stitch of a name; one that is at fault is told of where it stands."""
    if word.text not in stitches:
        meant = _OTHERWISE.get(word.text.lower())
        guess = meant or did_you_mean(word.text, [*STATED, *stitches])
        own = f"say how it is worked: `stitch {word.text} over 2 x 2`, and its strokes below"
        findings.append(
            finding(
                "unknown-stitch",
                f"There is no stitch `{word.text}`.",
                word.span,
                *([guess] if guess else []),
                *([] if meant else [own]),
            )
        )
    return stitches.get(word.text)


def _second(
    words: KindWords, before: Sequence[_Said | None], findings: list[Diagnostic]
) -> _Said | None:
    """Return the strokes of the second thread of the stitch before."""
    main = before[0] if before else None
    if before and main is None:
        return None  # told of already
    if len(before) == 1 and main is not None and main.stitch is not None and main.stitch.second:
        return _Said(main.kind, words, main.stitch, second=True)
    findings.append(
        finding(
            "wrong-kind",
            "`second` is the second thread of a stitch that is worked with two.",
            words.span,
            "write `r  estuary 417 rice + estuary 220 second`",
        )
    )
    return None


def _ways(
    kinds: Sequence[_Said | None],
    line: KeyLine,
    findings: list[Diagnostic],
) -> list[Way | None]:
    """Return which way each part lies; of two in a cell one may leave its corner out."""
    ways: list[Way | None] = []
    for kind in kinds:
        stated = kind.words.way if kind and kind.words else None
        ways.append(Way(stated.text) if stated else None)
    cornered = [index for index, kind in enumerate(kinds) if kind and _cornered(kind.kind)]
    open_ones = [index for index in cornered if ways[index] is None]
    if len(cornered) == 2 and len(open_ones) == 1:
        other = ways[cornered[0] if open_ones[0] == cornered[1] else cornered[1]]
        if other is not None:
            ways[open_ones[0]] = _OPPOSITE[other]
            open_ones = []
    if open_ones:
        kind = kinds[open_ones[0]]
        span = kind.words.span if kind and kind.words else line.span
        findings.append(
            finding(
                "missing-corner",
                "This stitch does not say which corner it lies in.",
                span,
                "add `top-left`, `top-right`, `bottom-left` or `bottom-right`",
            )
        )
    return ways


def _cornered(kind: Kind) -> bool:
    """Tell whether a stitch lies in a corner of its cell, which must be stated."""
    return not CORNERS.keys().isdisjoint(STITCHES[kind].strokes)
