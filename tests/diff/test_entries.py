"""What a sheet of corrections lists, in the language of its chart."""

import re
from dataclasses import replace
from functools import cache
from importlib.resources import files
from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from linenleaf.core.key import Colourway, Strands, ThreadChange
from linenleaf.count.size import size
from linenleaf.diff.advice import Do
from linenleaf.diff.compare import compare
from linenleaf.diff.entries import entries, revision_lines
from linenleaf.diff.together import MOST_AREAS, MOST_TOLD
from linenleaf.i18n.wording import wording
from linenleaf.resolve.read import read

from tests.charts import INK, LAMP, MADDER, SEDGE, cell, design, line, motif, part
from tests.diff.pairs import at, compared, of_items, worked

DATA = Path(__file__).resolve().parent.parent / "data" / "diff"
PLACE = re.compile(r"%\(\w+\)s|%%")
SHEETS = ("pipeline/diff/", "templates/errata")


def boats(name, language):
    made, _ = read(DATA / f"{name}.linen")
    return worked(replace(made, booklet=replace(made.booklet, language=language)))


@cache
def told(language):
    """All that is listed between the editions of the boats, as one text."""
    lists = [
        entries(compare(boats("boats-1", language), boats(f"boats-{name}", language)))
        for name in ("motif", "moves", "key", "shifted")
    ]
    every = [each for made in lists for each in (*made.notices, *made.items)]
    words = [each for made in lists for each in made.words]
    return "\n".join([*words, *(f"{e.heading}\n{' '.join(e.told)}\n{e.begun}" for e in every)])


@pytest.mark.parametrize("language", ["nl", "de", "fr"])
def test_no_english_is_left(language):
    place = Path(str(files("linenleaf.templates"))) / f"catalogues/{language}.po"
    english, own = set(), ""
    for each in read_po(BytesIO(place.read_bytes())):
        if not each.id or not any(where.startswith(SHEETS) for where, _ in each.locations):
            continue
        both = [(each.id, each.string)]
        if each.pluralizable:
            both = list(zip(each.id, each.string, strict=True))
        for said, translated in both:
            own += f" {translated}"
            english |= {part.strip(" .,;:()") for part in PLACE.split(said)}
    text = told(language)
    wanted = {each for each in english if len(each) > 3 and each not in own}
    assert len(wanted) > 100
    found = [each for each in sorted(wanted) if re.search(rf"(?<!\w){re.escape(each)}(?!\w)", text)]
    # The designer's own words are English.
    assert found == []


@pytest.mark.parametrize(
    ("language", "sentence"),
    [
        ("en-GB", "Boat moved 4 columns to the left and 1 row down."),
        (
            "nl",
            "Motief boat verplaatst, 4 kolommen naar links en 1 rij omlaag.",
        ),
        (
            "de",
            "Motiv boat um 4 Spalten nach links und 1 Reihe nach unten versetzt.",
        ),
        (
            "fr",
            "Motif boat déplacé de 4 colonnes vers la gauche et 1 rang vers le bas.",
        ),
    ],
)  # fmt: skip
def test_a_move_is_told_in_the_language_of_the_chart(language, sentence):
    assert sentence in told(language)


def test_revision_lines_speak_the_language_of_the_chart():
    changes = compare(boats("boats-1", "nl"), boats("boats-moves", "nl"))
    first = revision_lines(changes).splitlines()[0]
    assert first.startswith('revision "2" 2026-10-01 "Rijen 3–12, kolommen 37–49: Motief boat')


# --- long lists ----------------------------------------------------------------------------------


