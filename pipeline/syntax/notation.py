"""The notation in one of its versions: its words, its grammar and its parser."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache, cached_property

from lark import Lark

from ..grammar import chart_parser, pieces
from .cutting import NOTATION
from .forms import SIGNS, option_rule, terminal
from .statements import ALL, OPTIONS, STATEMENTS, Body

_QUOTED = re.compile(r'"([a-z][a-z-]*|[,+%])"')

_RULE = re.compile(r"^\??(\w+):", re.MULTILINE)  # the name of a rule or terminal
_SET_ASIDE = ("grid",)  # words that no statement has, but may have one day


class Notation:
    """All statements of the table that a version has.

    heads: those that begin a block or stand alone, by their word. lines: those that stand below
    each word. starts: the rules by which text is parsed, each of one statement or of any line of a
    block. by_rule, options: statements and options by their rules.
    """

    def __init__(self, version: int) -> None:
        here = [statement for statement in STATEMENTS if statement.since <= version]
        self.version = version
        self.heads = {statement.word: statement for statement in here if not statement.under}
        self.lines = {
            word: tuple(statement for statement in here if word in statement.blocks)
            for word, head in self.heads.items()
            if head.lines is not Body.NONE
        }
        self.by_rule = {statement.rule: statement for statement in here}
        self.options = {
            option_rule(option.name): option for option in OPTIONS if option.since <= version
        }
        self.starts = (
            "rows",
            *(head.rule for head in self.heads.values()),
            *map(lines_rule, self.lines),
        )

    @cached_property
    def reserved(self) -> frozenset[str]:
        """Words that cannot be names: a line that begins with them is no placement."""
        begin = (line.word for line in self.lines["chart"] if line.word)
        return frozenset([*self.heads, *begin, *_SET_ASIDE])

    @cached_property
    def parser(self) -> Lark:
        """Its parser; `parse(text, start=...)` takes one of `starts`."""
        return chart_parser(self.grammar, self.starts)

    @property
    def grammar(self) -> str:
        """Its grammar: the pieces of lines, and the rules that follow from the table."""
        rules = "\n".join([pieces(self.version), *self._rules()])
        # A word ends where a name or the name of a file would: `at` is not read in `atlas`.
        words = [rf"{terminal(word)}.2: /{word}(?![\w\-]|[.\/]\w)/" for word in _words_in(rules)]
        return "\n".join([_QUOTED.sub(lambda match: terminal(match[1]), rules), *words, ""])

    def _rules(self) -> Iterator[str]:
        newer = {option.name for option in OPTIONS if option.since > self.version}
        newer |= {*_RULE.findall(pieces())} - {*_RULE.findall(pieces(self.version))}
        for rule, option in self.options.items():
            yield f"{rule}: {option.form.rule(newer)}"
        for statement in self.by_rule.values():
            word = f'"{statement.word}" ' if statement.word else ""
            yield f"{statement.rule}: {word}{statement.form.rule(newer)}"
        for block, statements in self.lines.items():
            yield f"?{lines_rule(block)}: {' | '.join(statement.rule for statement in statements)}"


def lines_rule(block: str) -> str:
    """Return the name of the rule that reads any line of a block."""
    return f"{block}_lines"


def inner_words() -> tuple[str, ...]:
    """Return the words that stand inside lines, of all versions, in the order of the table."""
    forms = (entry.written for entry in ALL)
    return _words_in("\n".join([*forms, pieces()]))


def _words_in(rules: str) -> tuple[str, ...]:
    """Return the words that stand in quotes in rules, each once."""
    return tuple(word for word in dict.fromkeys(_QUOTED.findall(rules)) if word not in SIGNS)


@cache
def notation(version: int = NOTATION) -> Notation:
    """Return the notation in a version."""
    return Notation(version)
