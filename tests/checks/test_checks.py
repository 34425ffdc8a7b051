"""Every check speaks where it should and is silent where it should be."""

from __future__ import annotations

import pytest
from linenleaf.checks import CHECKS
from linenleaf.checks.symmetry import TURNS
from linenleaf.core.diagnostics import render
from linenleaf.core.findings import REGISTRY
from linenleaf.core.items import Symmetry
from PIL import Image

from ..snippets import found_in
from .cases import CASES, KEY, LINES

BY_NAME = {each.name: each for each in CHECKS}


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "estuary.csv").write_text(
        "code,name,colour\n417,madder,#a03a3a\n220,sedge,#5f7a4a\n", encoding="utf-8"
    )
    (tmp_path / "odd.csv").write_text("code,name,colour,kind\n4,twine,#c9ad7e,perle\n", "utf-8")
    Image.new("L", (200, 200), 200).save(tmp_path / "old.png")
    return tmp_path


def test_every_check_has_a_case_and_every_case_a_check():
    assert list(BY_NAME) == [each.name for each in CHECKS]  # no name twice
    assert set(CASES) == set(BY_NAME)


@pytest.mark.parametrize("name", CASES)
def test_it_speaks(name, folder):
    case = CASES[name]
    found = found_in(case.speaks, folder)
    assert [each.name for each in found if each.name != name] == list(case.also)
    (finding,) = (each for each in found if each.name == name)
    assert finding.message.startswith(case.message)
    assert finding.level is REGISTRY[name].level
    assert finding.span is not None
    assert render(finding)


@pytest.mark.parametrize("name", CASES)
def test_it_is_silent(name, folder):
    assert found_in(CASES[name].silent, folder) == ()


def test_the_reference_can_list_every_finding():
    for each in REGISTRY.values():
        assert each.what[0].islower() or each.what.startswith("CIE"), each.name
        assert not each.what.endswith("."), each.name


def test_an_alphabet_in_which_nothing_is_set(folder):
    (finding,) = found_in(
        KEY
        + """
        alphabet marking height 1
          A |m|
        chart 3 x 1
          |mms|
        """,
        folder,
    )
    assert finding.message == "Nothing is set in the alphabet `marking`."


def test_a_quarter_cross_over_two_has_its_hole_in_the_middle(folder):
    quarter = '  ^  #a03a3a "madder" quarter top-left\n'
    text = KEY + quarter + "chart 3 x 1\n  |ms^|\n"
    assert found_in(text, folder) == ()
    over_one = (
        KEY
        + quarter
        + "motif dot 1 x 1 over 1 strands 1\n  |^|\nchart 3 x 1\n  |ms.|\n  dot at 2,0\n"
    )
    noted = over_one + 'note at 2,0 "Over one."\n'
    assert [each.name for each in found_in(noted, folder)] == ["no-hole-in-the-middle"]


def test_lines_through_the_middle_of_a_block_are_told_apart(folder):
    text = KEY + LINES + "fabric aida 14\nchart 2 x 1\n  |ms|\n  knot eye 1,1\n  line rope "
    apart, same = (
        {each.name for each in found_in(f"{text}0,0 0.5,0.5 {end}\n", folder)}
        for end in ("1,0", "0,0")
    )
    assert (apart, same) == ({"no-hole-here"}, {"no-hole-here", "doubled-line"})


def test_every_symmetry_that_can_be_stated_is_checked():
    assert set(TURNS) == set(Symmetry)
