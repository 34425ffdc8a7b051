"""Outputs are whole whatever happens: killed runs, full disks, folders that can only be read."""

import os
import random
import re
import resource
import shutil
import signal
import subprocess
import sys
import time
from contextlib import contextmanager
from multiprocessing import get_context

import pytest
from linenleaf.core.output import STALE, UNFINISHED

from tests import book_chart, doomed
from tests.end_to_end.conftest import Ran
from tests.patience import PATIENCE

KILLS = 50
BUILDS = 12
OLD = b"the last good booklet"

pytestmark = pytest.mark.skipif(os.name != "posix", reason="kills as POSIX does")


@pytest.fixture(scope="module")
def processes():
    """Processes that begin with everything loaded, so that a kill falls into the work itself."""
    context = get_context("forkserver")
    context.set_forkserver_preload(doomed.PRELOAD)
    return context


def finish(processes, work, *arguments):
    """Run to the end; return the status and the seconds it took."""
    process = processes.Process(target=work, args=arguments)
    begun = time.perf_counter()
    process.start()
    process.join()
    return process.exitcode, time.perf_counter() - begun


def kill(processes, after, work, *arguments):
    process = processes.Process(target=work, args=arguments)
    process.start()
    process.join(after)
    process.kill()
    process.join()


def unfinished(folder, name):
    """The hidden files that killed runs left; there must be nothing else that is hidden."""
    form = re.compile(rf"\.{re.escape(name)}\.\w{{8}}{re.escape(UNFINISHED)}")
    hidden = [each for each in folder.iterdir() if each.name.startswith(".")]
    assert all(form.fullmatch(each.name) for each in hidden)
    return hidden


def test_a_build_killed_at_any_time_leaves_a_whole_booklet(processes, tmp_path):
    folder = tmp_path / "reed"
    folder.mkdir()
    chart, booklet = folder / "reed.linen", folder / "reed.pdf"
    chart.write_text(book_chart.PLAIN, "utf-8")
    (tmp_path / "for a while").mkdir()
    build = (doomed.build, str(chart), str(booklet), str(tmp_path / "for a while"))
    assert finish(processes, *build)[0] == 0
    first = booklet.read_bytes()
    chart.write_text(chart.read_text("utf-8").replace('booklet "', 'booklet "Second '), "utf-8")
    status, seconds = finish(processes, *build)
    assert status == 0
    second = booklet.read_bytes()
    assert second != first

    draw = random.Random(6)
    for number in range(BUILDS):
        booklet.write_bytes(first)
        # One in each twelfth of the time that a build takes.
        kill(processes, seconds * (number + draw.random()) / BUILDS, *build)
        assert booklet.read_bytes() in (first, second)
        unfinished(folder, booklet.name)

    # Nothing that they left is in the way, and it goes once nobody can be writing it any more.
    left = unfinished(folder, booklet.name)
    for each in left:
        os.utime(each, (0, time.time() - STALE - 1))
    assert finish(processes, *build)[0] == 0
    assert booklet.read_bytes() == second
    assert unfinished(folder, booklet.name) == []
    shutil.rmtree(tmp_path / "for a while")  # a megabyte of faces from each that was killed


def test_a_writer_killed_at_any_time_leaves_a_whole_file(processes, tmp_path):
    path = tmp_path / "booklet.pdf"
    first, second = b"1" * 3_000_000, b"2" * 2_000_000
    path.write_bytes(first)
    draw = random.Random(7)
    for _ in range(KILLS):
        kill(processes, draw.random() * 0.04, doomed.write_for_ever, path, first, second)
        assert path.read_bytes() in (first, second)
    unfinished(tmp_path, path.name)


