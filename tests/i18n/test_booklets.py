"""Booklets in each language, built end to end and read by independent readers of the PDF."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pikepdf
import pytest
from babel.dates import format_date
from babel.messages.pofile import read_po
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Fold, Options, Paper, Purpose
from linenleaf.i18n.wording import wording
from linenleaf.pictures.key_svg import key_svg
from linenleaf.reports.facts import gather
from linenleaf.reports.kit import kit_of
from linenleaf.reports.kitsheet import as_sheet
from linenleaf.reports.shoplist import as_list
from linenleaf.stitches.shipped import shipped

from tests import book_chart
from tests.booklets import bound

POINT = 72 / 25.4  # points to the mm
SHEETS = ("pipeline/diff/", "templates/errata")
LANGUAGES = ["nl", "de", "fr"]
LONGEST = "de"  # the language of the longest words
TITLE = "Reeds 50 % {{ tide }} %(num)s {x} & %s"
PLACE = re.compile(r"%\(\w+\)s|%%")
BACK = '  level "x"\n  errata "x"\n  mark found.png\n'
# The designer's own words, which stay as they are, and the names of programs.
OWN = book_chart.source() + book_chart.STORY + book_chart.RANGE + "Stretch it over a board."


# Counted stitches of every sort, beside the stitches of the other tests.
COUNTED = """key
  O       marsh 1 eye
  R       estuary 417 rice + estuary 900 second
  =       marsh 2 long-armed
  T       marsh 3 two-sided-cross
  S       marsh 4 satin
  tide    estuary 900 double-running
"""
# Threads of every sort, of which one is worked in its own way.
MARSH = """code,name,colour,kind,colours
1,samphire,#5f7a4a,overdyed,#5f7a4a #b04a3a #c9a24a
2,mud,#6b5a48,flat,
3,gull,#c9ced6,metallic,
4,rush,#8a9a5b,perle,
"""
OTHERWISE = """range marsh from marsh.csv
thread marsh 3
  needleful 30 cm
  tail 5 cm
  method each
key
"""
SAMPLER = """motif sampler 10 x 4
  |O.R.====SS|
  |.........S|
  |TTTT......|
  |..........|
