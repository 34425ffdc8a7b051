"""Pictures and sheets brought in: the same cells come out, and strangers' files do no harm."""

from __future__ import annotations

import io
import struct
import zlib
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.cli import main
from linenleaf.colour.colour import difference, lab
from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.key import Thread
from linenleaf.core.source import Source
from linenleaf.flow import follow
from linenleaf.formatting.tidy import tidy
from linenleaf.importing.cells import Cells, Wanted
from linenleaf.importing.pixelcells import read_pixels, shades_of
from linenleaf.importing.source import SIGNS, choose_signs
from linenleaf.importing.threadfit import fit
from linenleaf.resolve.read import read
from PIL import Image
from scipy.optimize import linear_sum_assignment

EXAMPLES = Path(__file__).resolve().parent.parent.parent / "examples"
RANGE = """\
code,name,colour
101,salt white,#ffffff
220,sea lavender,#8a7aa8
343,wrack,#3f4a2c
417,night water,#101830
512,barge sail,#b5482f
513,brick,#b04830
"""


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "estuary.csv").write_text(RANGE, "utf-8")
    return tmp_path


def run(*words: str, threads: str = "estuary.csv") -> Result:
    return CliRunner().invoke(main, ["bring", *words, "--range", threads])


def worked_of(path: Path) -> WorkedChart:
    """The chart at a path, which has no errors and is tidy."""
    flow = follow(path)
    assert flow.worked is not None, flow.findings
    text = path.read_text("utf-8")
    assert tidy(Source("", text))[0] == text
    return flow.worked


def threads_of(worked: WorkedChart) -> list[list[str]]:
    """The thread of each cell by its code; empty where bare."""
    codes = ["", *(entry.parts[0].needle[0].thread.code for entry in worked.design.key)]
    return [[codes[at] for at in row] for row in worked.grid.tolist()]


def rows_of(path: Path) -> list[str]:
    return [line.strip(" |") for line in path.read_text("utf-8").split("\n") if "  |" in line]


def brought(folder: Path, name: str, *words: str) -> list[list[str]]:
    ran = run(name, *words)
    assert ran.exit_code == 0, ran.output
    return threads_of(worked_of((folder / name).with_suffix(".linen")))


# --- there and back ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("example", "threads"), [("first-wader", "pebble.csv"), ("flood-tide", "shore.csv")]
)
@pytest.mark.parametrize("mode", ["RGB", "P"])
def test_a_chart_drawn_one_pixel_a_cross_comes_back(tmp_path, example, threads, mode):
    folder = EXAMPLES / example
    design, _ = read(folder / f"{example}.linen")
    worked, _ = compose(design)
    colours = [each.parts[0].needle[0].thread.colour for each in design.key]
    assert "#010203" not in colours
    table = np.array(
        [tuple(bytes.fromhex(each[1:])) for each in ("#010203", *colours)], dtype=np.uint8
    )
    picture = Image.fromarray(table[worked.grid])
    picture = picture.quantize(256) if mode == "P" else picture
    assert picture.mode == mode
    picture.save(tmp_path / "chart.png")
    (tmp_path / threads).write_bytes((folder / threads).read_bytes())
    ran = run(str(tmp_path / "chart.png"), "--bare", "#010203", threads=str(tmp_path / threads))
    assert ran.exit_code == 0, ran.output
    again = worked_of(tmp_path / "chart.linen")
    assert threads_of(again) == threads_of(worked)
    assert "Far off" not in ran.output


def test_a_whole_chart_of_a_sheet_of_codes_comes_back(folder):
    sheet = "417,,512\n220,220,\n,.,101\n"
    (folder / "tern.csv").write_text(sheet, "utf-8")
    assert brought(folder, "tern.csv") == [
        ["417", "", "512"],
        ["220", "220", ""],
        ["", "", "101"],
    ]


def test_a_picture_is_brought_in_as_a_motif_that_the_chart_places(folder):
    (folder / "tern.png").write_bytes(KINDS["colours"])
    assert run("tern.png").exit_code == 0
    assert run("tern.png", "--motif", "old-tern", "-o", "motif.linen").exit_code == 0
    whole, placed = (follow(folder / name).worked for name in ("tern.linen", "motif.linen"))
    assert np.array_equal(whole.grid, placed.grid)
    assert [each.motif.name for each in placed.placed] == ["old-tern"]


