"""Each catalogue has every message of the templates and modules, in sound form."""

from __future__ import annotations

import re
from importlib.resources import files
from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from linenleaf.i18n.catalogue import offered
from linenleaf.stitches.shipped import shipped
from linenleaf.templates.catalogues.gathering import brought_up_to_date

FOLDER = Path(str(files("linenleaf.templates"))) / "catalogues"
LANGUAGES = [each for each in offered() if each != "en"]
PLACE = re.compile(r"%\((\w+)\)s")
FOREIGN = re.compile(r"[<>{}]|%(?!\(\w+\)s)")  # markup, and signs that fill in nothing
# GNU gettext manual, "Plural forms": the rules of the families that these languages belong to.
PLURALS = {"nl": "(n != 1)", "de": "(n != 1)", "fr": "(n > 1)"}


def written(language):
    return (FOLDER / f"{language}.po").read_bytes()


@pytest.fixture(scope="module", params=LANGUAGES)
def catalogue(request):
    return read_po(BytesIO(written(request.param)))


def test_these_languages_are_there():
    assert set(LANGUAGES) == set(PLURALS)


def test_each_has_just_the_messages_that_a_booklet_speaks(catalogue, messages):
    spoken = {(each.context, each.id) for each in messages if each.id}
    assert len(spoken) > 200
    assert {(each.context, each.id) for each in catalogue if each.id} == spoken
    assert not catalogue.obsolete


def test_every_message_is_translated(catalogue):
    for each in catalogue:
        if each.id:
            forms = each.string if each.pluralizable else (each.string,)
            assert all(forms), each.id
            assert not each.fuzzy


def test_forms_for_numbers_are_those_of_the_language(catalogue):
    assert catalogue.plural_expr == PLURALS[str(catalogue.locale)]
    plural = [each for each in catalogue if each.pluralizable]
    assert plural
    assert all(len(each.string) == catalogue.num_plurals for each in plural)


def test_what_is_filled_in_is_the_same(catalogue):
    for each in catalogue:
        if each.id and each.pluralizable:
            for english, said in zip(each.id, each.string, strict=True):
                assert set(PLACE.findall(said)) == set(PLACE.findall(english)), each.id
        elif each.id:
            assert sorted(PLACE.findall(each.string)) == sorted(PLACE.findall(each.id)), each.id


def test_no_message_holds_markup_or_a_stray_sign(catalogue):
    for each in catalogue:
        if each.id:
            forms = (each.id, each.string) if isinstance(each.id, str) else (*each.id, *each.string)
            for form in forms:
                assert not FOREIGN.search(form.replace("%%", "")), form
                assert form == form.strip(" \n"), form


def test_sentences_end_as_the_english_ones_do(catalogue):
    for each in catalogue:
        if isinstance(each.id, str) and each.id and not PLACE.search(each.id[-10:]):
            assert (each.id[-1] in ".:") == (each.string[-1] in ".:"), each.id


def test_french_has_unbreakable_blanks_before_its_high_signs():
    for each in read_po(BytesIO(written("fr"))):
        for form in each.string if each.pluralizable else (each.string,):
            if each.id:
                assert not re.search(r"[^\u00a0][:;!?»]|«[^\u00a0]", form), form


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_catalogue_brought_up_to_date_again_stays_as_it_is(language, messages):
    assert brought_up_to_date(language, written(language), messages) == (written(language), 0)


def test_what_a_message_loses_and_gains_when_it_is_brought_up_to_date(messages):
    old = (
        b'# Danish.\nmsgid ""\nmsgstr ""\n"Language: da\\n"\n'
        b'"Plural-Forms: nplurals=2; plural=(n != 1);\\n"\n\n'
        b'msgid "To buy"\nmsgstr "Indk\xc3\xb8b"\n\nmsgid "No longer said"\nmsgstr "Borte"\n'
    )
    text, missing = brought_up_to_date("da", old, messages)
    kept = read_po(BytesIO(text))
    assert text.startswith(b"# Danish.\n")
    assert kept.get("To buy").string == "Indkøb"
    assert kept.get("No longer said") is None
    assert missing == len(list(kept)) - 1 - (not next(iter(kept)).id)


def test_the_titles_of_shipped_stitches_are_messages(messages):
    assert all(messages.get(stitch.title) for stitch in shipped().values() if stitch.title)
