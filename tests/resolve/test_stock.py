"""The stock: what it holds, that a version stays as it is, and how charts use it."""

from __future__ import annotations

import shutil
from hashlib import sha256
from pathlib import Path

import pytest
from linenleaf.core.findings import Level
from linenleaf.core.source import Source
from linenleaf.diff.compare import compare
from linenleaf.diff.difftext import as_text
from linenleaf.diff.facts import Fact, Lettered, Measure
from linenleaf.flow import follow
from linenleaf.formatting.tidy import tidy
from linenleaf.grammar import SHOWN, STOCK
from linenleaf.lsp.completion import complete
from linenleaf.lsp.hover import hover
from linenleaf.lsp.mentions import mention_at
from linenleaf.lsp.outline import outline
from linenleaf.pictures.shown import drawn_from, opened
from linenleaf.resolve import stock
from linenleaf.resolve.read import read, read_any
from PIL import Image

FILES = sorted(STOCK.glob("*/*.linen"))
# A version that has shipped is never changed, not by a cross and not by a remark: charts that name
# it would change with it. Where one of these fails, put the file back and make a new version.
PINNED = {
    "bands 1": "989faa7548e027e8ff9db77692b76b21bda424780cfb5f251593218d28e32944",
    "borders 1": "f528adf0bb2a1303df8ba355dc1d91fd46a4299266a34a1110c5f07f7425eb2a",
    "fillings 1": "bda0979e67edc08bfc9490de8d1adb53d351825479a89d2b56d8cbaf55c01608",
    "letters-5 1": "689960528c7a1a847d030c934ba18c9ca32af7022f28db7d98d5c313c3b98fd3",
    "letters-7 1": "54904d55fffd8bfbcddf5631a49f76d95dbf0150fd68c5772fc6ea26d70a5b9a",
    "letters-9 1": "254b441272a1c23f6aa808d694867adf653528a9e104142b2054c9c115ff44f4",
}
USING = """\
linen 2
use stock letters-7 1
fabric linen 28 over 2
key
  m  #7d2b35 "madder"
chart 60 wide
  text "1847" in letters-7 at 30,0 centred left
"""


def test_a_version_stays_as_it_shipped():
    sums = {f"{file.parent.name} {file.stem}": checksum(file) for file in FILES}
    assert sums == PINNED


def checksum(file: Path) -> str:
    return sha256(file.read_bytes()).hexdigest()


@pytest.mark.parametrize("file", FILES, ids=lambda file: f"{file.parent.name}-{file.stem}")
def test_a_stock_is_sound_and_tidy_and_says_that_charts_may_be_sold(file):
    assert read_any(file)[1] == ()
    text = file.read_text("utf-8")
    assert tidy(Source(str(file), text))[0] == text
    assert "may be sold" in " ".join(text.replace("#", "").split())


# Unicode CLDR, main exemplar characters of en, nl, de and fr, and the capital sharp s of the German
# spelling rules of 2017; from memory.
SMALL = set("abcdefghijklmnopqrstuvwxyz") | set("áäéëíïĳóöúü") | set("äöüß")
SMALL |= set("àâæçéèêëîïôœùûüÿ")
CAPITALS = {"ẞ" if each == "ß" else each.upper() for each in SMALL}
SIGNS = set(".,'’-–:;!?&“”")
FIGURES = set("0123456789")


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("letters-7", CAPITALS),
        ("letters-9", CAPITALS | SMALL | {"ſ", "<st>", "<si>", "<ff>", "<fi>", "<long-s>"}),
        ("letters-5", CAPITALS),
    ],
)
def test_the_alphabets_hold_the_letters_of_four_languages(tmp_path, name, wanted):
    alphabets = name, name.replace("letters", "accents")
    lines = " ".join(f'"{each}"' for each in sorted(wanted | SIGNS | FIGURES))
    text = USING.replace("letters-7", name).split("  text")[0]
    (tmp_path / "all.linen").write_text(f"{text}  text {lines} in {', '.join(alphabets)} at 0,0\n")
    design, findings = read(tmp_path / "all.linen")
    assert findings == ()
    held = set().union(*(design.alphabets[each].letters for each in alphabets))
    assert wanted | SIGNS | FIGURES <= held


def test_there_are_eight_borders_of_different_repeats_with_corners(tmp_path):
    names = ["zigzag", "ripple", "cockle", "fret", "clover", "wheat", "lozenge", "vine"]
    lines = "".join(
        f"  {name} at 0,{at * 9}\n  {name}-corner at 20,{at * 9}\n" for at, name in enumerate(names)
    )
    key = '  s  #5b7350 "sedge"\n  rope  #34506e "deep" back\n  pearl  #7d2b35 "madder" knot\n'
    text = (
        USING.split("  text", maxsplit=1)[0]
        .replace("letters-7", "borders")
        .replace("chart", key + "chart")
    )
    (tmp_path / "borders.linen").write_text(text + lines)
    design, findings = read(tmp_path / "borders.linen")
    assert findings == ()
    assert [design.motifs[name].width for name in names] == [2, 4, 6, 8, 10, 12, 14, 16]
    for name in names:
        corner = design.motifs[f"{name}-corner"]
        assert corner.width == corner.height == design.motifs[name].height