def test_the_whole_text(folder):
    (folder / "tern 2.csv").write_text("sea lavender,,#ffffff\n,#8a7aa0,m\n", "utf-8")
    ran = run("tern 2.csv", "--means", "m=343", "--fabric", "linen 36 over  2")
    assert ran.exit_code == 0, ran.output
    assert (folder / "tern 2.linen").read_text("utf-8") == (
        "linen 2\n"
        "# Read in from tern 2.csv, one cross a cell.\n"
        "\n"
        'booklet "tern 2"\n'
        "\n"
        "fabric linen 36 over 2\n"
        "\n"
        "range estuary from estuary.csv\n"
        "\n"
        "key\n"
        "  s  estuary 101  # salt white\n"
        "  l  estuary 220  # sea lavender\n"
        "  b  estuary 513  # brick, for #8a7aa0: another colour; yellower, redder\n"
        "  m  estuary 343  # wrack\n"
        "\n"
        "chart 3 x 2\n"
        "  |l.s|\n"
        "  |.bm|\n"
    )
    assert ran.stdout == (
        "3 x 2, 4 crosses in 4 threads of estuary.\n"
        "Poor match: estuary 513 (brick) for #8a7aa0: another colour; yellower, redder.\n"
        "tern 2.linen\n"
    )


# --- pictures ----------------------------------------------------------------------------------


def png(width: int, height: int, depth: int, kind: int, rows: bytes, *chunks: bytes) -> bytes:
    """A PNG put together by hand (ISO 15948): rows with their filter bytes, other chunks."""
    return b"".join(
        [
            b"\x89PNG\r\n\x1a\n",
            chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0)),
            *chunks,
            chunk(b"IDAT", zlib.compress(rows)),
            chunk(b"IEND", b""),
        ]
    )


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


WHITE, SAIL, NIGHT = b"\xff\xff\xff", b"\xb5\x48\x2f", b"\x10\x18\x30"
KINDS = {
    "colours": png(2, 1, 8, 2, b"\0" + SAIL + NIGHT),
    "16 bits": png(2, 1, 16, 2, b"\0" + bytes(b for each in SAIL + NIGHT for b in (each, each))),
    "one colour clear": png(
        3, 1, 8, 2, b"\0" + SAIL + WHITE + NIGHT, chunk(b"tRNS", b"\0\xff\0\xff\0\xff")
    ),
    "opacity": png(3, 1, 8, 6, b"\0" + SAIL + b"\x80" + WHITE + b"\x7f" + NIGHT + b"\xff"),
    "palette": png(4, 1, 2, 3, b"\0\x1b", chunk(b"PLTE", NIGHT + SAIL + WHITE + WHITE)),
    "palette, one clear": png(
        3, 1, 8, 3, b"\0\1\2\0", chunk(b"PLTE", NIGHT + SAIL + WHITE), chunk(b"tRNS", b"\xff\xff\0")
    ),
}
SEEN = {
    "colours": ["512", "417"],
    "16 bits": ["512", "417"],
    "one colour clear": ["512", "", "417"],
    "opacity": ["512", "", "417"],
    "palette": ["417", "512", "101", "101"],
    "palette, one clear": ["512", "", "417"],
}


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_png(folder, kind):
    (folder / "tern.png").write_bytes(KINDS[kind])
    assert brought(folder, "tern.png") == [SEEN[kind]]


@pytest.mark.parametrize(
    ("kind", "depth", "data", "levels"),
    [
        ("grey", 8, b"\0\x00\x80\xff", [0, 128, 255]),
        ("grey of 16 bits", 16, b"\0\x00\x7f\x80\x00\xff\xff", [0, 128, 255]),
        ("black and white", 1, b"\0\x40", [0, 255, 0]),
    ],
)
def test_grey_pictures(kind, depth, data, levels):
    pixels, findings = read_pixels(png(3, 1, depth, 0, data), "tern.png")
    assert findings == ()
    assert pixels[0, :, 0].tolist() == levels
    assert pixels[0, :, 3].tolist() == [255] * 3


def test_grey_of_16_bits_with_a_clear_level():
    data = png(2, 1, 16, 0, b"\0\x12\x34\x12\x35", chunk(b"tRNS", b"\x12\x34"))
    pixels, _ = read_pixels(data, "tern.png")
    assert pixels[0, :, 3].tolist() == [0, 255]


