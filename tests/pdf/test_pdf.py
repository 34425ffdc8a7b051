"""What the press opens, what it refuses, and what it hears."""

from __future__ import annotations

import gc
import io
import logging

import pikepdf
import pytest
from linenleaf.pdf.remarks import in_plain_words
from linenleaf.pdf.renderer import Sheet, press
from PIL import Image

PAGE = '<html lang="en-GB"><head><title>Reed</title></head><body>{}</body></html>'
STYLE = """
@font-face { font-family: "Leaf Sans"; src: url(face:SourceSansPro-Regular.ttf) }
body { font-family: "Leaf Sans" }
"""


def printed(body, folder, **more):
    return press(Sheet(PAGE.format(body), STYLE, folder, **more))


@pytest.fixture
def folder(tmp_path):
    Image.new("RGB", (8, 8), "#3f4a2c").save(tmp_path / "reed.png")
    return tmp_path


def test_a_picture_is_printed_from_memory(folder):
    files = {"folder:reed.png": ((folder / "reed.png").read_bytes(), "image/png")}
    made = printed('<img src="folder:reed.png" alt="a reed">', folder, files=files)
    assert made.remarks == ()
    with pikepdf.open(io.BytesIO(made.data)) as pdf:
        assert len(pdf.pages[0].get_images()) == 1


@pytest.mark.parametrize(
    "address",
    [
        "folder:reed.png",
        "reed.png",
        "file:///etc/hostname",
        "https://example.org/reed.png",
        "http://127.0.0.1:9/reed.png",
        "face:../../secret.ttf",
        "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg'/%3E",
        "ftp://example.org/reed.png",
    ],
)
def test_everything_else_is_refused_and_remarked(folder, address):
    made = printed(f'<img src="{address}" alt="a reed">', folder)
    assert made.remarks
    assert all(level >= logging.WARNING for level, _ in made.remarks)
    with pikepdf.open(io.BytesIO(made.data)) as pdf:
        assert len(pdf.pages[0].get_images()) == 0


def test_what_the_renderer_warns_of_is_handed_on_and_not_printed(folder, capfd):
    made = printed('<p style="colour: red">x</p>', folder)
    assert any("colour" in words for _, words in made.remarks)
    assert capfd.readouterr() == ("", "")


def test_the_search_for_garbage_goes_on_afterwards(folder):
    assert gc.isenabled()
    printed("<p>x</p>", folder)
    assert gc.isenabled()


def test_a_letter_that_no_shipped_face_has_is_remarked(folder):
    """U+12000 is a cuneiform sign, U+2654 a chess king; neither face has them."""
    for letter in ("\U00012000", "\u2654"):
        made = printed(f"<p>reed {letter}</p>", folder)
        assert any(letter in words for _, words in made.remarks)
    assert printed("<p>Saltmarsh – ½ € ž ŋ</p>", folder).remarks == ()


def test_letters_that_no_face_has_are_told_of_together_and_in_plain_words():
    said = ".notdef glyph rendered for Unicode string unsupported by fonts:"
    remarks = [(30, f'{said} "{letter}" (U+{ord(letter):04X})') for letter in "漢字漢"]
    assert list(in_plain_words([(30, "Overflow."), *remarks])) == [
        (30, "Overflow."),
        (
            30,
            "The faces of the booklet lack 漢字, and no other face here has them: "
            "empty boxes are printed.",
        ),
    ]
