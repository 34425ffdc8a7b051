"""The parts of the watch by themselves: what a change is, what the page is told, its words."""

import os
import queue
import re
import shutil
import threading
import time

import pytest
from coloraide import Color
from linenleaf.chart.options import Options
from linenleaf.core.diagnostics import Hint
from linenleaf.core.source import Source
from linenleaf.templates import text
from linenleaf.watch import binder
from linenleaf.watch.events import FolderEvents, folders, stamp, stamps
from linenleaf.watch.jobs import BookletDone, Ended, Failed, Job, Waiting
from linenleaf.watch.view import MOST_SHOWN, Board, LastBooklet, LastPicture, Phase, State, view

from tests.charts import design
from tests.diff.pairs import worked
from tests.made_up import error, hint, warning
from tests.patience import PATIENCE

SOURCE = Source("reeds/reeds.linen", "linen 1\n  |ss<b>|\n")


class TestStamps:
    def test_a_file_that_stays_keeps_its_stamp(self, tmp_path):
        path = tmp_path / "a"
        path.write_text("x")
        before = stamp(path)
        path.read_text()
        assert stamp(path) == before

    def test_other_text_of_the_same_length_and_time_is_seen(self, tmp_path):
        path, other = tmp_path / "a", tmp_path / "b"
        path.write_text("x")
        os.utime(path, (1, 1))
        before = stamp(path)
        other.write_text("y")
        os.utime(other, (1, 1))
        other.replace(path)
        assert stamp(path) != before

    def test_a_file_written_in_place_with_its_old_time_is_seen(self, tmp_path):
        path = tmp_path / "a"
        path.write_text("x")
        os.utime(path, (1, 1))
        before = stamp(path)
        time.sleep(0.02)  # the clock of the disk ticks in hundredths of a second
        path.write_text("y")
        os.utime(path, (1, 1))
        assert stamp(path) != before

    def test_a_file_that_is_not_there_has_none(self, tmp_path):
        assert stamps([tmp_path / "a", tmp_path / "\0"]) == {
            tmp_path / "a": None,
            tmp_path / "\0": None,
        }

    def test_the_nearest_folder_that_is_there_is_watched(self, tmp_path):
        (tmp_path / "deep").mkdir()
        assert folders([tmp_path / "deep" / "a", tmp_path / "none" / "none" / "b"]) == {
            tmp_path,
            tmp_path / "deep",
        }


class TestEvents:
    @pytest.fixture
    def woken(self):
        return threading.Event()

    @pytest.fixture
    def events(self, woken):
        events = FolderEvents(woken.set)
        yield events
        events.close()

    def saves(self, woken, act):
        woken.clear()
        act()
        return woken.wait(20)

    def test_every_way_to_save_wakes(self, events, woken, tmp_path):
        chart = tmp_path / "a"
        events.follow(frozenset({tmp_path}))
        assert self.saves(woken, lambda: chart.write_text("x"))

        def rename():
            (tmp_path / "other").write_text("y")
            (tmp_path / "other").replace(chart)

        assert self.saves(woken, rename)
        assert self.saves(woken, chart.unlink)
        assert self.saves(woken, lambda: chart.write_text("z"))

    def test_a_folder_that_was_made_anew_is_watched_anew(self, events, woken, tmp_path):
        folder = tmp_path / "reeds"
        folder.mkdir()
        events.follow(frozenset({folder}))
        shutil.rmtree(folder)
        events.follow(folders([folder / "a"]))
        assert self.saves(woken, folder.mkdir)
        events.follow(folders([folder / "a"]))
        assert self.saves(woken, lambda: (folder / "a").write_text("x"))

    def test_a_folder_that_is_not_there_is_no_fault(self, events, tmp_path):
        events.follow(frozenset({tmp_path / "none"}))
        assert not events.deaf


class TestBinder:
    def test_a_job_that_follows_one_that_is_done_is_given_all_the_time_it_needs(self, monkeypatch):
        """Only what is no longer wanted has to let go soon."""
        monkeypatch.setattr(binder, "PATIENCE", -1)
        inbox = queue.SimpleQueue()
        process = binder.Binder(inbox.put)

        def until(*kinds):
            while not isinstance(heard := inbox.get(timeout=PATIENCE), kinds):
                process.heard(heard)
                process.guard()
            return process.heard(heard) or heard

        try:
            for number in (1, 2):
                process.give(Job(number, worked(design(rows=["mm"])), Options(), picture=False))
                process.guard()
                assert isinstance(until(BookletDone, Failed, Ended), BookletDone)
                until(Waiting)
        finally:
            process.close()


class TestBoard:
    def test_who_waits_hears_of_a_change(self):
        board = Board(State("a.linen"))
        version = board.version
        threading.Timer(0.05, board.post, kwargs={"title": "Reeds"}).start()
        assert board.wait(version, 60) != version
        assert board.state.title == "Reeds"

    def test_a_change_before_the_waiting_is_heard_at_once(self):
        board = Board(State("a.linen"))
        version = board.version
        board.post(title="Reeds")
        assert board.wait(version, 60) != version

    def test_closing_lets_all_go(self):
        board = Board(State("a.linen"))
        threading.Timer(0.05, board.close).start()
        assert board.wait(board.version, 60) == board.version
        assert board.closed