def test_a_plain_ground_is_pointed_out(folder):
    picture = Image.new("RGB", (6, 5), "#ffffff")
    picture.putpixel((2, 2), (16, 24, 48))
    picture.save("tern.png")
    ran = run("tern.png")
    assert (
        "Every pixel is a cross. If the ground is bare fabric, say --bare '#ffffff'." in ran.stdout
    )
    (folder / "tern.linen").unlink()
    ran = run("tern.png", "--bare", "#ffffff")
    assert ran.stdout == "6 x 5, 1 cross in 1 thread of estuary.\ntern.linen\n"


MUCH = zlib.compress(b"a" * 80_000_000, 1)
BAD = {
    "cut off": (KINDS["palette"][:-24], "damaged-picture"),
    "header alone": (KINDS["palette"][:33], "damaged-picture"),
    "not even a header": (b"\x89PNG\r\n\x1a\n", "damaged-picture"),
    "a broken check sum": (
        KINDS["colours"].replace(b"IDAT", b"IDAT", 1)[:-16] + b"xxxx" * 4,
        "damaged-picture",
    ),
    "rows that are missing": (png(9, 9, 8, 2, b"\0"), "damaged-picture"),
    "no size": (png(0, 4, 8, 2, b"\0"), "damaged-picture"),
    "too wide": (png(2001, 1, 8, 2, b"\0" + WHITE * 2001), "chart-too-large"),
    "too high": (png(1, 4_000_000_000, 8, 2, b"\0"), "chart-too-large"),
    "a text that unpacks to much": (
        png(
            1, 1, 8, 2, b"\0" + SAIL, chunk(b"zTXt", b"a\0\0" + zlib.compress(b"a" * 80_000_000, 1))
        ),
        "damaged-picture",
    ),
    "all clear": (png(1, 1, 8, 6, b"\0" + SAIL + b"\0"), "nothing-to-stitch"),
    "another kind of picture": (b"GIF89a" + bytes(200), "binary-file"),
    "nothing": (b"", "empty-file"),
}


@pytest.mark.parametrize("harm", BAD)
def test_a_bad_picture_is_told_and_nothing_is_written(folder, harm):
    data, name = BAD[harm]
    (folder / "tern.png").write_bytes(data)
    ran = run("tern.png")
    assert ran.exit_code == 1, ran.output
    assert f"[{name}]" in ran.stderr
    assert not (folder / "tern.linen").exists()


@settings(max_examples=40, derandomize=True)
@given(st.data())
def test_harmed_pictures_give_findings_or_pixels(data):
    whole = data.draw(st.sampled_from(list(KINDS.values())))
    at = data.draw(st.integers(8, len(whole) - 1))
    harmed = (
        whole[:at] + data.draw(st.binary(max_size=9)) + whole[at + data.draw(st.integers(0, 9)) :]
    )
    pixels, findings = read_pixels(harmed, "tern.png")
    assert (pixels is None) == bool(findings)


# --- many colours ------------------------------------------------------------------------------


def ramp(width: int, height: int) -> Image.Image:
    x, y = np.meshgrid(np.linspace(0, 255, width), np.linspace(0, 255, height))
    return Image.fromarray(np.stack([x, y, 255 - x], axis=-1).astype(np.uint8))


def test_too_many_colours_are_refused(folder):
    ramp(40, 30).save("tern.png")
    ran = run("tern.png")
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert ran.stderr == (
        "linenleaf: tern.png has 1,200 colours; at most 90 can be told apart on a chart. "
        "Say how many threads to use, such as --threads 30; similar colours then share one.\n"
    )
    assert not (folder / "tern.linen").exists()


@pytest.mark.parametrize("most", [1, 3, 6, 30])
def test_many_colours_share_threads(folder, most):
    ramp(40, 30).save("tern.png")
    ran = run("tern.png", "--threads", str(most))
    assert ran.exit_code == 0, ran.output
    worked = worked_of(folder / "tern.linen")
    assert len(worked.design.key) == min(most, 6)
    assert np.count_nonzero(worked.grid) == 1200


