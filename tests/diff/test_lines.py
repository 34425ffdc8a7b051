"""Lines, knots and beads that differ, however the source divides them."""

from itertools import pairwise
from pathlib import Path

import networkx as nx
import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.core.items import Knot, Line, Mirror
from linenleaf.core.key import KeyEntry, Kind
from linenleaf.core.source import Source
from linenleaf.diff.changes import (
    Added,
    Dotted,
    KeyChange,
    Moved,
    Redrawn,
    Removed,
    Reworded,
    Sort,
    Strayed,
    Stretch,
)
from linenleaf.diff.facts import Lettered
from linenleaf.diff.stretches import chains
from linenleaf.resolve.read import read_source

from tests.charts import KEY, LAMP, line, motif, part
from tests.diff.pairs import at, compared, of_items, worked

LANTERN, EYE = 6, 7


def chart(*items, **more):
    return of_items((20, 20), *items, **more)


def strokes(old, new):
    found = compared(chart(*old), chart(*new), thread=False)
    return [(each.old, each.new, each.points) for each in found.of(Stretch)]


def test_a_line_in_two_parts_is_the_same_line():
    whole = line("lantern", (0, 0), (6, 0), (6, 4))
    parts = line("lantern", (6, 4), (6, 1)), line("lantern", (2, 0), (0, 0))
    rest = line("lantern", (2, 0), (6, 0), (6, 1))
    assert strokes([whole], [*parts, rest]) == []


def test_only_the_stretch_that_differs_is_told():
    assert strokes([line("lantern", (0, 0), (6, 0))], [line("lantern", (0, 0), (9, 0))]) == [
        (0, LANTERN, ((6, 0), (9, 0)))
    ]
    assert strokes(
        [line("lantern", (2, 2), (2, 8), (8, 8))], [line("lantern", (2, 2), (2, 5))]
    ) == [(LANTERN, 0, ((2, 5), (2, 8), (8, 8)))]


def test_a_slanting_line_is_compared_from_corner_to_corner():
    old = line("lantern", (0, 0), (6, 9))
    assert strokes([old], [line("lantern", (0, 0), (2, 3), (6, 9))]) == []
    assert strokes([old], [line("lantern", (0, 0), (4, 6))]) == [(LANTERN, 0, ((4, 6), (6, 9)))]


def test_a_line_half_a_cross_off_is_another_line():
    assert strokes([line("lantern", (0, 0), (4, 0))], [line("lantern", (0, 0.5), (4, 0.5))]) == [
        (LANTERN, 0, ((0, 0), (4, 0))),
        (0, LANTERN, ((0, 0.5), (4, 0.5))),
    ]


def test_a_line_in_another_thread_names_both():
    key = (*KEY, KeyEntry("rust", (part(LAMP, Kind.BACK, strands=2),)))
    old = chart(line("lantern", (1, 1), (5, 1)), key=key)
    new = chart(line("rust", (1, 1), (5, 1)), key=key)
    found = compared(old, new, thread=False)
    assert [(each.old, each.new) for each in found.of(Stretch)] == [(LANTERN, 8)]
    assert not found.of(KeyChange)


def test_knots_that_came_and_went():
    old = chart(Knot("eye", ((1, 1), (2, 2))))
    new = chart(Knot("eye", ((2, 2), (3.5, 3))), Knot("eye", ((4, 4),)))
    found = compared(old, new, thread=False)
    assert [(each.old, each.new, each.points) for each in found.of(Dotted)] == [
        (0, EYE, ((3.5, 3.0), (4.0, 4.0))),
        (EYE, 0, ((1.0, 1.0),)),
    ]


def spanned(name, *rows, lines=(), knots=()):
    """A motif whose lines and knots have places in a source, as those that were read."""
    source = Source("test.linen", " " * 100)
    made = [
        Line(each.symbol, each.points, source.span(at, at + 1)) for at, each in enumerate(lines)
    ]
    dots = [
        Knot(each.symbol, each.points, source.span(at + 50, at + 51))
        for at, each in enumerate(knots)
    ]
    return motif(name, *rows, lines=tuple(made), knots=tuple(dots))


TERN = spanned(
    "tern",
    "mm.",
    ".mm",
    lines=[line("lantern", (0, 0), (2, 0))],
    knots=[Knot("eye", ((1.5, 1.5),))],
)
POST = motif("post", "ss", "ss")


def placed(tern=TERN, x=3, y=3, **more):
    return of_items((20, 20), at("tern", x, y, **more), at("post", 16, 16), motifs=(tern, POST))


def test_lines_and_knots_of_a_moved_motif_are_not_told_by_themselves():
    found = compared(placed(), placed(x=9), thread=False)
    assert [each.by for each in found.of(Moved)] == [(6, 0)]
    assert found.of(Stretch) == found.of(Dotted) == ()


def test_a_line_of_a_motif_that_changed_is_told_of_the_motif():
    other = spanned(
        "tern",
        "mm.",
        ".mm",
        lines=[line("lantern", (0, 0), (3, 0))],
        knots=[Knot("eye", ((1.5, 1.5),))],
    )
    found = compared(placed(), placed(other), thread=False)
    assert found.of(Stretch) == ()
    [redrawn] = found.of(Redrawn)
    assert [(each.old, each.new, each.points) for each in redrawn.drawn] == [
        (0, LANTERN, ((2, 0), (3, 0)))
    ]
    assert [spot.new for spot in redrawn.spots] == [(3, 3, 6, 5)]


