import numpy as np
import pytest
from linenleaf.compose.bounds import MOST_COPIES
from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.ground import Fabric
from linenleaf.core.items import Anchor, Border, Cover, Knot, Lettering, Mirror, Placement
from linenleaf.core.key import Kind, Way
from linenleaf.core.model import Design
from linenleaf.core.source import Source
from linenleaf.resolve.settings import LARGEST_SIDE

from ..charts import (
    FULLS,
    HALVES,
    LAMP,
    MADDER,
    SEDGE,
    WORDS,
    alphabet,
    cell,
    design,
    knot,
    line,
    motif,
    part,
    picture,
)


def composed(made: Design) -> WorkedChart:
    worked, findings = compose(made)
    assert worked is not None, findings
    assert not findings
    return worked


def drawn(made: Design) -> list[str]:
    return picture(composed(made).grid, made.key)


def refused(made: Design) -> list[str]:
    worked, findings = compose(made)
    assert worked is None
    return [f"{each.name}: {each.message}" for each in findings]


TERN = motif(
    "tern",
    "m..",
    "mms",
    lines=(line("lantern", (0, 0), (3, 2)),),
    knots=(knot("eye", (0.5, 0.5)),),
)


# --- the whole-chart grid ----------------------------------------------------------------------


def test_a_chart_may_be_one_grid():
    rows = ["m.s", "./k"]
    worked = composed(design(rows=rows))
    assert picture(worked.grid) == rows
    assert worked.owner.tolist() == [[0, -1, 0], [-1, 0, 0]]
    assert [each.name for each in worked.placed] == ["grid"]


def test_symbols_may_be_any_visible_character():
    key = tuple(cell(each, part(MADDER)) for each in "é漢🐚")
    worked = composed(design(rows=["🐚.é", "漢é."], key=key))
    assert worked.grid.tolist() == [[3, 0, 1], [2, 1, 0]]


def test_a_line_word_of_one_letter_is_no_cell():
    # Words have two letters or more in a source; the table of cells must not rest on that.
    key = (WORDS[0], *FULLS)
    assert composed(design(rows=["ms"], key=key)).grid.tolist() == [[2, 3]]


# --- placing -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("placed", "expected"),
    [
        ({"x": 1, "y": 1}, [".....", ".m...", ".mms.", "....."]),
        ({"x": 4, "y": 1, "anchor": Anchor.TOP_RIGHT}, [".....", ".m...", ".mms.", "....."]),
        ({"x": 1, "y": 3, "anchor": Anchor.BOTTOM_LEFT}, [".....", ".m...", ".mms.", "....."]),
        ({"x": 4, "y": 3, "anchor": Anchor.BOTTOM_RIGHT}, [".....", ".m...", ".mms.", "....."]),
        # Three crosses wide, the middle cannot stand on a grid line: one cross to the left.
        ({"x": 3, "y": 2, "anchor": Anchor.CENTRE}, [".....", ".m...", ".mms.", "....."]),
        ({"x": 2.5, "y": 2, "anchor": Anchor.CENTRE}, [".....", ".m...", ".mms.", "....."]),
        ({"x": 1, "y": 1, "mirror": Mirror.LEFT_RIGHT}, [".....", "...m.", ".smm.", "....."]),
        ({"x": 1, "y": 0, "turns": 1}, [".mm..", ".m...", ".s...", "....."]),
        (
            {"x": 3, "y": 0, "turns": 1, "anchor": Anchor.TOP_RIGHT},
            [".mm..", ".m...", ".s...", "....."],
        ),
        (
            {"x": 1, "y": 1, "mirror": Mirror.LEFT_RIGHT, "turns": 3},
            [".....", ".mm..", "..m..", "..s.."],
        ),
    ],
)
def test_a_motif_stands_where_it_is_placed(placed, expected):
    assert drawn(design((5, 4), Placement("tern", **placed), motifs=[TERN])) == expected


