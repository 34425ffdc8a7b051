"""Places counted in code units of the text as it was written."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.core.files import as_text
from linenleaf.reports.codeunits import Units, offset_of, units_before


def read(text: str):
    source, findings = as_text(text.encode(), "a.linen")
    assert findings == ()
    return source


@pytest.mark.parametrize(
    ("text", "mark", "column"),
    [
        ("abc q", "q", 4),
        ("é q", "q", 2),
        ("e\u0301 q", "q", 3),  # e and a combining acute
        ("ė\u0301\u0323 q", "q", 4),  # three marks, stored in another order when composed
        ("\U0001f41f q", "q", 3),  # a fish, beyond the basic plane: two units
        ("\U0001f41fe\u0301\U0001d11e q", "q", 7),
        ("\u1112\u1161\u11ab q", "q", 4),  # one syllable of Hangul in three letters
        ("क\u093c q", "q", 3),  # excluded from composition (UAX 15), two characters in any form
    ],
)
def test_columns_count_units_of_what_was_written(text, mark, column):
    source = read(f"first\r\n{text}\nlast")
    offset = source.text.index(mark)
    assert units_before(source, offset) == (1, column)
    assert offset_of(source, 1, column) == offset
    # The very rule of the protocol: what lies before, in UTF-16, two bytes a unit.
    assert len(text[: text.index(mark)].encode("utf-16-le")) // 2 == column


BYTES = {Units.UTF_8: 1, Units.UTF_16: 2, Units.UTF_32: 4}  # of one unit


@given(st.text(max_size=12).filter(lambda text: text.isprintable()), st.sampled_from(Units))
def test_units_are_those_of_the_encoding(text, units):
    source = read(f"|{text}|")
    place = (
        0,
        len(f"|{text}".encode(f"{units}-le" if units != "utf-8" else units)) // BYTES[units],
    )
    end = len(source.text) - 1
    assert units_before(source, end, units) == place
    assert offset_of(source, *place, units) == end


def test_a_place_inside_one_character_is_where_that_character_begins():
    source = read("\U0001f41fq\ne\u0301q")
    assert offset_of(source, 0, 1) == 0
    assert offset_of(source, 1, 1) == source.text.index("\u00e9")


def test_places_behind_the_end_are_the_end():
    source = read("ab\nc")
    assert offset_of(source, 0, 99) == 2
    assert offset_of(source, 7, 3) == offset_of(source, 1, 50) == 4
    assert units_before(source, 99) == (1, 1)


TEXTS = st.text(
    st.sampled_from(
        "ab |\n\r\u0301\u0323\u0327e\u00e9\u1112\u1161\u11ab\U0001f41f\u0dd9\u0dcf\u0dca"
    ),
    max_size=30,
)


@given(TEXTS)
def test_there_and_back_is_the_same_place(text):
    source = read(text)
    for offset in range(len(source.text) + 1):
        line, column = units_before(source, offset)
        assert offset_of(source, line, column) <= offset
        assert units_before(source, offset_of(source, line, column)) == (line, column)
        if not source.written:
            assert offset_of(source, line, column) == offset
        for units in Units:
            place = units_before(source, offset, units)
            assert offset_of(source, *place, units) == offset_of(source, line, column)


def test_a_line_of_nothing_but_marks_is_counted():
    source = read("e" + "\u0301" * 20_000 + "q")
    assert units_before(source, len(source.text) - 1) == (0, 20_001)
