"""What `linenleaf diff` prints, word for word.

Expected texts are in `tests/data/diff/*.expected`. After a change that is meant, rewrite them with
`LINENLEAF_REWRITE=1 pytest tests/diff/test_golden.py` and read the difference.
"""

import json
import os
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner
from linenleaf.cli import main

DATA = Path(__file__).resolve().parent.parent / "data" / "diff"
REWRITE = bool(os.environ.get("LINENLEAF_REWRITE"))
PAIRS = [
    ("boats-1", "boats-same"),
    ("boats-1", "boats-motif"),
    ("boats-1", "boats-moves"),
    ("boats-1", "boats-key"),
    ("boats-1", "boats-shifted"),
    ("boats-shifted", "boats-1"),
    ("field-1", "field-2"),
]


@cache
def run(*words):
    here = Path.cwd()
    os.chdir(DATA)
    try:
        return CliRunner().invoke(main, ["diff", *words])
    finally:
        os.chdir(here)


def held(name, text):
    path = DATA / name
    if REWRITE:
        path.write_text(text, "utf-8")
    assert text == path.read_text("utf-8")


@pytest.mark.parametrize(("old", "new"), PAIRS, ids="-to-".join)
def test_the_words_are_as_expected(old, new):
    done = run(f"{old}.linen", f"{new}.linen")
    assert done.exit_code == 0, done.output
    held(f"{old}-to-{new}.expected", done.output)


def test_the_data_is_as_expected():
    done = run("boats-1.linen", "boats-moves.linen", "--format", "json")
    assert done.exit_code == 0
    assert json.loads(done.output)["different"] is True
    held("boats-1-to-boats-moves.json.expected", done.output)


@pytest.mark.parametrize(("old", "new"), PAIRS, ids="-to-".join)
def test_words_and_data_agree(old, new):
    told = json.loads(run(f"{old}.linen", f"{new}.linen", "--format", "json").output)
    numbers = {
        "stitched differently": lambda each: each["old"] and each["new"],
        "added": lambda each: not each["old"],
        "removed": lambda each: not each["new"],
    }
    text = run(f"{old}.linen", f"{new}.linen").output
    for word, wanted in numbers.items():
        many = sum(each["cells"] for each in told["stitches"] if wanted(each))
        assert (f"{many:,} {word}" in text) == bool(many)
    assert told["changed_cells"] == sum(each["cells"] for each in told["stitches"])


@pytest.mark.parametrize(("old", "new"), PAIRS, ids="-to-".join)
def test_the_way_back_tells_the_opposite(old, new):
    there, back = (
        json.loads(run(*(f"{each}.linen" for each in pair), "--format", "json").output)
        for pair in ((old, new), (new, old))
    )
    assert there["changed_cells"] == back["changed_cells"]
    assert there["shift"] == [-each for each in back["shift"]]
    assert len(there["arrived"]) == len(back["gone"])
    assert {each["name"] for each in there["redrawn"]} == {each["name"] for each in back["redrawn"]}
    assert [each["stitches"] for each in there["threads"]] == [
        each["stitches"][::-1]
        for name in [(one["range"], one["code"]) for one in there["threads"]]
        for each in back["threads"]
        if (each["range"], each["code"]) == name
    ]
