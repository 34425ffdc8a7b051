"""What is kept from run to run is the user's alone, and never needed."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from linenleaf.core.cachefolder import OFF, cache_folder, keep

from tests.patience import PATIENCE

WADER = Path(__file__).resolve().parent.parent / "examples/first-wader/first-wader.linen"

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
    assert folder.parent == home
    assert {each.stat().st_mode & 0o777 for each in (home, folder)} == {0o700}


@posix
def test_it_is_shut_to_others_even_where_new_folders_are_open_to_a_group(home):
    before = os.umask(0o002)
    try:
        assert cache_folder() is not None
    finally:
        os.umask(before)


@posix
@pytest.mark.parametrize("mode", [0o770, 0o707, 0o777])
@pytest.mark.parametrize("which", ["the folder", "the one above"])
def test_nothing_is_kept_where_others_may_write(home, mode, which):
    folder = cache_folder()
    (folder if which == "the folder" else home).chmod(mode)
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


def run(cache: Path, out: Path) -> bytes:
    """The chart picture of a demo: what reads the grammar and fills in templates."""
    words = ("-m", "linenleaf", "picture", WADER, "-o", out)
    environment = {**os.environ, "XDG_CACHE_HOME": str(cache)}
    environment.pop(OFF, None)
    subprocess.run(
        [sys.executable, *words], env=environment, check=True, capture_output=True, timeout=PATIENCE
    )
    return out.read_bytes()


@posix
def test_what_was_kept_and_is_harmed_changes_nothing(tmp_path):
    first = run(tmp_path, tmp_path / "first.svg")
    kept = [each for each in tmp_path.rglob("*") if each.is_file() and each.suffix != ".svg"]
    assert "chart.tables" in {each.name for each in kept}
    assert any(each.name.startswith("template-") for each in kept)
    assert run(tmp_path, tmp_path / "again.svg") == first
    for each in kept:
        each.write_bytes(each.read_bytes()[: each.stat().st_size // 2])
    assert run(tmp_path, tmp_path / "cut.svg") == first
    for each in kept:
        each.write_bytes(b"nonsense")
    assert run(tmp_path, tmp_path / "nonsense.svg") == first


def test_what_is_kept_is_kept_whole_and_leaves_nothing_beside_it(home):
    place = cache_folder() / "words"
    keep(place, b"one")
    keep(place, b"another")
    assert place.read_bytes() == b"another"
    assert list(place.parent.iterdir()) == [place]


def test_where_nothing_can_be_written_nothing_is_kept(tmp_path):
    keep(tmp_path / "nowhere" / "words", b"one")
    (tmp_path / "taken").mkdir()
    keep(tmp_path / "taken", b"one")
    assert [each.name for each in tmp_path.iterdir()] == ["taken"]
