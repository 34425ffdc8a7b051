"""First drafts from photographs that were never taken: what comes out, and what is refused."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.cli import main
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.matter import NoteKind
from linenleaf.core.source import Source
from linenleaf.flow import follow
from linenleaf.formatting.tidy import tidy
from linenleaf.importing.doubts import MOST_AREAS, inferred
from linenleaf.photograph.drafting import Doubt, Doubtful
from PIL import Image

from tests.photographs import PALETTE, Conditions, Taken, painted, photographed, sampler

SIZE = 36, 24


def taken(worked: WorkedChart) -> Taken:
    piece = painted(worked, 0.2, np.random.default_rng(5))
    return photographed(piece.part(0, 0, *SIZE), Conditions(), 5)


def sown() -> WorkedChart:
    """A piece of which every cell is worked, in patches of many threads."""
    made = sampler(*SIZE, 5)
    patches = np.random.default_rng(5).integers(1, 9, (SIZE[1] // 3, SIZE[0] // 3))
    return replace(made, grid=np.kron(patches, np.ones((3, 3))).astype(made.grid.dtype))


@pytest.fixture(scope="module")
def band() -> Taken:
    return taken(sampler(80, 60, 5, threads=4))


@pytest.fixture
def folder(tmp_path, monkeypatch, band) -> Path:
    monkeypatch.chdir(tmp_path)
    lines = [f"{number},{name},{colour}\n" for number, (name, colour) in enumerate(PALETTE, 1)]
    (tmp_path / "shore.csv").write_text("code,name,colour\n" + "".join(lines), "utf-8")
    (tmp_path / "band.jpg").write_bytes(band.data)
    return tmp_path


def corners(photograph: Taken) -> str:
    return " ".join(f"{u:.1f},{v:.1f}" for u, v in photograph.placing.corners)


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["bring", "band.jpg", "--range", "shore.csv", *words])


def named(photograph: Taken) -> list[str]:
    """For each thread a cell in the midst of others like it, as a designer would point at it."""
    cells, words = photograph.piece.cells, []
    for thread in np.unique(cells):
        row, column = np.argwhere(cells == thread)[len(np.argwhere(cells == thread)) // 2]
        words += ["--means", f"{column},{row}={thread or '.'}"]
    return words


def test_it_is_the_piece_as_tidy_source_that_holds_its_photograph(folder, band):
    words = ("--corners", corners(band), "--size", "36x24", *named(band), "--motif", "old-band")
    ran = run(*words)
    assert ran.exit_code == 0, ran.output
    text = (folder / "band.linen").read_text("utf-8")
    assert tidy(Source("", text))[0] == text
    worked = follow(folder / "band.linen").worked
    assert worked is not None
    codes = [0, *(int(each.parts[0].needle[0].thread.code) for each in worked.design.key)]
    drafted = np.array(codes)[worked.grid]
    doubtful = np.zeros(drafted.shape, dtype=bool)
    for note in worked.design.notes:
        assert note.kind is NoteKind.INFERRED
        doubtful[int(note.y0) : int(note.y1), int(note.x0) : int(note.x1)] = True
    wrong = (drafted != band.piece.cells) & band.piece.plain
    assert wrong.mean() < 0.005
    assert (wrong & ~doubtful).sum() <= 2
    assert doubtful.mean() < 0.1
    (showing,) = worked.design.showings
    assert (showing.path, showing.x1, showing.y1) == ("band.jpg", 36, 24)
    assert "shows   old-band" in text
    assert "motif old-band 36 x 24" in text
    held = CliRunner().invoke(main, ["check", "band.linen", "--photographs"])
    assert held.exit_code == 0, held.output
    assert "more differ" not in held.output


def test_bare_cloth_named_as_a_thread_makes_doubts_and_no_fault(folder, band):
    bare = [[int(at) for at in each[::-1]] for each in np.argwhere(band.piece.cells == 0)[[0, -1]]]
    words = [f"--means={x},{y}={thread}" for (x, y), thread in zip(bare, ".1", strict=True)]
    ran = run("--corners", corners(band), "--size", "36x24", *words)
    assert (ran.exit_code, ran.exception) == (0, None), ran.output
    assert (folder / "band.linen").read_text("utf-8").count("\ninferred ") > 3


def test_a_size_is_proposed_with_what_speaks_for_it_and_threads_are_found(folder, band):
    ran = run("--corners", corners(band))
    assert ran.exit_code == 0, ran.output
    assert "The size 36 x 24 was not given. Followed from the left, the top edge is" in ran.output
    text = (folder / "band.linen").read_text("utf-8")
    assert "# The size was not given. Followed" in text
    assert "chart 36 x 24" in text
    assert "shows   chart" in text
    worked = follow(folder / "band.linen").worked
    assert worked is not None
    assert len(worked.design.key) >= 3


def refused(folder: Path, ran: Result, *names: str) -> None:
    assert ran.exit_code == 1, ran.output
    for name in names:
        assert f"[{name}]" in ran.output or name in ran.output
    assert not (folder / "band.linen").exists()


def test_crossed_corners_and_crosses_too_small_are_refused(folder, band):
    first, second, third, fourth = corners(band).split()
    crossed = run("--corners", f"{first} {third} {second} {fourth}", "--size", "36x24")
    refused(folder, crossed, "corners-crossed", "not-drafted")
    outside = run("--corners", f"{first} {second} {third} 9000,9000", "--size", "36x24")
    refused(folder, outside, "corners-outside", "not-drafted")
    small = run("--corners", corners(band), "--size", "148x120")
    refused(folder, small, "too-small-to-read", "not-drafted")
    elsewhere = run("--corners", corners(band), "--size", "36x24", "--means", "36,0=1")
    refused(folder, elsewhere, "unknown-cell")


def test_a_size_that_was_counted_wrong_is_doubted_when_the_draft_is(folder, band):
    ran = run("--corners", corners(band), "--size", "36x23")
    assert (
        "band.jpg has 36 x 24 crosses as followed between the corners, not 36 x 23." in ran.output
    )


def test_covered_cloth_is_refused(folder):
    covered = taken(sown())
    (folder / "band.jpg").write_bytes(covered.data)
    ran = run("--corners", corners(covered), "--size", "36x24")
    refused(folder, ran, "covered-cloth", "not-drafted")


def test_a_picture_of_something_else_is_refused(folder):
    rng = np.random.default_rng(1)
    into = io.BytesIO()
    Image.fromarray(rng.integers(90, 160, (160, 220, 3)).astype(np.uint8)).save(into, "JPEG")
    (folder / "band.jpg").write_bytes(into.getvalue())
    where = "20,20 200,20 200,140 20,140"
    refused(folder, run("--corners", where, "--size", "24x16"), "not-drafted")
    refused(folder, run("--corners", where), "size-unsure")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--corners", "1,1 2,2"], "is not as in a chart"),
        (["--corners", "1,1 2,2 3,3 4,4\n|"], "is not as in a chart"),
        (["--corners", "1,1 nan,2 3,3 4,4"], "is not as in a chart"),
        (["--corners", "1,1 2,2 3,3 99999,4"], "--corners"),
        (["--corners", "0,0 9,0 9,9 0,9", "--size", "0x9"], "is not the size of a chart"),
        (["--corners", "0,0 9,0 9,9 0,9", "--landmark", "3,4"], "is not as in a chart"),
        (["--corners", "0,0 9,0 9,9 0,9", "--means", "x=1"], "its column and row"),
        (["--corners", "0,0 9,0 9,9 0,9", "--means", "1,1=77"], "has no thread '77'"),
        (["--corners", "0,0 9,0 9,9 0,9", "--means", "1,1=."], "names bare cloth only"),
        (["--corners", "0,0 9,0 9,9 0,9", "--bare", "#ffffff"], "--bare is for a picture"),
        (["--size", "36x24"], "go with a photograph and its --corners"),
        ([], "is a JPEG, so a photograph"),
    ],
)
def test_what_is_asked_wrongly_is_said_plainly(folder, words, said):
    ran = run(*words)
    assert ran.exit_code == 2, ran.output
    assert said in ran.output
    assert not (folder / "band.linen").exists()


@settings(max_examples=25, deadline=None)
@given(
    st.integers(1, 400),
    st.sampled_from([1, 3]),
    st.integers(0, 2**32 - 1),
)
def test_every_doubtful_cell_lies_in_an_area_and_areas_are_few(many, wide, seed):
    rng = np.random.default_rng(seed)
    reasons = list(Doubt)
    doubts = []
    for _ in range(many):
        left, top = rng.integers(0, (90 - wide, 60 - wide))
        cells = np.argwhere(np.ones((wide, wide), bool)) + np.array([left, top])
        doubts.append(Doubtful(reasons[rng.integers(len(reasons))], cells.astype(np.int32)))
    areas = inferred(doubts, (90, 60))
    assert len(areas) <= MOST_AREAS
    if many <= MOST_AREAS:
        assert len(areas) == many  # few are left as they are
    for doubt in doubts:
        left, top, right, bottom = doubt.box
        assert any(
            doubt.reason.value in area.words
            and area.box[0] <= left
            and area.box[1] <= top
            and right <= area.box[2]
            and bottom <= area.box[3]
            for area in areas
        )
