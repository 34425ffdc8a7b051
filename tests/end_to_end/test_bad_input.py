"""Bad input: a plain finding with its place, no traceback, and the last good booklet stays."""

from __future__ import annotations

import re

import pytest
from pypdf import PdfReader

from tests.rasters import DAMAGED

LAST_GOOD = b"%PDF the last good booklet"


def empty(bench):
    bench.chart.write_bytes(b"")


def binary(bench):
    bench.chart.write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + bytes(range(256)) * 20)


def wrong_encoding(bench):
    bench.chart.write_bytes(bench.chart.read_text("utf-8").replace("Two", "Zwö").encode("latin-1"))


def utf16(bench):
    bench.chart.write_bytes(bench.chart.read_text("utf-8").encode("utf-16"))


def million_columns(bench):
    bench.edit("|............|", "|" + "m" * 1_000_000 + "|")


def unknown_keyword(bench):
    bench.edit("fabric linen", "fabrik linen")


def missing_range(bench):
    (bench.folder / "estuary.csv").unlink()


def range_not_csv(bench):
    (bench.folder / "estuary.csv").write_bytes(b"\x00\x01\x02 not a table")


def missing_story(bench):
    (bench.folder / "story.md").unlink()


def unreadable_story(bench):
    (bench.folder / "story.md").write_bytes(b"\xff\xfe\x00not text\x00")


def story_is_a_folder(bench):
    (bench.folder / "story.md").unlink()
    (bench.folder / "story.md").mkdir()


def path_out(bench):
    (bench.folder.parent / "secret.md").write_text("SECRET", "utf-8")
    bench.edit("story    story.md", "story    ../secret.md")


def absolute_path(bench):
    bench.edit("story    story.md", 'story    "/etc/passwd"')


def link_out(bench):
    (bench.folder.parent / "secret.md").write_text("SECRET", "utf-8")
    (bench.folder / "story.md").unlink()
    (bench.folder / "story.md").symlink_to(bench.folder.parent / "secret.md")


def picture_on_the_network(bench):
    bench.edit("story    story.md", 'picture  "https://example.org/p.png" "a picture"')


def damaged_cover(bench):
    (bench.folder / "front.jpg").write_bytes(DAMAGED["jpeg-cut"])
    bench.edit("story    story.md", "cover front.jpg")


def row_without_end(bench):
    bench.edit("|.m.ssssss.m.|", "|.m.ssssss.m.")


def unknown_symbol(bench):
    bench.edit("|.m.s....s.m.|", "|.m.s.q..s.m.|")


def huge_chart(bench):
    bench.edit("chart 12 x 10", "chart 999999999 x 999999999")


def control_characters(bench):
    bench.edit('"Two Knots"', '"Two \x1b[31mKnots"')


CASES = {
    # what is done to the folder: (what the finding must speak of, the line it must point at)
    empty: ("empty", None),
    binary: ("text", None),
    wrong_encoding: ("UTF-8", 3),
    utf16: ("UTF-8", None),
    million_columns: ("12", 19),
    unknown_keyword: ("fabric", 8),
    missing_range: ("estuary.csv", 11),
    range_not_csv: ("estuary.csv", None),
    missing_story: ("story.md", 6),
    unreadable_story: ("story.md", None),
    story_is_a_folder: ("story.md", 6),
    path_out: ("folder", 6),
    absolute_path: ("folder", 6),
    link_out: ("folder", 6),
    picture_on_the_network: ("network", 6),
    damaged_cover: ("damaged", 6),
    row_without_end: ("bar", 22),
    unknown_symbol: ("q", 23),
    huge_chart: ("2,000", 18),
    control_characters: ("control", 3),
}


