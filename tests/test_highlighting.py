"""The colours that editors give a chart, held to what the reader makes of the same chart.

The TextMate grammar is run by the package textmate-grammar-python, the Vim syntax by Vim itself
where it is installed.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest
from linenleaf.core.source import Source, Span
from linenleaf.syntax.forms import CORNERS
from linenleaf.syntax.nodes import (
    ColourLine,
    KeyLine,
    LetterLine,
    MotifHead,
    PlacementLine,
    UseLine,
)
from linenleaf.syntax.notation import inner_words
from linenleaf.syntax.parse import parse
from linenleaf.syntax.phrases import Numeral, Row, StockWords, Text, ThreadWords, Word
from linenleaf.syntax.statements import HEADS
from textmate_grammar.parsers.base import LanguageParser
from textmate_grammar.utils.cache import init_cache

from tests.patience import PATIENCE
from tests.sources import MARKS, WHOLE

ROOT = Path(__file__).resolve().parent.parent
EDITORS = ROOT / "grammar" / "editors"
TEXTMATE = EDITORS / "vscode" / "linen.tmLanguage.json"
DEMOS = sorted((ROOT / "examples").glob("*/*.linen"))

TEXTS = {
    **{path.name: path.read_text("utf-8") for path in DEMOS},
    "whole": WHOLE,
    "marks": MARKS,
    "odd": 'linen 1\nalphabet odd height 1\n  "#" |m|\n  É |.|  # x\n'
    'key\n  é  #aa3344 "a # b" # "c"\n  #dddddd is a remark\n  q  shore 12 # |m|\n'
    "chart 3 x 1\n  |é.é| # |..|\n",
}
Item = tuple[str, Span]


def items(source: Source) -> Iterator[Item]:
    """What the reader finds in a source: what it is, and where."""
    file, _ = parse(source)
    for comment in file.comments:
        yield "comment", comment.span
    for block in file.blocks:
        if block.head is not None:
            start = block.head.span.start
            yield "head", source.span(start, start + len(block.word))
        for node in (block.head, *block.members):
            if node is not None:
                yield from inside(node)


def inside(node: object) -> Iterator[Item]:
    """What a node holds."""
    if isinstance(node, Text):
        yield "text", node.span
    elif isinstance(node, Numeral):
        yield "number", node.span
    elif isinstance(node, Row):
        for at, cell in enumerate(node.cells):
            place = node.span.start + at
            kind = "bare" if cell == "." else "symbol"
            yield kind, node.span.source.span(place, place + 1)
    elif isinstance(node, MotifHead):
        yield "name", node.name.span
    elif isinstance(node, PlacementLine):
        yield "name", node.motif.span
    elif isinstance(node, KeyLine):
        yield "key", node.symbol.span
    elif isinstance(node, ColourLine):
        yield "colour", node.colour.span
    elif isinstance(node, UseLine) and isinstance(node.path, Word):
        yield "path", node.path.span
    elif isinstance(node, StockWords):
        yield "name", node.name.span
    elif isinstance(node, LetterLine) and not isinstance(node.character, Text):
        yield "letter", node.character.span
    if isinstance(node, ThreadWords) and node.colour is not None:
        yield "colour", node.colour.span
    if is_dataclass(node) and not isinstance(node, Span | Source):
        for each in fields(node):
            value = getattr(node, each.name)
            for part in value if isinstance(value, tuple) else (value,):
                yield from inside(part)


def check(source: Source, shown: list[str], names: dict[str, re.Pattern[str]]) -> None:
    """Hold the name that each character is shown by to what the reader says it is."""
    comments = [False] * len(source.text)
    for what, span in items(source):
        for at in range(span.start, span.end):
            comments[at] |= what == "comment"
            if not source.text[at].isspace():
                place = f"{source.path}:{span.line}: {what} {source.text[span.start : span.end]!r}"
                assert names[what].search(shown[at]), f"{place} is shown as {shown[at]!r}"
    for at, name in enumerate(shown):  # and nothing else is shown as a remark
        if names["comment"].search(name) and not source.text[at].isspace():
            assert comments[at], source.text[at : at + 30]


TEXTMATE_NAMES = {
    "comment": re.compile(r"comment\.line"),
    "head": re.compile(r"keyword\.(control|other)"),
    "text": re.compile(r"string\.quoted|constant\.character\.escape"),
    "number": re.compile(r"constant\.numeric"),
    "bare": re.compile(r"comment\.bare"),
    "symbol": re.compile(r"constant\.character\.symbol"),
    "name": re.compile(r"entity\.name\.type"),
    "key": re.compile(r"variable\.other\.constant"),
    "colour": re.compile(r"constant\.other\.color"),
    "path": re.compile(r"string\.unquoted\.path"),
    "letter": re.compile(r"constant\.character\.letter|string\.quoted"),
}
VIM_NAMES = {
    "comment": re.compile(r"linenComment"),
    "head": re.compile(r"linenHead"),
    "text": re.compile(r"linenText|linenEscape"),
    "number": re.compile(r"linenNumber"),
    "bare": re.compile(r"linenBare"),
    "symbol": re.compile(r"linenRow"),
    "name": re.compile(r"linenName"),
    "key": re.compile(r"linenSymbol"),
    "colour": re.compile(r"linenColour"),
    "path": re.compile(r"linenPath"),
    "letter": re.compile(r"linenLetter|linenText"),
}


@pytest.fixture(scope="module")
def textmate() -> LanguageParser:
    init_cache("simple")
    return LanguageParser(json.loads(TEXTMATE.read_text("utf-8")))


@pytest.mark.parametrize("name", TEXTS)
def test_the_textmate_grammar_sees_what_the_reader_sees(textmate, name):
    source = Source(name, TEXTS[name])
    shown = [""] * len(source.text)
    starts = [0, *(match.end() for match in re.finditer("\n", source.text))]
    for (line, column), text, scopes in textmate.parse_string(source.text).flatten():
        at = starts[line] + column
        shown[at : at + len(text)] = [scopes[-1]] * len(text)
    check(source, shown, TEXTMATE_NAMES)


@pytest.fixture(scope="module")
def vim() -> str:
    found = shutil.which("vim")
    if (
        found is None
        or "+syntax"
        not in subprocess.run(
            [found, "--version"], capture_output=True, text=True, check=True
        ).stdout
    ):
        pytest.skip("Vim with syntax files is not installed")
    return found


@pytest.mark.parametrize("name", TEXTS)
def test_the_vim_syntax_sees_what_the_reader_sees(vim, name, tmp_path):
    source = Source(name, TEXTS[name])
    chart, out = tmp_path / "chart.linen", tmp_path / "out"
    chart.write_text(source.text, "utf-8")
    script = Path(__file__).parent / "dump_colours.vim"
    subprocess.run(
        [vim, "-Nu", "NONE", "-i", "NONE", "-es", "-S", script],
        env={**os.environ, "CHART": str(chart), "OUT": str(out), "EDITORS": str(EDITORS)},
        timeout=PATIENCE,
        check=False,
    )
    lines = [json.loads(line) for line in out.read_text("utf-8").splitlines()]
    shown = [name for line in lines for name in (*line, "")]
    assert len(shown) == len(source.text)
    check(source, shown, VIM_NAMES)


@pytest.mark.parametrize("path", [TEXTMATE, EDITORS / "vim" / "syntax" / "linen.vim"], ids=str)
def test_every_word_of_the_notation_is_known(path):
    known = set(re.findall(r"[a-z][a-z-]*[a-z]", path.read_text("utf-8")))
    assert {*HEADS, *inner_words(), *CORNERS} <= known


def test_vim_leads_through_the_findings(vim, tmp_path):
    """`:make` runs the check; its findings are understood by the format that is set for charts."""
    (tmp_path / "reed.linen").write_text("linen 1\nkey\n  m #aa3344 madder\nchart 2 x 1\n  |mQ|\n")
    out = tmp_path / "found"
    commands = [
        f"set runtimepath^={EDITORS / 'vim'}",
        "filetype plugin on",
        f"edit {tmp_path / 'reed.linen'}",
        "let &l:makeprg = 'python -m linenleaf check %:S'",
        "silent make!",
        f"call writefile([json_encode(getqflist())], '{out}')",
        "qall!",
    ]
    python = Path(sys.executable).parent
    subprocess.run(
        [vim, "-Nu", "NONE", "-i", "NONE", "-es", *(each for c in commands for each in ("-c", c))],
        env={**os.environ, "PATH": f"{python}{os.pathsep}{os.environ['PATH']}"},
        cwd=tmp_path,
        timeout=PATIENCE,
        check=False,
    )
    found = [
        (each["lnum"], each["col"], each["type"].lower())
        for each in json.loads(out.read_text("utf-8"))
    ]
    assert found
    assert (3, 13, "e") in found
    assert all(line >= 1 and kind == "e" for line, _, kind in found)


def test_the_extension_names_files_that_are_there():
    folder = EDITORS / "vscode"
    package = json.loads((folder / "package.json").read_text("utf-8"))
    [language] = package["contributes"]["languages"]
    [grammar] = package["contributes"]["grammars"]
    assert language["extensions"] == [".linen"]
    assert grammar["scopeName"] == json.loads(TEXTMATE.read_text("utf-8"))["scopeName"]
    for name in (package["main"], language["configuration"], grammar["path"]):
        assert (folder / name).is_file()
    json.loads((folder / language["configuration"]).read_text("utf-8"))


def test_the_page_names_what_is_there():
    page = (ROOT / "grammar" / "editors.md").read_text("utf-8")
    for name in re.findall(r"\]\((editors/[^)]*)\)", page):
        assert (ROOT / "grammar" / name).exists()
    assert "linenleaf editor --stdio" in page
