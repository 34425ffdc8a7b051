"""From drawing to PDF operators, and what other programs make of the PDF."""

import io
import re

import numpy as np
import page as conformance
import pikepdf
import pytest
from linenleaf.chart.operators import path
from linenleaf.chart.plot import Plotter

from ..pressed import bound, font_of, letters, pictures, texts
from ..shore import INDEX, worked

SMALL = worked([[INDEX["m"], INDEX["s"], INDEX["&"]], [0, INDEX["<"], 0], [0, 0, 0]])


@pytest.fixture(scope="module")
def font():
    return font_of(SMALL)


def svg(inner, width=20, height=10):
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'font-family="symbols">{inner}</svg>'
    )


def operators(font, inner):
    return Plotter(font).plot(svg(inner)).operators.decode().splitlines()


@pytest.mark.parametrize(
    ("inner", "expected"),
    [
        ('<rect x="1" y="2" width="3" height="4"/>', ["0 g", "1 2 3 4 re", "f"]),
        (
            '<path fill="#ff0000" d="M0 1h3v1h-3zM4 1h1v2h-1z"/>',
            ["1 0 0 rg", "0 1 3 1 re", "4 1 1 2 re", "f"],
        ),
        (
            '<line x1="0" y1="0" x2="2.5" y2="1" stroke="#000000" stroke-width=".5" '
            'stroke-dasharray="1 .5" stroke-linecap="round" fill="none"/>',
            ["0 G", "0.5 w", "1 J", "0 j", "[1 0.5] 0 d", "0 0 m 2.5 1 l", "S"],
        ),
        ('<polygon points="0,0 1,0 1,1"/>', ["0 g", "0 0 m 1 0 l 1 1 l h", "f"]),
        (
            '<g transform="translate(1 2) scale(3)"><rect x="0" y="0" width="1" height="1"/></g>',
            ["q 3 0 0 3 1 2 cm", "0 g", "0 0 1 1 re", "f", "Q"],
        ),
        ('<path fill="none" d="M0 0H1"/>', []),
        ("<title>Words</title>", []),
    ],
)
def test_shapes_become_operators(font, inner, expected):
    assert operators(font, inner) == expected


def test_the_state_is_set_once_and_again_after_a_group(font):
    square = '<rect fill="#0000ff" x="0" y="0" width="1" height="1"/>'
    moved = f'<g transform="scale(2)">{square}</g>'
    assert operators(font, square * 2).count("0 0 1 rg") == 1
    assert operators(font, moved + square).count("0 0 1 rg") == 2


@pytest.mark.parametrize(
    ("d", "expected"),
    [
        ("M1 2L3 4", "1 2 m\n3 4 l"),
        ("m1 2l3 4 1 1", "1 2 m\n4 6 l\n5 7 l"),
        ("M1 2H5V6h-1v-1z", "1 2 m\n5 2 l\n5 6 l\n4 6 l\n4 5 l\nh"),
        ("M1 1v1zl1 0", "1 1 m\n1 2 l\nh\n2 1 l"),
        ("M0 0C0 1 1 1 1 0", "0 0 m\n0 1 1 1 1 0 c"),
        ("M1 1c0 1 1 1 1 0", "1 1 m\n1 2 2 2 2 1 c"),
        ("M0 0Q3 3 6 0", "0 0 m\n2 2 4 2 6 0 c"),
        ("M.5-.5l.5.5", "0.5 -0.5 m\n1 0 l"),
        ("M0.5 0h1v1h-1z", "0.5000 0.0000 1.0000 1.0000 re"),
    ],
)
def test_paths(d, expected):
    assert path(d) == expected


@pytest.mark.parametrize(
    "inner",
    [
        '<ellipse cx="1" cy="1" rx="1" ry="2"/>',
        '<rect x="0" y="0" width="1" height="1" opacity=".5"/>',
        '<rect x="0" y="0" width="1" height="1" fill="red"/>',
        '<path d="M0 0A1 1 0 0 0 1 1"/>',
        '<path d="1 2 3"/>',
        '<path d="M0 0z1 1"/>',
        '<g transform="rotate(3)"/>',
        '<text x="0" y="1">€</text>',
        '<text x="0" y="1">m<tspan x="3">s</tspan></text>',
    ],
)
def test_what_is_not_understood_is_refused_not_dropped(font, inner):
    with pytest.raises(ValueError, match=r"drawing|no glyph"):
        Plotter(font).plot(svg(inner))


def test_a_row_is_one_text_object_with_its_inks(font):
    lines = operators(font, '<text x="0" y="1">m<tspan fill="#ffffff">s&amp;</tspan>.</text>')
    assert lines[0] == "BT"
    assert lines[-1] == "ET"
    shown = [each for each in lines if each.endswith(("Tj", " g", "Tr"))]
    glyph = {font.character[at]: f"{at:04x}" for at in font.character}
    assert shown == [
        "0 Tr",
        "0 g",
        f"<{glyph['m']}> Tj",
        "1 g",
        f"<{glyph['s']}{glyph['&']}> Tj",
        "0 g",
        f"<{glyph['.']}> Tj",
    ]


