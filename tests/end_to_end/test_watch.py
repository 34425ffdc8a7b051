"""`linenleaf watch` as a process: it is saved to in every way that editors have."""

import io
import os
import shutil
import signal
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pypdf
import pytest

from tests.end_to_end.conftest import EXAMPLES, RANGE, SOUND, Bench, bench_in
from tests.watch.watcher import Watching, watching

LETTERS = "linen 1\n\nmotif dot 1 x 1\n  |m|\n"


def title(booklet: Path) -> str:
    """The title that an independent reader finds in a booklet, which must be whole."""
    return pypdf.PdfReader(io.BytesIO(booklet.read_bytes()), strict=True).metadata.title


def titled(words: str) -> str:
    return SOUND.replace("Two Knots", words)


def faulty(name: str) -> str:
    """A chart whose error names it, so that it is told which was read, and none is bound."""
    return SOUND.replace("chart 12", f"{name} 12")


class Elsewhere(Bench):
    """A folder whose booklet goes to another one."""

    @property
    def booklet(self) -> Path:
        return self.folder.parent / "out/knots.pdf"


@pytest.fixture(scope="module")
def watched(tmp_path_factory) -> Iterator[tuple[Bench, Watching]]:
    """A folder and its watch, in which several tests save; each leaves nothing to be told."""
    bench = Elsewhere(bench_in(tmp_path_factory.mktemp("watched") / "knots").folder)
    bench.booklet.parent.mkdir()
    words = ("knots/knots.linen", "--no-page", "-o", "out/knots.pdf")
    with watching(bench.folder.parent, *words) as watch:
        watch.well()
        yield bench, watch


def test_it_tells_findings_and_keeps_the_last_good_booklet(watched):
    bench, watch = watched
    assert title(bench.booklet) == "Two Knots"
    good = bench.booklet.read_bytes()

    bench.edit("chart 12 x 10", "chrat 12 x 10")
    watch.until("error: There is no `chrat`")
    watch.until("1 error; the booklet stays as it was at ")
    assert bench.booklet.read_bytes() == good

    # What only the checks find: by then the work on the booklet has begun.
    bench.chart.write_text(titled("Two Slips") + "\nexpect m 1\n", "utf-8")
    watch.until("1 error; the booklet stays as it was at ")
    assert bench.booklet.read_bytes() == good

    bench.chart.write_bytes(b"\xff\xfe\0half a file")
    watch.until("1 error; the booklet stays as it was at ")
    bench.chart.write_bytes(b"")
    watch.until("errors?; the booklet stays as it was at ")
    assert bench.booklet.read_bytes() == good

    bench.chart.write_text(titled("Three Knots"), "utf-8")
    watch.well()
    assert title(bench.booklet) == "Three Knots"


def test_every_way_to_save_is_seen(watched):
    bench, watch = watched
    chart, folder = bench.chart, bench.folder

    # Written beside and given the name of the old one.
    (folder / "knots.linen~").write_text(faulty("by-rename"), "utf-8")
    (folder / "knots.linen~").replace(chart)
    watch.until("There is no `by-rename`; `chart` seems to be meant")
    watch.until("the booklet stays")

    # The old one put aside, the new one written.
    chart.replace(folder / "knots.bak")
    chart.write_text(faulty("by-backup"), "utf-8")
    watch.until("There is no `by-backup`; `chart` seems to be meant")
    watch.until("the booklet stays")

    # Taken away for good, and put back much later.
    chart.unlink()
    watch.until("There is no file `knots/knots.linen`")
    watch.until("the booklet stays")
    chart.write_text(titled("Back again"), "utf-8")
    watch.well()
    assert title(bench.booklet) == "Back again"


def test_a_folder_that_was_made_anew_is_seen(watched):
    bench, watch = watched
    folder, aside = bench.folder, bench.folder.parent / "aside"
    folder.rename(aside)
    watch.until("There is no file `knots/knots.linen`")
    watch.until("the booklet stays")
    (aside / "knots.linen").write_text(faulty("anew"), "utf-8")
    shutil.copytree(aside, folder)
    watch.until("There is no `anew`; `chart` seems to be meant")
    watch.until("the booklet stays")
    bench.chart.write_text(faulty("and-again"), "utf-8")
    watch.until("There is no `and-again`; `chart` seems to be meant")
    watch.until("the booklet stays")


def test_all_files_of_the_chart_are_watched(watched):
    bench, watch = watched
    folder = bench.folder
    picture = (EXAMPLES / "saltmarsh-bands/shore.png").read_bytes()
    (folder / "words").mkdir()
    (folder / "more").mkdir()
    (folder / "more/letters.linen").write_text(LETTERS, "utf-8")
    more = SOUND.replace("story    story.md", "story    words/story.md\n  cover    reed.png")
    more = more.replace("range estuary", "use more/letters.linen\n\nrange estuary")
    bench.chart.write_text(more, "utf-8")
    # Files that are named and not there are watched too, and so are those named in them.
    watch.until("2 errors; the booklet stays")  # the story, the cover
    (folder / "words/story.md").write_text("# Reeds\n\n![](reeds.png)\n", "utf-8")
    watch.until("2 errors; the booklet stays")  # the picture in the story, the cover
    (folder / "reed.png").write_bytes(picture)
    watch.until("1 error; the booklet stays")
    (folder / "reeds.png").write_bytes(picture)
    watch.well()

    (folder / "estuary.csv").write_text(RANGE.replace("417", "416"), "utf-8")
    watch.until("errors?; the booklet stays")
    (folder / "more/letters.linen").write_text(LETTERS.replace("|m|", "|mm|"), "utf-8")
    watch.until("more/letters.linen:4:.*error")
    watch.until("errors; the booklet stays")
    (folder / "estuary.csv").write_text(RANGE, "utf-8")
    watch.until("1 error; the booklet stays")
    bench.chart.write_text(SOUND, "utf-8")
    watch.well()