"""


def with_counted(text: str) -> str:
    text = text.replace("linen 1", "linen 2", 1).replace("key\n", COUNTED, 1)
    text = text.replace("key\n", OTHERWISE, 1)
    text = text.replace("aida 14", "aida 14, linen 12 per cm over 2, aida 5.5 per cm", 1)
    text = text.replace("motif crab", f"{SAMPLER}\nmotif crab", 1)
    return text.replace(
        "  crab at",
        "  sampler at 9,9\n  line tide 9,14 15,14\n  withdrawn rows 0,19 to 40,20\n"
        "  withdrawn columns 39,14 to 40,20\n  crab at",
        1,
    )


def chart(folder: Path, language: str, text: str = with_counted(book_chart.source(40, 20))):
    """A chart whose booklet is in a language."""
    (folder / "marsh.csv").write_text(MARSH, "utf-8")
    return book_chart.worked(
        book_chart.write(folder, text.replace("  edition", f"  language {language}\n  edition"))
    )


@pytest.fixture(scope="module", params=LANGUAGES)
def language(request):
    return request.param


@pytest.fixture(scope="module")
def worked(language, tmp_path_factory):
    # Wide margins, so that the table of sizes has long figures.
    text = with_counted(book_chart.source(40, 20)).replace("margin 3 in", "margin 13 in")
    text = text.replace("  edition", BACK + "  edition", 1)
    return chart(tmp_path_factory.mktemp(language), language, text)


@pytest.fixture(scope="module")
def booklet(worked, tmp_path_factory):
    """On small paper and several pages, without a finding, such as that a face lacks a letter.

    For an archive, since the words around its sources are to be read too.
    """
    options, source = (
        Options(Paper.A5, purpose=Purpose.ARCHIVE, gutter=8.0, with_symbols=True),
        worked.design.folder / "band.linen",
    )
    return bound(worked, options, tmp_path_factory.mktemp("bound") / "a.pdf", [source])


@pytest.fixture(scope="module")
def pages(booklet):
    return [flat(each.extract_text()) for each in booklet.pages]


@pytest.fixture(scope="module")
def lists(worked):
    """What is printed for shops and buyers."""
    facts = gather(worked)
    return [flat(as_sheet(kit_of(facts, 25, 1400.0))), flat(as_list(facts))]


@pytest.fixture(scope="module")
def unseen(booklet):
    """What only a screen reader or an outline tells."""
    with pikepdf.open(booklet.path) as pdf:
        return list(told(pdf))


def flat(text: str) -> str:
    """The text without line ends and the hyphens before them, its blanks all alike."""
    return re.sub(r"\s+", " ", re.sub(r"(?<=\w)-\n(?=[a-zà-ÿ])", "", text))


def told(pdf: pikepdf.Pdf) -> Iterator[str]:
    for each in pdf.objects:
        if isinstance(each, pikepdf.Dictionary):
            for name in ("/Alt", "/Title", "/Contents", "/P", "/Desc"):
                if isinstance(each.get(name), pikepdf.String):
                    yield flat(str(each[name]))
    yield str(pdf.docinfo.get("/Subject", ""))


def fixed_words(language: str) -> list[tuple[str, str]]:
    """Each English message of a booklet, and its translation; other sheets have some of theirs."""
    place = Path(str(files("linenleaf.templates"))) / f"catalogues/{language}.po"
    found = []
    for each in read_po(BytesIO(place.read_bytes())):
        if each.id and not all(where.startswith(SHEETS) for where, _ in each.locations):
            pairs = (
                zip(each.id, each.string, strict=False)
                if each.pluralizable
                else [(each.id, each.string)]
            )
            found += [(flat(english), flat(said)) for english, said in pairs]
    return found


def within(words: str, texts: list[str]) -> bool:
    whole = re.compile(rf"(?<!\w){re.escape(words)}(?!\w)")
    return any(words in each and whole.search(each) for each in texts)


def test_no_english_is_left(language, pages, unseen, lists):
    said = fixed_words(language)
    spoken = [own for _, own in said] + [flat(OWN)]
    wanted = {
        part.strip(" .,;:()")
        for english, own in said
        if english != own
        for part in PLACE.split(english)
    }
    # Short words, and those that the language or the designer has too, say nothing.
    wanted = {each for each in wanted if len(each) > 3 and not within(each, spoken)}
    assert len(wanted) > 180
    assert [each for each in sorted(wanted) if within(each, pages + unseen + lists)] == []


def test_the_words_of_the_language_stand_there(language, pages, unseen, lists):
    """Most of them: a few are for charts of another kind."""
    texts = " ".join(pages + unseen + lists)
    titles = {stitch.title for stitch in shipped().values()}
    parts = [
        max((part.strip() for part in PLACE.split(own)), key=len)
        for english, own in fixed_words(language)
        if english not in titles
    ]
    long = [each for each in parts if len(each) > 3]
    missing = [each for each in long if each.strip(".") not in texts]
    assert len(missing) < len(long) / 4, missing


def test_figures_have_the_marks_of_the_language(pages, unseen):
    text = " ".join(each for each in pages + unseen).replace(OWN, "")
    assert len(re.findall(r"\d,\d", text)) > 20
    assert not re.findall(r"\d\.\d\d?(?!\d)", text)


def test_the_day_is_that_of_cldr(language, booklet, pages):
    day = format_date(date(2026, 3, 14), "long", language)
    assert day in pages[0]
    assert day in pages[len(booklet.pages) - 1]


def test_the_language_is_stated(language, booklet):
    with pikepdf.open(booklet.path) as pdf:
        assert str(pdf.Root.Lang) == language
        assert pdf.Root.PageLabels.Nums[1].P != "Cover"


def outside(pages) -> list[str]:
    """Letters nearer to the edge than 5 mm, or beyond the right margin of their page's text."""
    found = []
    for page in pages:
        rules = [right for left, right in page.rules() if left > 28]
        chart_page = any("Symbols" in each["fontname"] for each in page.chars)
        edge = 5 * POINT if chart_page or not rules else float(page.width) - 1 - max(rules)
        found += [
            char["text"]
            for char in page.chars
            if char["text"].strip()
            and (char["x1"] > float(page.width) - edge + 0.5 or char["x0"] < 5 * POINT)
        ]
    return found


def overlaps(pages) -> list[tuple[str, str]]:
    """Words of a page that lie over each other; symbols and figures of the chart apart."""
    found = []
    for page in pages:
        drawn = any("Symbols" in each["fontname"] for each in page.chars)
        said = re.compile(r"[^\W\d]{2}" if drawn else r"\w")
        words = [each for each in page.words() if said.search(each["text"])]
        found += [(e["text"], "") for e in words if re.search("[¼½¾⅛⅜⅝⅞][0-9]", e["text"])]
        for at, one in enumerate(words):
            found += [
                (one["text"], other["text"])
                for other in words[at + 1 :]
                if min(one["x1"], other["x1"]) - max(one["x0"], other["x0"]) > 0.5
                and min(one["bottom"], other["bottom"]) - max(one["top"], other["top"]) > 2
            ]
    return found


