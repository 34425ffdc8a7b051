"""Files are written whole or not at all."""

import os
import stat
import time

import pytest
from linenleaf.core.output import STALE, UNFINISHED, CannotWrite, write_whole


def leftovers(folder):
    return [each.name for each in folder.iterdir() if each.name.startswith(".")]


def test_a_new_file_has_the_usual_permissions(tmp_path):
    path = tmp_path / "new.pdf"
    plain = tmp_path / "plain"
    plain.touch()
    write_whole(path, b"content")
    assert path.read_bytes() == b"content"
    assert path.stat().st_mode == plain.stat().st_mode


def test_an_old_file_keeps_its_permissions(tmp_path):
    path = tmp_path / "old.pdf"
    path.write_bytes(b"old")
    path.chmod(0o640)
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_failure_while_writing_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch):
    path = tmp_path / "booklet.pdf"
    path.write_bytes(b"old")

    def full(_descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(CannotWrite, match="the disk is full; make room"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert leftovers(tmp_path) == []


def test_what_a_killed_run_left_long_ago_goes_with_the_next_write(tmp_path):
    path = tmp_path / "booklet.pdf"
    old = tmp_path / f".booklet.pdf.k3j2h1_a{UNFINISHED}"
    now = tmp_path / f".booklet.pdf.k3j2h1_b{UNFINISHED}"
    other = tmp_path / f".other.pdf.k3j2h1_a{UNFINISHED}"
    own = tmp_path / ".booklet.pdf.settings"
    for each in (old, now, other, own):
        each.write_bytes(b"half")
    for each in (old, other, own):
        os.utime(each, (0, time.time() - STALE - 1))
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert not old.exists()
    # One may still be written, one belongs to another output, one is the user's own.
    assert now.exists()
    assert other.exists()
    assert own.exists()


def test_a_long_name_leaves_room_for_the_hidden_file(tmp_path):
    path = tmp_path / ("ü" * 125 + ".pdf")  # 254 of the 255 bytes that most disks allow
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"


def test_a_missing_folder_is_told(tmp_path):
    with pytest.raises(CannotWrite, match="make the folder first"):
        write_whole(tmp_path / "nowhere" / "booklet.pdf", b"x")


def test_a_folder_in_place_of_a_file_is_told(tmp_path):
    with pytest.raises(CannotWrite, match="is a folder"):
        write_whole(tmp_path, b"x")


def test_a_link_put_there_at_the_last_moment_is_replaced_and_not_followed(tmp_path, monkeypatch):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_bytes(b"precious")
    path = tmp_path / "booklet.pdf"
    forced = os.fsync

    def meanwhile(descriptor):
        path.symlink_to(elsewhere)
        forced(descriptor)

    monkeypatch.setattr(os, "fsync", meanwhile)
    write_whole(path, b"new")
    assert elsewhere.read_bytes() == b"precious"
    assert not path.is_symlink()
    assert path.read_bytes() == b"new"


def test_a_second_name_of_a_file_elsewhere_lets_go_of_it(tmp_path):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_bytes(b"precious")
    path = tmp_path / "booklet.pdf"
    path.hardlink_to(elsewhere)
    write_whole(path, b"new")
    assert elsewhere.read_bytes() == b"precious"


def test_an_interruption_leaves_nothing(tmp_path, monkeypatch):
    def interrupted(_descriptor):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_whole(tmp_path / "booklet.pdf", b"new")
    assert leftovers(tmp_path) == []
