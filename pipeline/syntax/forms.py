"""What follows the word of a statement or an option: its form, one rule of the grammar as text.

    RANGE_NAME "from" table_file        MOTIF_NAME size (over|symmetric)*

Words and signs in quotes stand for themselves. Names in capitals are terminals of `chart.lark`.
Other names are pieces there, kinds of file, or options of the table in `statements`; what can be
a list stands in brackets with `|` between. `?`, `*` and `+` mean what they mean in a grammar. One
form says how a line is read, how the parser's tree becomes a node, and how the line is written.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar

from .phrases import (
    Area,
    Cloth,
    Measure,
    Number,
    Option,
    PartWords,
    Place,
    Row,
    Size,
    SwapPair,
    Swaps,
    Text,
)

SIGNS = {",": "COMMA", "+": "PLUS", "x": "X", "%": "PERCENT"}  # words that are no letters
WORD_END = "_WORD"  # how the terminal of a word is named
# Kinds of file by the endings that their names have.
FILES: Mapping[str, tuple[str, ...]] = {
    "chart_file": (".linen",),
    "table_file": (".csv",),
    "prose_file": (".md",),
    "picture_file": (".png", ".jpg", ".jpeg"),
}
# Names that stand for one of several terminals.
_SYMBOL = ("SYMBOL", "KEY_NAME")
_TERMINALS = {"symbol": _SYMBOL, "new_symbol": _SYMBOL, **dict.fromkeys(FILES, ("STRING", "FILE"))}
# What each piece of a node is called in a form; other pieces are words.
_CALLED: Mapping[type, frozenset[str]] = {
    Text: frozenset({"STRING"}),
    Number: frozenset({"NUMBER"}),
    Place: frozenset({"POINT"}),
    Row: frozenset({"ROW"}),
    Area: frozenset({"area"}),
    Size: frozenset({"size"}),
    Measure: frozenset({"length"}),
    Cloth: frozenset({"cloth", "cloths"}),
    PartWords: frozenset({"parts"}),
    SwapPair: frozenset({"swaps"}),
}
_PIECES = frozenset().union(*_CALLED.values())
_LISTS = frozenset({"cloths", "parts", "swaps"})  # pieces of one kind, parted by signs
_LEXEME = re.compile(r'"[^"]+"|\w+|[()|?*+]')

Child = TypeVar("Child")


def terminal(word: str) -> str:
    """Return the name of the terminal of a word or sign."""
    return SIGNS.get(word) or word.upper().replace("-", "_") + WORD_END


def word_of(name: str) -> str | None:
    """Return the word that a terminal stands for; None for signs, names, numbers and texts."""
    word = name.removesuffix(WORD_END)
    return word.lower().replace("_", "-") if word != name else None


def option_rule(name: str) -> str:
    """Return the name of the rule of an option."""
    return f"{name}_option"


@dataclass(frozen=True)
class Fixed:
    """A word or sign that only introduces what follows it."""

    word: str
    mark: str = ""


@dataclass(frozen=True)
class Choice:
    """A piece of a node, or several: what may stand there, as written in the form."""

    written: tuple[str, ...]
    mark: str = ""

    @property
    def many(self) -> bool:
        """Whether several may stand there."""
        return self.mark in ("*", "+")

    @property
    def lists(self) -> bool:
        """Whether what may stand there is a list parted by signs."""
        return not self.rules.isdisjoint(_LISTS)

    @property
    def words(self) -> tuple[str, ...]:
        """The words among what may stand there."""
        return tuple(name[1:-1] for name in self.written if name[0] == '"')

    @property
    def files(self) -> tuple[str, ...]:
        """The endings of the files that may be named there; empty where none may."""
        return tuple(ending for name in self.written for ending in FILES.get(name, ()))

    @property
    def options(self) -> tuple[str, ...]:
        """The options among what may stand there."""
        return tuple(filter(_is_option, self.written))

    @cached_property
    def rules(self) -> frozenset[str]:
        """The terminals and rules of the grammar that may stand there."""
        return frozenset(rule for name in self.written for rule in _rules(name))

    def takes(self, piece: object) -> bool:
        """Tell whether a piece of a node is one of those."""
        if isinstance(piece, Option | Swaps):
            return bool(self.options)
        called = _CALLED.get(type(piece))
        if called is not None:
            return not self.rules.isdisjoint(called)
        return not self.options and not self.rules <= _PIECES


@dataclass(frozen=True)
class Group:
    """Items that stand together or not at all."""

    items: tuple[Item, ...]
    mark: str = ""


Item = Fixed | Choice | Group


def _is_option(name: str) -> bool:
    return name.islower() and name[0] != '"' and name not in _PIECES and name not in _TERMINALS


def _rules(name: str) -> tuple[str, ...]:
    if name[0] == '"':
        return (terminal(name[1:-1]),)
    return (option_rule(name),) if _is_option(name) else _TERMINALS.get(name, (name,))


@dataclass(frozen=True)
class Form:
    """A form taken apart."""

    written: str
    items: tuple[Item, ...] = field(compare=False)

    @cached_property
    def choices(self) -> tuple[Choice, ...]:
        """What the form takes, in order: the pieces of a node."""
        return tuple(_choices(self.items))

    @cached_property
    def options(self) -> tuple[str, ...]:
        """The names of all options that may stand in it."""
        return tuple(name for choice in self.choices for name in choice.options)

    @cached_property
    def words(self) -> tuple[str, ...]:
        """All its words, in order."""
        return tuple(re.findall(r'"([^"]+)"', self.written))

    def rule(self, left_out: Container[str] = ()) -> str:
        """Return the form as the right side of a rule, without some of its options."""
        return " ".join(filter(None, (_rule(item, left_out) for item in self.items)))

    def sort(self, children: Iterable[tuple[str, Child]]) -> list[list[Child]]:
        """Return for each choice what was read for it; children: each with its rule or terminal."""
        taken: list[list[Child]] = [[] for _ in self.choices]
        at = 0
        for name, child in children:
            for place in range(at, len(taken)):  # none takes a fixed word
                if name in self.choices[place].rules:
                    taken[place].append(child)
                    at = place if self.choices[place].many else place + 1
                    break
        return taken

    def spell(
        self, pieces: Sequence[object], write: Callable[[Choice, Sequence[object]], str]
    ) -> list[str]:
        """Return the words of a line whose pieces are these, in order.

        write: returns what was chosen, in words.
        """
        left = list(pieces)
        words: list[str] = []
        _spell(self.items, left, write, words)
        assert not left, (self.written, left)
        return words


def form(written: str) -> Form:
    """Return a form taken apart."""
    lexemes = _LEXEME.findall(written)
    items, rest = _items(lexemes)
    assert not rest, written
    return Form(written, items)


def _items(lexemes: Sequence[str]) -> tuple[tuple[Item, ...], Sequence[str]]:
    """Return the items up to a closing bracket, and the lexemes from there on."""
    items: list[Item] = []
    while lexemes and lexemes[0] != ")":
        item, lexemes = _item(lexemes)
        items.append(item)
    return tuple(items), lexemes


def _item(lexemes: Sequence[str]) -> tuple[Item, Sequence[str]]:
    first, *rest = lexemes
    if first == "(":
        end = rest.index(")")
        inside, after = rest[:end], rest[end + 1 :]
    else:
        inside, after = [first], rest
    mark = after[0] if after and after[0] in "?*+" else ""
    after = after[len(mark) :]
    if "|" in inside:
        return Choice(tuple(name for name in inside if name != "|"), mark), after
    if len(inside) > 1:
        return Group(_items(inside)[0], mark), after
    return (Fixed(first[1:-1], mark) if first[0] == '"' else Choice((first,), mark)), after


def _choices(items: Sequence[Item]) -> Iterator[Choice]:
    for item in items:
        if isinstance(item, Choice):
            yield item
        elif isinstance(item, Group):
            yield from _choices(item.items)


def _rule(item: Item, left_out: Container[str]) -> str:
    if isinstance(item, Fixed):
        return f'"{item.word}"{item.mark}'
    if isinstance(item, Group):
        return f"({' '.join(_rule(each, left_out) for each in item.items)}){item.mark}"
    rules = [
        rule
        for name in item.written
        if name not in left_out
        for rule in ((name,) if name[0] == '"' else _rules(name))
    ]
    if len(rules) < 2:
        return rules[0] + item.mark if rules else ""
    return f"({' | '.join(rules)}){item.mark}"


def _spell(
    items: Sequence[Item],
    left: list[object],
    write: Callable[[Choice, Sequence[object]], str],
    words: list[str],
) -> None:
    """Add the words of what is left of the pieces, and take those away."""
    for item in items:
        if isinstance(item, Fixed):
            if item.word == ",":  # stands right behind the word before it
                words[-1] += item.word
            else:
                words.append(item.word)
        elif isinstance(item, Group):
            if left and next(_choices(item.items)).takes(left[0]):
                _spell(item.items, left, write, words)
        else:
            many = item.many or item.lists or bool(item.options)
            count = 0
            while count < len(left) and item.takes(left[count]) and (many or not count):
                count += 1
            if count:
                words.append(write(item, left[:count]))
                del left[:count]
