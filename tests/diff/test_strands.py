"""Pieces over fewer threads whose crosses are worked with another number of strands."""

import json
from dataclasses import replace

import pytest
from linenleaf.diff.advice import Do
from linenleaf.diff.changes import Restranded, Sort
from linenleaf.diff.diffjson import as_json
from linenleaf.diff.difftext import as_text
from linenleaf.diff.entries import entries

from tests.charts import motif
from tests.diff.pairs import at, compared, of_items

BUOY = motif("buoy", "mm", "m.")


def chart(strands, x=3, language="en-GB", many=1):
    """A chart with buoys over one thread, in the key worked with two strands."""
    placed = [at("buoy", x + 4 * n, 5, over=1, strands=strands) for n in range(many)]
    made = of_items((20, 12), *placed, motifs=(BUOY,))
    booklet = replace(made.design.booklet, language=language)
    return replace(made, design=replace(made.design, booklet=booklet))


def found(old, new):
    return compared(old, new, thread=False).of(Restranded)


def test_another_number_of_strands_is_one_change():
    [change] = found(chart(2, many=2), chart(1, many=2))
    assert (change.sort, change.name, change.old, change.new) == (Sort.MOTIF, "buoy", 2, 1)
    assert [spot.new for spot in change.spots] == [(3, 5, 4, 6), (7, 5, 8, 6)]


def test_saying_the_number_of_the_key_is_none():
    assert not compared(chart(None), chart(2), thread=False)
    assert found(chart(None), chart(1))
    assert found(chart(1), chart(None))


def test_what_moved_is_told_of_its_strands_too():
    changes = compared(chart(2), chart(1, x=9), thread=False)
    assert [type(each).__name__ for each in changes.every] == ["Moved", "Restranded"]


def test_it_is_data_for_other_programs():
    told = json.loads(as_json(compared(chart(None), chart(1), thread=False), ("old", "new")))
    [place] = told["strands"]
    assert (place["what"], place["name"], place["old"], place["new"]) == ("motif", "buoy", None, 1)
    assert told["different"]


def test_the_terminal_tells_it_among_the_things_placed():
    text = as_text(compared(chart(2), chart(1), thread=False), ("old", "new"))
    assert "Motifs and texts\n  buoy at 3,5: 2 strands -> 1 strand\n" in text


@pytest.mark.parametrize(
    ("language", "sentence"),
    [
        ("en-GB", "Buoy: the strands of the key → 1 strand."),
        ("nl", "Motief buoy: zoveel draadjes als in de legenda → 1 draadje."),
        ("de", "Motiv buoy: Garnfäden wie in der Zeichenerklärung → 1 Garnfaden."),
        (
            "fr",
            "Motif buoy\N{NO-BREAK SPACE}: autant de brins que dans la légende → 1 brin.",
        ),
    ],
)
def test_the_sheet_of_corrections_tells_it_in_the_language_of_the_chart(language, sentence):
    changes = compared(chart(None), chart(1, language=language), thread=False)
    [item] = entries(changes).items
    assert item.told == (sentence,)
    assert item.unpicks
    if language == "en-GB":
        assert item.begun == Do.ONE_THREAD.value