def test_repeats_are_the_sum_of_single_placements():
    step = (4.0, 3.0)
    several = Placement("tern", 1, 1, across=3, down=2, step=step)
    single = [Placement("tern", 1 + 4 * i, 1 + 3 * j) for j in range(2) for i in range(3)]
    one, other = (composed(design((14, 8), *items, motifs=[TERN])) for items in ([several], single))
    assert np.array_equal(one.grid, other.grid)
    assert np.array_equal(one.owner, other.owner)
    assert [(each.x, each.y) for each in one.placed] == [(each.x, each.y) for each in other.placed]
    assert [each.points.tolist() for each in one.lines] == [
        each.points.tolist() for each in other.lines
    ]


def test_a_half_step_sets_every_second_copy_off_the_grid():
    repeat = Placement("dot", 0, 0, across=3, step=(2.5, 0))
    worked = composed(design((8, 1), repeat, motifs=[motif("dot", "m")]))
    assert picture(worked.grid) == ["m....m.."]
    assert [(each.x, each.cell, each.over) for each in worked.pieces] == [(2.5, 1, 2)]
    assert [each.piece for each in worked.placed] == [False, True, False]


def test_symbols_are_swapped_at_once_and_before_turning():
    key = (
        *FULLS,
        *HALVES,
        cell("%", part(LAMP, Kind.HALF, Way.UP)),
        cell("&", part(LAMP, Kind.HALF, Way.DOWN)),
    )
    swap = (("m", "s"), ("s", "m"), ("/", "%"))
    placed = Placement("reed", 0, 0, mirror=Mirror.LEFT_RIGHT, swap=swap)
    made = design((4, 1), placed, key=key, motifs=[motif("reed", "ms/.")])
    assert drawn(made) == [".&ms"]


def test_a_symbol_that_is_swapped_away_need_not_be_in_the_key():
    # The motif comes from another file, whose key is not this one.
    foreign = motif("fish", "Mm", lines=(line("glow", (0, 0), (1, 1)),))
    placed = Placement("fish", 0, 0, swap=(("M", "k"), ("glow", "lantern")))
    worked = composed(design((2, 1), placed, motifs=[foreign]))
    assert picture(worked.grid) == ["km"]
    assert worked.entry(worked.lines[0].index).symbol == "lantern"


def test_lines_and_knots_go_along():
    placed = Placement("tern", 2, 1, turns=1), Placement("tern", 5, 5, over=1)
    worked = composed(design((9, 9), *placed, motifs=[TERN]))
    turned, small = worked.lines
    assert turned.points.tolist() == [[4, 1], [2, 4]]
    assert turned.cell == 1
    assert small.points.tolist() == [[5, 5], [6.5, 6]]
    assert small.cell == 0.5
    assert [(each.x, each.y) for each in worked.knots] == [(3.5, 1.5), (5.25, 5.25)]
    assert [worked.entry(each.index).symbol for each in worked.lines] == ["lantern", "lantern"]


def test_a_line_of_the_chart_is_laid_as_it_stands():
    worked = composed(
        design((4, 4), line("lantern", (0, 0), (2, 3.5)), knot("eye", (1, 1), (2, 2)))
    )
    assert worked.lines[0].points.tolist() == [[0, 0], [2, 3.5]]
    assert [(each.x, each.y) for each in worked.knots] == [(1, 1), (2, 2)]


def test_over_one_inside_over_two_is_a_piece_of_half_the_size():
    worked = composed(design((4, 2), Placement("tern", 1, 0.5, over=1), motifs=[TERN]))
    (piece,) = worked.pieces
    assert (piece.x, piece.y, piece.cell, piece.over) == (1, 0.5, 0.5, 1)
    assert (piece.width, piece.height) == (1.5, 1)
    assert picture(piece.grid) == list(TERN.rows)
    assert not worked.grid.any()
    assert (worked.owner == -1).all()


def test_a_motif_over_one_is_placed_over_one_unless_said_otherwise():
    small = motif("fish", "mm", over=1)
    worked = composed(
        design((4, 2), Placement("fish", 0, 0), Placement("fish", 1, 1, over=2), motifs=[small])
    )
    assert [each.cell for each in worked.placed] == [0.5, 1]


