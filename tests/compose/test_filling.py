"""Repeats that fill: against every way there is to lay them, one after another."""

from pathlib import Path

import pytest
from linenleaf.compose.compose import compose
from linenleaf.compose.filling import fill, fitting
from linenleaf.core.places import Edge, Half
from linenleaf.core.source import Source
from linenleaf.resolve.read import read_source

from ..snippets import rows_of

ROOMS = [(room, length) for room in range(1, 32) for length in range(1, 9)]


@pytest.mark.parametrize("inset", range(4))
def test_what_would_fit_is_the_nearest_of_all(inset):
    for room, length in ROOMS:
        inner = room - 2 * inset
        if inner < length:
            continue
        found = fitting(room, length, inset)
        widths = [each for each in range(1, 99) if each > 2 * inset]
        widths = [each for each in widths if (each - 2 * inset) % length == 0]
        assert found.rooms == tuple(
            each for each in widths if each - room in range(-length + 1, length + 1)
        )
        insets = [
            each
            for each in range(room)
            if each != inset and room - 2 * each >= length and (room - 2 * each) % length == 0
        ]
        lower, higher = ([e for e in insets if e < inset], [e for e in insets if e > inset])
        assert found.insets == (*lower[-1:], *higher[:1])
        divisors = [each for each in range(1, inner + 1) if inner % each == 0 and each != length]
        lower, higher = ([e for e in divisors if e < length], [e for e in divisors if e > length])
        assert found.lengths == (*lower[-1:], *higher[:1])


@pytest.mark.parametrize("cut", [False, True])
@pytest.mark.parametrize("origin", [Edge.START, Edge.MIDDLE, Edge.END])
@pytest.mark.parametrize("half", [Half.EARLIER, Half.LATER])
def test_repeats_stand_where_one_after_another_puts_them(cut, origin, half):
    for room, length in ROOMS:
        made = fill(5, 5 + room, length, origin, cell=1, unit=1, cut=cut, half=half)
        if room < length:
            assert made is None
            continue
        first = 5
        many = len(range(5, 5 + room - length + 1, length))
        left = room - many * length
        if origin is Edge.END:
            first += left
        elif origin is Edge.MIDDLE:
            first += left // 2 if half is Half.EARLIER else left - left // 2
        # Which column of the repeat stands in each column of the stretch; nothing where bare.
        expected = [(x - first) % length for x in range(5, 5 + room)]
        if not cut:
            inside = range(first, first + many * length)
            expected = [e if x in inside else None for x, e in enumerate(expected, 5)]
        laid = [None] * room
        for run in made.runs:
            for copy in range(run.count):
                for offset, column in enumerate(range(*run.part)):
                    place = run.at - 5 + copy * (run.part[1] - run.part[0]) + offset
                    assert laid[place] is None
                    laid[place] = column
        assert laid == expected
        assert (made.count, made.left) == (many, left)


# --- on charts ---------------------------------------------------------------------------------

HEAD = """linen 2
fabric linen 28 over 2
key
  m  #a03a3a "madder"
  s  #5f7a4a "sedge"
  k  #20242c "ink"
  rope  #20242c "ink" back
motif abc 3 x 1
  |msk|
  line rope 0,0 3,0
  line rope 2,0 2,1
motif tall 1 x 3
  |m|
  |s|
  |k|
"""


def drawn(lines, size="11 x 5"):
    return rows_of(f"{HEAD}chart {size}\n{lines}\n")


@pytest.mark.parametrize(
    ("words", "row"),
    [
        ("at 0,0 filling from left", "mskmskmsk.."),
        ("at 0,0 filling from right", "..mskmskmsk"),
        ("at 0,0 filling from middle", ".mskmskmsk."),
        ("at 1,0 filling from middle centred right", "..mskmskmsk"),
        ("at 0,0 filling cut", "mskmskmskms"),
        ("at 0,0 filling from middle cut", "kmskmskmskm"),
        ("at 2,0 filling", "..mskmskmsk"),
        ("at 0,0 filling inset 1", ".mskmskmsk."),
        ("at 0,0 filling inset 1 mirrored", ".ksmksmksm."),
    ],
)
def test_a_motif_fills_the_width(words, row):
    assert drawn(f"abc {words}")[0] == row