def test_reduced_colours_go_to_the_nearest_thread_kept():
    pixels, _ = read_pixels_of(ramp(60, 50))
    cells = shades_of(pixels, None)
    assert len(cells.wanted) <= 256
    threads = ranged(16)
    found = fit(cells, threads, 5)
    assert len(found.chosen) <= 5
    kept = [each.thread for each in found.chosen]
    for each in found.chosen:
        for sought in each.stands_for:
            best = min(difference(sought.colour, thread.colour) for thread in kept)
            assert difference(sought.colour, each.thread.colour) == pytest.approx(best)


def test_shades_stay_near_the_colours_they_stand_for():
    picture = ramp(300, 200)
    pixels, _ = read_pixels_of(picture)
    cells = shades_of(pixels, None)
    table = np.array([tuple(bytes.fromhex(each.colour[1:])) for each in cells.wanted], dtype=int)
    off = np.abs(table[cells.grid - 1] - np.asarray(picture).astype(int))
    assert off.mean() < 10


def test_bare_fabric_stays_bare_when_colours_are_reduced():
    picture = ramp(60, 50).convert("RGBA")
    picture.paste((9, 9, 9, 0), (10, 10, 30, 20))
    pixels, _ = read_pixels_of(picture)
    cells = shades_of(pixels, None)
    assert (cells.grid == 0).sum() == 200
    assert (cells.grid[10:20, 10:30] == 0).all()


def read_pixels_of(picture: Image.Image):
    kept = io.BytesIO()
    picture.save(kept, "PNG")
    return read_pixels(kept.getvalue(), "tern.png")


# --- which thread ------------------------------------------------------------------------------


def ranged(count: int, seed: int = 3) -> list[Thread]:
    draws = np.random.default_rng(seed).integers(0, 1 << 24, count)
    return [Thread("shore", str(at), f"t {at}", f"#{each:06x}") for at, each in enumerate(draws)]


def cells_for(*colours: str) -> Cells:
    grid = np.arange(1, len(colours) + 1, dtype=np.int32)[None]
    return Cells(grid, tuple(Wanted(each) for each in colours))


def codes(found, cells: Cells) -> list[str]:
    return [found.chosen[at - 1].thread.code for at in found.grid[0].tolist()]


def test_the_sum_of_differences_is_the_least_there_is():
    """Against scipy's assignment, and against trying all for a few."""
    for seed in range(20):
        threads = ranged(12, seed)
        colours = [each.colour for each in ranged(9, 100 + seed)]
        cells = cells_for(*colours)
        found = fit(cells, threads, 90)
        cost = np.array(
            [[difference(colour, each.colour) for each in threads] for colour in colours]
        )
        rows, columns = linear_sum_assignment(cost)
        got = [int(each) for each in codes(found, cells)]
        assert len(set(got)) == 9
        assert cost[np.arange(9), got].sum() == pytest.approx(cost[rows, columns].sum())
    few = [threads[at] for at in range(5)]
    cells = cells_for(*colours[:4])
    got = [int(each) for each in codes(fit(cells, few, 90), cells)]
    least = min(cost[np.arange(4), list(each)].sum() for each in permutations(range(5), 4))
    assert cost[np.arange(4), got].sum() == pytest.approx(least)


def test_the_very_colour_is_always_taken():
    threads = [
        Thread("shore", "1", "red", "#c02020"),
        Thread("shore", "2", "also red", "#c02020"),
        Thread("shore", "3", "grey", "#808080"),
    ]
    cells = cells_for("#c02121", "#c02020", "#c02222")
    found = fit(cells, threads, 90)
    assert codes(found, cells)[1] == "1"
    assert sorted(codes(found, cells)) == ["1", "2", "3"]


def test_a_thread_asked_for_is_not_given_to_a_colour_while_others_are_free():
    threads = ranged(4)
    cells = Cells(
        np.array([[1, 2]], dtype=np.int32),
        (Wanted(threads[0].colour), Wanted(threads[0].colour, threads[0])),
    )
    got = codes(fit(cells, threads, 90), cells)
    assert got[1] == "0"
    assert got[0] != "0"


def test_more_colours_than_threads_share_them():
    threads = ranged(3)
    cells = cells_for(*[each.colour for each in ranged(10, 5)])
    found = fit(cells, threads, 90)
    assert len(found.chosen) <= 3
    for colour, code in zip(
        [each.colour for each in cells.wanted], codes(found, cells), strict=True
    ):
        nearest = min(threads, key=lambda each: difference(colour, each.colour))
        assert code == nearest.code