def test_the_bare_edge_of_a_motif_may_hang_over_the_chart():
    bare = motif("reed", "....", ".mm.", "....")
    assert drawn(design((2, 1), Placement("reed", -1, -1), motifs=[bare])) == ["mm"]
    worked = composed(design((2, 1), Placement("reed", -0.5, -0.5, over=1), motifs=[bare]))
    (piece,) = worked.pieces
    assert (piece.x, piece.y, picture(piece.grid)) == (0, 0, ["mm"])


# --- part stitches -----------------------------------------------------------------------------


def test_a_mirrored_half_cross_leans_the_other_way():
    slope = motif("reed", "/.", "//")
    placed = Placement("reed", 0, 0), Placement("reed", 2, 0, mirror=Mirror.LEFT_RIGHT)
    assert drawn(design((4, 2), *placed, motifs=[slope])) == ["/..\\", "//\\\\"]


def test_a_missing_key_line_is_written_out():
    slope = motif("reed", "/.", "//")
    made = design((4, 2), Placement("reed", 0, 0, turns=1), key=(*FULLS, HALVES[0]), motifs=[slope])
    _, findings = compose(made)
    (finding,) = findings
    assert finding.name == "turned-stitch"
    assert finding.hints[0].message == "add to the key: \\  estuary 220 half down"


def test_a_stitch_that_the_motif_does_not_use_need_not_be_in_the_key():
    key = (*FULLS, HALVES[0])
    made = design((2, 2), Placement("dot", 0, 0, turns=1), key=key, motifs=[motif("dot", "m")])
    assert drawn(made) == ["m.", ".."]


# --- covering ----------------------------------------------------------------------------------

FIELD = ["ssss", "ssss", "ssss"]
RING = motif("ring", "mmm", "m.m")


def test_nothing_is_covered_unsaid():
    placed = Placement("dot", 1, 0), Placement("ring", 1, 0), Placement("dot", 2, 1)
    made = design((4, 3), *placed, motifs=[RING, motif("dot", "s")])
    assert refused(made) == ["overlap: `ring` lies on `dot` with one stitch, at 1,0."]


def test_an_overlap_counts_the_stitches_and_points_at_the_other():
    source = Source("test.linen", "ring at 1,1")
    placed = Placement("ring", 1, 1, span=source.span(0, 11))
    _, findings = compose(design((4, 3), placed, rows=FIELD, motifs=[RING]))
    (finding,) = findings
    assert finding.message == (
        "`ring` lies on the chart's own grid with 5 stitches, the first at 1,1."
    )
    assert finding.span == placed.span
    assert finding.hints[0].message == "the chart's own grid is placed here"


def test_copies_that_lie_on_one_another_are_one_finding():
    placed = Placement("ring", 0, 0, across=3, step=(2, 0))
    assert refused(design((9, 3), placed, motifs=[RING])) == [
        "overlap: `ring` lies on itself with 4 stitches, the first at 2,0."
    ]


def test_replacing_takes_the_place_of_the_stitches_below():
    placed = Placement("field", 0, 0), Placement("ring", 1, 1, cover=Cover.REPLACING)
    worked = composed(design((4, 3), *placed, motifs=[RING, motif("field", *FIELD)]))
    assert picture(worked.grid) == ["ssss", "smmm", "smsm"]
    assert worked.owner.tolist() == [[0] * 4, [0, 1, 1, 1], [0, 1, 0, 1]]


def test_clearing_empties_the_rectangle_first():
    below = (
        Placement("field", 0, 0),
        line("lantern", (1, 1), (3, 2)),  # wholly inside: goes
        line("lantern", (0, 1), (3, 2)),  # begins outside: stays
        line("lantern", (1, 1), (1, 3)),  # along the edge, may belong to the neighbour: stays
        knot("eye", (2, 2), (1, 2), (0.5, 0.5)),
    )
    cleared = Placement("ring", 1, 1, cover=Cover.CLEARING)
    worked = composed(design((4, 3), *below, cleared, motifs=[RING, motif("field", *FIELD)]))
    assert picture(worked.grid) == ["ssss", "smmm", "sm.m"]
    assert [each.points.tolist()[0] for each in worked.lines] == [[0, 1], [1, 1]]
    assert [(each.x, each.y) for each in worked.knots] == [(1, 2), (0.5, 0.5)]