def test_a_motif_fills_a_height_and_an_area_of_a_place():
    panel = "place panel 4 x 5 at 2,0\n"
    assert drawn(panel + "tall filling height within panel from bottom cut") == [
        "..s........",
        "..k........",
        "..m........",
        "..s........",
        "..k........",
    ]
    assert drawn(panel + "abc filling area within panel from right cut") == ["..kmsk....."] * 5


def test_of_a_part_of_a_motif_the_lines_that_lie_in_it_are_worked():
    text = f"{HEAD}chart 5 x 1\n abc at 0,0 filling from right cut\n"
    design, _ = read_source(Source("chart.linen", text), Path("chart.linen"))
    worked, _ = compose(design)
    assert sorted(line.points.tolist() for line in worked.lines) == [
        [[1, 0], [1, 1]],
        [[2, 0], [5, 0]],
        [[4, 0], [4, 1]],
    ]


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("abc at 0,0 filling", ["fill-remainder"]),
        ("abc at 9,0 filling", ["no-room-to-fill"]),
        ("abc at 0,0 filling inset 5", ["no-room-to-fill"]),
        ("abc at 0,0 filling inset 900 cut", ["no-room-to-fill"]),
    ],
)
def test_what_does_not_come_out_is_told(words, names):
    assert drawn(words) == names


def test_every_mend_that_is_named_works():
    text = f"{HEAD}chart 11 x 1\n abc at 0,0 filling\n"
    design, _ = read_source(Source("chart.linen", text), Path("chart.linen"))
    _, (finding,) = compose(design)
    assert [hint.message for hint in finding.hints] == [
        "a stretch 9 or 12 wide would fit",
        "so would `inset 1`",
        "so would a repeat 1 or 11 wide",
        "or say where it begins and what is left bare, `from middle` or `from left`, or `cut` for "
        "it to end as it falls",
    ]
    assert drawn("abc at 0,0 filling", "9 x 1") == ["mskmskmsk"]
    assert drawn("abc at 0,0 filling", "12 x 1") == ["mskmskmskmsk"]
    assert drawn("abc at 0,0 filling inset 1", "11 x 1") == [".mskmskmsk."]


def test_a_fill_moves_with_what_it_fills():
    for at in (0, 3):
        rows = drawn(f"place panel 6 x 1 at {at},2\nabc filling within panel")
        assert rows[2] == "." * at + "mskmsk" + "." * (5 - at)


def test_a_million_repeats_are_refused_at_once():
    lines = "place panel 1998 x 1000 at 0,0\ntall turned right filling area within panel"
    assert drawn(lines, "2000 x 1000") == ["too-many-copies"]


EYES = """linen 2
fabric linen 28 over 2
key
  m  #a03a3a "madder"
  o  #20242c "ink" eye
motif weave 4 x 4
  |o.m.|
  |....|
  |m.o.|
  |....|
alphabet low height 1
  T |mmm|
chart 20 x 20
"""


def told_of(lines):
    source = Source("chart.linen", EYES + lines)
    _, findings = compose(read_source(source, Path("chart.linen"))[0])
    return [(each.message, each.hints) for each in findings]


def test_a_cut_through_stitches_larger_than_their_signs_is_told():
    lines = "  place panel {0} x {0} at 1,1\n  weave filling area within panel from left cut\n"
    assert [message for message, _ in told_of(lines.format(9))] == [
        "`weave` is cut through 5 counted stitches, the first at 9,1."
    ]
    assert told_of(lines.format(10)) == []


def test_texts_that_lie_on_something_are_told_with_their_width():
    ((message, hints),) = told_of('  text "T" in low at 0,0\n  text "TTT" in low at 1,0\n')
    assert message.startswith("The text “TTT” lies on the text “T”")
    assert "“TTT” is 11 crosses wide" in [each.message for each in hints]
