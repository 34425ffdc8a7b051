"""Pictures for a shop page: the key, and every picture square or wide with all of it in view."""

import io
from importlib.resources import files

import cairosvg
import numpy as np
import pytest
from click.testing import CliRunner
from linenleaf.chart.options import Shape
from linenleaf.cli import main
from linenleaf.cloth import cloth, scale
from linenleaf.cloth.scale import LARGEST
from linenleaf.count.count import count
from linenleaf.pictures import chart_svg, detail, key_svg
from linenleaf.pictures.frames import frame
from linenleaf.pictures.painting import STRONG, cut_to, text_length, text_path
from linenleaf.pictures.picture import PAINTED, WHAT, render
from lxml import etree
from PIL import Image, ImageDraw, ImageFont

from .. import book_chart

FACE = files("font_source_sans_pro") / "files" / "SourceSansPro-Semibold.ttf"
SVG = "{http://www.w3.org/2000/svg}"
RATIOS = {Shape.SQUARE: 1.0, Shape.WIDE: 16 / 9}


@pytest.fixture(scope="module")
def chart(tmp_path_factory):
    text = book_chart.source(40, 20)
    return book_chart.worked(book_chart.write(tmp_path_factory.mktemp("shop"), text))


def opened(data):
    with Image.open(io.BytesIO(data)) as image:
        return np.asarray(image.convert("RGB")).astype(int)


@pytest.mark.parametrize("what", WHAT)
@pytest.mark.parametrize("shape", RATIOS)
def test_the_shape_is_kept_in_pixels_and_in_svg(chart, what, shape):
    picture = opened(render(chart, what, ".png", 800, shape))
    high, wide, _ = picture.shape
    assert wide <= 801
    assert wide > 500
    assert wide / high == pytest.approx(RATIOS[shape], rel=0.01)
    if what in PAINTED:
        with pytest.raises(ValueError, match="no such picture"):
            render(chart, what, ".svg", 800, shape)
        return
    root = etree.fromstring(render(chart, what, ".svg", 800, shape))
    assert int(root.get("width")) / int(root.get("height")) == pytest.approx(
        RATIOS[shape], rel=0.01
    )
    _, _, across, down = (float(each) for each in root.get("viewBox").split())
    assert across / down == pytest.approx(RATIOS[shape], rel=0.01)


@pytest.mark.parametrize("what", ["piece", "key"])
@pytest.mark.parametrize("shape", list(Shape))
def test_svg_and_pixels_show_the_same(chart, what, shape):
    """CairoSVG draws the SVG; the cloth itself is painted otherwise, hence the loose bound."""
    picture = opened(render(chart, what, ".png", 600, shape))
    high, wide, _ = picture.shape
    drawn = opened(
        cairosvg.svg2png(
            bytestring=render(chart, what, ".svg", 600, shape),
            output_width=wide,
            output_height=high,
        )
    )
    small = [
        np.asarray(Image.fromarray(each.astype(np.uint8)).resize((48, 48), Image.Resampling.BOX))
        for each in (picture, drawn)
    ]
    apart = np.abs(small[0].astype(int) - small[1].astype(int))
    assert apart.mean() < (8 if what == "piece" else 4)


@pytest.mark.parametrize("shape", RATIOS)
def test_what_is_shown_stands_whole_in_the_middle_of_its_paper(chart, shape):
    for what in ("chart", "key"):
        picture = opened(render(chart, what, ".png", 800, shape))
        inked = np.argwhere(picture.min(axis=2) < 200)
        (top, left), (bottom, right) = inked.min(axis=0), inked.max(axis=0)
        high, wide, _ = picture.shape
        assert min(top, left, high - 1 - bottom, wide - 1 - right) > 0.02 * wide
        if what == "chart":
            assert abs(left - (wide - 1 - right)) <= 4
            assert abs(top - (high - 1 - bottom)) <= 4


def test_the_piece_keeps_its_crosses_and_gains_cloth(chart):
    """Bare cloth is 0.09 of the piece on each side at the least, and no more where it is tight."""
    for shape, ratio in RATIOS.items():
        root = etree.fromstring(render(chart, "piece", ".svg", 800, shape))
        x, y, across, down = (float(each) for each in root.get("viewBox").split())
        fabric = chart.design.ground.fabric
        piece = chart.width * fabric.cross_width, chart.height * fabric.cross_height
        assert across >= 1.17 * piece[0]
        assert down >= 1.17 * piece[1]
        assert min(across / piece[0] / 1.18, down / piece[1] / 1.18) == pytest.approx(1, abs=0.02)
        assert abs(across - ratio * down) <= 0.0005 * (1 + ratio)  # written to three decimals
        assert x >= 0
        assert y >= 0


