"""A stranger's folder: what stands where an output goes is never written through."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from linenleaf.cli import main
from linenleaf.pdf.enclosed import enclosed

pytestmark = pytest.mark.skipif(os.name != "posix", reason="links and pipes as POSIX has them")

PRECIOUS = b"precious"
CHART = """\
linen 1
fabric linen 32 over 2
key
m  #3f4a2c "wrack"
chart 2 x 1
  |mm|
"""


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Iterator[Path]:
    """A folder with a chart that is not tidy, and beside it a file that is nobody's business."""
    (tmp_path / "precious").write_bytes(PRECIOUS)
    folder = tmp_path / "strange"
    folder.mkdir()
    (folder / "reed.linen").write_text(CHART, "utf-8")
    (folder / "old.linen").write_text(CHART.replace("|mm|", "|m.|"), "utf-8")
    monkeypatch.chdir(folder)
    yield folder
    assert (tmp_path / "precious").read_bytes() == PRECIOUS
    assert [each.name for each in folder.iterdir() if each.name.startswith(".")] == []


def link(path: Path) -> None:
    path.symlink_to("../precious")


def link_to_nothing_yet(path: Path) -> None:
    path.symlink_to("../not-there-yet")


def ring(path: Path) -> None:
    path.symlink_to("other-" + path.name)
    path.with_name("other-" + path.name).symlink_to(path.name)


def pipe(path: Path) -> None:
    os.mkfifo(path)