def test_how_near_a_shared_thread_is_is_told_on_average_over_crosses():
    thread = Thread("shore", "1", "grey", "#808080")
    colours = ("#808080", "#000000", "#858585")
    grid = np.array([[1] * 6 + [2] * 1 + [3] * 3], dtype=np.int32)
    (chosen,) = fit(Cells(grid, tuple(map(Wanted, colours))), [thread], 90).chosen
    far = [difference(each, thread.colour) for each in colours]
    assert chosen.difference == pytest.approx((6 * far[0] + far[1] + 3 * far[2]) / 10)
    assert chosen.words == "for 3 colours: near on average"
    assert chosen.crosses == 10


def test_the_key_runs_from_light_to_dark():
    found = fit(cells_for("#000000", "#ffffff", "#808080"), ranged(40), 90)
    lightness = [lab(each.thread.colour)[0] for each in found.chosen]
    assert lightness == sorted(lightness, reverse=True)


# --- symbols -----------------------------------------------------------------------------------


def test_symbols_remind_of_names_and_the_most_used_choose_first():
    names = ["salt white", "sea lavender", "sail", "samphire", "éé"]
    assert choose_signs(names, [""] * 5, [5, 50, 4, 3, 2]) == ["w", "s", "S", "a", "b"]
    assert choose_signs(names, ["", "", "s", "s", ""], [5, 50, 4, 3, 2]) == [
        "w",
        "l",
        "s",
        "S",
        "a",
    ]


def test_every_sign_may_stand_in_a_key_and_in_a_row(tmp_path):
    assert len(set(SIGNS)) == len(SIGNS) == 90
    assert set(map(chr, range(33, 127))) - set(SIGNS) == set('.|#"')
    signs = choose_signs(["reed"] * 90, [""] * 90, [1] * 90)
    assert sorted(signs) == sorted(SIGNS)


def test_a_picture_of_as_many_colours_as_there_are_signs(folder):
    threads = ranged(120)
    lines = [f"{each.code}x,{each.name},{each.colour}" for each in threads]
    (folder / "wide.csv").write_text("code,name,colour\n" + "\n".join(lines) + "\n", "utf-8")
    table = [tuple(bytes.fromhex(each.colour[1:])) for each in threads[:90]]
    picture = Image.new("RGB", (90, 1))
    picture.putdata(table)
    picture.save("tern.png")
    ran = run("tern.png", threads="wide.csv")
    assert ran.exit_code == 0, ran.output
    assert threads_of(worked_of(folder / "tern.linen")) == [
        [f"{each.code}x" for each in threads[:90]]
    ]


# --- sheets ------------------------------------------------------------------------------------


@pytest.mark.parametrize("part", [",", ";", "\t"])
def test_cells_are_parted_by_commas_semicolons_or_tabs(folder, part):
    text = "417,,512\n,220,\n,,\n".replace(",", part)
    (folder / "tern.csv").write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert brought(folder, "tern.csv") == [["417", "", "512"], ["", "220", ""], ["", "", ""]]


def test_symbols_of_a_sheet_are_kept(folder):
    (folder / "tern.csv").write_text("x,o,-\no,x,.\n", "utf-8")
    got = brought(
        folder, "tern.csv", "--means", "x=417", "--means", "o=Sea Lavender", "--means", "-=."
    )
    assert got == [["417", "220", ""], ["220", "417", ""]]
    assert rows_of(folder / "tern.linen") == ["xo.", "ox."]


def test_a_cell_may_be_bare_by_request_and_hold_an_equals_sign(folder):
    (folder / "tern.csv").write_text("0,=\n0,417\n", "utf-8")
    assert brought(folder, "tern.csv", "--bare", "0", "--means", "==512") == [
        ["", "512"],
        ["", "417"],
    ]


def test_the_same_asked_for_in_different_words_is_one_key_line(folder):
    (folder / "tern.csv").write_text('417,night water,"NIGHT water"\n#AABBCC,#aabbcc,x\n', "utf-8")
    brought(folder, "tern.csv", "--means", "x=#AaBbCc")
    rows = rows_of(folder / "tern.linen")
    assert rows == ["nnn", "xxx"]


