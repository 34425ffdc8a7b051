"""Pages that are kept from one setting to the next: the same bytes as of pages set anew."""

from dataclasses import replace
from pathlib import Path

import pytest
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Options, Purpose
from linenleaf.compose.worked import WorkedChart
from linenleaf.flow import follow
from linenleaf.pdf import renderer as pdf
from linenleaf.pdf.document import Later, Sheet
from linenleaf.pdf.kept import Kept
from linenleaf.pdf.variants import Variant
from linenleaf.watch.warmpress import WarmPress
from PIL import Image

from tests import book_chart
from tests.end_to_end.conftest import bench_in

PAGE = '<html lang="en"><head><title>t</title></head><body>{}</body></html>'


def sheet(body: str, folder: Path = Path(), **more: object) -> Sheet:
    return Sheet(PAGE.format(body), "@page { size: 100mm }", folder, opening="part", **more)


def parts(*words: str) -> str:
    style = "break-before: page"
    return "".join(f'<div class="part" style="{style}"><p>{each}</p></div>' for each in words)


@pytest.fixture
def laid_out(monkeypatch):
    """Count the runs of pages that are laid out."""
    done = []

    class Counted(pdf.HTML):
        def render(self, *args, **more):
            done.append(self)
            return super().render(*args, **more)

    monkeypatch.setattr(pdf, "HTML", Counted)
    return done


class Again:
    """Sets sheets one after the other, and keeps what can be kept."""

    def __init__(self, renderer: pdf.Renderer) -> None:
        self.renderer = renderer
        self.kept = Kept()

    def press(self, asked: Sheet, progress=None):
        return self.renderer.press(asked, progress, kept=self.kept)


@pytest.fixture
def kept():
    with pdf.Renderer() as renderer:
        yield Again(renderer)


def anew(laid_out, kept: Again, asked: Sheet) -> int:
    """Return how many runs are laid out, having compared what comes of them."""
    before = len(laid_out)
    made = kept.press(asked)
    number = len(laid_out) - before
    assert made == pdf.press(asked)
    return number


def test_only_what_changed_is_laid_out_anew(laid_out, kept):
    assert anew(laid_out, kept, sheet(parts("reed", "wrack", "tern"))) == 3
    assert anew(laid_out, kept, sheet(parts("reed", "wrack", "tern"))) == 0
    assert anew(laid_out, kept, sheet(parts("reed", "mud", "tern"))) == 1


def test_pages_that_move_are_laid_out_anew_for_they_bear_numbers(laid_out, kept):
    style = "@page { @bottom-left { content: counter(page) } }"
    long = "<br/>".join(["a long tale"] * 60)

    def numbered(*words: str) -> Sheet:
        asked = sheet(parts(*words))
        return replace(asked, css=asked.css + style)

    assert anew(laid_out, kept, numbered("reed", "wrack", "tern")) == 3
    assert anew(laid_out, kept, numbered("reed", long, "tern")) == 2
    assert anew(laid_out, kept, numbered("reed", long, "gull", "tern")) == 2


def test_pages_of_a_bound_booklet_keep_their_sides(laid_out, kept):
    asked = replace(sheet(parts("reed", "wrack", "tern")), sides=("margin: 30mm", "margin: 10mm"))
    assert anew(laid_out, kept, asked) == 3
    asked = replace(asked, sides=("margin: 20mm", "margin: 10mm"))
    assert anew(laid_out, kept, asked) == 3


def test_another_style_head_or_purpose_lays_out_everything(laid_out, kept):
    asked = sheet(parts("reed", "wrack"))
    assert anew(laid_out, kept, asked) == 2
    asked = replace(asked, css=asked.css + " p { color: red }")
    assert anew(laid_out, kept, asked) == 2
    asked = replace(asked, base="p { font-size: 20pt }")
    assert anew(laid_out, kept, asked) == 2
    asked = replace(asked, html=asked.html.replace("<title>t", "<title>u"))
    assert anew(laid_out, kept, asked) == 2
    asked = replace(asked, variant=replace(asked.variant, purpose=Purpose.ARCHIVE))
    assert anew(laid_out, kept, asked) == 2


def test_what_the_last_setting_did_not_use_is_forgotten(laid_out, kept):
    anew(laid_out, kept, sheet(parts("reed", "wrack")))
    anew(laid_out, kept, sheet(parts("reed")))
    assert anew(laid_out, kept, sheet(parts("reed", "wrack"))) == 1


def test_remarks_on_kept_pages_are_made_again(laid_out, kept):
    body = "<p style='no-such: 1px'>reed</p>"
    assert anew(laid_out, kept, sheet(body)) == 1
    assert anew(laid_out, kept, sheet(body)) == 0
    assert kept.press(sheet(body)).remarks


def test_a_setting_that_is_broken_off_leaves_nothing_half_done(laid_out, kept):

    def stop(page: int) -> None:
        if page == 2:
            raise KeyboardInterrupt

    asked = sheet(parts("reed", "wrack", "tern"))
    with pytest.raises(KeyboardInterrupt):
        kept.press(asked, stop)
    assert anew(laid_out, kept, asked) == 2


