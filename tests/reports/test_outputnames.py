"""What outputs are called: every form has a name of its own, that any disk takes."""

from __future__ import annotations

import itertools
import os
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.chart.options import Fold, Ink, Options, Paper, Purpose, Shape
from linenleaf.reports.outputnames import booklet_name, corrections_name, picture_name

CHART = Path("charts/saltmarsh.linen")
COPY = {"initials": ("C D",)}


@pytest.mark.parametrize(
    ("options", "letters", "name"),
    [
        (Options(), None, "saltmarsh.pdf"),
        (Options(Paper.A5), None, "saltmarsh--a5.pdf"),
        (Options(Paper.HALF_LETTER, Ink.TINTS), None, "saltmarsh--half-letter-tints.pdf"),
        (Options(ink=Ink.SYMBOLS, cell=3.0), None, "saltmarsh--symbols-cell-3mm.pdf"),
        (Options(Paper.A5, fold=Fold.A4), None, "saltmarsh--fold-a4.pdf"),
        (
            Options(gutter=8.0, with_symbols=True),
            None,
            "saltmarsh--with-symbols-gutter-8mm.pdf",
        ),
        (
            Options(cell=5.5, large=True, purpose=Purpose.PRINT),
            None,
            "saltmarsh--cell-5.5mm-large-print.pdf",
        ),
        (Options(colourway="faded"), None, "saltmarsh--colourway-faded.pdf"),
        (Options(colourway="Faded"), None, "saltmarsh--colourway-faded_b7883357a9bf.pdf"),
        (Options(), COPY, "saltmarsh--copy-c-d_b3a60cf483ca.pdf"),
    ],
)
def test_a_name_says_what_differs_from_the_plain_form(options, letters, name):
    assert booklet_name(CHART, options, letters) == name


def test_pictures_and_corrections_have_names_too():
    assert picture_name(CHART, "piece", Shape.AS_IS, None) == "saltmarsh.png"
    assert picture_name(CHART, "key", Shape.WIDE, 800) == "saltmarsh--key-wide-800px.png"
    part = picture_name(CHART, "detail", Shape.AS_IS, None, part="20,60,80,110")
    assert part == "saltmarsh--detail-part-20-60-80-110.png"
    charts = ("edition-1:saltmarsh.linen", "saltmarsh.linen")
    assert (
        corrections_name(CHART, charts, Paper.A5) == "saltmarsh--corrections-a5-since-edition-1.pdf"
    )
    other = corrections_name(CHART, ("old/saltmarsh.linen", "saltmarsh.linen"), Paper.A4)
    assert re.fullmatch(r"saltmarsh--corrections-from-saltmarsh_[0-9a-f]{12}\.pdf", other)


# Colourways and copies that read alike once they are made plain, and charts that are called like
# a form of another chart.
COLOURWAYS = [None, "dusk", "Dusk", "düsk", "dusk-large", "a5", "x" * 60, "x" * 59 + "y", "干潟"]
LETTERS = [
    None,
    {"year": ("2027",)},
    {"year": ("20", "27")},
    {"year": ("20-27",)},
    {"initials": ("2027",)},
    {"initials": ("C D",)},
    {"initials": ("c d",)},
    {"initials": ("C/D",)},
    {"initials": ("",)},
    {"initials": ("漢", "\u0301")},
]
STEMS = ["tern", "tern--a5", "tern--a4", "tern-", "tern--colourway-dusk"]
STEMS += ["t" * 240, "t" * 239 + "u"]


def test_no_two_forms_of_any_charts_share_a_name():
    """Every paper, ink, cell, size, purpose and fold, with every colourway and copy that is hard
    to tell apart; each chart as if in one folder, on a disk without capitals."""
    forms = [
        Options(paper, ink, cell, None, large, purpose)
        for paper, ink, cell, large, purpose in itertools.product(
            Paper, Ink, [None, 3.0, 3.5, 3.0000000000000004], [False, True], Purpose
        )
    ] + [Options(fold.page, ink, fold=fold) for fold in Fold for ink in Ink]
    names = [
        booklet_name(Path(f"{stem}.linen"), form) for stem, form in itertools.product(STEMS, forms)
    ]
    words = [
        booklet_name(Path(f"{stem}.linen"), Options(paper, large=large, colourway=way), letters)
        for stem, paper, large, way, letters in itertools.product(
            STEMS, [Paper.A4, Paper.A5], [False, True], COLOURWAYS, LETTERS
        )
        if way or letters
    ]
    both = [name.casefold() for name in names + words]
    assert len(set(both)) == len(both)
    assert all(len(os.fsencode(name)) <= 255 for name in both)


# A new name is legal on every disk: only what the portable file name character set of POSIX
# (IEEE Std 1003.1-2017, 3.282) has, which every file system takes.
ADDED = re.compile(r"(--[a-z0-9][a-z0-9.-]*(_[0-9a-f]{12})?)?\.pdf")


@settings(max_examples=100, deadline=None)
@given(
    way=st.none() | st.text(max_size=70),
    letters=st.none() | st.dictionaries(st.text(max_size=9), st.tuples(st.text(max_size=90))),
)
def test_whatever_words_are_chosen_the_name_is_legal_and_short(way, letters):
    name = booklet_name(CHART, Options(colourway=way), letters)
    assert ADDED.fullmatch(name.removeprefix("saltmarsh"))
    assert len(name) < 120


def test_a_printers_profile_makes_another_form():
    options = Options(purpose=Purpose.PRINT)
    names = {booklet_name(CHART, options, None, data) for data in (None, b"1", b"2")}
    assert len(names) == 3