def test_a_small_piece_shares_a_crossing_with_a_cross():
    dot = motif("dot", "m")
    apart = Placement("dot", 0, 0), Placement("dot", 1, 0, over=1)
    assert composed(design((2, 1), *apart, motifs=[dot]))
    meeting = Placement("dot", 0, 0), Placement("dot", 0.5, 0.5, over=1)
    expected = ["overlap: `dot` lies on `dot` with one stitch, at 0.5,0.5."]
    assert refused(design((2, 1), *meeting, motifs=[dot])) == expected
    other_way = Placement("dot", 0.5, 0.5, over=1), Placement("dot", 0, 0)
    expected = ["overlap: `dot` lies on `dot` with one stitch, at 0,0."]
    assert refused(design((2, 1), *other_way, motifs=[dot])) == expected


def test_a_replacing_piece_takes_whole_crosses_away():
    placed = Placement("field", 0, 0), Placement("dot", 1.5, 1, cover=Cover.REPLACING)
    worked = composed(design((4, 3), *placed, motifs=[motif("dot", "m"), motif("field", *FIELD)]))
    assert picture(worked.grid) == ["ssss", "s..s", "ssss"]
    assert [each.x for each in worked.pieces] == [1.5]


def test_crosses_replacing_a_piece_take_its_stitches_away():
    small = Placement("row", 0, 0, over=1)
    worked = composed(
        design(
            (3, 1),
            small,
            Placement("dot", 1, 0, cover=Cover.REPLACING),
            motifs=[motif("dot", "m"), motif("row", "ssssss")],
        )
    )
    assert [picture(each.grid) for each in worked.pieces] == [["ss..ss"]]
    assert picture(worked.grid) == [".m."]


def test_clearing_takes_pieces_whole_or_complains():
    motifs = [motif("dot", "m"), motif("bare", "..", ".m")]
    inside = Placement("dot", 0.5, 0.5), Placement("bare", 0, 0, cover=Cover.CLEARING)
    worked = composed(design((3, 3), *inside, motifs=motifs))
    assert not worked.pieces
    assert picture(worked.grid) == ["...", ".m.", "..."]
    partly = Placement("dot", 1.5, 0.5), Placement("bare", 0, 0, cover=Cover.CLEARING)
    assert refused(design((3, 3), *partly, motifs=motifs)) == [
        "cut-piece: Clearing room for `bare` would cut through `dot`, first at 1.5,0.5."
    ]


def test_a_piece_of_which_one_stitch_lies_outside_is_not_cleared():
    motifs = [motif("pair", "mm"), motif("dot", "s")]
    placed = Placement("pair", 0.5, 0, over=1), Placement("dot", 0, 0, cover=Cover.CLEARING)
    assert refused(design((3, 1), *placed, motifs=motifs)) == [
        "cut-piece: Clearing room for `dot` would cut through `pair`, first at 0.5,0."
    ]


def test_what_a_replaced_piece_leaves_bare_is_free_again():
    dot = motif("dot", "m")
    placed = (
        Placement("dot", 0.5, 0),  # half on the first cross, half on the second
        Placement("dot", 0, 0, cover=Cover.REPLACING),
        Placement("dot", 1, 0, over=1),
    )
    worked = composed(design((2, 1), *placed, motifs=[dot]))
    assert picture(worked.grid) == ["m."]
    assert [(each.x, each.over) for each in worked.pieces] == [(1, 1)]


# --- refusals ----------------------------------------------------------------------------------


def test_what_leaves_the_chart_is_counted():
    dots = knot("eye", (3, 2), (3.5, 0)), Knot("eye", ((4, 0), (5, 1)), word="bead")
    made = design((3, 2), Placement("tern", 1, 1), *dots, motifs=[TERN])
    assert refused(made) == [
        "outside: `tern` leaves the chart with 3 stitches and 1 line, the first at 1,2.",
        "outside: The knot `eye` leaves the chart with 1 knot, at 3.5,0.",
        "outside: The bead `eye` leaves the chart with 2 beads, the first at 4,0.",
    ]


