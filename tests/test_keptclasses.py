"""Dataclasses made with kept methods are those that `dataclass` makes; nothing kept is needed."""

import dataclasses
import sys

import pytest
from linenleaf.core.cachefolder import OFF, cache_folder
from linenleaf.core.keptclasses import NAME, kept_classes

pytestmark = pytest.mark.skipif(sys.version_info >= (3, 13), reason="Python compiles them together")


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    monkeypatch.delenv(OFF, raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    cache_folder.cache_clear()
    yield tmp_path
    cache_folder.cache_clear()


def made():
    @dataclasses.dataclass(frozen=True)
    class Skein:
        code: str
        metres: float = 8.0
        strands: list = dataclasses.field(default_factory=list, compare=False)

    return Skein


def kept():
    with kept_classes():
        return made()


@pytest.mark.parametrize("time", ["first", "again"])
def test_they_do_what_others_do(time):
    if time == "again":
        kept()
    ours, theirs = kept(), made()
    assert repr(ours("417")) == repr(theirs("417"))
    assert ours("417") == ours("417", strands=[1])
    assert ours("417") != ours("417", 9.0)
    assert hash(ours("417")) == hash(theirs("417"))
    assert dataclasses.replace(ours("417"), metres=5.0).metres == 5.0
    assert ours("417").strands is not ours("417").strands
    with pytest.raises(dataclasses.FrozenInstanceError):
        ours("417").code = "220"


def test_the_second_time_nothing_is_compiled(monkeypatch):
    kept()
    compiled = []
    monkeypatch.setattr(
        "linenleaf.core.keptclasses.compile", lambda *words: compiled.append(words), raising=False
    )
    kept()
    assert compiled == []


@pytest.mark.parametrize("harm", [b"", b"\x00", b"not what it was"])
def test_what_is_kept_may_be_harmed(harm):
    kept()
    file = cache_folder() / NAME
    whole = file.read_bytes()
    file.write_bytes(whole[: len(whole) // 2] + harm)
    assert kept()("417").metres == 8.0
    assert file.read_bytes() == whole


def test_the_module_is_left_as_it_was():
    kept()
    assert "exec" not in vars(dataclasses)