SHEETS = {
    "": "empty-file",
    "\n\n": "empty-file",
    "417,220\n417\n": "ragged-row",
    "417\n\n417,1\n": "ragged-row",
    '417,"220\n': "bad-csv",
    "417,heather\n": "unknown-cell",
    ".,\n": "nothing-to-stitch",
    ",".join(["417"] * 2001): "chart-too-large",
    "417\n" * 2001: "chart-too-large",
    "417,\u202e\n": "hidden-character",
}


@pytest.mark.parametrize("text", SHEETS, ids=list(SHEETS.values()))
def test_a_bad_sheet_is_told_and_nothing_is_written(folder, text):
    (folder / "tern.csv").write_text(text, "utf-8")
    ran = run("tern.csv")
    assert ran.exit_code == 1, ran.output
    assert f"[{SHEETS[text]}]" in ran.stderr
    assert len(ran.stderr) < 2000
    assert not (folder / "tern.linen").exists()


def test_an_unknown_cell_is_told_by_row_and_column(folder):
    (folder / "tern.csv").write_text("417,,220\n417, salt whit,512\n", "utf-8")
    assert run("tern.csv").stderr == (
        "tern.csv:2:6: error: Row 2, column 2: `salt whit` is neither a colour nor the code or "
        "name of a thread in the range. [unknown-cell]\n"
        "  2 | 417, salt whit,512\n"
        "    |      ^^^^^^^^^\n"
        "  = did you mean `salt white`?\n"
        "  = say what it stands for: --means 'salt whit=CODE', or a colour, "
        "or `.` for bare fabric\n"
        "\n"
        "1 error\n"
    )


def test_of_many_unknown_cells_the_first_are_told(folder):
    (folder / "tern.csv").write_text(",".join(f"heather {n}" for n in range(40)), "utf-8")
    ran = run("tern.csv")
    assert ran.stderr.count("[unknown-cell]") == 10
    assert ran.stderr.endswith("11 errors\n")


@settings(max_examples=25, derandomize=True)
@given(
    st.lists(
        st.lists(
            st.sampled_from(["417", "220", "512", "", ".", "#8a7aa8"]), min_size=3, max_size=3
        ),
        min_size=1,
        max_size=5,
    )
)
def test_any_sheet_of_known_cells_comes_back(tmp_path_factory, cells):
    folder = tmp_path_factory.mktemp("sheet")
    (folder / "estuary.csv").write_text(RANGE, "utf-8")
    (folder / "tern.csv").write_text("\n".join(map(",".join, cells)) + "\n", "utf-8")
    ran = run(str(folder / "tern.csv"), threads=str(folder / "estuary.csv"))
    wanted = [["" if each == "." else each for each in row] for row in cells]
    if not any(any(row) for row in wanted):
        assert ran.exit_code == 1
        return
    assert ran.exit_code == 0, ran.output
    got = threads_of(worked_of(folder / "tern.linen"))
    # The colour of 220 gets its very thread, unless that is asked for by its code too.
    taken = any("220" in row for row in wanted)
    for row, row_got in zip(wanted, got, strict=True):
        for cell, code in zip(row, row_got, strict=True):
            if cell.startswith("#"):
                assert (code == "220") != taken
            else:
                assert code == cell


# --- what is asked -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("missing.png",), "missing.png"),
        (("tern.png", "-o", "tern.txt"), "must end in .linen"),
        (("tern.png", "--fabric", "velvet 9 over 2"), "velvet"),
        (("tern.png", "--fabric", "linen 32"), "`linen` needs the number of threads"),
        (("tern.png", "--fabric", "linen 32 over 2\ncolour #ffffff"), "is not a fabric"),
        (("tern.png", "--fabric", "linen 32 over 2\nuse other.linen"), "is not a fabric"),
        (("tern.png", "--bare", "white"), "#ffffff"),
        (("tern.png", "--means", "x=417"), "sheet of cells"),
        (("tern.csv", "--means", "x"), "needs a cell"),
        (("tern.png", "--threads", "0"), "threads"),
        (("tern.png", "--motif", "old reeds"), "no name of a motif"),
        (("tern.png", "--motif", "reeds 2 x 2 #"), "no name of a motif"),
        (("tern.png", "--motif", "reeds\nchart"), "no name of a motif"),
        (("tern.png", "-o", "below/tern.linen"), "Copy it there"),
        (("tern.png", "-o", "there.linen"), "already there"),
    ],
)
def test_misuse_is_told_with_status_2(folder, words, says):
    (folder / "tern.png").write_bytes(KINDS["colours"])
    (folder / "tern.csv").write_text("x", "utf-8")
    (folder / "there.linen").write_text("mine", "utf-8")
    (folder / "below").mkdir()
    before = sorted(folder.rglob("*"))
    ran = run(*words)
    assert ran.exit_code == 2, ran.output
    assert says in ran.stderr
    assert "Traceback" not in ran.output
    assert sorted(folder.rglob("*")) == before
    assert (folder / "there.linen").read_text("utf-8") == "mine"