# --- motifs of lines alone ----------------------------------------------------------------------

MAST = spanned("mast", "..", "..", lines=[line("lantern", (0, 0), (0, 2), (1, 2))])
STAR = spanned("star", "..", "..", knots=[Knot("eye", ((1, 1),))])
LINES_ALONE = (MAST, STAR, POST)


def rigged(*items):
    return of_items((20, 20), *items, at("post", 16, 16), motifs=LINES_ALONE)


def test_a_motif_of_lines_alone_that_moved_is_one_move():
    old = rigged(at("mast", 3, 3), at("star", 10, 3))
    found = compared(old, rigged(at("mast", 5, 3), at("star", 10, 4)), thread=False)
    assert {(each.name, each.by, each.lines_only) for each in found.of(Moved)} == {
        ("mast", (2, 0), True),
        ("star", (0, 1), True),
    }
    assert not any(found.of(kind) for kind in (Stretch, Dotted, Strayed, Added, Removed))


def test_a_motif_of_lines_alone_comes_and_goes():
    old, new = rigged(at("mast", 3, 3)), rigged(at("star", 3, 3))
    found = compared(old, new, thread=False)
    assert [each.name for each in found.of(Added)] == ["star"]
    assert [each.name for each in found.of(Removed)] == ["mast"]
    assert not any(found.of(kind) for kind in (Stretch, Dotted, Strayed, Moved))


def test_the_same_lines_from_a_motif_or_by_themselves_are_no_difference():
    by_itself = rigged(line("lantern", (3, 3), (3, 5), (4, 5)))
    assert not compared(rigged(at("mast", 3, 3)), by_itself, thread=False)
    assert not compared(by_itself, rigged(at("mast", 3, 3)), thread=False)


def test_a_motif_of_lines_alone_that_is_mirrored_where_it_stands_shows_as_lines():
    found = compared(
        rigged(at("mast", 3, 3)), rigged(at("mast", 3, 3, mirror=Mirror.LEFT_RIGHT)), thread=False
    )
    assert {(each.old, each.new) for each in found.of(Stretch)} == {(LANTERN, 0), (0, LANTERN)}


def test_a_single_knot_that_stands_elsewhere_has_moved():
    old, new = (chart(Knot("eye", ((x, 1), (9, 9)))) for x in (1, 2))
    found = compared(old, new, thread=False)
    assert found.of(Strayed) == (Strayed(EYE, EYE, (1, 1), (2, 1)),)
    assert not found.of(Dotted)


STEPS = st.lists(
    st.tuples(st.integers(0, 5), st.integers(0, 5), st.sampled_from(((0, 1), (1, 0), (1, 1)))),
    unique=True, min_size=1, max_size=25,
)  # fmt: skip


@given(STEPS)
def test_joined_lines_are_the_same_steps_in_as_few_lines_as_can_be(given_steps):
    steps = [
        ((float(x), float(y)), (float(x + dx), float(y + dy))) for x, y, (dx, dy) in given_steps
    ]
    found = chains(steps)
    again = []
    for each in found:
        for one, other in pairwise(each):
            many = round(max(abs(other[0] - one[0]), abs(other[1] - one[1])))
            points = [tuple(map(float, p)) for p in np.linspace(one, other, many + 1)]
            again += [tuple(sorted(pair)) for pair in pairwise(points)]
    assert sorted(again) == sorted(tuple(sorted(each)) for each in steps)
    # As many lines as half the places where an odd number of steps meet, or one for a closed way:
    # Euler's theorem on walks over every edge once, for each part that hangs together.
    graph = nx.Graph(steps)
    parts = [graph.subgraph(each) for each in nx.connected_components(graph)]
    least = sum(max(1, sum(d % 2 for _, d in each.degree()) // 2) for each in parts)
    assert least <= len(found) <= least + len(steps) // 3


LETTERED = """linen 2
fabric linen 28 over 2
key
  m  #a03a3a "madder"
  ink  #20242c "ink" double-running
alphabet fine height 2
  L 1 wide
    line ink 0,0 0,2 1,2
  T 2 wide
    line ink {top}
    line ink 1,0 1,2
chart 30 x 20
  text "{text}" in fine at {at}
"""


def of_letters(text="LT", at="1,2", top="0,0 2,0"):
    made, findings = read_source(
        Source("chart.linen", LETTERED.format(text=text, at=at, top=top)), Path("chart.linen")
    )
    assert made is not None, findings
    return worked(made)


def test_a_text_of_lines_is_told_of_like_any_other():
    old = of_letters()
    (moved,) = compared(old, of_letters(at="4,3"), thread=False).of(Moved)
    assert (moved.sort, moved.name, moved.by) == (Sort.TEXT, "LT", (3, 1))
    (other,) = compared(old, of_letters(text="TL"), thread=False).of(Reworded)
    assert (other.old, other.new) == ("LT", "TL")
    redrawn = compared(old, of_letters(top="0,0 1,0"), thread=False)
    assert [each.letters for each in redrawn.of(Lettered)] == [("T",)]
    for changes in (redrawn, compared(old, of_letters(at="4,3"), thread=False)):
        assert not changes.of(Stretch)