def many_lines(number, apart):
    """Lines of one cross in rows of 20, so many crosses from one to the next."""
    places = [(n % 20 * apart, n // 20 * apart) for n in range(number)]
    return [line("lantern", (x, y), (x + 1, y + 1)) for x, y in places]


@pytest.mark.parametrize(("number", "apart"), [(139, 1), (139, 2), (139, 4)])
def test_many_lines_are_told_together_place_by_place(number, apart):
    old, new = of_items((90, 60)), of_items((90, 60), *many_lines(number, apart))
    items = entries(compared(old, new, thread=False)).items
    assert 1 <= len(items) <= MOST_AREAS
    assert all(len(item.told) <= MOST_TOLD + 1 for item in items)
    told = " ".join(text for item in items for text in item.told)
    assert "Back stitch lamp added, in " in told
    assert all(item.begun.startswith("It lies over the crosses") for item in items)


def test_changes_within_a_motif_are_told_without_places_in_it_which_buyers_cannot_count():
    rows = ["m" * 60] * 60
    other = ["".join("s" if y % 8 == x % 8 == 0 else "m" for x in range(60)) for y in range(60)]
    post = motif("post", "k")
    placed = at("field", 0, 0), at("post", 69, 69)
    old, new = (
        of_items((70, 70), *placed, motifs=(motif("field", *each), post)) for each in (rows, other)
    )
    [item] = entries(compared(old, new, thread=False)).items
    assert item.heading == "Rows 1–60, columns 1–60"
    assert item.told == ("Field redrawn.", "64 crosses madder → sedge.")


def test_a_motif_redrawn_in_several_places_tells_the_rows_and_columns_of_all():
    fish = motif("fish", "mmm", "m.m"), motif("fish", "mmm", "mmm")
    places = [at("fish", x, 4) for x in (2, 12, 15)]
    old, new = (of_items((40, 20), *places, motifs=(each,)) for each in fish)
    [item] = entries(compared(old, new, thread=False)).items
    assert item.told == (
        "Fish redrawn; placed 3 times, in rows 5–6, columns 3–5 and 13–18.",
        "In each of them: 1 cross madder added.",
    )
    assert item.note == "The first place is shown."


def test_what_was_redrawn_in_a_motif_that_moved_counts_no_crosses_of_the_move():
    old = of_items((20, 20), at("fish", 2, 4), motifs=(motif("fish", "mmm", "m.m", "mss"),))
    new = of_items((20, 20), at("fish", 3, 4), motifs=(motif("fish", "mmm", "mmm", "mss"),))
    items = entries(compared(old, new, thread=False)).items
    assert {item.told[0]: item.begun for item in items if "redrawn" in item.told[0]} == {
        "Fish redrawn.": "The fabric is bare there: add the cross at any time."
    }
    assert any("moved 1 column to the right" in item.told[0] for item in items)


# --- what a buyer has to know --------------------------------------------------------------------


def test_several_things_that_moved_together_may_stay_only_if_all_are_stitched():
    reed = motif("reed", "s", "s", "m")

    def chart(y):
        return of_items((60, 40), *(at("reed", x, y) for x in range(0, 50, 9)),
                        at("gull", 50, 30), motifs=(reed, motif("gull", "mmm")))  # fmt: skip

    [item] = entries(compared(chart(3), chart(12), thread=False)).items
    assert item.begun == Do.ALL_MAY_STAY.value
    assert item.unpicks
    assert item.note == "The first place is shown."
    assert item.note not in revision_lines(compared(chart(3), chart(12), thread=False))


def test_another_printed_symbol_is_told_even_if_the_source_has_the_same_sign():
    key = cell("m", part(MADDER)), cell("s", part(SEDGE))
    other = cell("m", part(MADDER), printed="mussel"), key[1]
    old, new = (worked(design(rows=["mms"], key=each)) for each in (key, other))
    notices = entries(compared(old, new, thread=False)).notices
    told = [each for each in notices if "madder" in each.told[0]]
    assert [(each.heading, each.old, each.new) for each in told] == [("Symbol", 1, 1)]


def test_a_colourway_in_other_threads_is_told_by_its_title():
    dusk = Colourway("dusk", "At dusk", (ThreadChange("m", ((Strands(INK, 2),),)),))
    other = replace(dusk, changes=(ThreadChange("m", ((Strands(LAMP, 2),),)),))
    plain = design(rows=["mms", "s.m"])
    old, new = (worked(replace(plain, colourways=(each,))) for each in (dusk, other))
    [notice] = entries(compared(old, new, thread=False)).notices
    assert notice.told == ("Colourway At dusk: estuary 900 ink → estuary 512 lamp.",)


def test_threads_bought_too_few_or_in_vain_are_named():
    key = cell("m", part(MADDER)), cell("s", part(SEDGE))
    other = cell("m", part(INK)), key[1]
    old = worked(design(rows=["m" * 40 + "s"] * 40, key=key))
    new = worked(design(rows=["m" * 40 + "s"] * 40, key=other))
    told = {each.heading: each for each in entries(compare(old, new)).notices}["Thread to buy"]
    assert told.when == "If you have bought your thread:"
    assert re.search(r"Buy in addition: \d+ skeins? of estuary 900 ink\.", told.begun)
    assert re.search(r"Not needed any more: \d+ skeins? of estuary \d+ madder\.", told.begun)


def test_fabric_that_is_cut_already_is_measured_against_the_new_chart():
    old, new = (worked(design(rows=["m" * wide])) for wide in (10, 40))
    told = {e.heading: e for e in entries(compared(old, new, thread=False)).notices}
    cut = told["Size and fabric"]
    assert cut.when == "If your fabric is already cut:"
    was, now = (size(each, each.design.ground.fabric) for each in (old, new))
    left = wording("en-GB").length((was.cut_width - now.width) / 2)
    assert f"leaves {left} at each side" in cut.begun
    huge = worked(design(rows=["m" * 400]))
    told = {e.heading: e for e in entries(compared(old, huge, thread=False)).notices}
    assert "too small" in told["Size and fabric"].begun


def test_a_colourway_whose_threads_stay_is_not_told_of():
    dusk = Colourway("dusk", "At dusk", (ThreadChange("m", ((Strands(INK, 2),),)),))
    finer = replace(dusk, changes=(ThreadChange("m", ((Strands(INK, 1),),)),))
    plain = design(rows=["mms", "s.m"])
    old, new = (worked(replace(plain, colourways=(each,))) for each in (dusk, finer))
    headings = [each.heading for each in entries(compared(old, new, thread=False)).notices]
    assert "Other colourways" not in headings


def test_a_run_of_figures_that_moved_is_one_decision():
    digits = motif("figures", "m.m.m.m.m.m")
    old, new = (of_items((40, 9), at("figures", x, 2), motifs=(digits,)) for x in (4, 5))
    [item] = entries(compared(old, new, thread=False)).items
    assert item.begun == Do.MAY_STAY.value
    assert item.begun.startswith("All of it or nothing")


def test_a_sentence_that_ends_in_a_quoted_one_has_no_second_full_stop():
    assert "crosses.”\n" in told("en-GB")
    assert "crosses.\N{NO-BREAK SPACE}»\n" in told("fr")