def test_a_range_below_the_chart_is_named_from_there(folder):
    (folder / "tern.png").write_bytes(KINDS["colours"])
    (folder / "my threads").mkdir()
    (folder / "estuary.csv").rename(folder / "my threads" / "linen.csv")
    ran = run("tern.png", threads="my threads/linen.csv")
    assert ran.exit_code == 0, ran.output
    assert 'range linen-2 from "my threads/linen.csv"\n' in (folder / "tern.linen").read_text(
        "utf-8"
    )
    worked_of(folder / "tern.linen")


def test_a_bad_range_is_told(folder):
    (folder / "tern.png").write_bytes(KINDS["colours"])
    (folder / "estuary.csv").write_text("code;name\n1;2\n", "utf-8")
    ran = run("tern.png")
    assert ran.exit_code == 1
    assert "[bad-csv]" in ran.stderr
    assert not (folder / "tern.linen").exists()


def test_names_from_a_stranger_stay_inside_their_remark_and_title(folder):
    (folder / "estuary.csv").write_text(
        'code,name,colour\n512,"a # ""quoted"" | name x",#b5482f\n417,' + "n" * 150 + ",#101830\n",
        "utf-8",
    )
    (folder / "tern.png").write_bytes(KINDS["colours"])
    ran = run("tern.png", "--title", 'My "tern"\nmotif x 1 x 1')
    assert ran.exit_code == 0, ran.output
    worked = worked_of(folder / "tern.linen")
    assert worked.design.booklet.title == 'My "tern" motif x 1 x 1'
    assert worked.design.motifs == {}


def test_the_same_picture_gives_the_same_bytes(folder):
    ramp(50, 40).save("tern.png")
    made = []
    for name in ("one.linen", "two.linen"):
        assert run("tern.png", "--threads", "5", "-o", name).exit_code == 0
        made.append((folder / name).read_bytes())
    assert made[0] == made[1]


def test_a_picture_of_the_largest_size(folder):
    draws = np.random.default_rng(1).integers(0, 2, (1000, 2000))
    table = np.array([[255, 255, 255], [16, 24, 48]], dtype=np.uint8)
    Image.fromarray(table[draws]).save("tern.png", compress_level=1)
    ran = run("tern.png")
    assert ran.exit_code == 0, ran.output
    design, findings = read(folder / "tern.linen")
    assert findings == ()
    assert (design.chart.width, design.chart.height) == (2000, 1000)


def test_metal_is_brought_in_where_it_is_asked_for(folder):
    odd = "3,frost,#c9ced6,metallic\n4,twine,#c9ad7e,perle\n5,dew,#dfeaf2,bead\n"
    (folder / "odd.csv").write_text(f"code,name,colour,kind\n{odd}", "utf-8")
    for name, cells in (
        ("colour", "#c9ced6"),
        ("named", "frost"),
        ("asked", "#c9ced6"),
        ("dew", "5"),
    ):
        (folder / f"{name}.csv").write_text(f"{cells},{cells}\n", "utf-8")
    assert run("colour.csv", threads="odd.csv").exit_code == 0
    assert threads_of(worked_of(folder / "colour.linen")) == [["4", "4"]]
    assert run("named.csv", threads="odd.csv").exit_code == 0
    assert threads_of(worked_of(folder / "named.linen")) == [["3", "3"]]
    assert run("asked.csv", "--kind", "metallic", threads="odd.csv").exit_code == 0
    assert threads_of(worked_of(folder / "asked.linen")) == [["3", "3"]]
    assert "linen 2\n" in (folder / "asked.linen").read_text("utf-8")  # which reads what it is
    dew = run("dew.csv", threads="odd.csv")
    assert dew.exit_code == 2
    assert "odd 5 is a bead" in dew.output
