"""What follows the word of a statement or an option: its form, one rule of the grammar as text.

    RANGE_NAME "from" table_file        MOTIF_NAME size (over|symmetric)*

Words and signs in quotes stand for themselves. Names in capitals are terminals of `chart.lark`.
Other names are pieces there, kinds of file, or options of the table in `statements`. Brackets hold
what may stand in one place, parted by `|`, or what stands together. `?`, `*` and `+` mean what they
mean in a grammar. One form says how a line is read, how the parser's tree becomes a node, and how
the line is written.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from ..core.suggest import listed
from .phrases import (
    AreaWords,
    Cloth,
    Dimensions,
    Extent,
    Length,
    Numeral,
    Option,
    PartWords,
    Position,
    Row,
    StockWords,
    StrokeWords,
    SwapPair,
    Swaps,
    Text,
    ThreadWords,
    Word,
)

SIGNS = {",": "COMMA", "+": "PLUS", "x": "X", "%": "PERCENT"}  # words that are no letters
_WORD = "_WORD"  # how the name of a word's terminal ends
# Kinds of file by the endings that their names have.
FILES: Mapping[str, tuple[str, ...]] = {
    "chart_file": (".linen",),
    "table_file": (".csv",),
    "prose_file": (".md",),
    "picture_file": (".png", ".jpg", ".jpeg"),
}
# Rules of several pieces of one kind, and what stands between two of them.
LISTS: Mapping[str, str] = {"cloths": ", ", "parts": ", ", "swaps": ", ", "strokes": "  "}
# Names that stand for one of several terminals.
_SYMBOL = ("SYMBOL", "KEY_NAME")
_TERMINALS = {"symbol": _SYMBOL, "new_symbol": _SYMBOL, **dict.fromkeys(FILES, ("STRING", "FILE"))}
# What each piece of a node is called in a form; other pieces are words.
_CALLED: Mapping[type, frozenset[str]] = {
    Text: frozenset({"STRING"}),
    Numeral: frozenset({"NUMBER"}),
    Position: frozenset({"POINT"}),
    Row: frozenset({"ROW"}),
    AreaWords: frozenset({"area", "region", "shown"}),
    Dimensions: frozenset({"size"}),
    Extent: frozenset({"extent"}),
    Length: frozenset({"length"}),
    Cloth: frozenset({"cloth", "cloths"}),
    PartWords: frozenset({"parts"}),
    SwapPair: frozenset({"swaps"}),
    StockWords: frozenset({"stocked"}),
    StrokeWords: frozenset({"strokes"}),
    ThreadWords: frozenset({"thread"}),
}
_PIECES = frozenset().union(*_CALLED.values())
_ITEM = re.compile(r'(?:\(([^()]*)\)|("[^"]+"|\w+))([?*+]?)')

Child = TypeVar("Child")
AnyPhrase = object  # of `phrases`
Write = Callable[["Slot", Sequence[AnyPhrase]], str]  # returns what stands in a slot, in words


def terminal(word: str) -> str:
    """Return the name of the terminal of a word or sign."""
    return SIGNS.get(word) or word.upper().replace("-", "_") + _WORD


def word_of(name: str) -> str | None:
    """Return the word that a terminal stands for; None for signs, names, numbers and texts."""
    word = name.removesuffix(_WORD)
    return word.lower().replace("_", "-") if word != name else None


def option_rule(name: str) -> str:
    """Return the name of the rule of an option."""
    return f"{name}_option"


@dataclass(frozen=True)
class Fixed:
    """A word or sign that only introduces what follows it."""

    word: str
    mark: str

    def rule(self, _left_out: Container[str]) -> str:
        """Return it as part of a rule."""
        return f'"{self.word}"{self.mark}'


@dataclass(frozen=True)
class Slot:
    """A place for a piece of a node, or for several; written: what may stand there."""

    written: tuple[str, ...]
    mark: str

    @cached_property
    def many(self) -> bool:
        """Whether several may stand there."""
        return self.mark in ("*", "+") or self.is_list or bool(self.options)

    @cached_property
    def is_list(self) -> bool:
        """Whether a list parted by signs stands there."""
        return not LISTS.keys().isdisjoint(self.written)

    @cached_property
    def between(self) -> str:
        """What stands between two pieces."""
        return next((LISTS[name] for name in self.written if name in LISTS), " ")

    @cached_property
    def words(self) -> tuple[str, ...]:
        """The words among what may stand there."""
        return tuple(name[1:-1] for name in self.written if name[0] == '"')

    @cached_property
    def files(self) -> tuple[str, ...]:
        """The endings of the files that may be named there; empty where none may."""
        return tuple(ending for name in self.written for ending in FILES.get(name, ()))

    @cached_property
    def options(self) -> tuple[str, ...]:
        """The options among what may stand there."""
        return tuple(filter(_is_option, self.written))

    @cached_property
    def rules(self) -> frozenset[str]:
        """The terminals and rules of the grammar that may stand there."""
        names = (terminal(name[1:-1]) if name[0] == '"' else name for name in self.written)
        return frozenset(rule for name in names for rule in _rules(name))

    @cached_property
    def takes(self) -> frozenset[type]:
        """The types of the pieces that may stand there."""
        types = {piece for piece, called in _CALLED.items() if not called.isdisjoint(self.rules)}
        if self.options:
            return frozenset({Option, Swaps})
        return frozenset(types if self.rules <= _PIECES else {*types, Word})

    def rule(self, left_out: Container[str]) -> str:
        """Return it as part of a rule."""
        kept = (name for name in self.written if name not in left_out)
        rules = [rule for name in kept for rule in _rules(name)]
        if len(rules) < 2:
            return rules[0] + self.mark if rules else ""
        return f"({' | '.join(rules)}){self.mark}"


@dataclass(frozen=True)
class Together:
    """Items that stand together or not at all."""

    items: tuple[FormPart, ...]
    mark: str

    def rule(self, left_out: Container[str]) -> str:
        """Return it as part of a rule."""
        return f"({' '.join(item.rule(left_out) for item in self.items)}){self.mark}"


FormPart = Fixed | Slot | Together


def _is_option(name: str) -> bool:
    return name.islower() and name[0] != '"' and name not in _PIECES and name not in _TERMINALS


def _rules(name: str) -> tuple[str, ...]:
    return (option_rule(name),) if _is_option(name) else _TERMINALS.get(name, (name,))


@dataclass(frozen=True)
class Form:
    """A form taken apart."""

    items: tuple[FormPart, ...]

    @cached_property
    def slots(self) -> tuple[Slot, ...]:
        """The places for the pieces of a node, in order."""
        return tuple(_slots(self.items))

    @cached_property
    def options(self) -> tuple[str, ...]:
        """The names of all options that may stand in it."""
        return tuple(name for slot in self.slots for name in slot.options)

    def rule(self, left_out: Container[str] = ()) -> str:
        """Return the form as the right side of a rule, without some of its options."""
        return " ".join(filter(None, (item.rule(left_out) for item in self.items)))

    def sort(self, children: Iterable[tuple[str, Child]]) -> list[list[Child]]:
        """Return for each slot what was read for it; children: each with its rule or terminal."""
        taken: list[list[Child]] = [[] for _ in self.slots]
        at = 0
        for name, child in children:
            for place in range(at, len(taken)):  # none takes a fixed word
                if name in self.slots[place].rules:
                    taken[place].append(child)
                    at = place if self.slots[place].many else place + 1
                    break
        return taken

    def spell(self, pieces: Iterable[AnyPhrase], write: Write) -> list[str]:
        """Return the words of a line that holds these pieces, slot by slot."""
        left = list(pieces)
        words: list[str] = []
        _spell(self.items, left, write, words)
        assert not left, (self.items, left)
        return words


def form(written: str) -> Form:
    """Return a form taken apart."""
    assert not _ITEM.sub("", written).strip(), written
    return Form(tuple(_items(written)))


def _items(written: str) -> Iterator[FormPart]:
    for inside, single, mark in _ITEM.findall(written):
        if single.startswith('"'):
            yield Fixed(single[1:-1], mark)
        elif single or "|" in inside:
            yield Slot(tuple((single or inside).split("|")), mark)
        else:
            yield Together(tuple(_items(inside)), mark)


def _slots(items: Iterable[FormPart]) -> Iterator[Slot]:
    for item in items:
        if isinstance(item, Slot):
            yield item
        elif isinstance(item, Together):
            yield from _slots(item.items)


def _spell(
    items: Iterable[FormPart], left: list[AnyPhrase], write: Write, words: list[str]
) -> None:
    """Add the words for what is left of the pieces, and take those pieces away."""
    for item in items:
        if isinstance(item, Fixed):
            if item.word == ",":  # stands right behind the word before it
                words[-1] += item.word
            else:
                words.append(item.word)
        elif isinstance(item, Together):
            if left and type(left[0]) in next(_slots(item.items)).takes:
                _spell(item.items, left, write, words)
        else:
            count = 0
            while (
                count < len(left) and type(left[count]) in item.takes and (item.many or not count)
            ):
                count += 1
            if count:
                words.append(write(item, left[:count]))
                del left[:count]


# What each terminal is called; words stand for themselves.
PHRASES = {
    "STRING": 'a text in "double quotes"',
    "NUMBER": "a number",
    "POINT": "a position such as `20,14`",
    "DATE": "a date such as `2026-03-14`",
    "COLOUR": "a colour such as `#e9dfcb`",
    "PERCENT": "`%`",
    "COMMA": "a comma",
    "PLUS": "`+`",
    "X": "`x`",
    "ROW": "a row between bars, `|..m..|`",
    "SYMBOL": "a symbol (one character)",
    "LETTER": "a letter before its first row, `A |..m..|`",
    "CODE": "a thread code",
    "LANGUAGE_TAG": "a language such as `en-GB`",
    "FILE": "a file name",
    "MOTIF_NAME": "a motif's name",
    "ALPHABET_NAME": "an alphabet's name",
    "RANGE_NAME": "a thread range",
    "COLOURWAY_NAME": "a name for the colourway",
    "CHANGEABLE_NAME": "a name, such as `initials`",
    "PRINTED_NAME": "the name of a printed symbol",
    "STITCH_NAME": "the name of a stitch",
    "THING_NAME": "the name of a thing placed",
    "STOCK_NAME": "the name of a stock",
    "FABRIC_KIND": "a kind of fabric such as `linen`",
    "KEY_NAME": "a word of the key",
    "STRANDS_UNIT": "`strand` or `strands`",
    "CORNER": "a corner such as `top-left`",
}
CORNERS = ("top-left", "top-right", "bottom-left", "bottom-right")
NAMES = frozenset(name for name in PHRASES if name.endswith("_NAME")) | {"FABRIC_KIND"}
MOST_LISTED = 8
LONGEST_SHOWN = 40


def phrases(wanted: Collection[str], most: int = MOST_LISTED) -> str:
    """Return the terminals wanted as part of a sentence."""
    things = sorted({PHRASES[name] for name in wanted if name in PHRASES})
    words = sorted(f"`{word}`" for word in map(word_of, wanted) if word)
    both = things + words
    if not both:
        return "nothing more"
    if len(both) > most:
        return "something else"
    return listed(both, "or")


def article(block: str) -> str:
    """Return a block by its word: a `key`, an `alphabet`."""
    return f"{'an' if block[:1] in set('aeiou') else 'a'} `{block}`"


def short(text: str) -> str:
    """Return a text, cut off where it is too long to be shown."""
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"