class TestWords:
    FAULT = error("ragged-row", "Row `1` of `x` is short.", SOURCE.span(11, 16), "add to `it`")
    CARE = warning("unused", "A tick ` alone.", SOURCE.span(0, 5), Hint("here", SOURCE.span(6, 7)))

    def test_before_the_first_reading(self):
        shown = view(State("reeds/reeds.linen"))
        assert (shown.mood, shown.verdict) == ("waiting", "Reading the chart")
        assert (shown.title, shown.file, shown.size) == ("reeds", "reeds.linen", "")
        assert not shown.has_booklet

    def test_all_well(self):
        picture = LastPicture(3, b"", "image/svg+xml", "10:00:00")
        shown = view(State("r.linen", "Reeds", 1200, 80, 3, "10:00:00", (), True, picture))
        assert (shown.mood, shown.verdict) == ("well", "All well")
        assert shown.size == "1,200 × 80 crosses"
        assert (shown.picture, shown.drawing, shown.old) == (3, False, "")

    def test_a_newer_picture_is_on_its_way(self):
        picture = LastPicture(2, b"", "image/svg+xml", "10:00:00")
        shown = view(State("r.linen", "Reeds", 9, 9, 3, "10:00:05", (), True, picture))
        assert (shown.picture, shown.drawing, shown.old) == (2, True, "")

    def test_broken(self):
        picture = LastPicture(2, b"", "image/svg+xml", "10:00:00")
        found = (self.CARE, self.FAULT)
        shown = view(State("r.linen", "Reeds", 9, 9, 3, "10:00:05", found, False, picture))
        assert (shown.mood, shown.verdict) == ("broken", "1 error, 1 warning")
        assert (shown.picture, shown.drawing, shown.old) == (2, False, "10:00:00")
        assert [(each.level, each.heading) for each in shown.groups] == [
            ("error", "Errors"),
            ("warning", "Warnings"),
        ]
        [fault], [care] = (each.findings for each in shown.groups)
        assert fault.message == ("Row ", "1", " of ", "x", " is short.")
        assert fault.place.words == "reeds.linen:2:4"
        excerpt = fault.place.excerpt
        assert (excerpt.before, excerpt.marked, excerpt.after) == ("  |", "ss<b>", "|")
        assert [each.message for each in fault.hints] == [("add to ", "it", "")]
        assert care.message == ("A tick ` alone.",)
        assert care.hints[0].place.words == "reeds.linen:1:7"

    def test_a_flood_of_findings_is_cut_and_counted_and_errors_come_first(self):
        many = tuple(hint("h", "H.", SOURCE.span(0, 1)) for _ in range(MOST_SHOWN + 7))
        shown = view(State("r.linen", number=1, findings=(*many, self.FAULT)))
        assert [each.level for each in shown.groups] == ["error", "hint"]
        assert shown.more == 8

    @pytest.mark.parametrize(
        ("booklet", "words"),
        [
            (LastBooklet(), "No booklet yet."),
            (LastBooklet(Phase.BINDING), "Building."),
            (
                LastBooklet(Phase.BINDING, "10:00:00", 6),
                "Building again; the last has 6 pages, built at 10:00:00.",
            ),
            (LastBooklet(Phase.BUILT, "10:00:00", 6), "6 pages, built at 10:00:00."),
            (
                LastBooklet(Phase.KEPT, "10:00:00", 6),
                "The last good one stays: 6 pages, built at 10:00:00.",
            ),
            (LastBooklet(Phase.FAILED, "", 0, "The disk is full."), "Not built. The disk is full."),
        ],
    )
    def test_the_booklet(self, booklet, words):
        assert view(State("r.linen", booklet=booklet)).booklet == words


# WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text; the ratio by coloraide.
PAIRS = [
    *[(ink, ground) for ink in ("ink", "soft", "accent") for ground in ("ground", "card", "spot")],
    *[(level, "card") for level in ("error", "warning", "hint", "well")],
    *[(level, "ground") for level in ("error", "warning", "well", "soft")],
    ("soft", "well-ground"),
    ("ink", "mark"),
    ("on-accent", "accent"),
    ("card", "error"),
]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("ink", "ground"), PAIRS)
def test_the_words_of_the_page_stand_out(scheme, ink, ground):
    light, dark = re.findall(r":root \{(.*?)\}", text("watch.css"), re.DOTALL)
    values = dict(re.findall(r"--([\w-]+): (#\w{6})", light if scheme == "light" else dark))
    assert Color(values[ink]).contrast(values[ground], method="wcag21") >= 4.5


def test_the_page_names_nothing_outside_itself():
    for name in ("watch.html.j2", "watch.css", "watch.js"):
        assert not re.search(r"https?:|//[a-z]+\.", text(name).replace("// ", ""), re.IGNORECASE)
