"""What is kept from run to run is the user's alone, and never needed."""

import errno
import os
import time
from pathlib import Path

import pytest
from lark import Lark, UnexpectedInput
from linenleaf.core import cache
from linenleaf.core.cache import OFF, cache_folder, get, put
from linenleaf.grammar import TABLES, chart_parser
from linenleaf.syntax.notation import notation

posix = pytest.mark.skipif(os.name != "posix", reason="owners and modes are those of POSIX")


@pytest.fixture(autouse=True)
def _asked_anew():
    cache_folder.cache_clear()
    yield
    cache_folder.cache_clear()


@pytest.fixture
def home(tmp_path, monkeypatch):
    """A home for caches (XDG Base Directory Specification 0.8)."""
    monkeypatch.delenv(OFF, raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path / "linenleaf"


@posix
def test_the_folder_lies_in_the_users_place_for_caches_and_is_shut_to_others(home):
    folder = cache_folder()
    assert folder is not None
    assert folder == home
    assert home.stat().st_mode & 0o777 == 0o700


@posix
def test_it_is_shut_to_others_even_where_new_folders_are_open_to_a_group(home):
    before = os.umask(0o002)
    try:
        assert cache_folder() is not None
    finally:
        os.umask(before)


@posix
@pytest.mark.parametrize("mode", [0o770, 0o707, 0o777])
def test_nothing_is_kept_where_others_may_write(home, mode):
    cache_folder().chmod(mode)
    cache_folder.cache_clear()
    assert cache_folder() is None


@posix
def test_nothing_is_kept_behind_a_link(home, tmp_path):
    (tmp_path / "elsewhere").mkdir(mode=0o700)
    home.symlink_to(tmp_path / "elsewhere")
    assert cache_folder() is None


@posix
def test_nothing_is_kept_where_a_file_is_in_the_way(home):
    home.write_text("not a folder")
    assert cache_folder() is None


def test_nothing_is_kept_when_that_is_not_wished(home, monkeypatch):
    monkeypatch.setenv(OFF, "1")
    assert cache_folder() is None
    assert not home.exists()


HARM = {
    "empty": lambda _: b"",
    "cut off": lambda data: data[: len(data) // 2],
    "nonsense": lambda _: b"nonsense" * 99,
    "one bit in the middle": lambda data: flipped(data, len(data) // 2),
    "one bit at the end": lambda data: flipped(data, len(data) - 1),
    "the checksum": lambda data: flipped(data, 0),
}


def flipped(data: bytes, at: int) -> bytes:
    return data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :]


@pytest.mark.parametrize("harm", HARM)
def test_what_is_not_just_as_it_was_kept_is_thrown_away(home, harm):
    put("words", "of a text", b"one, two, three")
    assert get("words", "of a text") == b"one, two, three"
    place = home / "words"
    place.write_bytes(HARM[harm](place.read_bytes()))
    assert get("words", "of a text") is None
    assert not place.exists()


def test_what_was_kept_for_something_else_is_not_taken(home, monkeypatch):
    put("words", "of a text", b"one")
    (home / "words").rename(home / "others")
    assert get("others", "of a text") is None
    put("words", "of a text", b"one")
    assert get("words", "of another text") is None
    put("words", "of a text", b"one")
    monkeypatch.setattr(cache, "__version__", "0.0.0")
    assert get("words", "of a text") is None


@pytest.mark.parametrize("way", ["a folder", "a pipe", "a link to nothing"])
def test_where_something_else_is_in_the_way_nothing_is_kept(home, way):
    place = cache_folder() / "words"
    if way == "a folder":
        (place / "within").mkdir(parents=True)
    elif way == "a pipe":
        os.mkfifo(place)
    else:
        place.symlink_to("nothing")
    assert get("words", "") is None
    put("words", "", b"one")
    assert get("words", "") in {None, b"one"}


def test_a_full_disk_keeps_nothing(home, monkeypatch):
    def full(self: Path, data: bytes) -> int:
        self.touch()
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    put("words", "", b"one")
    assert get("words", "") is None
    assert list(home.iterdir()) == []


def test_what_is_kept_is_kept_whole_and_leaves_nothing_beside_it(home):
    put("words", "", b"one")
    put("words", "", b"another")
    assert get("words", "") == b"another"
    assert [each.name for each in home.iterdir()] == ["words"]


def test_what_is_old_or_too_much_is_cleared_away(home):
    put("old", "", b"one")
    then = time.time() - cache.OLDEST - 1
    os.utime(home / "old", (then, then))
    (home / "0.1.0-cpython-311").mkdir()
    (home / "0.1.0-cpython-311" / "chart.tables").write_bytes(b"from an earlier version")
    for number in range(cache.MOST_FILES + 3):
        put(f"word {number}", "", b"one")
        os.utime(home / f"word {number}", (then + number + 99, then + number + 99))
    left = {each.name for each in home.iterdir()}
    assert len(left) <= cache.MOST_FILES + 1
    assert not left & {"old", "0.1.0-cpython-311", "word 0"}
    assert f"word {cache.MOST_FILES + 2}" in left


def parsed(parser: Lark, line: str, start: str) -> object:
    try:
        return [str(token) for token in parser.parse(line, start=start).scan_values(bool)]
    except UnexpectedInput as reason:
        return type(reason), reason.line, reason.column


LINES = ["key", "x shore 419 2 strands", "motif reed 3 by 4", 'booklet "Reed"', "noti at 3,4"]


def test_a_parser_from_the_cache_reads_as_one_made_anew(home):
    first = notation(1)
    made = []
    for _ in range(2):
        chart_parser.cache_clear()
        made.append(chart_parser(first.grammar, first.starts))
    chart_parser.cache_clear()
    assert [each.name.startswith(TABLES) for each in home.iterdir()] == [True]
    for line in LINES:
        for start in first.starts:
            assert parsed(made[1], line, start) == parsed(made[0], line, start)
