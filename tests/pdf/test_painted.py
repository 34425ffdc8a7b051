"""Pages that are painted once: in every PDF the same bytes as of pages painted for it."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.pdf import painted
from linenleaf.pdf import renderer as pdf
from linenleaf.pdf.document import Later, Sheet
from linenleaf.pdf.kept import Kept
from linenleaf.pdf.shortkey import Labels
from PIL import Image

FACE = (
    "@font-face { font-family: 'Leaf Sans'; src: url(face:SourceSansPro-Regular.ttf) }"
    "@page { size: 100mm } body { font-family: 'Leaf Sans' }"
    ".part { break-before: page }"
)
# What pages note for each other: widths of letters, which are not the same in very small type,
# and by which letters are moved; what each glyph stands for (an accent of its own or not, the
# glyph is the same); sizes; colours that shine through; groups that are named after how many there
# are.
BODIES = (
    "reed",
    "a reed",
    "\u00e9bb",
    "e\u0301bb",
    "<b>Tern</b> AVAV",
    '<span style="font-size: 0.05px">AVAV To.</span>',
    '<span style="font-size: 31.7pt">AVAV To.</span>',
    '<span style="color: rgba(90, 30, 20, 0.4)">wrack</span>',
    '<span style="color: rgba(90, 30, 20, 0.7); font-weight: bold">wrack</span>',
    '<div style="opacity: 0.5">mud</div>',
    '<div style="background: linear-gradient(red, blue)">ebb</div>',
    '<span style="letter-spacing: 0.2pt; text-decoration: underline">flood</span>',
    '<table style="border-collapse: collapse"><tr><td style="border: 1px dotted">x</td></tr>'
    "</table>",
    '<a href="#tern">tern</a>',
    '<img src="later:" alt="a picture"/>after',
    '<b>before <img src="words:" alt="words"/></b>',
    "\u4e00",  # a letter that the face has not
)


def sheet(bodies: list[int], picture: bytes) -> Sheet:
    parts = "".join(f'<div class="part"><p>{BODIES[each]}</p></div>' for each in bodies)
    parts += '<p id="tern">1</p>'
    return Sheet(
        f'<html lang="en"><head><title>t</title></head><body>{parts}</body></html>',
        FACE,
        Path(),
        opening="part",
        drawings={"words:": Labels(30.0, 10.0, 1.0, (("wrack", 0.0, 0.0), ("To.", 9.0, 5.0)))},
        later={"later:": Later(lambda: (picture, "image/png"), 20.0, 20.0)},
    )


@pytest.fixture(scope="module")
def pictures(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pictures")
    for colour in ("red", "blue"):
        Image.new("RGB", (600, 600), colour).save(folder / f"{colour}.png")
    return [each.read_bytes() for each in sorted(folder.iterdir())]


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(
            st.lists(st.integers(0, len(BODIES) - 1), min_size=1, max_size=12), st.integers(0, 1)
        ),
        min_size=2,
        max_size=4,
    )
)
def test_pages_come_out_the_same_in_any_company(pictures, settings_of_pages):
    kept = Kept()
    for bodies, picture in settings_of_pages:
        asked = sheet(bodies, pictures[picture])
        assert pdf.press(asked, kept=kept) == pdf.press(asked)


def test_a_page_is_painted_once(pictures, monkeypatch):
    done = []
    apart = painted.Painted._paint_apart

    def paint(self, stream, scale):
        done.append(self)
        apart(self, stream, scale)

    monkeypatch.setattr(painted.Painted, "_paint_apart", paint)
    kept = Kept()
    plain = [0, 3, 11, 12, 13]
    for picture in pictures:
        pdf.press(sheet(plain, picture), kept=kept)
    assert len(done) == len(plain)