def test_longer_words_have_room_on_small_paper(booklet):
    assert overlaps(booklet.pages) == []
    assert outside(booklet.pages) == []


@pytest.mark.parametrize("language", [LONGEST], indirect=True)
def test_the_longest_words_have_room_in_large_print(worked, tmp_path):
    pages = bound(worked, Options(large=True), tmp_path / "a.pdf").pages
    assert overlaps(pages) == []
    assert outside(pages) == []


@pytest.mark.parametrize("tag", ["en-GB", "de"])
def test_signs_of_the_machinery_in_a_title_stay_as_they_are(tag, tmp_path):
    text = book_chart.PLAIN.replace('"Reed"', f'"{TITLE}"').replace('"1"', '"2 & 50 % {x}"')
    worked = chart(tmp_path, tag, text)
    booklet = bound(worked, Options(), tmp_path / "a.pdf")
    assert TITLE in flat(booklet.pages[0].extract_text())
    edition = {"de": "Ausgabe", "en-GB": "Edition"}[tag] + " 2 & 50 % {x}"
    assert all(edition in flat(each.extract_text()) for each in booklet.pages[1:])
    with pikepdf.open(booklet.path) as pdf:
        assert str(pdf.docinfo["/Title"]) == TITLE
    assert as_list(gather(worked)).startswith(TITLE)


def test_inches_stand_first_in_america(tmp_path):
    worked = chart(tmp_path, "en-US", book_chart.PLAIN)
    pages = bound(worked, Options(), tmp_path / "a.pdf").pages
    text = flat(" ".join(each.extract_text() for each in pages))
    assert "March 14, 2026" in text
    assert re.search(r"[\d¼½¾⅛⅜⅝⅞] in \([\d.]+ × [\d.]+ cm\)", text)
    assert not re.search(r" cm \([\d¼½¾⅛⅜⅝⅞]+ × ", text)
    assert "in in cm cm" not in text
    assert re.search(r"in cm in cm", text)  # above the columns of the table of sizes


def test_sheets_to_fold_are_named_in_the_language(tmp_path):
    """What they are called in each stands in the catalogues; a sheet is printed in one."""
    said = {each: wording(each).gettext("Sheet %(sheet)s, outside", sheet=1) for each in LANGUAGES}
    assert said == {
        "nl": "Vel 1, buitenkant", "de": "Bogen 1, außen", "fr": "Feuille 1, extérieur",
    }  # fmt: skip
    folded, _ = bind(chart(tmp_path, "de", book_chart.PLAIN), Options(Paper.A5, fold=Fold.A4))
    with pikepdf.open(BytesIO(folded.data)) as pdf:
        assert str(pdf.Root.PageLabels.Nums[1].P) == "Bogen 1, außen"


def test_sources_are_named_in_the_language(language, booklet):
    with pikepdf.open(booklet.path) as pdf:
        assert (
            pdf.attachments["band.linen"].description.replace("\u00a0", " ")
            == {
                "nl": "Bron van dit boekje: band.linen",
                "de": "Quelle dieses Hefts: band.linen",
                "fr": "Source de ce livret : band.linen",
            }[language]
        )


def test_the_shopping_list(worked, language):
    lines = as_list(gather(worked)).splitlines()
    assert lines[0] == "Saltmarsh Band, " + {
        "nl": "uitgave 2", "de": "Ausgabe 2", "fr": "édition 2",
    }[language]  # fmt: skip
    assert (
        lines[-1]
        == {
            "nl": "Verder nodig: a hoop of 20 cm",
            "de": "Außerdem nötig: a hoop of 20 cm",
            "fr": "À prévoir aussi : a hoop of 20 cm",
        }[language]
    )


def test_the_picture_of_the_key(worked, language):
    root = ElementTree.fromstring(key_svg(worked, 640))
    title, words = (
        root.find(f"{{http://www.w3.org/2000/svg}}{each}") for each in ("title", "desc")
    )
    assert title.text.replace("\u00a0", " ") == "Saltmarsh Band" + {
        "nl": ": legenda", "de": ": Zeichenerklärung", "fr": " : légende",
    }[language]  # fmt: skip
    half = {
        "nl": "halve kruissteek, van linksonder naar rechtsboven",
        "de": "halber Kreuzstich, von unten links nach oben rechts",
        "fr": "demi-point de croix, de bas à gauche en haut à droite",
    }[language]
    assert half in words.text