@pytest.mark.parametrize("shape", list(Shape))
def test_no_picture_grows_beyond_the_bound(chart, shape, monkeypatch):
    bound = LARGEST // 200  # reached as well, and sooner
    for module in (scale, cloth, detail, chart_svg, key_svg):
        monkeypatch.setattr(module, "LARGEST", bound)
    for what in WHAT:
        high, wide, _ = opened(render(chart, what, ".png", 8000, shape)).shape
        assert 0.5 * bound < high * wide <= 1.01 * bound


def test_every_line_of_the_key_is_in_its_picture(chart):
    root = etree.fromstring(render(chart, "key", ".svg", 800))
    words = root.find(f"{SVG}desc").text
    entries = count(chart).entries
    assert words.count(";") == len(entries) - 1
    for each in entries:
        for part in each.entry.parts:
            for needled in part.needle:
                assert (needled.thread.name or needled.thread.label) in words
    assert "back stitch" in words
    assert "knot" in words
    assert root.find(f"{SVG}title").text == "Saltmarsh Band: key"
    colours = {each.get("fill") for each in root.iter(f"{SVG}path")}
    assert {"#3f4a2c", "#8a7aa8", "#e0a030", "#20242c", "#f4f1e4", "#f2b33d"} <= colours
    assert not list(root.iter(f"{SVG}text"))


def test_a_long_name_and_a_strange_letter_keep_within_the_picture(tmp_path):
    text = book_chart.source(title="W" * 90)
    path = book_chart.write(tmp_path, text)
    csv = (tmp_path / "estuary.csv").read_text("utf-8")
    (tmp_path / "estuary.csv").write_text(csv.replace("wrack", "wrack ♔ " * 20), "utf-8")
    picture = opened(render(book_chart.worked(path), "key", ".png", 900))
    assert picture[:, -20:].min() > 200


def test_words_have_the_width_and_height_of_the_face():
    """Pillow sets the same face with FreeType; without kerning the advances must agree."""
    text, size = "Saltmarsh Bands, 40 ½", 100
    face = ImageFont.truetype(str(FACE), size)
    wide = sum(face.getlength(each) for each in text)
    assert text_length(text, size, STRONG) == pytest.approx(wide, rel=0.01)
    outline = text_path("H", 10, 90, size, STRONG)
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="120" height="120">'
        f'<path d="M0 0h120v120H0z" fill="#fff"/><path d="{outline}"/></svg>'
    )
    ours = opened(cairosvg.svg2png(bytestring=svg.encode()))[:, :, 0]
    sheet = Image.new("L", (120, 120), 255)
    ImageDraw.Draw(sheet).text((10, 90), "H", 0, face, anchor="ls")
    assert np.abs(ours - np.asarray(sheet).astype(int)).mean() < 3  # no edge a pixel off
    assert ours.mean() < 240


def test_text_is_cut_to_its_room():
    assert cut_to("sea lavender", 500, 10) == "sea lavender"
    short = cut_to("sea lavender", 30, 10)
    assert short.endswith("…")
    assert text_length(short, 10) <= 30


def test_a_frame_holds_its_content_in_the_middle():
    for ratio in (0.5, 1.0, 16 / 9):
        for width, height in ((10.0, 3.0), (3.0, 10.0), (5.0, 5.0)):
            made = frame(width, height, ratio)
            assert made.width / made.height == pytest.approx(ratio)
            assert made.x == pytest.approx(-(made.width - width) / 2)
            assert made.y == pytest.approx(-(made.height - height) / 2)
            assert made.x < 0
            assert made.y < 0


def test_each_picture_has_a_name_of_its_own(tmp_path):
    path = book_chart.write(tmp_path, book_chart.source(40, 20))
    for more in ([], ["--of", "key"], ["--shape", "square"], ["--of", "chart", "--shape", "wide"]):
        done = CliRunner().invoke(main, ["picture", str(path), "--width", "200", *more])
        assert done.exit_code == 0, done.output
    made = {each.name for each in tmp_path.glob("*.png")} - {"found.png"}
    assert made == {
        "band--200px.png",
        "band--key-200px.png",
        "band--square-200px.png",
        "band--chart-wide-200px.png",
    }