@pytest.mark.parametrize("at", [(0.25, 0), (0, 1 / 3), (float("nan"), 0), (0, float("inf"))])
def test_a_position_is_whole_threads(at):
    made = design((9, 9), Placement("tern", *at), motifs=[TERN])
    assert refused(made) == [
        "between-threads: The position of `tern` falls inside a fabric thread."
    ]


def test_a_third_of_a_cross_over_three_may_be_rounded_as_people_write_it():
    made = design((4, 2), Placement("tern", 0.333, 0), over=3, motifs=[TERN])
    (piece,) = composed(made).pieces
    assert piece.x == pytest.approx(1 / 3, abs=1e-12)


def test_a_step_is_whole_threads_too():
    made = design((9, 9), Placement("tern", 0, 0, across=2, step=(4.1, 0)), motifs=[TERN])
    assert refused(made) == ["between-threads: The step of `tern` falls inside a fabric thread."]


def test_a_block_is_not_halved():
    aida = Fabric("aida", 14, 14, 1, block=True)
    made = design((9, 9), Placement("tern", 0.5, 0), fabric=aida, motifs=[TERN])
    assert refused(made) == ["between-threads: The position of `tern` falls inside a fabric block."]


def test_sizes_and_numbers_are_bounded():
    assert "at most 2000 each way" in refused(design((LARGEST_SIDE + 1, 1)))[0]
    dot = motif("dot", "m")
    many = Placement("dot", 0, 0, across=10**9, down=10**9)
    (finding,) = refused(design((9, 9), many, motifs=[dot]))
    assert finding.startswith("too-many-copies")
    assert f"{MOST_COPIES:,} copies" in finding


# --- border ------------------------------------------------------------------------------------

SPRIG = motif("sprig", "ms", "m.")
LEAF = motif("leaf", "mk.")


def test_a_border_is_turned_at_every_corner():
    assert drawn(design((7, 7), Border("leaf", "sprig"), motifs=[SPRIG, LEAF])) == [
        "msmk.mm",
        "m.....s",
        "......m",
        "k.....k",
        "m......",
        "s.....m",
        "mm.kmsm",
    ]


def test_a_mirrored_border_looks_the_same_from_left_and_right():
    made = design((7, 7), Border("leaf", "sprig", mirrored=True), motifs=[SPRIG, LEAF])
    assert drawn(made) == [
        "msmk.sm",
        "m.....m",
        ".......",
        "k.....k",
        "m.....m",
        "m.....m",
        "msmk.sm",
    ]


def test_a_border_may_be_set_in_and_have_no_corner():
    assert drawn(design((7, 7), Border("leaf", inset=1), motifs=[LEAF])) == [
        ".......",
        "..mk...",
        ".....m.",
        ".k...k.",
        ".m.....",
        "...km..",
        ".......",
    ]


def test_a_border_that_does_not_divide_names_sizes_that_would():
    _, findings = compose(design((9, 7), Border("leaf", "sprig"), motifs=[SPRIG, LEAF]))
    (finding,) = findings
    assert finding.name == "border-remainder"
    assert "5 crosses, the repeat `leaf` takes 3, and 2 would be left over." in finding.message
    assert finding.hints[0].message == "a chart 7 or 10 crosses wide would fit"


def test_a_border_too_large_for_its_chart():
    _, findings = compose(design((3, 7), Border("leaf", "sprig"), motifs=[SPRIG, LEAF]))
    (finding,) = findings
    assert finding.message == "The corners and the inset of the border leave no room across."
    assert finding.hints[0].message == "a chart 4 crosses wide would fit"


def test_a_corner_is_square():
    (finding,) = refused(design((9, 9), Border("leaf", "leaf"), motifs=[LEAF]))
    assert finding.startswith("border-corner: The corner `leaf` is 3 x 1")


