"""What the press opens, what it refuses, and what it hears."""

from __future__ import annotations

import gc
import io
import logging
import subprocess
import sys

import pikepdf
import pydyf
import pytest
from linenleaf.pdf.renderer import Sheet, press
from PIL import Image

from tests.patience import PATIENCE

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


WITHOUT = """\
import ctypes.util, cffi, sys
def none(self, *names, **more):
    raise OSError("cannot load library")
cffi.FFI.dlopen = none
import linenleaf.booklet.book
from linenleaf.pdf.renderer import MissingLibraries, Sheet, press
from pathlib import Path
try:
    press(Sheet("<p>x</p>", "", Path(".")))
except MissingLibraries as missing:
    print(missing)
"""


def test_missing_system_libraries_are_told_with_the_command_to_run():
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT],
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE,
    )
    assert done.returncode == 0, done.stderr
    for name in ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0", "libcairo2"):
        assert name in done.stdout
    assert "Traceback" not in done.stdout + done.stderr


def test_references_of_pages_are_worked_out_once_and_follow_added_pages():
    made = pydyf.PDF()
    assert made.page_references == ()
    pages = []
    for _ in range(2):
        pages.append(pydyf.Dictionary({"Type": "/Page"}))
        made.add_page(pages[-1])
        assert made.page_references == tuple(b"%d 0 R" % each.number for each in pages)
        assert made.page_references is made.page_references