@pytest.mark.parametrize("harm", CASES, ids=lambda harm: harm.__name__)
def test_a_broken_source_gives_a_finding_and_leaves_the_last_good_booklet(bench, harm):
    words, line = CASES[harm]
    bench.booklet.write_bytes(LAST_GOOD)
    harm(bench)
    ran = bench.ask("build", "knots.linen")
    assert ran.status == 1
    assert "Traceback" not in ran.said
    assert words in ran.err
    assert "error:" in ran.err
    places = re.findall(r"^(\S+):(\d+):(\d+): error:", ran.err, re.MULTILINE)
    assert places
    if line is not None:
        assert ("knots.linen", str(line)) in [place[:2] for place in places]
        assert re.search(r"^ +\| +\^+$", ran.err, re.MULTILINE), "no caret"
    assert len(ran.said) < 6_000, "a finding must not be as long as the file"
    assert "\x1b" not in ran.said, "a stranger's file must not steer the terminal"
    assert "SECRET" not in ran.said
    assert bench.booklet.read_bytes() == LAST_GOOD
    assert not [each for each in bench.folder.iterdir() if each.name.startswith(".")]


def test_one_run_reports_all_mistakes(bench):
    bench.edit("fabric linen", "fabrik linen")
    bench.edit("|.m.s....s.m.|", "|.m.s.q..s.m.|")
    bench.edit("line mast 5,5 7,5", "line mast 5,5 7;5")
    ran = bench.ask("check", "knots.linen")
    assert ran.status == 1
    places = {int(found) for found in re.findall(r"linen:(\d+):\d+: error", ran.out)}
    assert {8, 23, 29} <= places


def test_markup_in_a_title_and_a_story_is_only_text_and_fetches_nothing(bench):
    bench.edit('"Two Knots"', '"<b>Two</b> <script>x</script> & Knots"')
    (bench.folder.parent / "secret.png").write_bytes(b"x")
    (bench.folder / "story.md").write_text(
        "# Story\n\n<img src='http://127.0.0.1:9/x.png'> and <script>alert(1)</script>\n\n"
        "[out](file:///etc/passwd) [bad](javascript:alert(1))\n",
        "utf-8",
    )
    ran = bench.ask("build", "knots.linen")
    assert "Traceback" not in ran.said
    assert ran.status == 0, ran.err
    cover, *rest = (page.extract_text() for page in PdfReader(bench.booklet).pages)
    assert "<b>Two</b>" in cover.replace("\n", " ")
    assert "<script>alert" in "".join(rest)
    raw = bench.booklet.read_bytes()
    assert b"javascript" not in raw
    assert b"/etc/passwd" not in raw


@pytest.mark.parametrize(
    "target", ["http://127.0.0.1:9/x.png", "../secret.png", "/etc/hostname", "file:///etc/hostname"]
)
def test_a_story_picture_from_elsewhere_stops_the_build(bench, target):
    (bench.folder.parent / "secret.png").write_bytes(b"x")
    bench.booklet.write_bytes(LAST_GOOD)
    (bench.folder / "story.md").write_text(f"# Story\n\n![shore]({target})\n", "utf-8")
    ran = bench.ask("build", "knots.linen")
    assert "Traceback" not in ran.said
    assert ran.status == 1
    assert "story.md:3" in ran.err
    assert bench.booklet.read_bytes() == LAST_GOOD


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("build", "missing.linen"), "missing.linen"),
        (("build", "knots.linen", "--paper", "foolscap"), "foolscap"),
        (("build", "knots.linen", "-o", "knots.txt"), ".pdf"),
        (("build", "knots.linen", "-o", "nowhere/knots.pdf"), "folder"),
        (("build", "knots.linen", "--colourway", "dusk"), "dusk"),
        (("picture", "knots.linen", "-o", "knots.bmp"), ".png"),
        (("unpick", "knots.linen"), "unpick"),
    ],
)
def test_misuse_is_told_plainly_with_status_2(bench, words, says):
    ran = bench.ask(*words)
    assert ran.status == 2
    assert says in ran.err
    assert "Traceback" not in ran.said