def test_a_writer_killed_before_any_of_its_lines_leaves_a_whole_file(processes, tmp_path):
    path = tmp_path / "booklet.pdf"
    path.write_bytes(OLD)
    seen = set()
    status, line = -signal.SIGKILL, 0
    while status == -signal.SIGKILL:
        path.write_bytes(OLD)
        status, _ = finish(processes, doomed.die_at_line, path, b"new", line)
        data = path.read_bytes()
        assert data in (OLD, b"new")
        seen.add((data, bool(unfinished(tmp_path, path.name))))
        for each in unfinished(tmp_path, path.name):
            each.unlink()
        line += 1
    assert status == 0
    # Killed before, in the middle and after.
    assert seen == {(OLD, False), (OLD, True), (b"new", False)}


def run(folder, *words, limit=None, by=()):
    """Run the command, with a limit on the size of a file in bytes; by: what starts it."""

    def lower():
        if limit is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    done = subprocess.run(
        [*by, sys.executable, "-m", "linenleaf", *words],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=PATIENCE,
        check=False,
        preexec_fn=lower,
    )
    return Ran(done.returncode, done.stdout, done.stderr)


def made_by(command):
    return [command, "--of", "chart"] if command == "picture" else [command, "--whole"]


@contextmanager
def disk(place, *options):
    """A small disk in memory at a place, for those who may mount one."""
    place.mkdir()
    words = ["mount", "-t", "tmpfs", "-o", ",".join(("size=8k", *options)), "tmpfs", str(place)]
    if (
        os.geteuid()
        or shutil.which("mount") is None
        or subprocess.run(words, check=False).returncode
    ):
        pytest.skip("no disk can be mounted here")
    try:
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


def told_plainly(ran, words):
    assert ran.status == 2
    [line] = ran.err.splitlines()
    assert line.startswith("linenleaf: ")
    assert words in line
    assert ran.out == ""


COMMANDS = [("build", "out.pdf"), ("picture", "out.svg")]  # each larger than 8 KiB


@pytest.mark.parametrize(("command", "name"), COMMANDS)
def test_a_full_disk_is_told_plainly(bench, command, name):
    with disk(bench.folder / "small") as small:
        target = small / name
        target.write_bytes(OLD)
        told_plainly(
            bench.ask(*made_by(command), "knots.linen", "-o", str(target)), "the disk is full"
        )
        assert target.read_bytes() == OLD
        assert [each.name for each in small.iterdir()] == [name]


@pytest.mark.parametrize(("command", "name"), COMMANDS)
def test_a_file_that_may_not_grow_so_large_is_told_plainly(bench, command, name):
    target = bench.folder / name
    target.write_bytes(OLD)
    ran = run(bench.folder, *made_by(command), "knots.linen", "-o", name, limit=8_000)
    told_plainly(ran, "a file this large is not allowed there; choose another place")
    assert target.read_bytes() == OLD
    assert unfinished(bench.folder, name) == []


@pytest.mark.parametrize(("command", "name"), COMMANDS)
def test_a_disk_that_can_only_be_read_is_told_plainly(bench, command, name):
    with disk(bench.folder / "small", "ro") as small:
        ran = bench.ask(*made_by(command), "knots.linen", "-o", str(small / name))
        told_plainly(ran, "that place can only be read")


# Root may write anywhere, but not without this power (capabilities(7)), which setpriv(1) takes.
POWERLESS = ["setpriv", "--bounding-set=-dac_override"] if os.geteuid() == 0 else []


@pytest.mark.skipif(bool(POWERLESS) and not shutil.which("setpriv"), reason="no setpriv for root")
def test_a_folder_that_can_only_be_read_is_told_plainly(bench):
    out = bench.folder / "out"
    out.mkdir()
    (out / "out.svg").write_bytes(OLD)
    out.chmod(0o555)
    try:
        words = (*made_by("picture"), "knots.linen", "-o", "out/out.svg")
        told_plainly(run(bench.folder, *words, by=POWERLESS), "writing there is not allowed")
        assert (out / "out.svg").read_bytes() == OLD
    finally:
        out.chmod(0o755)
