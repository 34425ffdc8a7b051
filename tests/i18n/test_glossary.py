"""The catalogues keep to the glossary of the trade, templates/catalogues/glossary.csv."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from linenleaf.i18n.catalogue import offered

FOLDER = Path(str(files("linenleaf.templates"))) / "catalogues"
PLACE = re.compile(r"%\(\w+\)s")  # filled in
LANGUAGES = {"nl": "Dutch", "de": "German", "fr": "French"}
# The books that terms were looked up in, all in the public domain. What is marked as common
# practice has no single source and is from memory.
SOURCES = {
    "Dillmont en": "T. de Dillmont, Encyclopedia of Needlework (Project Gutenberg 20776)",
    "Dillmont fr": "T. de Dillmont, Encyclopédie des ouvrages de dames (French Wikisource)",
    "Naber": "J. W. A. Naber, De borduurkunst (Delpher, MMSFUBA02:000011084)",
    "common practice": "",
}


@cache
def glossary() -> tuple[dict[str, str], ...]:
    with (FOLDER / "glossary.csv").open(encoding="utf-8", newline="") as opened:
        return tuple(csv.DictReader(opened))


def several(field: str) -> list[str]:
    return [each.strip() for each in field.split(";") if each.strip()]


@cache
def whole(form: str) -> re.Pattern[str]:
    """A form as whole words in any case; `*` in it is the rest of a word."""
    written = re.escape(form).replace(r"\*", r"\w*")
    return re.compile(rf"(?<!\w){written}(?!\w)", re.IGNORECASE)


def stands_in(forms: str, text: str) -> bool:
    return any(whole(form).search(text) for form in several(forms))


def terms_of(message: str) -> Iterator[dict[str, str]]:
    """The terms of an English message; of terms that lie in each other only the longest."""
    every = [(term, row) for row in glossary() for term in several(row["English"])]
    for term, row in sorted(every, key=lambda each: -len(each[0])):
        message, times = whole(term).subn("", message)
        if times:
            yield row


def forms(message: str | tuple[str, ...]) -> list[str]:
    texts = (message,) if isinstance(message, str) else message
    return [PLACE.sub(" ", each.replace("\u00a0", " ").replace("\u00ad", "")) for each in texts]


def said(language: str) -> Iterator[tuple[str, str]]:
    """Every English message, singular and plural, with its translation."""
    for each in read_po(BytesIO((FOLDER / f"{language}.po").read_bytes())):
        if each.id:
            yield from zip(forms(each.id), forms(each.string), strict=True)


def test_there_is_a_column_for_every_language():
    assert set(LANGUAGES) == set(offered()) - {"en"}
    assert set(glossary()[0]) == {
        "English", *LANGUAGES.values(), "source",
        *(f"not {each}" for each in ("English", *LANGUAGES.values())),
    }  # fmt: skip


def test_every_term_has_its_words_and_a_source():
    terms = [term for row in glossary() for term in several(row["English"])]
    assert len(terms) == len(set(terms))
    for row in glossary():
        assert all(row[each] for each in LANGUAGES.values()), row
        named = [each.partition(" (")[0] for each in several(row["source"])]
        assert named
        assert set(named) <= set(SOURCES), row


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_catalogue_says_what_the_glossary_says(language):
    column = LANGUAGES[language]
    wanting = [
        (english, row[column])
        for english, own in said(language)
        for row in terms_of(english)
        if not stands_in(row[column], own)
    ]
    assert wanting == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_word_is_said_that_the_glossary_rejects(language):
    rejected = "; ".join(row[f"not {LANGUAGES[language]}"] for row in glossary())
    assert [own for _, own in said(language) if stands_in(rejected, own)] == []


def test_english_keeps_to_the_glossary_too(messages):
    rejected = "; ".join(row["not English"] for row in glossary())
    texts = [text for each in messages if each.id for text in forms(each.id)]
    assert [each for each in texts if stands_in(rejected, each)] == []


def test_of_terms_in_each_other_the_longest_is_meant():
    found = [row["English"] for row in terms_of("Sew with sewing thread, not a thread")]
    assert found == ["sewing thread", "thread; threads"]


def test_a_word_within_a_word_is_no_term():
    assert not list(terms_of("Threadbare"))
    assert stands_in("kruiss*", "Een kruissteek")
    assert not stands_in("kruis", "Een kruissteek")