def test_the_stock_is_found_from_anywhere_also_by_a_file_that_is_used(tmp_path):
    (tmp_path / "letters.linen").write_text("linen 2\nuse stock letters-7 1\n")
    folder = tmp_path / "stock"  # a folder and a file of that name stand in nobody's way
    folder.mkdir()
    (folder / "own.linen").write_text("linen 1\nmotif dot 1 x 1\n  |m|\n")
    (tmp_path / "stock.linen").write_text("linen 1\nmotif bar 2 x 1\n  |mm|\n")
    own = "use letters.linen\nuse stock/own.linen\nuse stock.linen\n"
    text = USING.replace("fabric", own + "fabric") + "  dot at 0,9\n  bar at 3,9\n"
    (tmp_path / "chart.linen").write_text(text)
    worked = follow(tmp_path / "chart.linen").worked
    assert worked is not None
    assert worked.design.stock == (("letters-7", 1),)


def test_a_symbol_that_is_not_swapped_is_told_of_where_it_is_placed(tmp_path):
    path = tmp_path / "chart.linen"
    path.write_text(USING.replace("  m  #", "  k  #"))
    [told] = read(path)[1]
    assert (told.name, told.span.source.path, told.span.line) == ("unknown-symbol", str(path), 7)
    assert told.hints[0].span.path == str(STOCK / "letters-7/1.linen")
    assert told.hints[-1].message == "or swap it where it is placed: `with m as k`"


@pytest.fixture
def with_second(tmp_path, monkeypatch):
    """A stock that has a second version of letters-7, in which one letter is another."""
    monkeypatch.setattr(stock, "STOCK", shutil.copytree(STOCK, tmp_path / "shipped"))
    first = tmp_path / "shipped/letters-7/1.linen"
    text = first.read_text("utf-8")
    assert text.count("  1 |.m.|\n") == 1
    first.with_name("2.linen").write_text(text.replace("  1 |.m.|\n", "  1 |mm.|\n"), "utf-8")
    stock.stocks.cache_clear()
    yield
    stock.stocks.cache_clear()


@pytest.mark.usefixtures("with_second")
def test_two_versions_in_one_chart_are_told(tmp_path):
    (tmp_path / "letters.linen").write_text("linen 2\nuse stock letters-7 2\n")
    path = tmp_path / "chart.linen"
    path.write_text(USING.replace("fabric", "use letters.linen\nfabric"))
    [told] = [each for each in read(path)[1] if each.level is Level.ERROR]
    assert told.name == "stock-in-two-versions"
    assert told.span.path.endswith("letters.linen")
    assert told.hints[0].span.line == 2


@pytest.mark.usefixtures("with_second")
def test_a_difference_tells_of_another_version(tmp_path):
    charts = []
    for version in (1, 2):
        path = tmp_path / f"{version}.linen"
        path.write_text(USING.replace("letters-7 1", f"letters-7 {version}"))
        charts.append(follow(path).worked)
    found = compare(*charts)
    assert Fact(Measure.STOCK) in found.of(Fact)
    assert found.of(Lettered) == (Lettered("letters-7", ("1",)),)
    assert "stock: letters-7 1 -> letters-7 2" in as_text(found, ("old", "new"))
    assert compare(charts[0], charts[0]).of(Fact) == ()


def test_the_editor_offers_names_and_tells_what_a_stock_holds(tmp_path):
    text = USING.replace("letters-7 1\n", "\n", 1)
    at = text.index("use stock ") + len("use stock ")
    offered = complete(outline(Source("a.linen", text), tmp_path / "a.linen"), at)
    assert [each.text for each in offered.choices] == [
        f"{name} 1"
        for name in ("bands", "borders", "fillings", "letters-5", "letters-7", "letters-9")
    ]
    whole = outline(Source("a.linen", USING), tmp_path / "a.linen")
    shown = hover(mention_at(whole.file, at + 2), whole, None)
    assert shown.startswith("**letters-7** stock, version 1\n\nalphabet `letters-7`, ")


def test_the_pictures_of_the_reference_are_current():
    page = (STOCK.parent / "stock.md").read_text("utf-8")
    charts = sorted(SHOWN.glob("*.linen"))
    assert {name for chart in charts for name, _ in opened(chart).design.stock} == {
        file.parent.name for file in FILES
    }
    for chart in charts:
        with Image.open(chart.with_suffix(".jpg")) as picture:
            assert picture.info["comment"] == drawn_from(opened(chart)).encode(), (
                f"draw anew: python -m linenleaf.pictures.shown ({chart.name})"
            )
        assert f"(shown/{chart.stem}.jpg)" in page
