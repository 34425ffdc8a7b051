"""The view models of the booklet: what each page is told to show."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date

import font_source_sans_pro
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.booklet.frontmatter import cover, editions, running_title, story
from linenleaf.booklet.howto import diagrams, how_to
from linenleaf.booklet.keylist import Labels, key, short_labels
from linenleaf.booklet.leaves import leaves
from linenleaf.booklet.maps import page_map, whole_picture
from linenleaf.booklet.places import DETAIL_LEAST, SHARED, places
from linenleaf.booklet.planning import plan
from linenleaf.booklet.prose import Prints
from linenleaf.booklet.shortkey import LINE, ShortKeys
from linenleaf.booklet.supplies import needle_size, size_rows, supply, usual_strands
from linenleaf.booklet.textwidth import text_width
from linenleaf.chart.edges import FIGURE_HEIGHT, margins, numbered_rows
from linenleaf.chart.options import Ink, Options, Paper
from linenleaf.chart.paginate import paginate
from linenleaf.colour.colour import channels
from linenleaf.compose.compose import compose
from linenleaf.core.ground import Fabric, Ground, Method, Working
from linenleaf.core.items import Placement
from linenleaf.core.key import KeyEntry, Kind, Thread, Way
from linenleaf.core.matter import Booklet, Markdown, Note, NoteKind, Picture, Revision
from linenleaf.count.count import count
from linenleaf.count.thread import estimate
from linenleaf.i18n.wording import wording
from PIL import Image, ImageFont

from tests.charts import INK, LAMP, MADDER, SEDGE, cell, design, knot, line, motif, part


def noted(chart, pagination):
    return places(chart, pagination, 170.0, wording("en-GB"))


def worked(*rows, size=None, **more):
    made, findings = compose(design(size, rows=rows, **more) if rows else design(size, **more))
    assert made is not None, [each.message for each in findings]
    return made


def full(width, height, **more):
    return worked(*["m" * width] * height, **more)


def laid_out(chart, options=None):
    used = [each.index for each in count(chart).entries]
    codes = short_labels(chart.design, used, names=False)
    names = short_labels(chart.design, used, names=True)
    return plan(chart, options or Options(), codes, names)


# --- chart pages -------------------------------------------------------------------------------


@settings(max_examples=30)
@given(
    st.integers(1, 260),
    st.integers(1, 260),
    st.sampled_from(list(Paper)),
    st.sampled_from([None, 2.5, 4.0]),
)
def test_chart_short_key_and_map_keep_apart_and_on_the_page(width, height, paper, cell_mm):
    chart = full(width, height)
    layout = laid_out(chart, Options(paper=paper, cell=cell_mm))
    assert sorted(layout.page) == sorted((paper.width, paper.height))
    assert layout.side + layout.width + layout.side == pytest.approx(layout.page[0])
    assert layout.top + layout.height + layout.bands.foot == pytest.approx(layout.page[1])
    for leaf in leaves(layout):
        assert leaf.x >= 0
        assert leaf.x + leaf.width <= layout.width + 1e-6
        assert leaf.y + leaf.height < leaf.foot_y
        assert leaf.foot_y + leaf.short.height <= layout.height + 1e-6
        assert leaf.foot_y + layout.map_height <= layout.height + 1e-6
        assert leaf.short.width + layout.map_width <= layout.width
        for arrow in leaf.arrows:
            assert 0 <= arrow.x <= layout.own_width
            assert 0 <= arrow.y <= leaf.foot_y


@settings(max_examples=20)
@given(st.integers(30, 300), st.integers(1, 300), st.sampled_from([None, 2.0, 2.5, 4.0]))
def test_the_ways_to_the_sides_keep_clear_of_the_numbers_of_the_rows(width, height, cell_mm):
    chart = full(width, height)
    layout = laid_out(chart, Options(cell=cell_mm))
    cut = layout.pagination
    half = (layout.bands.aside + FIGURE_HEIGHT) / 2
    for leaf in leaves(layout):
        top = leaf.y + margins(height).end
        numbers = [top + (row - leaf.page.y0) * cut.cell for row in numbered_rows(leaf.page, cut)]
        for arrow in leaf.arrows:
            if arrow.side in {"left", "right"} and leaf.x <= arrow.x <= leaf.x + leaf.width:
                assert min(abs(arrow.y - each) for each in numbers) > half


@pytest.mark.parametrize(
    ("size", "shared"), [((400, 20), (1, 3)), ((20, 400), (2, 1)), ((168, 280), (1, 1))]
)
def test_long_narrow_charts_share_printed_pages(size, shared):
    chart = full(*size)
    layout = laid_out(chart)
    assert (layout.abreast, layout.stacked) == shared
    right, bottom = layout.corner(layout.shared - 1)
    assert right + layout.own_width == pytest.approx(layout.width)
    assert bottom + layout.own_height == pytest.approx(layout.height)
    for leaf in leaves(layout):
        assert leaf.x + leaf.width <= layout.own_width
        assert leaf.foot_y + max(leaf.short.height, layout.map_height) <= layout.own_height


def test_short_keys_of_eighty_threads_with_long_names_end_above_the_foot():
    long = "weathered harbour wall in November rain no. {}"
    threads = tuple(
        cell(chr(0x100 + at), part(Thread("", "", long.format(at), f"#{at:02x}8080")))
        for at in range(80)
    )
    rows = [
        "".join(chr(0x100 + (column // 8 + 15 * (row // 13)) % 80) for column in range(120))
        for row in range(150)
    ]
    chart = worked(*rows, key=threads)
    layout = laid_out(chart)
    for leaf in leaves(layout):
        assert leaf.foot_y + leaf.short.height <= layout.own_height


def test_the_key_of_a_page_has_just_what_is_seen_on_it():
    chart = worked(*["m" * 50 + "." * 20 + "s" * 50] * 30)
    cut = paginate(120, 30, room=(200.0, 260.0), cell=3.0)
    layout = replace(laid_out(chart), pagination=cut)
    assert [leaf.entries for leaf in leaves(layout)] == [(1,), (2,)]


def test_lines_and_knots_count_as_seen_where_they_cross_a_page():
    chart = worked(
        size=(120, 10),
        chart=replace(
            design((120, 10)).chart,
            items=(line("lantern", (5, 5), (50, 5)), knot("eye", (110, 5))),
        ),
    )
    layout = replace(laid_out(chart), pagination=paginate(120, 10, room=(200.0, 60.0), cell=3.0))
    seen = [leaf.entries for leaf in leaves(layout)]
    assert seen == [(6,), (7,)]


def said(short):
    return [" ".join(words for words, _, _ in each.words) for each in short.shown]


def test_short_keys_are_whole_and_as_high_as_each_page_needs():
    many = tuple(
        cell(chr(0x100 + at), part(Thread("r", str(at), f"a long name number {at}", "#446688")))
        for at in range(80)
    )
    rows = [
        "".join(chr(0x100 + (x + y) % (80 if y > 99 else 9)) for x in range(140))
        for y in range(140)
    ]
    crowded = worked(*rows, key=many)
    first, *_, last = leaves(laid_out(crowded))
    names = [f"{at} a long name number {at}" for at in range(9)]
    assert said(first.short) == [f"{each}, full cross" for each in names]
    assert said(last.short)[:9] == names
    assert (first.short.usual, last.short.usual) == ("", "Where no stitch is named: full cross")
    assert len(last.short.shown) == len(last.entries) == 80
    assert last.short.height > 2 * first.short.height
    boxes = [
        (x, y, x + text_width(words, 7.5), y + 4.2)
        for each in last.short.shown
        for words, x, y in each.words
    ]
    assert max(right for _, _, right, _ in boxes) <= last.short.width + 1e-6
    for at, one in enumerate(boxes):
        for other in boxes[at + 1 :]:
            assert min(one[2], other[2]) <= max(one[0], other[0]) or min(one[3], other[3]) <= max(
                one[1], other[1]
            )


def test_a_name_too_long_for_its_column_goes_on_below():
    long = "the weathered wall of the harbour in November rain, seen from the sea"
    chart = worked("m", key=(cell("m", part(Thread("", "", long, "#446688"))),))
    narrow = ShortKeys(chart, Labels({1: long})).whole(60.0)
    assert said(narrow) == [long]
    (shown,) = narrow.shown
    assert narrow.width <= 60
    assert narrow.height == pytest.approx(LINE * len(shown.words))


def test_a_short_key_names_code_name_and_any_stitch_but_the_usual_one():
    other = Thread("dyer", "9", "weld", "#c0a030")
    one = design(rows=("ms",))
    assert short_labels(one, [1, 2], names=False).words == {1: "417", 2: "220"}
    two = design(rows=("ms",), key=(cell("m", part(MADDER)), cell("s", part(other))))
    assert short_labels(two, [1, 2], names=False).words == {1: "estuary 417", 2: "dyer 9"}
    bare = Thread("", "", "rust", "#aa4422")
    mixed = design(
        rows=("mr",),
        key=(
            cell("m", part(MADDER)),
            cell("r", part(bare)),
            cell(
                "t",
                part(SEDGE, Kind.THREE_QUARTER, "top-left"),
                part(MADDER, Kind.QUARTER, "bottom-right"),
            ),
        ),
    )
    labels = short_labels(mixed, [1, 2, 3], names=True)
    two_parts = "220 sedge, three-quarter stitch + 417 madder, quarter stitch"
    assert labels.words == {1: "417 madder, full cross", 2: "rust, full cross", 3: two_parts}
    chart, _ = compose(mixed)
    few = ShortKeys(chart, labels).of((1, 3), 160)
    assert (few.usual, said(few)) == ("", ["417 madder, full cross", two_parts])


def test_a_short_key_parts_no_stitch_that_has_a_line_of_its_own():
    threads = [part(Thread("r", str(at), f"thread {at}", "#446688")) for at in range(9)]
    chart = worked("abcdefghi", key=tuple(map(cell, "abcdefghi", threads)))
    stitches = ["three-quarter stitch", "full cross"]
    words = {at: f"14{at} barge sail, {stitches[at % 2]}" for at in range(1, 10)}
    for width in range(60, 180, 5):
        short = ShortKeys(chart, Labels(words)).whole(width)
        lines = [line for each in short.shown for line, _, _ in each.words]
        assert sum(line.endswith(tuple(stitches)) for line in lines) == 9
        assert all(line.endswith((*stitches, ",")) for line in lines)
        assert short.width <= width


def test_widths_agree_with_another_reader_of_the_face():
    """Pillow (FreeType) sets the same words; kerning may take off a little."""
    face = ImageFont.truetype(font_source_sans_pro.SourceSansPro, 1000)
    for words in ("417 madder", "100 marsh reed + 121 low sun", "WWW", "ž½"):
        ours = text_width(words, 72 / 25.4)  # 1 mm to the em
        assert face.getlength(words) / 1000 == pytest.approx(ours, rel=0.03)


# --- maps and places ---------------------------------------------------------------------------


def test_the_tiles_of_the_page_map_cover_the_chart_once():
    cut = paginate(130, 170, room=(120.0, 180.0), cell=3.0)
    made = page_map(cut, (170.0, 200.0))
    assert made.width <= 170.0 + 1e-9
    assert made.height <= 200.0 + 1e-9
    assert made.width / made.height == pytest.approx(130 / 170)
    area = sum(tile.width * tile.height for tile in made.tiles)
    assert area == pytest.approx(made.width * made.height)
    assert [tile.number for tile in made.tiles] == list(range(1, len(cut.pages) + 1))


def test_the_whole_picture_has_the_thread_in_each_cell_and_pieces_at_their_size():
    bird = motif("bird", "ss", "ss", over=1)
    rows = ("m...", "....", "....", "...k")
    placed = replace(design(rows=rows).chart, items=(Placement("bird", 1, 1),))
    chart = worked(*rows, motifs=(bird,), chart=placed)
    picture = np.array(Image.open(io.BytesIO(whole_picture(chart, Ink.COLOUR))).convert("RGB"))
    assert picture.shape == (8, 8, 3)
    colour = {each: channels(each.colour) for each in (MADDER, SEDGE, INK)}
    assert tuple(picture[0, 0]) == colour[MADDER]
    assert tuple(picture[7, 7]) == colour[INK]
    assert tuple(picture[2, 2]) == tuple(picture[3, 3]) == colour[SEDGE]
    assert tuple(picture[4, 4]) not in colour.values()
    grey = np.array(Image.open(io.BytesIO(whole_picture(chart, Ink.SYMBOLS))).convert("RGB"))
    assert (np.ptp(grey.astype(int), axis=2) == 0).all()


def test_notes_keep_their_numbers_and_are_told_by_kind():
    notes = (
        Note(NoteKind.KEPT, 0, 0, 2, 2, "kept"),
        Note(NoteKind.NOTE, 5, 5, 5, 5, "a point"),
        Note(NoteKind.DEPARTURE, 25, 10, 50, 12, "over two pages"),
        Note(NoteKind.NOTE, 60, 40, 60, 40, "the last corner"),
    )
    chart = full(60, 40, notes=notes)
    cut = paginate(60, 40, room=(126.0, 130.0), cell=3.0)
    assert cut.across == 2
    found = noted(chart, cut)
    assert [(group.kind, [each.number for each in group.places]) for group in found] == [
        (NoteKind.NOTE, [2, 4]),
        (NoteKind.DEPARTURE, [3]),
        (NoteKind.KEPT, [1]),
    ]
    by_number = {each.number: each for group in found for each in group.places}
    assert by_number[1].pages == (1,)
    assert by_number[3].pages == (1, 2)
    assert by_number[4].pages == (2,)


@given(
    st.integers(1, 300),
    st.integers(1, 90),
    st.tuples(st.floats(0, 1), st.floats(0, 1), st.floats(0, 1), st.floats(0, 1)),
)
@settings(max_examples=60)
def test_the_picture_of_a_place_shows_it_and_stays_on_the_chart(width, height, shares):
    x0, x1 = sorted(share * width for share in shares[:2])
    y0, y1 = sorted(share * height for share in shares[2:])
    chart = full(width, height, notes=(Note(NoteKind.NOTE, x0, y0, x1, y1, "here"),))
    ((place,),) = (group.places for group in noted(chart, paginate(width, height, room=(400, 400))))
    (shot,) = place.shots
    assert 0 <= shot.x0 < shot.x1 <= width
    assert 0 <= shot.y0 < shot.y1 <= height
    assert shot.x0 <= x0 <= x1 <= shot.x1
    assert shot.y0 <= y0 <= y1 <= shot.y1
    assert shot.width <= 170.0
    assert place.beside or shot.width > 64
    assert place.pages


def test_a_wide_detail_is_divided_so_that_small_crosses_can_be_read():
    bird = motif("bird", *["s" * 100] * 4, over=1)
    placed = replace(design((90, 12)).chart, items=(Placement("bird", 20, 4),))
    note = Note(NoteKind.NOTE, 20, 4, 70, 6, "small")
    chart = worked(size=(90, 12), motifs=(bird,), chart=placed, notes=(note,))
    ((place,),) = (group.places for group in noted(chart, paginate(90, 12, room=(300, 90))))
    assert place.fine
    first, second = place.shots
    assert (first.x0, second.x1) == (17, 73)
    assert first.x1 - second.x0 == SHARED
    assert first.cell == second.cell >= DETAIL_LEAST
    assert max(first.width, second.width) <= 170.0


def test_small_pictures_of_places_show_no_symbols_that_nobody_could_read():
    sizes = {}
    for width in (20, 60):
        chart = full(80, 30, notes=(Note(NoteKind.NOTE, 0, 0, width, 10, "here"),))
        ((place,),) = (group.places for group in noted(chart, laid_out(chart).pagination))
        sizes[width] = place.shots[0].plain
    assert sizes == {20: False, 60: True}


# --- stitches and supplies -----------------------------------------------------------------------


def names(chart):
    return [each.name for each in diagrams(chart)]


def test_only_the_stitches_in_use_are_drawn_and_in_a_fixed_order():
    assert names(worked("mm")) == ["rows", "single"]
    assert names(worked("m.m")) == ["single"]
    assert names(worked("/\\")) == ["half"]
    kinds = (
        cell("q", part(INK, Kind.QUARTER, "top-left")),
        cell(
            "t", part(INK, Kind.THREE_QUARTER, "top-left"), part(LAMP, Kind.QUARTER, "bottom-right")
        ),
        cell("u", part(INK, Kind.UPRIGHT)),
        cell("m", part(MADDER)),
    )
    assert names(worked("qu", key=kinds)) == ["quarter", "upright"]
    assert names(worked("t.", key=kinds)) == ["quarter", "three-quarter"]
    assert names(worked("m.", key=kinds)) == ["single"]


def test_crosses_finished_one_by_one_are_not_drawn_in_rows():
    assert names(full(4, 1, working=Working(method=Method.EACH))) == ["single"]


def test_the_centre_is_on_the_page_it_is_said_to_be_on():
    chart = full(61, 40)
    cut = paginate(61, 40, room=(126.0, 130.0), cell=3.0)
    how = how_to(chart, cut)
    page = cut.pages[how.centre_page - 1]
    assert page.core_x0 <= how.centre_x <= page.core_x1
    assert (how.centre_x, how.centre_y) == (30.5, 20)
    assert not how.bare
    assert how_to(worked("m."), paginate(2, 1, room=(90, 90))).bare


def test_needles_and_strands_follow_the_count():
    """Common practice, no single source: tapestry needle 24 and two strands at 14 to the inch,
    26 and two at 16, 26 at 18, 28 and one above; tables differ.
    """
    aida = {each: Fabric("aida", each, each, 1, True) for each in (8, 14, 16, 18, 20)}
    found = {each: (needle_size(on), usual_strands(on)) for each, on in aida.items()}
    assert found == {8: (22, 3), 14: (24, 2), 16: (26, 2), 18: (26, 1), 20: (28, 1)}


def test_the_size_table_marks_fabrics_on_which_a_piece_cannot_be_worked():
    bird = motif("bird", "ss", "ss", over=1)
    base = design((10, 10), motifs=(bird,))
    chart, _ = compose(
        replace(
            base,
            chart=replace(base.chart, items=(Placement("bird", 1, 1),)),
            ground=replace(
                base.ground, also=(Fabric("linen", 28, 28, 2), Fabric("aida", 14, 14, 1, True))
            ),
        )
    )
    rows = size_rows(chart, estimate(chart, chart.design.ground.fabric))
    assert [row.pieces for row in rows] == [True, True, False]
    # 10 crosses at 14 to the inch, by hand.
    assert rows[1].size.width == pytest.approx(10 / 14 * 25.4)


def test_a_fabric_without_holes_for_a_stitch_is_marked_with_the_needle_it_takes():
    ground = Ground(
        Fabric("linen", 32, 32, 2),
        also=(Fabric("aida", 14, 14, 1, True), Fabric("linen", 40, 40, 2)),
    )
    upright = cell("+", part(SEDGE, Kind.UPRIGHT))
    chart = full(2, 2, key=(cell("m", part(MADDER)), upright))
    chart = replace(chart, design=replace(chart.design, ground=ground))
    grid = np.array([[1, 2], [1, 1]], dtype=np.uint16)
    rows = size_rows(replace(chart, grid=grid), estimate(chart, ground.fabric))
    assert [row.pierced for row in rows] == [set(), {Kind.UPRIGHT}, set()]
    assert [row.needle for row in rows] == [26, 24, 28]


def test_strands_of_a_piece_stand_in_the_key_in_brackets_or_alone():
    fish = motif("fish", "ms", over=1, strands=1)
    placed = Placement("tern", 0, 0), Placement("fish", 2, 0)
    chart, _ = compose(design((4, 2), *placed, motifs=[fish, motif("tern", "m")]))
    made = key(chart.design, count(chart))
    both, alone = (row.threads for row in made.cells)
    assert [(each.strands, each.apart) for each in (*both, *alone)] == [(2, (1,)), (1, ())]
    assert made.apart == (1,)


def test_the_key_says_of_lines_with_long_stitches_how_they_are_worked():
    words = (
        KeyEntry("seam", (part(INK, Kind.BACK),)),
        KeyEntry("rigging", (part(INK, Kind.BACK),)),
    )
    stay = KeyEntry("stay", (part(INK, Kind.STRAIGHT),))
    lines = (
        line("seam", (0, 0), (4, 4)),
        line("rigging", (0, 0), (2, 5)),
        line("stay", (0, 0), (6, 8)),
    )
    chart, _ = compose(design((8, 8), *lines, key=(*words, stay)))
    made = key(chart.design, count(chart))
    # Over two threads the line to 2,5 meets its first hole after half of it, at 1,2.5.
    told = [(each.longest, each.far) for each in made.lines]
    assert told == [(0.0, False), (pytest.approx(np.hypot(1, 2.5)), False), (10.0, True)]


# --- front and back -------------------------------------------------------------------------------


def test_the_cover_is_the_piece_in_the_middle_of_its_cloth():
    chart = full(40, 20)
    prints = Prints(chart.design.folder)
    front, later = cover(chart, prints, (210.0, 190.0))
    assert prints.findings == []
    assert not front.photograph
    picture = Image.open(io.BytesIO(later[front.address]()[0]))
    assert picture.width / picture.height == pytest.approx(210 / 190, rel=0.01)
    pixels = np.asarray(picture.convert("RGB")).astype(int)
    madder = np.abs(pixels - channels(MADDER.colour)).sum(axis=2) < 150
    # A few shaded fibres of the cloth look like thread: take rows and columns full of it.
    shares = [madder.mean(axis=way) for way in (1, 0)]
    down, across = (np.flatnonzero(each > each.max() / 3) for each in shares)
    assert (down[0] + down[-1]) / 2 == pytest.approx(picture.height / 2, abs=picture.height * 0.02)
    assert (across[0] + across[-1]) / 2 == pytest.approx(
        picture.width / 2, abs=picture.width * 0.02
    )
    assert across[0] > 0.05 * picture.width


def test_a_photograph_is_shown_whole(tmp_path):
    Image.new("RGB", (400, 100), "#b8a07a").save(tmp_path / "piece.png")
    chart = full(4, 4)
    shown = replace(chart.design.booklet, cover=Picture("piece.png", "By the window"))
    chart = replace(chart, design=replace(chart.design, booklet=shown, folder=tmp_path))
    prints = Prints(chart.design.folder)
    front, later = cover(chart, prints, (210.0, 190.0))
    assert prints.findings == []
    assert (front.photograph, front.caption, later) == (True, "By the window", {})
    assert (front.width, front.height) == pytest.approx((210.0, 52.5))


def test_pictures_that_cannot_be_read_are_left_out_and_told(tmp_path):
    (tmp_path / "story.md").write_text("![a](no.png)\n", "utf-8")
    booklet = Booklet(
        "Reed",
        story=Markdown("", "story.md", "![a reed](no.png)\n"),
        pictures=(Picture("gone.png", "gone"),),
    )
    prints = Prints(tmp_path)
    tale, _, figures = story(booklet, prints)
    assert tale is not None
    assert "a reed" in tale.markup
    assert "<img" not in tale.markup
    assert figures == ()
    assert [each.name for each in prints.findings] == ["picture-left-out"] * 2


def test_revisions_of_one_edition_stand_together():
    day, other = date(2026, 3, 14), date(2025, 11, 2)
    found = editions([Revision("2", day, "a"), Revision("2", day, "b"), Revision("1", other, "c")])
    assert [(each.edition, each.day, each.texts) for each in found] == [
        ("2", day, ("a", "b")),
        ("1", other, ("c",)),
    ]


@given(st.text(min_size=1, max_size=200), st.floats(10, 200))
def test_a_running_title_fits(title, room):
    short = running_title(title, room, 7.5)
    assert short == title or short.endswith("…")
    assert text_width(short, 7.5) <= room or short in {"…", title}


def test_each_thread_names_all_key_lines_to_write_another_one_beside_them():
    entries = (
        cell("m", part(MADDER)),
        cell("s", part(SEDGE)),
        cell("x", part(MADDER, kind=Kind.HALF, way=Way.UP)),
    )
    chart = worked("msx", key=entries)
    counts = count(chart)
    made = key(chart.design, counts)
    assert {
        thread.code: [row.symbol for row in rows] for thread, rows in made.by_thread.items()
    } == {
        MADDER.code: ["m", "x"],
        SEDGE.code: ["s"],
    }


def test_materials_name_a_finer_needle_for_crosses_over_fewer_threads():
    base = design((10, 10), motifs=(motif("bird", "ss", "ss", over=1),))
    chart, _ = compose(replace(base, chart=replace(base.chart, items=(Placement("bird", 1, 1),))))
    made = supply(chart, estimate(chart, chart.design.ground.fabric), count(chart))
    assert made.needle == needle_size(chart.design.ground.fabric) < 28
    assert made.finer == (28,)
    plain = worked("ms")
    assert supply(plain, estimate(plain, plain.design.ground.fabric), count(plain)).finer == ()