def test_a_border_of_small_crosses_is_reckoned_in_threads():
    small = motif("leaf", "mk.", over=1)
    worked = composed(design((7, 7), Border("leaf", "sprig"), motifs=[SPRIG, small]))
    along_top = [each.x for each in worked.pieces if each.y == 0]
    assert along_top == [2, 3.5]


# --- lettering ---------------------------------------------------------------------------------

MARKING = alphabet(
    "marking", {"A": ["mmm", "m.m"], "I": ["m", "m"], ".": ["..", "m."]}, spacing=1, word=3
)


def lettered(size, text, **more):
    return design(size, Lettering(text, "marking", **more), alphabets=[MARKING])


def test_letters_stand_apart_by_the_spacing_and_words_by_the_word_space():
    worked = composed(lettered((13, 2), ("AI IA",), x=0, y=0))
    assert picture(worked.grid) == [
        "mmm.m...m.mmm",
        "m.m.m...m.m.m",
    ]
    assert [(each.name, each.x) for each in worked.placed] == [
        ("A", 0),
        ("I", 4),
        ("I", 8),
        ("A", 10),
    ]


def test_spacing_and_leading_may_be_set():
    made = lettered((6, 5), ("II", "I I"), x=1, y=0, spacing=0, word=2, leading=1)
    assert drawn(made) == [".mm...", ".mm...", "......", ".m..m.", ".m..m."]


@pytest.mark.parametrize(
    ("x", "expected"),
    [
        # AI is 5 wide, I 1: both odd. From a grid line they move half a cross to the left.
        (3, ["mmm.m..", "m.m.m..", "..m....", "..m...."]),
        (3.5, [".mmm.m.", ".m.m.m.", "...m...", "...m..."]),
    ],
)
def test_centred_lines_share_their_middle(x, expected):
    assert drawn(lettered((7, 4), ("AI", "I"), x=x, y=0, centred=True, leading=0)) == expected


def test_centred_on_a_whole_cross_every_line_lands_on_the_grid():
    worked = composed(lettered((9, 4), ("AA", "AI."), x=4, y=0, centred=True, leading=0))
    assert not worked.pieces


def test_lettering_off_the_grid_is_one_piece_a_line():
    worked = composed(lettered((9, 6), ("AI", "A I"), x=0.5, y=0))
    assert [(each.name, each.x, each.y) for each in worked.pieces] == [
        ("AI", 0.5, 0),
        ("AI", 0.5, 4),
    ]
    assert picture(worked.pieces[1].grid) == ["mmm...m", "m.m...m"]
    assert [each.name for each in worked.placed] == ["A", "I", "A", "I"]
    assert all(each.piece for each in worked.placed)


def test_lettering_over_one_is_half_as_large():
    worked = composed(lettered((3, 1), ("AI",), x=0, y=0, over=1))
    assert worked.pieces[0].width == 2.5


def test_clearing_lettering_empties_its_whole_rectangle():
    made = design(
        (5, 4),
        Placement("field", 0, 0),
        Lettering(("II",), "marking", 1, 1, cover=Cover.CLEARING),
        motifs=[motif("field", *["sssss"] * 4)],
        alphabets=[MARKING],
    )
    assert drawn(made) == ["sssss", "sm.ms", "sm.ms", "sssss"]


def test_a_missing_letter_is_named():
    made = lettered((30, 4), ("A?I", "Aia"), x=0, y=0)
    _, findings = compose(made)
    assert [each.message for each in findings] == [
        "The alphabet `marking` has no letter `?`.",
        "The alphabet `marking` has no letters `i`, `a`.",
    ]
    assert findings[1].hints[0].message == "it does have `I`, `A`"


def test_letters_are_swapped():
    made = lettered((1, 2), ("I",), x=0, y=0, swap=(("m", "k"),))
    assert drawn(made) == ["k", "k"]


def test_two_threads_that_differ_in_their_strands_are_two_key_lines():
    key = (cell("m", part(MADDER)), cell("n", part(MADDER, strands=1)), cell("s", part(SEDGE)))
    assert drawn(design(rows=["mn", "sm"], key=key)) == ["mn", "sm"]
