"""The nearest names to one that is not known."""

from __future__ import annotations

import pytest
from linenleaf.core.suggest import all_of, any_of, did_you_mean, nearest

WORDS = ["mirrored", "motif", "margin", "colourway", "centre", "replacing"]


@pytest.mark.parametrize(
    ("slip", "meant"),
    [
        ("mirored", "mirrored"),
        ("Motif", "motif"),
        ("motiv", "motif"),
        ("colorway", "colourway"),
        ("center", "centre"),
        ("relpacing", "replacing"),
    ],
)
def test_a_slip_finds_the_word_meant(slip, meant):
    assert nearest(slip, WORDS)[0] == meant


def test_what_looks_like_nothing_finds_nothing():
    assert nearest("xyzzy", WORDS) == []
    assert did_you_mean("xyzzy", WORDS) == ""
    assert nearest("m" * 10_000, WORDS) == []


def test_lists_in_a_sentence():
    assert did_you_mean("mirored", WORDS) == "did you mean `mirrored`?"
    assert any_of(["a", "b", "c"]) == "`a`, `b` or `c`"
    assert all_of(["a", "b"]) == "`a` and `b`"
    assert all_of(["a"]) == "`a`"


def test_the_nearest_of_very_many_is_found():
    names = [f"reed-{number}" for number in range(20_000)] + ["oyster-catcher"]
    assert nearest("oister-catcher", names) == ["oyster-catcher"]