ROWS = (
    '<g transform="translate(2 1) scale(3)">'
    '<text x="0" y="1">ms&amp;</text><text x="0" y="2">.&lt;.</text>'
    '<text x="0" y="3" fill="none">...</text></g>'
    '<text font-family="figures" font-size="3" x="15" y="5" text-anchor="middle">120</text>'
)


def test_readers_find_the_source_characters_at_their_cells(font):
    pdf = bound([svg(ROWS, 20, 12)], font)
    assert texts(pdf)[0].split() == ["ms&", ".<.", "...", "120"]
    mm = 72 / 25.4
    cells = {
        (round((each["x0"] / mm - 2) / 3, 3), round((each["top"] / mm - 1) / 3, 3)): each["text"]
        for each in letters(pdf)[0]
        if each["text"] not in "120"
    }
    assert cells == {
        (x, y): char for y, row in enumerate(("ms&", ".<.", "...")) for x, char in enumerate(row)
    }


def test_figures_are_centred_on_their_place(font):
    digits = [
        each for each in letters(bound([svg(ROWS, 20, 12)], font))[0] if each["text"] in "120"
    ]
    left, right = digits[0]["x0"], digits[-1]["x1"]
    assert (left + right) / 2 * 25.4 / 72 == pytest.approx(15, abs=0.01)


def test_unseen_text_is_not_painted(font):
    unseen = svg('<text x="0" y="3" font-size="3" fill="none">m..s</text>')
    (picture,) = pictures(bound([unseen], font))
    assert (picture == 255).all()
    assert texts(bound([unseen], font))[0] == "m..s"


def test_shapes_land_where_they_should(font):
    shapes = svg(
        '<rect fill="#ff0000" x="1" y="2" width="3" height="4"/>'
        '<g transform="translate(10 1) scale(2)"><circle fill="#0000ff" cx="1" cy="1" r="1"/></g>'
    )
    (picture,) = pictures(bound([shapes], font))
    red = np.argwhere((picture == (255, 0, 0)).all(axis=2)) / 20
    assert red.min(axis=0) == pytest.approx((2, 1), abs=0.06)
    assert red.max(axis=0) == pytest.approx((6, 4), abs=0.06)
    blue = (255 - picture[:, 8 * 20 :, 0]) / 255  # edges are partly covered
    assert blue.sum() / 20**2 == pytest.approx(np.pi * 2**2, rel=0.005)
    assert np.argwhere(blue > 0).mean(axis=0) / 20 == pytest.approx((3, 12 - 8), abs=0.06)


# WeasyPrint leaves the file of its colour profile to be closed by the garbage collector.
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
@pytest.mark.parametrize(("variant", "profile"), [("pdf/ua-1", "ua1"), ("pdf/a-3u", "3u")])
def test_an_independent_validator_accepts_it(font, tmp_path, variant, profile):
    pdf = bound([svg(ROWS, 20, 12)], font, pdf_variant=variant, uncompressed_pdf=True)
    report = conformance.validate_pdf_bytes(pdf, profile=profile)
    assert [(each.rule_id, each.message) for each in report.failures] == []


def test_the_embedded_font_says_what_it_holds(font):
    with pikepdf.open(io.BytesIO(bound([svg(ROWS, 20, 12)], font))) as pdf:
        (held,) = (
            each
            for each in pdf.objects
            if isinstance(each, pikepdf.Dictionary) and each.get("/Subtype") == "/Type0"
        )
        inner = held.DescendantFonts[0]
        assert str(held.BaseFont) == str(inner.FontDescriptor.FontName) == "/LinenleafSymbols"
        assert bytes(inner.FontDescriptor.FontFile2.read_bytes()) == font.data
        widths = [float(each) for each in inner.W[1]]
        assert widths[1] == 1000  # bare fabric
        assert len(inner.CIDToGIDMap.read_bytes()) == 2 * len(widths)
        means = re.findall(rb"<(\w+)> <(\w+)>\n", held.ToUnicode.read_bytes())
        said = {
            int(code, 16): bytes.fromhex(text.decode()).decode("utf-16-be") for code, text in means
        }
        assert {char for char in said.values() if char in "ms&<."} == set("ms&<.")


def test_the_same_drawing_gives_the_same_bytes(font):
    once, again = (bound([svg(ROWS, 20, 12)], font) for _ in range(2))
    assert once == again


def test_two_drawings_share_one_font(font):
    with pikepdf.open(io.BytesIO(bound([svg(ROWS), svg(ROWS, 30, 12)], font))) as pdf:
        files = [
            each
            for each in pdf.objects
            if isinstance(each, pikepdf.Dictionary) and "/FontFile2" in each
        ]
        assert len(files) == 1