def bound(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as made:
        made.bind(path.name)  # a whole path may be too long for a socket


def folder_in_place(path: Path) -> None:
    path.mkdir()


TRAPS: list[tuple[Callable[[Path], None], str]] = [
    (link, "is a link, and nothing is written through a link"),
    (link_to_nothing_yet, "is a link, and nothing is written through a link"),
    (ring, "is a link, and nothing is written through a link"),
    (pipe, "is not a plain file"),
    (bound, "is not a plain file"),
    (folder_in_place, "is a folder"),
]
OUTPUTS = [
    (["build", "reed.linen"], "reed.pdf"),
    (["build", "reed.linen", "-o", "out.pdf"], "out.pdf"),
    (["picture", "reed.linen"], "reed.png"),
    (["picture", "reed.linen", "-o", "out.svg"], "out.svg"),
    (["watch", "reed.linen", "--no-page"], "reed.pdf"),
    (["watch", "reed.linen", "-o", "out.pdf"], "out.pdf"),
    (["diff", "old.linen", "reed.linen", "-o", "out.png"], "out.png"),
    (["errata", "old.linen", "reed.linen", "-o", "out.pdf"], "out.pdf"),
    (["bring", "cells.csv", "--range", "shore.csv", "-o", "out.linen"], "out.linen"),
]


def run(*words: str) -> Result:
    done = CliRunner().invoke(main, words)
    assert done.exception is None or isinstance(done.exception, SystemExit)
    return done


@pytest.mark.parametrize(("trap", "says"), TRAPS, ids=lambda each: getattr(each, "__name__", ""))
@pytest.mark.parametrize(("words", "name"), OUTPUTS, ids=lambda each: "")
def test_what_is_no_plain_file_is_refused_and_stays(folder, trap, says, words, name):
    (folder / "cells.csv").write_text("1\n", "utf-8")
    (folder / "shore.csv").write_text("code,name,colour\n1,dune,#d5c090\n", "utf-8")
    trap(folder / name)
    before = (folder / name).lstat()
    done = run(*words)
    assert done.exit_code == 2
    assert f"linenleaf: {name} {says}" in done.stderr
    assert done.stdout == ""
    after = (folder / name).lstat()
    assert (after.st_ino, after.st_mode) == (before.st_ino, before.st_mode)


def test_the_default_sheet_of_corrections_is_refused_too(folder):
    name = run("errata", "old.linen", "reed.linen").stdout.splitlines()[-1]
    (folder / name).unlink()
    link(folder / name)
    done = run("errata", "old.linen", "reed.linen")
    assert done.exit_code == 2
    assert f"{name} is a link" in done.stderr


def test_tidy_leaves_a_link_and_what_it_leads_to(folder):
    (folder.parent / "far.linen").write_text(CHART, "utf-8")
    (folder / "far.linen").symlink_to("../far.linen")
    done = run("tidy", "far.linen")
    assert (done.exit_code, done.stdout) == (2, "")
    assert "far.linen is a link" in done.stderr
    assert (folder.parent / "far.linen").read_text("utf-8") == CHART
    assert run("tidy", "--check", "far.linen").exit_code == 1  # it is read all the same


def test_new_writes_nothing_where_a_link_leads_elsewhere(folder):
    made = folder / "made"
    made.mkdir()
    link_to_nothing_yet(made / "shore.csv")
    done = run("new", "made")
    assert done.exit_code == 2
    assert "made/shore.csv is already there; nothing was written." in done.stderr
    assert [each.name for each in made.iterdir()] == ["shore.csv"]


def test_folders_that_are_links_in_a_ring_are_told(folder):
    ring(folder / "round")
    for words in (["new", "round"], ["build", "reed.linen", "-o", "round/out.pdf"]):
        done = run(*words)
        assert done.exit_code == 2
        assert "Traceback" not in done.output


def test_a_chart_is_never_overwritten_by_its_own_picture(folder):
    picture = folder / "reed.png"
    assert run("picture", "reed.linen", "-o", "reed.png").exit_code == 0
    before = picture.read_bytes()
    text = CHART.replace("fabric", 'booklet "Reed"\n  cover reed.png\nfabric', 1)
    (folder / "reed.linen").write_text(text, "utf-8")
    done = run("picture", "reed.linen")
    assert done.exit_code == 2
    assert "reed.png is a file that the chart is made of" in done.stderr
    assert picture.read_bytes() == before


@pytest.mark.parametrize("command", ["check", "tidy", "diff"])
def test_a_pipe_in_place_of_a_chart_is_told_at_once(folder, command):
    os.mkfifo(folder / "pipe.linen")
    words = [command, "pipe.linen"]
    if command == "diff":
        words.append("reed.linen")
    done = subprocess.run(
        [sys.executable, "-m", "linenleaf", *words],
        capture_output=True,
        text=True,
        timeout=30,
        check=False,
    )
    assert done.returncode in (1, 2)
    assert "pipe.linen" in done.stdout + done.stderr
    assert "Traceback" not in done.stderr


def test_a_pipe_in_place_of_a_profile_is_told_at_once(folder):
    os.mkfifo(folder / "press.icc")
    done = run("build", "reed.linen", "--for", "print", "--profile", "press.icc")
    assert done.exit_code == 2
    assert "`press.icc` is not a plain file" in done.stderr


def test_a_folder_is_searched_without_following_links(folder):
    (folder.parent / "beyond").mkdir()
    (folder.parent / "beyond" / "far.linen").write_text(CHART, "utf-8")
    (folder / "beyond").symlink_to("../beyond")
    (folder / "far.linen").symlink_to("../beyond/far.linen")
    (folder / ".hidden").mkdir()
    (folder / ".hidden" / "kept.linen").write_text("broken", "utf-8")
    done = run("tidy", ".")
    (folder / ".hidden" / "kept.linen").unlink()
    (folder / ".hidden").rmdir()
    assert done.exit_code == 0
    assert done.stdout.splitlines() == ["old.linen", "reed.linen"]
    assert done.stderr == "far.linen: a link, skipped.\n2 files: 2 tidied.\n"
    assert (folder.parent / "beyond" / "far.linen").read_text("utf-8") == CHART


def test_sources_whose_names_are_no_text_are_enclosed_under_one(folder):
    name = os.fsdecode(b"re\xe9d.linen")
    (folder / name).write_text(CHART, "utf-8")
    [one] = enclosed(folder, [folder / name])
    assert one.path == "re<U+DCE9>d.linen"
