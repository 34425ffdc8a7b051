"""What a copy of the process makes, and what becomes of it when there is none."""

import errno
import os
import sys
import time
from pathlib import Path

import pytest
from linenleaf.watch import warmpress as module
from linenleaf.watch.warmpress import Aside

COPIES = pytest.mark.skipif(sys.platform != "linux", reason="copies are made on Linux only")


@pytest.fixture(autouse=True)
def _two_processors(monkeypatch):
    monkeypatch.setattr(module, "processors", lambda: 2)


@pytest.fixture
def aside():
    aside = Aside()
    yield aside
    aside.end()


def children() -> list[str]:
    return Path(f"/proc/self/task/{os.getpid()}/children").read_text().split()


@COPIES
def test_it_is_made_by_another_process(aside):
    aside.begin({"who": os.getpid, "what": lambda: b"reed" * 100_000})
    assert aside.take("who") != os.getpid()
    assert aside.take("what") == b"reed" * 100_000


def test_one_processor_keeps_to_one_process(aside, monkeypatch):
    monkeypatch.setattr(module, "processors", lambda: 1)
    aside.begin({"who": os.getpid})
    assert aside.take("who") == os.getpid()


def test_where_no_copy_can_be_made_it_is_made_here(aside, monkeypatch):
    def fork() -> int:
        raise OSError(errno.EAGAIN, "no")

    monkeypatch.setattr(os, "fork", fork)
    aside.begin({"who": os.getpid})
    assert aside.take("who") == os.getpid()


def test_where_the_copy_comes_to_grief_it_is_made_here(aside):
    here = os.getpid()

    def make() -> str:
        if os.getpid() != here:
            os._exit(1)
        return "reed"

    aside.begin({"reed": make})
    assert aside.take("reed") == "reed"


def test_a_fault_in_the_copy_is_not_hidden(aside):
    def make() -> object:
        raise ZeroDivisionError

    aside.begin({"reed": make})
    with pytest.raises(ZeroDivisionError):
        aside.take("reed")


@COPIES
@pytest.mark.parametrize("how", ["end", "begin"])
def test_no_copy_is_left_behind(aside, how):
    before = children()
    aside.begin({"reed": lambda: time.sleep(60)})
    assert len(children()) == len(before) + 1
    if how == "end":
        aside.end()
    else:
        aside.begin({})
    assert children() == before
    assert "reed" not in aside
