"""Of a large chart the watch does one thing at a time, and gives back what it took."""

import gc
import queue
import re
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from linenleaf.chart.crosses import rectangles
from linenleaf.chart.options import Options
from linenleaf.core.system import give_back
from linenleaf.pictures.chart_svg import chart_svg
from linenleaf.watch import binder, jobs, watch, worker
from linenleaf.watch.jobs import BookletDone, Job, Waiting

from tests.charts import design
from tests.diff.pairs import of_grid, worked
from tests.patience import PATIENCE

CHART = """linen 1
fabric linen 28 over 2
key
  m  #3f4a2c "wrack"
chart 2 x 1
  |mm|
expect m {}
"""


def at_work(connection, _place):
    """Hold on to the first job, and do the next."""
    connection.send(Waiting())
    if connection.recv().number == 1:
        connection.send(Waiting())
        time.sleep(PATIENCE)
    connection.send(BookletDone(2, b"%PDF", 1, ()))
    connection.recv()


def test_one_that_is_no_longer_wanted_is_ended_at_once_and_the_next_is_done(monkeypatch):
    monkeypatch.setattr(jobs, "LARGE", 0)
    monkeypatch.setattr(binder, "_work", at_work)
    inbox = queue.SimpleQueue()
    process = binder.Binder(inbox.put)
    try:
        process.give(Job(1, worked(design(rows=["mm"])), Options(), picture=False))
        process.heard(inbox.get(timeout=PATIENCE))
        late = inbox.get(timeout=PATIENCE)  # that it waits again is heard only after it is ended
        process.give(Job(2, worked(design(rows=["ss"])), Options(), picture=False))
        reply = process.heard(late)
        while reply is None:
            reply = process.heard(inbox.get(timeout=PATIENCE))
        assert reply == BookletDone(2, b"%PDF", 1, ())
    finally:
        process.close()


@pytest.mark.parametrize(
    ("most", "crosses", "told"),
    [
        (jobs.LARGE, 2, ["given"]),
        (jobs.LARGE, 3, ["given", "dropped"]),
        (0, 2, ["given"]),
        (0, 3, ["dropped"]),
    ],
)
def test_it_is_bound_once_it_is_checked(tmp_path, monkeypatch, most, crosses, told):
    done = []

    class Recorded(binder.Binder):
        def start(self):
            pass

        def give(self, _job):
            done.append("given")

        def drop(self):
            done.append("dropped")

    def tell(_news):
        raise KeyboardInterrupt

    monkeypatch.setattr(jobs, "LARGE", most)
    monkeypatch.setattr(watch, "Binder", Recorded)
    chart = tmp_path / "reeds.linen"
    chart.write_text(CHART.format(crosses))
    with pytest.raises(KeyboardInterrupt):
        watch.Watch(chart, tmp_path / "reeds.pdf", watch.Asked(Options(), {}), tell).run()
    assert done == told


def held() -> int:
    """Return the MiB that this process holds, as Linux counts them."""
    rollup = Path("/proc/self/smaps_rollup").read_text()
    return int(re.search(r"^Pss_Anon: +(\d+)", rollup, re.M)[1]) // 1024


@pytest.mark.skipif(sys.platform != "linux", reason="it is GNU's C library that keeps it")
def test_memory_is_given_back():
    pieces = [bytearray(100_000) for _ in range(500)]
    last = bytearray(1000)  # holds what is below it
    high = held()
    del pieces
    gc.collect()
    give_back()
    assert held() < high - 37
    assert last


def test_a_drawing_of_too_many_boxes_is_not_written_to_know_it(monkeypatch):
    def never(*_):
        raise AssertionError

    monkeypatch.setattr(worker, "LARGEST_SVG", 200)
    monkeypatch.setattr(worker, "chart_svg", never)
    data, kind = worker.picture(worked(design(rows=["ms" * 10])))
    assert (data[:4], kind) == (b"\x89PNG", "image/png")


@pytest.mark.parametrize("high", [2, 6])
def test_no_box_takes_less_than_is_reckoned_with(high):
    grid = np.random.default_rng(5).integers(1, high, (40, 40))
    drawn = of_grid(grid)
    boxes, _ = rectangles(drawn.grid)
    assert len(chart_svg(drawn, worker.WIDTH)) > len(boxes) * worker.LEAST_OF_BOX
