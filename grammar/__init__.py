"""The grammar of the notation, and its parser.

`chart.lark` holds what lines are made of; the lines themselves follow from the table of statements
(`syntax/statements.py`). `notation.md` is the reference for people. The parser is built once for
each run of the program.
"""

from __future__ import annotations

import io
import json
import pickle
import re
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any
from zlib import crc32

import lark
from lark import Lark
from linenleaf.core import cache as kept


def pieces(version: int | None = None) -> str:
    """Return the rules and terminals of `chart.lark` that a version of the notation has, or all."""
    text = files(__name__).joinpath("chart.lark").read_text(encoding="utf-8")
    if version is None:
        return text
    return _SINCE.sub(lambda line: line[0] if int(line[1]) <= version else "", text)


def shipped_stitches() -> str:
    """Return the text of `stitches.linen`, which holds every stitch that charts may name."""
    return files(__name__).joinpath("stitches.linen").read_text(encoding="utf-8")


def packed_stitches() -> str:
    """Return the same as JSON, see `stitches/shipped.py`."""
    return files(__name__).joinpath("stitches.json").read_text(encoding="utf-8")


STOCK = Path(__file__).resolve().parent / "stock"  # a folder for each, a file for each version
SHOWN = STOCK.parent / "shown"  # charts that show the stock, and their pictures

_SINCE = re.compile(r"[^\n]*// since ([0-9]+)\n")  # a line that a version has not yet
TABLES = "parser"  # how their names begin in the cache


@cache
def chart_parser(text: str, starts: tuple[str, ...]) -> Lark:
    """Return the parser of a grammar; `parse(slice, start=...)` takes one of the rules `starts`.

    Its tables are kept from run to run, as JSON: to work them out takes a tenth of a second.
    """
    origin = f"{lark.__version__} {starts} {text}"
    name = f"{TABLES}-{crc32(text.encode()):08x}"
    tables = kept.get(name, origin)
    if tables is not None:
        return _opened(tables)
    parser = Lark(
        text,
        parser="lalr",
        lexer="contextual",
        start=list(starts),
        propagate_positions=False,
        maybe_placeholders=False,
    )
    kept.put(name, origin, _plain(parser))
    return parser


def _plain(parser: Lark) -> bytes:
    """Return the tables of a parser as JSON; `Lark.save` gives a pickle of plain values."""
    saved = io.BytesIO()
    parser.save(saved)
    return json.dumps(pickle.loads(saved.getvalue()), separators=(",", ":")).encode()


def _opened(tables: bytes) -> Lark:
    """Return the parser that has these tables."""
    plain = json.loads(tables, object_pairs_hook=_numbered)
    return Lark.load(io.BytesIO(pickle.dumps(plain)))


def _numbered(pairs: list[tuple[str, Any]]) -> dict[str | int, Any]:
    """Return a mapping whose keys may have been numbers, which JSON makes words of."""
    return {int(key) if key.isdecimal() else key: value for key, value in pairs}
