"""The grammar of the notation, and its parser.

`chart.lark` holds what lines are made of; the lines themselves follow from the table of statements
(`syntax/statements.py`). `notation.md` is the reference for people. The parser is built once for
each run of the program.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from lark import Lark
from linenleaf.core.cachefolder import cache_folder


def pieces() -> str:
    """Return the rules and terminals of `chart.lark`."""
    return files(__name__).joinpath("chart.lark").read_text(encoding="utf-8")


@cache
def chart_parser(text: str, starts: tuple[str, ...]) -> Lark:
    """Return the parser of a grammar; `parse(slice, start=...)` takes one of the rules `starts`.

    Its tables are kept from run to run; lark itself sees to it that they are those of this grammar.
    """
    folder = cache_folder()
    return Lark(
        text,
        parser="lalr",
        lexer="contextual",
        start=list(starts),
        propagate_positions=False,
        maybe_placeholders=False,
        cache=str(folder / "chart.tables") if folder else False,
    )
