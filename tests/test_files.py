"""Files of strangers: what is opened, what is refused, and what is said of it."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from linenleaf.core.files import LARGEST_TEXT, beside, noting, read_bytes, read_text, unsaved_texts
from linenleaf.core.source import Source
from linenleaf.resolve.pictures import Album
from linenleaf.resolve.read import read

from tests.rasters import DAMAGED, SOUND, png
from tests.sources import SMALL, folder_with

PLACE = Source("chart.linen", "story").span(0, 5)


def names(findings) -> list[str]:
    return [each.name for each in findings]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "secret.md").write_text("SECRET", "utf-8")
    home = tmp_path / "chart"
    (home / "deep").mkdir(parents=True)
    (home / "story.md").write_text("x", "utf-8")
    (home / "deep" / "reeds.md").write_text("x", "utf-8")
    (home / "out.md").symlink_to(tmp_path / "secret.md")
    (home / "way-out").symlink_to(tmp_path)
    (home / "within.md").symlink_to(home / "story.md")
    (home / "ring").symlink_to(home / "ring")
    return home


@pytest.mark.parametrize("written", ["story.md", "deep/reeds.md", "deep/../story.md", "within.md"])
def test_files_in_the_folder_are_found(folder, written):
    path, findings = beside(folder, folder, written, PLACE)
    assert findings == ()
    assert path is not None
    assert path.is_file()


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("../secret.md", "outside-folder"),
        ("deep/../../secret.md", "outside-folder"),
        ("../chart/../secret.md", "outside-folder"),
        ("out.md", "outside-folder"),
        ("way-out/secret.md", "outside-folder"),
        ("/etc/passwd", "outside-folder"),
        ("~/secret.md", "outside-folder"),
        ("C:/secret.md", "outside-folder"),
        ("c:secret.md", "outside-folder"),
        ("\\\\host\\share", "address-refused"),
        ("//host/share", "address-refused"),
        ("https://example.org/a.md", "address-refused"),
        ("file:///etc/passwd", "address-refused"),
        ("data:text/plain,x", "address-refused"),
        ("deep\\reeds.md", "bad-path"),
        ("none.md", "missing-file"),
        ("../none.md", "outside-folder"),
        ("story.md/x", "missing-file"),
        ("ring", "cannot-read"),
        ("x" * 5000, "cannot-read"),
        ("a\x00b", "hidden-character"),
        ("story.md\u00a0", "hidden-character"),
        ("sto\u202ery.md", "hidden-character"),
        ("", "missing-file-name"),
        ("   ", "missing-file-name"),
    ],
)
def test_everything_else_is_refused(folder, written, name):
    path, findings = beside(folder, folder, written, PLACE)
    assert path is None
    assert names(findings) == [name]


def test_a_used_file_below_may_not_leave_the_chart_folder_either(folder):
    path, findings = beside(folder, folder / "deep", "../story.md", PLACE)
    assert path == folder / "story.md"
    path, findings = beside(folder, folder / "deep", "../../secret.md", PLACE)
    assert names(findings) == ["outside-folder"]


def test_folders_pipes_and_missing_files(tmp_path):
    os.mkfifo(tmp_path / "pipe.linen")
    (tmp_path / "folder.linen").mkdir()
    for name, finding in (
        ("pipe.linen", "not-a-file"),
        ("folder.linen", "not-a-file"),
        ("missing.linen", "missing-file"),
    ):
        design, findings = read(tmp_path / name)
        assert design is None
        assert names(findings) == [finding]
    assert names(read(Path("/dev/zero"))[1]) == ["not-a-file"]


@pytest.mark.parametrize(
    ("data", "name", "says"),
    [
        (b"", "empty-file", ""),
        (b"\n \t\n# only a remark\n", "empty-file", ""),
        (b"%PDF-1.7", "binary-file", "a PDF"),
        (b"\x89PNG\r\n\x1a\n", "binary-file", "a PNG picture"),
        (b"\xff\xd8\xff\xe0", "binary-file", "a JPEG picture"),
        (b"PK\x03\x04....", "binary-file", "office document"),
        (b"linen 1\x00", "binary-file", "not a text"),
        ("linen 1\n".encode("utf-16"), "not-utf-8", "UTF-16"),
        ('linen 1\nbooklet "Møwe"'.encode("latin-1"), "not-utf-8", "Line 2, column 11"),
        (b"linen 1\r\nkey\r\n  m \xe9", "not-utf-8", "Line 3, column 5"),
        (b"linen 1\x0c", "hidden-character", "U+000C"),
        ("linen 1 # \u2066x".encode(), "hidden-character", "U+2066"),
        ("linen 1\nkey\u200b".encode(), "hidden-character", "U+200B"),
    ],
)
def test_what_is_no_plain_text(tmp_path, data, name, says):
    path = tmp_path / "chart.linen"
    path.write_bytes(data)
    design, findings = read(path)
    assert design is None
    assert names(findings) == [name]
    assert says in findings[0].message
    assert findings[0].span is not None


def test_a_mark_of_byte_order_and_other_line_ends_are_fine(tmp_path):
    plain, _ = read(folder_with(tmp_path, SMALL))
    for ends in ("\r\n", "\r"):
        path = folder_with(tmp_path)
        path.write_bytes(b"\xef\xbb\xbf" + SMALL.replace("\n", ends).encode())
        other, findings = read(path)
        assert findings == ()
        assert other is not None
        assert plain is not None
        assert other.chart == plain.chart


def test_an_accent_typed_as_a_sign_of_its_own_is_one_character(tmp_path):
    # e and U+0301 compose to one character (Unicode Standard Annex 15, form C).
    path = folder_with(tmp_path, re.sub(r"m(?! shore)(?=[ m.])", "e\u0301", SMALL))
    design, findings = read(path)
    assert findings == ()
    assert design is not None
    assert design.key[0].symbol == "\u00e9"


def test_a_file_too_large_is_not_read(tmp_path):
    path = tmp_path / "chart.linen"
    with path.open("wb") as file:
        file.truncate(LARGEST_TEXT + 1)
    source, findings = read_text(path, "chart.linen", LARGEST_TEXT)
    assert source is None
    assert names(findings) == ["file-too-large"]
    assert "16 MiB" in findings[0].message


@pytest.mark.parametrize(
    "text",
    [
        "linen 1\nchart 12 x 1\n|" + "m" * 1_000_000 + "|\n",
        "linen 1\nchart 12 x 1\n|" + "m" * 1_000_000,
        "linen 1\nchart 12 x 1\n" + "|m" * 500_000,
        "linen 1\nbooklet " + '"' * 1_000_000,
        "linen 1\nchart " + "9" * 1_000_000 + " x 3",
        "linen 1\n" + "x" * 2_000_000,
        "linen 1\n" + "x\n" * 500_000,
        "linen 1\n" + "\n" * 2_000_000,
        "linen 1\n" + "#\n" * 2_000_000,
        "linen 1\nchart 1 x 1\n" + "|\n" * 2_000_000,
        "linen 1\nchart 1 x 1\n" + "|m|\n" * 2_000_000,
    ],
)
def test_monstrous_sources_are_answered_in_few_words(tmp_path, text):
    path = tmp_path / "chart.linen"
    path.write_text(text, "utf-8")
    design, findings = read(path)
    assert design is None
    assert len(findings) < 60
    assert all(len(each.message) < 200 for each in findings)


# --- pictures ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (SOUND["png-colour"][0], None),
        (SOUND["jpeg"][0], None),
        (SOUND["png-colour"][0][:20], "damaged-picture"),
        (DAMAGED["jpeg-cut"], "damaged-picture"),
        (png(1, 0, [[b""] * 12_001]), "picture-too-large"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "not-a-picture"),
        (b"<html>", "not-a-picture"),
        (b"", "not-a-picture"),
    ],
)
def test_pictures_are_told_by_their_content(tmp_path, data, name):
    (tmp_path / "shore.png").write_bytes(data)
    findings = Album(tmp_path).check("shore.png", PLACE)
    assert names(findings) == ([name] if name else [])


def test_the_files_that_are_named_can_be_noted(folder):
    named: set[Path] = set()
    with noting(named.add):
        for written in ("story.md", "within.md", "deep/none.csv", "out.md", "../secret.md"):
            beside(folder, folder, written, PLACE)
    beside(folder, folder, "deep/reeds.md", PLACE)
    assert named == {folder / name for name in ("story.md", "within.md", "deep/none.csv")}


def test_unsaved_texts_stand_in_for_files_and_for_files_not_there_yet(folder):
    new, story = folder / "new.md", folder / "story.md"
    before = story.read_bytes()
    with unsaved_texts({new.resolve(): b"typed", story.resolve(): b"typed anew"}):
        assert beside(folder, folder, "new.md", PLACE) == (new, ())
        assert read_bytes(folder / "." / "new.md", "new.md", 5) == (b"typed", ())
        assert read_bytes(story, "story.md", 100) == (b"typed anew", ())
        assert names(read_bytes(new, "new.md", 4)[1]) == ["file-too-large"]
        assert names(beside(folder, folder, "other.md", PLACE)[1]) == ["missing-file"]
    assert names(beside(folder, folder, "new.md", PLACE)[1]) == ["missing-file"]
    assert read_bytes(story, "story.md", len(before)) == (before, ())


def test_a_text_remembers_how_it_was_written_where_accents_were_composed(folder):
    (folder / "a.md").write_bytes("e\u0301\r\nplain".encode())
    source, _ = read_text(folder / "a.md", "a.md", 100)
    assert source.text == "\u00e9\nplain"
    assert source.as_written.text == "e\u0301\nplain"
    (folder / "a.md").write_bytes("\u00e9\r\n".encode())
    source, _ = read_text(folder / "a.md", "a.md", 100)
    assert source.as_written is source
