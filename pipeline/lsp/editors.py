"""The files that follow from the table of statements: `python -m linenleaf.lsp.editors`.

These are the colours of charts in text editors, the index and the stitches of the reference, and
the copy of the shipped stitches that is read at every start.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from .. import grammar
from ..core.counted import Counted
from ..resolve.counted import read_shipped
from ..resolve.grounds import BLOCK_FABRICS, THREAD_FABRICS
from ..stitches.kinds import OF_KINDS
from ..stitches.shipped import packed
from ..syntax.forms import CORNERS
from ..syntax.notation import inner_words
from ..syntax.statements import ALL, HEADS, STATEMENTS, Body, Statement, below
from ..templates.environment import render
from ..terminal import echo

FOLDER = Path(grammar.__file__).resolve().parent
# What each file is made of, the sign between words that may stand in a place in its patterns, and
# how a letter that may be left out is written there.
_EDITORS = {
    "editors/vscode/linen.tmLanguage.json": ("editors/linen.tmLanguage.json.j2", "|", "s?"),
    "editors/vim/syntax/linen.vim": ("editors/linen.vim.j2", r"\|", r"s\?"),
}
_STITCHES = re.compile(r"(<!-- stitches: [^>]*-->\n)(?:.*\n)*?(<!-- end of the stitches -->)")
_INDEX = re.compile(r"(<!-- index: [^>]*-->\n)(?:.*\n)*?(<!-- end of the index -->)")


def written() -> dict[Path, str]:
    """Return the text of each file that follows from the table."""
    texts = {}
    for name, (template, joint, plural) in _EDITORS.items():
        words = {place: joint.join(some) for place, some in _words().items()}
        words["inside"] += f"{joint}strand{plural}"
        texts[FOLDER / name] = render(template, **words) + "\n"
    reference = FOLDER / "notation.md"
    index = "".join(f"{line}\n" for line in ("", *_index(), ""))
    text = _INDEX.sub(lambda marks: marks[1] + index + marks[2], reference.read_text("utf-8"))
    stitches, told = read_shipped(grammar.shipped_stitches())
    assert not told, told
    texts[FOLDER / "stitches.json"] = packed(stitches)
    table = "".join(f"{line}\n" for line in ("", *_stitches(stitches), ""))
    texts[reference] = _STITCHES.sub(lambda marks: marks[1] + table + marks[2], text)
    return texts


def _stitches(stitches: Iterable[Counted]) -> Iterator[str]:
    """Yield the table of the stitches that every chart has, besides those that a key calls so."""
    yield "| name | stitch | over so many threads |"
    yield "| --- | --- | --- |"
    for stitch in stitches:
        if stitch.name in OF_KINDS:
            continue  # told of among the kinds
        over = f"{stitch.over[0]} x {stitch.over[1]}" if stitch.each else ""
        yield f"| `{stitch.name}` | {stitch.title} | {over} |"


def _words() -> Mapping[str, Sequence[str]]:
    """Return the words of the notation by the places where they stand."""
    heads = list(HEADS.values())
    lines = [statement for statement in STATEMENTS if statement.under and statement.word]
    both = [*heads, *lines]
    forms = "\n".join([*(entry.written for entry in ALL), grammar.pieces()])
    return {
        "heads": [statement.word for statement in heads],
        "begin": list(dict.fromkeys(statement.word for statement in lines)),
        "inside": [*inner_words(), *CORNERS],
        "fabrics": [*THREAD_FABRICS, *BLOCK_FABRICS],
        "keys": [statement.word for statement in heads if statement.lines is Body.KEY],
        "named": [statement.word for statement in heads if statement.gives_name],
        "with_name": _with(lines, "[A-Z]+_NAME"),
        "with_symbol": _with(lines, "symbol"),
        "head_with_symbol": _with(heads, "symbol"),
        "with_file": _with(both, "[a-z]+_file"),
        "with_text_and_file": _with(both, "STRING [a-z]+_file"),
        "before_file": _before(forms, "[a-z]+_file"),
        "before_name": _before(forms, "[A-Z]+_NAME"),
    }


def _with(statements: Sequence[Statement], pattern: str) -> list[str]:
    """Return the words of statements right behind which such a piece stands."""
    words = (each.word for each in statements if re.match(rf"\(?{pattern}\b", each.written))
    return list(dict.fromkeys(words))


def _before(forms: str, pattern: str) -> list[str]:
    """Return the words inside lines right behind which such a piece stands."""
    return list(dict.fromkeys(re.findall(rf'"([a-z-]+)" {pattern}\b', forms)))


def _index() -> Iterator[str]:
    """Give the lines of the index: each statement, and what may stand below it."""
    yield "| statement | for example | lines below it |"
    yield "| --- | --- | --- |"
    for head in HEADS.values():
        rows = ["rows"] if head.lines in (Body.GRID, Body.LETTERS) else []
        lines = [*rows, *(_shown(line, line.word or line.example) for line in below(head.word))]
        example = _shown(head, head.example)
        yield f"| [`{head.word}`](#{head.page}) | {example} | {' · '.join(lines)} |"


def _shown(statement: Statement, text: str) -> str:
    since = f" (from `linen {statement.since}`)" if statement.since > 1 else ""
    return "`" + text.replace("|", r"\|") + "`" + since


if __name__ == "__main__":
    for path, text in written().items():
        path.write_text(text, "utf-8")
        echo(str(path))
