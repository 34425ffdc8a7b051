"""The grammar of the notation, and its parser.

`chart.lark` is the grammar, `notation.md` the reference for people. The parser is built
once for each run of the program.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from lark import Lark
from linenleaf.core.cachefolder import cache_folder

STARTS = (
    "version",
    "use",
    "rows",
    "booklet",
    "booklet_line",
    "fabric",
    "fabric_line",
    "range",
    "range_line",
    "key",
    "key_line",
    "working",
    "working_line",
    "motif",
    "motif_line",
    "alphabet",
    "letter",
    "chart",
    "chart_line",
    "note",
    "colourway",
    "colourway_line",
    "revision",
    "expect",
)


@cache
def chart_parser() -> Lark:
    """Return the parser of chart lines; `parse(slice, start=...)` takes one of STARTS.

    Its tables are kept from run to run; lark itself sees to it that they are those of this grammar.
    """
    folder = cache_folder()
    text = files(__name__).joinpath("chart.lark").read_text(encoding="utf-8")
    return Lark(
        text,
        parser="lalr",
        lexer="contextual",
        start=list(STARTS),
        propagate_positions=False,
        maybe_placeholders=False,
        cache=str(folder / "chart.tables") if folder else False,
    )
