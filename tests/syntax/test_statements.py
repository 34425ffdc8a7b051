"""The table of statements agrees with grammar and reference, and all the rest follows from it."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from dataclasses import MISSING, fields
from pathlib import Path

import linenleaf
import pytest
from linenleaf.core.source import Source
from linenleaf.formatting.tidy import tidy
from linenleaf.grammar import pieces
from linenleaf.lsp.editors import written
from linenleaf.syntax.notation import notation
from linenleaf.syntax.parse import parse
from linenleaf.syntax.statements import HEADS, OPTIONS, STATEMENTS

PACKAGE = Path(linenleaf.__file__).resolve().parent
HOUSE = Path(__file__).resolve().parent.parent.parent
REFERENCE = (HOUSE / "grammar" / "notation.md").read_text("utf-8")
PLACES = [(statement, block) for statement in STATEMENTS for block in statement.blocks or ("",)]


@pytest.mark.parametrize(
    ("statement", "block"), PLACES, ids=[f"{block}-{each.name}" for each, block in PLACES]
)
def test_every_example_is_read_as_its_statement_and_is_tidy(statement, block):
    lines = [HEADS[block].example, f"  {statement.example}"] if block else [statement.example]
    text = "\n".join(["linen 2", "", *lines, ""] if statement.name != "linen" else [*lines, ""])
    file, findings = parse(Source("chart.linen", text))
    assert findings == ()
    last = file.blocks[-1]
    assert isinstance(last.members[0] if block else last.head, statement.node)
    assert tidy(Source("chart.linen", text)) == (text, ())


@pytest.mark.parametrize("statement", STATEMENTS, ids=lambda each: each.name)
def test_a_form_has_what_its_node_holds(statement):
    kept = [each for each in fields(statement.node) if each.name not in ("span", "word")]
    most = len(kept)
    least = sum(each.default is MISSING for each in kept)
    if [each.name for each in kept] == ["values"]:
        least, most = 1, 9
    assert least <= len(statement.form.slots) <= most


def test_the_grammar_has_every_statement_and_every_option_and_no_rule_that_nothing_uses():
    parser = notation().parser
    rules = {rule.origin.name for rule in parser.rules if not rule.origin.name.startswith("__")}
    read_from = {*notation().starts, *notation().by_rule, *notation().options}
    told = re.findall(r"^([a-z]\w*):", pieces(), re.MULTILINE)
    assert rules == {*read_from, *told}
    used = {name for each in STATEMENTS for name in each.form.options}
    assert used == {option.name for option in OPTIONS}
    terminals = set(re.findall(r"^([A-Z]\w*)[.:]", pieces(), re.MULTILINE)) - {"NAME"}
    assert terminals <= {terminal.name for terminal in parser.terminals}


def test_every_statement_has_its_section_in_the_reference():
    sections = {
        title.lower().replace(" ", "-")
        for title in re.findall(r"^##+ (.+)$", REFERENCE, re.MULTILINE)
    }
    assert {statement.page for statement in STATEMENTS} <= sections


def test_the_reference_names_the_words_that_cannot_be_names():
    [sentence] = re.findall(r"The words that begin blocks, and ([^.]*) cannot be names", REFERENCE)
    assert set(re.findall(r"`(\w+)`", sentence)) == notation().reserved - set(HEADS)


def test_the_files_that_follow_from_the_table_are_up_to_date():
    """If not: `python -m linenleaf.lsp.editors`."""
    assert len(written()) == 4
    for path, text in written().items():
        assert path.read_text("utf-8") == text, path


# --- a statement that is not there -------------------------------------------------------------

# A line of a block, a statement and an option of a later version.
LINING = """Statement("lining", "STRING", WordLine, 'lining "Calico"', "booklet"),"""
HOOP = """Statement("hoop", 'STRING length? ("round"|"square")', WordLine,
              'hoop "Beech" 12 cm round', since=2),"""
FADING = """OptionForm("fading", '"fading" NUMBER', since=2),"""


@pytest.fixture(scope="module")
def followed(tmp_path_factory):
    """What follows from a table with entries more, among them some of a later version."""
    copy = tmp_path_factory.mktemp("copy") / "linenleaf"
    (copy / "syntax").mkdir(parents=True)
    for folder, names in ((PACKAGE, copy), (PACKAGE / "syntax", copy / "syntax")):
        for path in folder.iterdir():
            if path.name not in ("syntax", "statements.py", "cutting.py", "__pycache__"):
                (names / path.name).symlink_to(path)
    for room in ("grammar", "templates"):
        if not (copy / room).exists():
            (copy / room).symlink_to(HOUSE / room)
    table = (PACKAGE / "syntax" / "statements.py").read_text("utf-8")
    table = changed(table, "\nSTATEMENTS = (", f"\nSTATEMENTS = (\n    {LINING}\n    {HOOP}")
    table = changed(table, "\nOPTIONS = (", f"\nOPTIONS = (\n    {FADING}")
    table = changed(table, "(at|repeat|step|", "(at|fading|repeat|step|")
    (copy / "syntax" / "statements.py").write_text(table, "utf-8")
    versions = (PACKAGE / "syntax" / "cutting.py").read_text("utf-8")
    versions = re.sub(r"^NOTATION = \d+", "NOTATION = 2", versions, flags=re.MULTILINE)
    (copy / "syntax" / "cutting.py").write_text(versions, "utf-8")
    ran = subprocess.run(
        [sys.executable, Path(__file__).parent / "follow.py"],
        env={**os.environ, "PYTHONPATH": str(copy.parent), "LINENLEAF_NO_CACHE": "1"},
        cwd=copy.parent,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    return json.loads(ran.stdout)


def changed(text: str, old: str, new: str) -> str:
    assert text.count(old) == 1, old
    return text.replace(old, new)


def test_a_new_statement_is_read_and_tidied(followed):
    assert followed["tidy"] == (
        'linen 2\n\nhoop "Beech" 12 cm round\n\nbooklet "A"\n  lining "Calico"\n'
        '  needs  "A hoop"\n\nchart 3 x 3\n  tern fading 3 at 1,1\n'
    )


def test_a_new_statement_is_offered_where_it_may_stand(followed):
    before, since = followed["heads"]
    assert "hoop" not in before
    assert since["hoop"] == 'hoop "Beech" 12 cm round'
    assert followed["below"]["lining"] == 'lining "Calico"'
    assert followed["units"] == ["cm", "in", "mm"]
    assert followed["shapes"] == ["round", "square"]
    assert ["fading" in words for words in followed["options"]] == [False, True]


def test_a_new_word_holds_only_from_its_version_on(followed):
    assert followed["placed"] == [["PlacementLine"], ["reserved-name"]]
    assert followed["reserved"] == [False, True]
    for said, word in zip(followed["too early"], ("hoop", "fading"), strict=True):
        assert f"= `{word}` needs `linen 2` on the first line" in said


def test_whoever_is_stuck_in_a_new_statement_is_shown_one(followed):
    [said] = followed["said"]
    assert 'a text in "double quotes" should follow' in said
    assert 'a whole line looks like this: `hoop "Beech" 12 cm round`' in said


def test_the_editors_and_the_index_know_a_new_statement(followed):
    vim, textmate, index, _ = followed["written"]
    for colours in (vim, textmate):
        for word in ("lining", "hoop", "round", "square", "fading"):
            assert re.search(rf"\b{word}\b", colours), word
    assert '| [`hoop`](#hoop) | `hoop "Beech" 12 cm round` (from `linen 2`) |  |' in index
    assert "`subtitle`" in index
    assert "`lining`" in index