def test_the_last_of_many_quick_saves_wins_and_every_booklet_is_whole(watched):
    bench, watch = watched
    seen, stop = set(), threading.Event()

    def look():
        while not stop.wait(0.002):
            if bench.booklet.exists():
                seen.add(bench.booklet.read_bytes())

    reader = threading.Thread(target=look)
    reader.start()
    try:
        for number in range(12):
            bench.chart.write_text(titled(f"Save {number}"), "utf-8")
            if number % 4 == 3:
                watch.until("all well")  # so that some fall into a build
        while title(bench.booklet) != "Save 11":
            watch.until(r"\.pdf: \d+ pages")
    finally:
        stop.set()
        reader.join()
    for data in seen:
        assert pypdf.PdfReader(io.BytesIO(data), strict=True).metadata.title
    assert [each.name for each in bench.booklet.parent.iterdir()] == ["knots.pdf"]
    assert [each.name for each in bench.folder.iterdir() if each.name.startswith(".")] == []


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="needs Linux's list of children")
class TestItsProcess:
    def test_ctrl_c_in_the_middle_of_a_build_ends_all_and_leaves_nothing_behind(
        self, bench, tmp_path
    ):
        """In a terminal it reaches all its processes; only the first of them acts on it."""
        place = tmp_path / "for a while"
        place.mkdir()
        with watching(bench.folder, "knots.linen", environment={"TMPDIR": str(place)}) as watch:
            watch.until("Watching")
            for each in watch.children():
                os.kill(each, signal.SIGINT)
            watch.until("all well")
            # WeasyPrint's folder of faces: then the pages are being set.
            while not list(place.glob("*/weasyprint-*")) and not bench.booklet.exists():
                time.sleep(0.002)
            children = watch.children()
            assert children
            for each in children:
                os.kill(each, signal.SIGINT)
            assert watch.interrupt() == 130
            watch.until("Stopped watching")
            while not all(watch.gone(each) for each in children):
                time.sleep(0.01)  # one of them is Python's own and ends when it hears of ours
            assert not any("Traceback" in line for line in watch.heard)
        assert list(place.iterdir()) == []
        assert {each.name for each in bench.folder.iterdir()} <= {
            "knots.linen",
            "knots.pdf",
            "story.md",
            "estuary.csv",
        }

    def test_it_outlives_the_process_that_binds(self, watched):
        bench, watch = watched
        for each in watch.children():
            if b"spawn_main" in Path(f"/proc/{each}/cmdline").read_bytes():
                os.kill(each, signal.SIGKILL)
        bench.chart.write_text(titled("Alive"), "utf-8")
        watch.until("all well")
        if "is not built" in watch.until(r"is not built|\.pdf: \d+ pages"):
            bench.chart.write_text(titled("Alive"), "utf-8")
            watch.well()
        assert title(bench.booklet) == "Alive"


def test_a_folder_that_is_not_there_is_told_until_it_is(watched):
    bench, watch = watched
    shutil.rmtree(bench.booklet.parent)
    bench.chart.write_text(titled("No folder"), "utf-8")
    watch.until(r"out/knots\.pdf is not built\. .* make the folder first")
    bench.booklet.parent.mkdir()
    bench.chart.touch()
    watch.well()
    assert title(bench.booklet) == "No folder"


def test_a_personal_copy_in_a_colourway_is_watched_like_any_other(bench):
    bench.edit("line mast", 'text "m" in tiny at 5,7 changeable initials\n  line mast')
    bench.edit("chart 12", "alphabet tiny height 1\n  m |m|\n  n |mm|\n\nchart 12")
    words = ("knots.linen", "--no-page", "--colourway", "dusk", "--letter", "initials=n")
    with watching(bench.folder, *words) as watch:
        watch.until("There is no colourway named dusk. The chart has: none.")
        watch.until("1 error; no booklet is built")
        bench.edit("revision", 'colourway dusk "At dusk"\n  m  estuary 220\n\nrevision')
        watch.until(r"knots--colourway-dusk-copy-n_[0-9a-f]{12}\.pdf: \d+ pages")
        bench.edit(" changeable initials", "")
        watch.until("error: No text of this chart can be replaced")
        watch.until("1 error; the booklet stays")
    assert not bench.booklet.exists()


def test_large_print_that_does_not_fit_is_misuse(bench):
    ran = bench.ask("watch", "knots.linen", "--large", "--paper", "a5")
    assert ran.status == 2
    assert "--large needs room" in ran.err


def test_a_port_that_is_taken_is_misuse(bench):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        ran = bench.ask("watch", "knots.linen", "--port", str(port))
    assert ran.status == 2
    assert f"Port {port} cannot be used" in ran.err


def test_no_chart_is_misuse(bench):
    assert bench.ask("watch", "none.linen").status == 2