def test_pages_are_told_of_by_their_numbers(kept):
    told: list[int] = []
    kept.press(sheet(parts("reed", "wrack", "tern")), told.append)
    assert sorted(set(told)) == [1, 2, 3]


def test_pages_with_crop_marks_are_not_kept(kept):
    variant = Variant(Purpose.PRINT, "2026-03-14")
    # Without a date a printer's file is dated now.
    dated = sheet('<meta name="dcterms.created" content="2026-03-14"/>reed')
    asked = replace(dated, css="@page { marks: crop; bleed: 8mm }", variant=variant)
    for _ in range(2):
        assert kept.press(asked) == pdf.press(asked)


class TestPictures:
    @pytest.fixture
    def reed(self, tmp_path):
        path = tmp_path / "reed.png"
        Image.new("RGBA", (900, 600), (90, 120, 60, 128)).save(path)
        return path

    def shown(self, reed: Path, *words: str, width: int = 20) -> Sheet:
        picture = f'<img src="folder:{reed.name}" alt="reed" style="width: {width}mm"/>'
        media = {".png": "image/png", ".jpg": "image/jpeg"}[reed.suffix]
        files = {f"folder:{reed.name}": (reed.read_bytes(), media)}
        return sheet(f"{picture}{parts(*words)}", files=files)

    def test_a_picture_beside_the_chart_is_kept(self, laid_out, kept, reed):
        assert anew(laid_out, kept, self.shown(reed, "tern")) == 2
        assert anew(laid_out, kept, self.shown(reed, "gull")) == 1
        assert anew(laid_out, kept, self.shown(reed, "tern")) == 1

    def test_a_photograph_is_not_thinned_out_twice(self, laid_out, kept, tmp_path):
        photograph = tmp_path / "reed.jpg"
        Image.effect_noise((900, 600), 90).convert("RGB").save(photograph)
        for width in (20, 20, 60, 20):
            anew(laid_out, kept, self.shown(photograph, "tern", width=width))

    @pytest.mark.parametrize(("size", "runs"), [((900, 600), 0), ((300, 600), 1)])
    def test_another_picture_of_that_name_is_seen(self, laid_out, kept, reed, size, runs):
        anew(laid_out, kept, self.shown(reed, "tern"))
        Image.new("RGB", size, (200, 120, 60)).save(reed)
        assert anew(laid_out, kept, self.shown(reed, "tern")) == runs

    def test_what_is_drawn_may_be_another_drawing_each_time(self, laid_out, kept, reed):
        def drawn(colour: str, width: float) -> Sheet:
            Image.new("RGB", (60, 60), colour).save(reed)
            data = reed.read_bytes()
            later = {"later:": Later(lambda: (data, "image/png"), width, 20.0)}
            return sheet('<img src="later:" alt="reed"/>', later=later)

        assert anew(laid_out, kept, drawn("red", 20.0)) == 1
        assert anew(laid_out, kept, drawn("blue", 20.0)) == 0
        with pytest.raises(KeyboardInterrupt):
            kept.press(sheet("<p>reed</p>"), self.stop)
        assert anew(laid_out, kept, drawn("green", 20.0)) == 0
        assert anew(laid_out, kept, drawn("green", 30.0)) == 1

    def stop(self, _page: int) -> None:
        raise KeyboardInterrupt


# What is changed in a small chart, one after the other: nothing, the story by so much that all
# pages move; and in one in large print: a key line.
SMALL = (
    ("knots.linen", "", ""),
    ("story.md", "\n\n", f"\n\n{'The tide goes out and comes in. ' * 120}\n\n"),
)
LARGE = (("knots.linen", "s     estuary 220", "s     estuary 417"),)
# And in one of many pages: a cross.
BAND = (("band.linen", "|mmsmmsmm", "|smsmmsmm"),)


def bound_again(chart: Path, edits: tuple[tuple[str, str, str], ...], options: Options) -> None:
    """Bind a chart, and again after each of some edits; what comes is as if bound anew."""

    def read() -> WorkedChart:
        worked = follow(chart).worked
        assert worked is not None
        return worked

    def bind_again(worked: WorkedChart, warm: WarmPress) -> object:
        with warm.running():
            return bind(worked, options, press=warm.press, ahead=warm.ahead)

    with WarmPress() as warm:
        bind_again(read(), warm)
        for file, old, new in edits:
            path = chart.parent / file
            text = path.read_text("utf-8")
            assert old in text
            path.write_text(text.replace(old, new, 1), "utf-8")
            worked = read()
            assert bind_again(worked, warm) == bind(worked, options)


@pytest.mark.parametrize(
    ("options", "edits"),
    [(Options(), SMALL), (Options(large=True), LARGE)],
    ids=["usual", "large"],
)
def test_a_booklet_bound_again_is_the_same_as_one_bound_anew(tmp_path, options, edits):
    bound_again(bench_in(tmp_path / "knots").chart, edits, options)


def test_so_it_is_of_many_pages_and_colourways(tmp_path):
    chart = book_chart.write(tmp_path, book_chart.source(40, 20))
    bound_again(chart, BAND, Options(cell=9))
