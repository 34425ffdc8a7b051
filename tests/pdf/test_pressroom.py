"""A second process sets the pages: the same pages, whatever becomes of it."""

import io
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Options, Purpose
from linenleaf.chart.plotted import Plot
from linenleaf.flow import follow
from linenleaf.pdf import pressroom as room_module
from linenleaf.pdf.document import CannotPress, Later, Sheet
from linenleaf.pdf.pressroom import ALONE, press_here, pressroom
from PIL import Image

from tests import book_chart
from tests.patience import PATIENCE

EXAMPLES = Path(__file__).resolve().parent.parent.parent / "examples"
WADER = EXAMPLES / "first-wader/first-wader.linen"
PAGE = '<html lang="en"><head><title>t</title></head><body>{}</body></html>'


@pytest.fixture(autouse=True)
def _two_processors(monkeypatch):
    monkeypatch.delenv(ALONE, raising=False)
    monkeypatch.setattr(room_module, "processors", lambda: 2)


@pytest.fixture
def reed(tmp_path):
    path = tmp_path / "reed.linen"
    path.write_text(book_chart.PLAIN, "utf-8")
    return path


def sheet(body: str = "<p>reed</p>", **more: object) -> Sheet:
    return Sheet(PAGE.format(body), "@page { size: 100mm }", Path(), **more)


def picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (20, 9), "teal").save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize("purpose", list(Purpose))
def test_both_ways_give_the_same_bytes(reed, built_demo, purpose):
    """And so does another process in another folder, such as a user's build of a demo."""
    chart = WADER if purpose is Purpose.SCREEN else reed
    worked, options = follow(chart).worked, Options(purpose=purpose)
    assert worked is not None
    here, said_here = bind(worked, options, sources=[chart], press=press_here)
    with pressroom() as press:
        assert press is not press_here
        there, said_there = bind(worked, options, sources=[chart], press=press)
    assert here is not None
    assert there == here
    assert said_there == said_here
    if purpose is Purpose.SCREEN:
        assert built_demo(WADER.stem).data == here.data


@pytest.fixture(scope="module")
def heard():
    """Both ways to set two pages with something to warn of and something to draw.

    What each made, the pages that the other process told of, and what was done in which order.
    """
    done: list[str] = []

    def draw() -> object:
        done.append("drawn")
        return picture(), "image/png"

    body = (
        "<p style='break-after: page; no-such: 1px'>reed</p>"
        "<img src='later:' alt='shore' style='width: 20mm; height: 9mm'/>"
    )
    asked = sheet(body, later={"later:": Later(draw)})
    here = press_here(asked, meanwhile=lambda: done.append("here"))
    told: list[int] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(room_module, "processors", lambda: 2)
        with pressroom() as press:
            assert press is not press_here
            there = press(asked, told.append, meanwhile=lambda: done.append("there"))
    return here, there, told, done


def test_pages_are_told_as_they_are_laid_out(heard):
    _, there, told, _ = heard
    assert there.pages == 2
    assert sorted(set(told)) == [1, 2]


def test_what_the_renderer_warns_of_is_handed_on(heard):
    here, there, _, _ = heard
    assert there.remarks
    assert there.remarks == here.remarks


def test_what_is_done_meanwhile_is_done_before_anything_is_drawn(heard):
    *_, done = heard
    assert done == ["here", "drawn", "there", "drawn"]


def test_one_processor_keeps_to_one_process(monkeypatch):
    monkeypatch.setattr(room_module, "processors", lambda: 1)
    with pressroom() as press:
        assert press is press_here


def test_one_process_can_be_asked_for(monkeypatch):
    monkeypatch.setenv(ALONE, "1")
    with pressroom() as press:
        assert press is press_here


@pytest.mark.parametrize("executable", ["", "/no/such/python"])
def test_where_no_process_can_be_started_this_one_does_it(monkeypatch, executable):
    monkeypatch.setattr(sys, "executable", executable)
    with pressroom() as press:
        assert press(sheet()).pages == 1


