"""Figures, days and marks of each language, held to the data of the Unicode CLDR in Babel."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from datetime import date
from importlib.resources import files
from pathlib import Path

import pytest
from babel.dates import format_date
from babel.numbers import format_decimal
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.core.cache import OFF, cache_folder
from linenleaf.core.ground import Fabric
from linenleaf.core.key import Kind, Part, Way
from linenleaf.i18n import catalogue as catalogues
from linenleaf.i18n.catalogue import catalogue, offered, read, speaks
from linenleaf.i18n.trade import fabric, fabric_kind, number_word, opening, put_up, stitch
from linenleaf.i18n.wording import wording
from linenleaf.pdf.pressroom import ALONE

from tests import book_chart
from tests.patience import PATIENCE

FOLDER = Path(str(files("linenleaf.templates"))) / "catalogues"
TAGS = ["en-GB", "en-US", "nl", "nl-BE", "de", "de-AT", "de-CH", "fr", "fr-CA"]


def cldr(text: str) -> str:
    """As CLDR has it, but for its narrow blank, which the serif face lacks."""
    return text.replace("\u202f", "\u00a0")


@pytest.mark.parametrize("tag", TAGS)
@given(day=st.dates(date(1600, 1, 1), date(2400, 1, 1)))
def test_days_are_written_as_cldr_says(tag, day):
    assert wording(tag).day(day) == format_date(day, "long", tag.replace("-", "_"))


@pytest.mark.parametrize("tag", TAGS)
@given(value=st.floats(0, 999_999))  # of Swiss millions Babel 2.19 loses the marks
def test_figures_are_written_as_cldr_says(tag, value):
    figures, locale = wording(tag).figures, tag.replace("-", "_")
    rounded = float(f"{value:.1f}")  # CLDR says nothing of how halves are rounded
    assert figures.fixed(value, 1) == cldr(format_decimal(rounded, "#,##0.0", locale))
    assert figures.whole(int(value)) == cldr(format_decimal(int(value), locale=locale))
    assert figures.figure(rounded, 1) == format_decimal(
        rounded, "0.#", locale, group_separator=False
    )


def test_lengths_have_the_unit_of_the_place_first():
    """140 crosses at 14 per inch are 10 in (checks/README)."""
    said = {tag: wording(tag).length(254).replace("\u00a0", " ") for tag in TAGS}
    assert said["en-GB"] == "25.4 cm (10 in)"
    assert said["en-US"] == "10 in (25.4 cm)"
    assert said["nl"] == said["nl-BE"] == "25,4 cm (10 inch)"
    assert said["de"] == said["de-AT"] == "25,4 cm (10 Zoll)"
    assert said["de-CH"] == "25.4 cm (10 Zoll)"
    assert said["fr"] == "25,4 cm (10 pouces)"
    assert said["fr-CA"] == "25,4 cm (10 po)"  # common practice in Canada


def test_sizes_in_both_units():
    assert wording("de").area(127, 64).replace("\u00a0", " ") == "12,7 × 6,4 cm (5 × 2½ Zoll)"
    assert wording("fr").cut(201, 100).replace("\u00a0", " ") == "20,5 × 10 cm (8 × 4 pouces)"


def test_thread_and_shares():
    figures = wording("nl").figures
    assert figures.share(0.05) == "0,05"
    assert figures.tenths(1234.56) == "1.234,6"
    assert figures.thread_length(3.14) == "3,1\u00a0m"
    assert figures.thread_length(1234.4) == "1.234\u00a0m"
    assert figures.thread_length(0.123) == "12\u00a0cm"


def test_marks_of_quotation():
    """Unicode CLDR, delimiters; for French within French, common practice."""
    assert wording("en-GB").quotes == wording("da").quotes == ("“", "”", "‘", "’")
    assert wording("nl").quotes == ("“", "”", "‘", "’")
    assert wording("de").quotes == ("„", "“", "‚", "‘")
    assert wording("fr").quotes == ("«\u00a0", "\u00a0»", "“", "”")


def test_a_region_speaks_its_language():
    for tag, language in (("de-AT", "de"), ("fr-CA", "fr"), ("nl-BE", "nl"), ("DE", "de")):
        assert speaks(tag)
        assert wording(tag).gettext("Key") == wording(language).gettext("Key") != "Key"
    assert wording("de-XX").day(date(2026, 3, 14)) == "14. März 2026"  # no such region


@settings(max_examples=15)
@given(tag=st.from_regex(r"(de|fr|nl)(-[A-Za-z0-9]{2,8}){0,4}", fullmatch=True))
def test_any_tag_of_a_language_speaks_it(tag):
    language = tag[:2]
    found = read(tag, (FOLDER / f"{language}.po").read_bytes())
    assert found.messages == read(language, (FOLDER / f"{language}.po").read_bytes()).messages
    assert found.decimal in ".,"


def test_a_language_without_words_is_english_all_through():
    assert not speaks("da")
    danish = wording("da-DK")
    assert danish.gettext("Key") == "Key"
    assert danish.figures.fixed(1234.5, 1) == "1,234.5"
    assert danish.day(date(2026, 3, 14)) == "14 March 2026"


def test_english_is_offered_first():
    assert offered() == ("en", "de", "fr", "nl")
    assert speaks("en")
    assert speaks("en-AU")


def test_the_reference_and_the_readme_name_the_languages():
    house = Path(__file__).resolve().parents[2]
    reference = (house / "grammar/notation.md").read_text("utf-8")
    [named] = re.findall(r"its figures and dates can be (.*?)\. A region", reference, re.DOTALL)
    names = {code: name for name, code in re.findall(r"(\w+) \(`(\w+)`\)", named)}
    assert set(names) == set(offered())
    readme = (house / "README.md").read_text("utf-8")
    assert all(name in readme for name in names.values())


def test_forms_for_numbers():
    one, more = "%(num)s skein in all", "%(num)s skeins in all"
    german, french = wording("de"), wording("fr")
    assert german.ngettext(one, more, 0) == "insgesamt 0 Docken"
    assert german.ngettext(one, more, 1) == "insgesamt 1 Docke"
    assert french.ngettext(one, more, 0) == "0 échevette en tout"
    assert french.ngettext(one, more, 2) == "2 échevettes en tout"


def test_words_of_the_trade():
    """Common practice, no single source."""
    linen, aida = Fabric("linen", 32, 32, 2), Fabric("aida", 14, 14, 1, block=True)
    half = Part(Kind.HALF, (), Way.UP)
    said = {
        tag: (
            fabric(words, linen).replace("\u00a0", " "),
            fabric(words, aida).replace("\u00a0", " "),
            stitch(words, half),
            stitch(words, half, brief=True),
        )
        for tag in ("en-GB", "nl", "de", "fr")
        for words in [wording(tag)]
    }
    assert said == {
        "en-GB": (
            "32-count linen over two", "14-count aida",
            "half cross, bottom left to top right", "half cross",
        ),
        "nl": (
            "linnen 32 ct over twee draden", "aida 14 ct",
            "halve kruissteek, van linksonder naar rechtsboven",
            "halve kruissteek",
        ),
        "de": (
            "Leinen 32 ct über zwei Gewebefäden", "Aida 14 ct",
            "halber Kreuzstich, von unten links nach oben rechts", "halber Kreuzstich",
        ),
        "fr": (
            "lin 32 ct sur deux fils", "aïda 14 ct",
            "demi-point de croix, de bas à gauche en haut à droite",
            "demi-point de croix",
        ),
    }  # fmt: skip
    assert fabric(wording("de"), Fabric("linen", 36, 34, 1)) == (
        "Leinen 36 × 34\u00a0ct über einen Gewebefaden"
    )


def test_what_the_user_named_stays_as_it_is():
    french = wording("fr")
    assert fabric_kind(french, "sailcloth") == "sailcloth"
    assert put_up(french, "card") == "card"
    assert put_up(french, "skein") == "échevette"
    assert number_word(french, 2) == "deux"
    assert number_word(french, 7) == "7"
    assert opening("lin") == "Lin"
    assert opening("") == ""


def test_what_is_kept_is_what_the_catalogue_says(tmp_path, monkeypatch):
    monkeypatch.delenv(OFF, raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    cache_folder.cache_clear()
    catalogue.cache_clear()
    try:
        fresh = catalogue("de-AT")
        assert fresh == read("de-AT", (FOLDER / "de.po").read_bytes())
        catalogue.cache_clear()
        monkeypatch.setattr(catalogues, "read", None)
        assert catalogue("de-AT") == fresh
    finally:
        catalogue.cache_clear()
        cache_folder.cache_clear()


def test_an_english_booklet_loads_neither_babel_nor_a_catalogue(tmp_path):
    reed = tmp_path / "reed.linen"
    reed.write_text(book_chart.PLAIN, "utf-8")
    code = (
        "import sys; opened = []\n"
        "def hear(name, args):\n    if name == 'open': opened.append(str(args[0]))\n"
        "sys.addaudithook(hear)\n"
        "from linenleaf.cli import main\n"
        f"try:\n    main(['build', {str(reed)!r}, '-o', {str(tmp_path / 'out.pdf')!r}])\n"
        "except SystemExit as end:\n    assert not end.code\n"
        "print([each for each in sys.modules if each.split('.')[0] == 'babel'])\n"
        "print([each for each in opened if each.endswith('.po') or '/words-' in each])\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        timeout=PATIENCE,
        env={**os.environ, ALONE: "1"},  # what sets the pages is loaded in it too
    )
    assert ran.stdout.splitlines()[-2:] == ["[]", "[]"]


@pytest.mark.parametrize(
    ("tag", "said"),
    [
        ("en-GB", "linen with 12 threads to the cm (30 to the inch), over two"),
        ("nl", "linnen met 12 draden per cm (30 per inch), over twee draden"),
        ("de", "Leinen, Fadenzahl 12 je cm (30 je Zoll), über zwei Gewebefäden"),
        ("fr", "lin à 12 fils au cm (30 au pouce), sur deux fils"),
    ],
)
def test_cloth_is_called_by_the_count_that_was_typed(tag, said):
    # 12 to the cm are 12 x 2.54 = 30.48 to the inch.
    assert fabric(wording(tag), Fabric("linen", 30.48, 30.48, 2, per_cm=True)) == said


def test_blocks_and_uneven_counts_by_the_centimetre():
    words = wording("de")
    aida = Fabric("aida", 5.5 * 2.54, 5.5 * 2.54, 1, block=True, per_cm=True)
    assert fabric(words, aida) == "Aida mit 5,5 Blöcken je cm (14 je Zoll)"
    uneven = Fabric("linen", 12 * 2.54, 11 * 2.54, 1, per_cm=True)
    assert fabric(wording("en"), uneven) == (
        "linen with 12 × 11 threads to the cm (30 × 28 to the inch), over one"
    )
