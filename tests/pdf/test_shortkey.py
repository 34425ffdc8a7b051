"""The words of a short key stand where WeasyPrint's own lines of text would have them."""

from pathlib import Path

import pypdfium2
import pytest
from linenleaf.booklet.drawings import short_key_labels
from linenleaf.booklet.shortkeys import LINE, ShortKey
from linenleaf.pdf.renderer import Sheet, press
from linenleaf.pdf.shortkey import Labels

STYLE = """
@font-face { font-family: "Leaf Sans"; src: url(face:SourceSansPro-Regular.ttf); }
@page { size: 150mm 60mm; margin: 7mm 11mm }
p { position: absolute; margin: 0; top: 0; white-space: pre; font: 7.5pt/4.6mm "Leaf Sans" }
embed { display: block }
"""
PAGE = '<html lang="en"><head><title>t</title></head><body>{}</body></html>'
WORDS = {1: "417 Tide wrack", 2: "AV To Wa.", 3: "shore 220 + 225", 4: "fjord ½ €", 5: "900"}
COLUMNS = ((1, 2), (3, 4), (5,))
SHORT = ShortKey(WORDS, symbol=5.0, item=33.3, across=3, height=2 * LINE)


def characters(markup: str, **drawings: object) -> list[tuple[str, tuple[float, ...]]]:
    """Each letter of a page and its box, as PDFium finds them."""
    sheet = Sheet(PAGE.format(markup), STYLE, Path(), drawings=drawings)
    made = press(sheet)
    assert made.remarks == ()
    with pypdfium2.PdfDocument(made.data) as pdf:
        text = pdf[0].get_textpage()
        found = [
            (text.get_text_range(at, 1), text.get_charbox(at)) for at in range(text.count_chars())
        ]
    return [each for each in found if each[0].strip()]


def test_each_letter_stands_where_it_would_as_a_line_of_text():
    lines = "".join(
        f'<p style="left: {at * SHORT.item + SHORT.symbol:.3f}mm">'
        + "\n".join(WORDS[index] for index in column)
        + "</p>"
        for at, column in enumerate(COLUMNS)
    )
    labels = short_key_labels(COLUMNS, SHORT, 1.0)
    expected = characters(lines)
    found = characters('<p style="left: 0"><embed src="labels:"/></p>', **{"labels:": labels})
    assert [letter for letter, _ in found] == [letter for letter, _ in expected]
    assert "".join(letter for letter, _ in found).startswith("417TidewrackAVToWa.shore220")
    for (_, box), (_, other) in zip(found, expected, strict=True):
        assert box == pytest.approx(other, abs=0.001)  # points


def test_words_shown_again_are_the_same_words():
    twice = Labels(80.0, 20.0, 1.0, (("reed", 0.0, 0.0), ("reed", 40.0, 10.0)))
    found = characters('<p style="left: 0"><embed src="labels:"/></p>', **{"labels:": twice})
    assert "".join(letter for letter, _ in found) == "reedreed"
    first, again = found[0][1], found[4][1]
    assert again[0] - first[0] == pytest.approx(40 * 72 / 25.4, abs=0.01)
    assert first[1] - again[1] == pytest.approx(10 * 72 / 25.4, abs=0.01)


def test_large_print_is_larger_by_its_scale():
    labels = short_key_labels(COLUMNS, SHORT, 1.6)
    width, height, ratio = labels.get_intrinsic_size(96, 16)
    assert (width, height) == pytest.approx(
        (3 * 33.3 * 1.6 * 96 / 25.4, 2 * LINE * 1.6 * 96 / 25.4)
    )
    assert ratio == pytest.approx(width / height)