@pytest.mark.parametrize(
    "code",
    [
        "pass",  # ends at once
        "import sys; sys.stdin.buffer.read(100)",  # ends in the middle
        "import os; os.write(1, b'\\0' * 7 + b'\\2..'); os.close(1)",  # talks nonsense
    ],
)
def test_a_process_that_is_lost_is_made_good(monkeypatch, code):
    start = subprocess.Popen

    def other(words: list[str], **more: object) -> subprocess.Popen[bytes]:
        return start([words[0], "-c", code], **more)

    monkeypatch.setattr(subprocess, "Popen", other)
    drawn: list[str] = []

    def draw() -> object:
        drawn.append("once")
        return picture(), "image/png"

    body = "<img src='later:' alt='shore' style='width: 20mm; height: 9mm'/>"
    with pressroom() as press:
        made = press(sheet(body, later={"later:": Later(draw)}))
    assert drawn == ["once"]
    assert made == press_here(sheet(body, later={"later:": Later(draw)}))


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("import os, sys; sys.stdin.buffer.read(9); os.kill(os.getpid(), 9)", "signal 9"),
        (
            "import sys\n"
            "from linenleaf.pdf import pressing\n"
            "def work(*_): raise MemoryError\n"
            "pressing.work = work\n"
            "pressing.main()\n",
            "",
        ),
    ],
)
def test_a_process_that_runs_out_of_memory_is_not_tried_again(monkeypatch, code, words):
    start = subprocess.Popen

    def other(words: list[str], **more: object) -> subprocess.Popen[bytes]:
        return start([words[0], "-c", code], **more)

    monkeypatch.setattr(subprocess, "Popen", other)
    with pressroom() as press, pytest.raises(CannotPress) as told:
        press(sheet())
    assert words in str(told.value)
    assert "not enough memory" in str(told.value)


def test_another_version_from_another_place_is_not_trusted(monkeypatch):
    start = subprocess.Popen
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "from linenleaf.pdf.pressroom import Ready, put\n"
        "from linenleaf.pdf.document import Printed\n"
        "put(sys.stdout.buffer, Ready(Path('/elsewhere')))\n"
        "put(sys.stdout.buffer, Printed(b'not ours', 9, ()))\n"
        "sys.stdin.buffer.read()\n"
    )

    def other(words: list[str], **more: object) -> subprocess.Popen[bytes]:
        return start([words[0], "-c", code], **more)

    monkeypatch.setattr(subprocess, "Popen", other)
    with pressroom() as press:
        assert press(sheet()).data != b"not ours"


def test_a_fault_while_drawing_is_not_hidden():
    def draw() -> object:
        raise ZeroDivisionError

    with pressroom() as press, pytest.raises(ZeroDivisionError):
        press(sheet("<p>x</p>", later={"later:": Later(draw)}))


def test_pages_that_cannot_be_set_are_told_of_as_in_one_process(monkeypatch, tmp_path):
    # No place for the working files that the renderer needs.
    nowhere = tmp_path / "no-such-folder"
    for name in ("TMPDIR", "TEMP", "TMP"):
        monkeypatch.setenv(name, str(nowhere))
    code = (
        "import tempfile; tempfile.tempdir = {!r}\nfrom linenleaf.pdf.pressing import main\nmain()"
    )
    start = subprocess.Popen

    def other(words: list[str], **more: object) -> subprocess.Popen[bytes]:
        return start([words[0], "-c", code.format(str(nowhere))], **more)

    monkeypatch.setattr(subprocess, "Popen", other)
    face = (
        "@font-face { font-family: f; src: url(face:SourceSansPro-Regular.ttf) } p { font: 1em f }"
    )
    with pressroom() as press, pytest.raises(CannotPress, match="no-such-folder"):
        press(replace(sheet(), css=f"{face} p {{ font: 1em f }}"))


def test_no_module_comes_from_the_folder_that_the_user_is_in(reed, tmp_path):
    for name in ("linenleaf", "weasyprint", "PIL", "pickle", "site"):
        (tmp_path / f"{name}.py").write_text(f"open('ran-{name}', 'w')")
    command = Path(sys.executable).with_name("linenleaf")
    words = [command] if command.exists() else [sys.executable, "-P", "-m", "linenleaf"]
    done = subprocess.run(
        [*words, "build", "--whole", reed],
        cwd=tmp_path,
        env={key: value for key, value in os.environ.items() if key != ALONE},
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE,
    )
    assert done.returncode == 0, done.stderr
    assert not list(tmp_path.glob("ran-*"))


def test_the_process_ends_with_the_context():
    started = []
    start = subprocess.Popen
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            subprocess, "Popen", lambda *a, **k: started.append(start(*a, **k)) or started[-1]
        )
        with pressroom():
            pass
    assert started[0].poll() is not None


def test_a_drawing_of_another_size_than_stated_is_a_fault():
    asked = sheet(
        "<img src='later:' alt='x'/>",
        later={"later:": Later(lambda: Plot(20, 10, b""), 20, 11)},
    )
    with pytest.raises(ValueError, match="not as large"):
        press_here(asked)
