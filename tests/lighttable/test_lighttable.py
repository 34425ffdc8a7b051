"""The page of a chart beside its photographs as any program may ask for it."""

from __future__ import annotations

import http.client
import json
from pathlib import Path
from urllib.parse import urlsplit

import numpy as np
import pytest
from click.testing import CliRunner
from linenleaf.cli import main
from linenleaf.core.source import Source
from linenleaf.flow import follow
from linenleaf.formatting.tidy import tidy
from linenleaf.importing.statement import Laid, laid, with_photograph
from linenleaf.lighttable.asked import LONGEST_PART, NotAsked, asked
from linenleaf.lighttable.page import serve
from linenleaf.lighttable.table import Table
from linenleaf.photograph.placing import Landmark
from linenleaf.watch.serving import LARGEST_SENT

from tests.patience import PATIENCE
from tests.photographs import PALETTE, Conditions, Taken, painted, photographed, sampler
from tests.watch.watcher import watching

SIZE = 40, 24
SIGNS = ".abcdefghi"
SLIP = 12, 5  # a cell that the chart has otherwise


@pytest.fixture(scope="module")
def band() -> Taken:
    piece = painted(sampler(60, 40, 8, threads=4), 0.2, np.random.default_rng(8))
    return photographed(piece.part(0, 0, *SIZE), Conditions(), 8)


def source_of(band: Taken) -> str:
    cells = band.piece.cells.copy()
    column, row = SLIP
    cells[row, column] = 2 if cells[row, column] != 2 else 0
    rows = "".join(f"  |{''.join(SIGNS[cell] for cell in row)}|\n" for row in cells)
    key = "".join(f'  {SIGNS[at]} {hex_} "{name}"\n' for at, (name, hex_) in enumerate(PALETTE, 1))
    head = f"linen 2\nfabric linen 32 over 2\nkey\n{key}\nchart {SIZE[0]} x {SIZE[1]}\n"
    return tidy(Source("", head + rows))[0]


@pytest.fixture
def chart(tmp_path, band) -> Path:
    (tmp_path / "band.jpg").write_bytes(band.data)
    path = tmp_path / "band.linen"
    path.write_text(source_of(band), "utf-8")
    return path


class Page:
    """The page of a chart, served."""

    def __init__(self, server):
        self.address = urlsplit(server.address)

    def ask(self, name, sent=None, **changed):
        """Ask for what stands below the page's address; changed: heads of the request."""
        line = http.client.HTTPConnection("127.0.0.1", self.address.port, timeout=PATIENCE)
        own = f"127.0.0.1:{self.address.port}"
        heads = {"Host": own}
        if sent is not None:
            heads |= {"Origin": f"http://{own}", "Content-Type": "application/json"}
        heads |= {key.replace("_", "-"): value for key, value in changed.items()}
        body = sent if sent is None or isinstance(sent, bytes) else json.dumps(sent).encode()
        root = "" if name.startswith("/") else self.address.path
        try:
            line.request("GET" if sent is None else "POST", root + name, body, heads)
            answer = line.getresponse()
            return answer.status, answer.headers, answer.read()
        finally:
            line.close()

    def told(self, name, sent=None):
        status, _, body = self.ask(name, sent)
        return status, json.loads(body)


@pytest.fixture
def page(chart):
    server = serve(Table(chart, ("band.jpg",)))
    yield Page(server)
    server.close()


def laid_as(page: Page, band: Taken) -> dict[str, object]:
    _, table = page.told("table")
    corners = [[round(side, 1) for side in corner] for corner in band.placing.corners]
    return {
        "sheet": 0, "shows": "chart", "corners": corners, "landmarks": [], "seen": table["seen"],
    }  # fmt: skip


def test_corners_are_followed_differences_told_and_the_statement_written(page, band, chart):
    _, table = page.told("table")
    assert [(each["path"], each["written"]) for each in table["sheets"]] == [("band.jpg", False)]
    sent = laid_as(page, band)
    before = chart.read_bytes()
    status, followed = page.told("follow", sent)
    assert (status, followed["followed"], followed["size"]) == (200, True, [*SIZE])
    first = followed["differences"][0]
    column, row = SLIP
    assert first["box"] == [column, row, column + 1, row + 1]
    middle = np.mean(first["ring"], axis=0)
    assert np.abs(middle - band.middles[row, column]).max() < 2  # the ring is where the cross is
    assert followed["fine"].count("M") == sum(SIZE) + 2
    for picture in ("photograph?0", "evened", "charted"):
        status, head, body = page.ask(picture)
        assert (status, head["Content-Type"], body[:3]) == (200, "image/jpeg", b"\xff\xd8\xff")
    assert chart.read_bytes() == before

    u, v = (band.middles[10, 20] + band.middles[9, 19]) / 2
    status, snapped = page.told("snap", {"sheet": 0, "u": u + 2, "v": v - 2})
    assert snapped["landmark"][:2] == [20, 10]
    assert np.abs(np.array(snapped["landmark"][2:]) - (u, v)).max() < 2

    status, table = page.told("write", {**sent, "landmarks": [snapped["landmark"]]})
    assert (status, table["sheets"][0]["written"]) == (200, True)
    text = chart.read_text("utf-8")
    assert text.startswith(before.decode())
    (there,) = laid(Source("", text))
    assert (there.path, there.shows, len(there.landmarks)) == ("band.jpg", "chart", 1)
    assert tidy(Source("", text))[0] == text


def test_what_was_looked_at_is_written_as_rows_and_marks(page, band, chart):
    sent = laid_as(page, band)
    page.told("write", sent)
    _, table = page.told("table")
    _, followed = page.told("follow", {**sent, "seen": table["seen"]})
    first = followed["differences"][0]
    column, row = SLIP
    assert [each[:2] for each in first["cells"]] == [[column, row]]
    _, table = page.told("enter", {"cells": first["cells"], "seen": table["seen"]})
    read = cells_of(chart)
    assert read[row, column] == band.piece.cells[row, column]
    assert (read == band.piece.cells).all()

    mark = {"kind": "kept", "box": [3, 2, 5, 4], "words": "Hers. "}
    _, table = page.told("mark", {**mark, "seen": table["seen"]})
    assert 'kept 3,2 to 5,4 "Hers."' in chart.read_text("utf-8")
    status, told = page.told("unmark", {"at": 1, "seen": table["seen"]})
    assert (status, "no longer" in told["refused"]) == (409, True)
    at = chart.read_text("utf-8").index("kept 3,2")
    status, table = page.told("unmark", {"at": at, "seen": table["seen"]})
    assert (status, "kept" in chart.read_text("utf-8")) == (200, False)

    before = chart.read_bytes()
    status, told = page.told("draft", {**sent, "known": [], "seen": table["seen"]})
    assert (status, "crosses in this part already" in told["refused"]) == (409, True)
    assert chart.read_bytes() == before


def test_a_first_draft_is_written_and_its_doubts_are_looked_through(page, band, chart):
    text = chart.read_text("utf-8")
    chart.write_text(text.partition("  |")[0], "utf-8")
    sent = laid_as(page, band)
    known = []
    for thread in np.unique(band.piece.cells):
        row, column = np.argwhere(band.piece.cells == thread)[0].tolist()
        known.append([column, row, SIGNS[thread]])
    status, table = page.told("draft", {**sent, "known": known})
    assert status == 200, table
    wrong = (cells_of(chart) != band.piece.cells) & band.piece.plain
    _, followed = page.told("follow", {**sent, "seen": table["seen"]})
    unsure = np.zeros(wrong.shape, bool)
    for each in followed["unsure"]:
        x0, y0, x1, y1 = each["box"]
        unsure[y0:y1, x0:x1] = True
    assert (wrong.mean() < 0.02, (wrong & ~unsure).sum() <= 1) == (True, True)
    assert len(followed["unsure"]) > 0
    assert followed["unsure"][0]["message"].startswith("Column")
    assert tidy(Source("", chart.read_text("utf-8")))[0] == chart.read_text("utf-8")


def test_cells_that_would_change_elsewhere_too_are_refused(page, band, chart):
    rows = [line for line in chart.read_text("utf-8").splitlines() if line.startswith("  |")]
    head = chart.read_text("utf-8").partition("chart")[0]
    half = "".join(f"{row[:23]}|\n" for row in rows)
    motif = f"motif half 20 x {SIZE[1]}\n{half}chart {SIZE[0]} x {SIZE[1]}\n"
    chart.write_text(f"{head}{motif}  half at 0,0\n  half mirrored at 20,0\n", "utf-8")
    sent = laid_as(page, band)
    page.told("follow", sent)
    before = chart.read_bytes()
    status, told = page.told("enter", {"cells": [[2, 2, "b"]], "seen": sent["seen"]})
    assert (status, "drawn elsewhere too" in told["refused"]) == (409, True)
    assert chart.read_bytes() == before


@pytest.mark.parametrize(
    ("name", "sent", "said"),
    [
        ("enter", {"cells": []}, "which cells"),
        ("enter", {"cells": [[1, 1, "a"]] * 1001}, "at most 1000"),
        ("enter", {"cells": [[1, 1.5, "a"]]}, "whole numbers"),
        ("enter", {"cells": [[1, 1, 7]]}, "its column, its row"),
        ("enter", {"cells": [[1, 1, "a"]]}, "Follow the crosses first"),
        ("mark", {"kind": "note", "box": [0, 0, 1, 1], "words": "x"}, "Cells are marked"),
        ("mark", {"kind": "kept", "box": [1, 0, 1, 1], "words": "x"}, "from one corner"),
        ("mark", {"kind": "kept", "box": [0, 0, 1, 1], "words": "\u202e"}, "in a few words"),
        ("mark", {"kind": "kept", "box": [0, 0, 1, 1], "words": " "}, "in a few words"),
        ("unmark", {"at": -1}, "no at"),
        ("draft", {"known": [[900, 1, "a"]]}, "The part has"),
        ("draft", {"known": [[1, 1, "?"]]}, "no sign of a whole cross"),
    ],
)
def test_what_cannot_be_entered_is_refused_in_words(page, band, chart, name, sent, said):
    if name == "draft":
        chart.write_text(chart.read_text("utf-8").partition("  |")[0], "utf-8")
    before = chart.read_bytes()
    status, told = page.told(name, {**laid_as(page, band), **sent})
    assert status in (400, 409)
    assert said in told["refused"]
    assert chart.read_bytes() == before


def cells_of(chart: Path) -> np.ndarray:
    return follow(chart).worked.grid.astype(int)


@pytest.mark.parametrize("name", ["write", "draft", "enter", "mark", "unmark"])
def test_a_chart_that_changed_meanwhile_is_not_written(page, band, chart, name):
    sent = {**laid_as(page, band), "known": [], "cells": [[1, 1, "a"]], "at": 1}
    sent |= {"kind": "kept", "box": [0, 0, 1, 1], "words": "x"}
    changed = chart.read_text("utf-8") + "# counted again\n"
    chart.write_text(changed, "utf-8")
    status, told = page.told(name, sent)
    assert (status, "has changed" in told["refused"]) == (409, True)
    assert chart.read_text("utf-8") == changed


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"shows": "nothing-of-that-name"}, "The chart"),
        ({"shows": "0,0 to 400,400"}, "The chart has errors with it."),
        ({"shows": 'chart"\n"'}, "A part of the chart is a name"),
        ({"shows": "x" * (LONGEST_PART + 1)}, "too long"),
        ({"shows": " "}, "which part of the chart"),
        ({"sheet": 7}, "no longer on the table"),
        ({"sheet": True}, "no sheet"),
        ({"corners": [[9, 9]] * 4}, "The chart has errors with it."),
        ({"corners": [[9, 9]] * 3}, "four corners"),
        ({"corners": [[0, -1], [9, 0], [9, 9], [0, 9]]}, "outside 0 to"),
        ({"corners": [["0", 1], [9, 0], [9, 9], [0, 9]]}, "something else"),
        ({"landmarks": [[1, 2, 3]]}, "four numbers"),
        ({"landmarks": [[1, 1, 1, 1]] * 201}, "at most 200"),
    ],
)
def test_what_is_wrong_is_refused_in_words_and_nothing_is_written(page, band, chart, changed, said):
    before = chart.read_bytes()
    for name in ("follow", "write"):
        status, told = page.told(name, {**laid_as(page, band), **changed})
        assert status in (400, 409)
        assert said in told["refused"]
    assert chart.read_bytes() == before


@pytest.mark.parametrize("data", [b"", b"[]", b"nonsense", b"\xff", b"[" * 50_000, b'{"u": NaN}'])
def test_what_is_no_request_is_refused(page, data):
    with pytest.raises(NotAsked):
        asked(data)
    for name in ("follow", "snap", "write", "draft", "enter", "mark", "unmark"):
        assert page.ask(name, data)[0] == 400


def test_only_the_page_itself_may_send(page, band):
    sent = laid_as(page, band)
    own = f"127.0.0.1:{page.address.port}"
    assert page.ask("write", sent, Origin="http://evil.example")[0] == 403
    assert page.ask("write", sent, Origin="null")[0] == 403
    assert page.ask("write", sent, Host="evil.example", Origin="http://evil.example")[0] == 403
    assert page.ask("write", sent, Content_Type="text/plain")[0] == 415
    assert page.ask("write", b" " * (LARGEST_SENT + 1))[0] == 413
    assert page.ask("table", Host=f"evil.example:{page.address.port}")[0] == 403
    # Without the address that cannot be guessed there is nothing.
    for name in ("/", "/table", "/photograph?0", "/w/table", f"//{own}/"):
        assert page.ask(name)[0] == 404
    for name in ("/write", "/follow", "/watch.css"):
        assert page.ask(name, sent)[0] == 404
    for name in ("photograph?9", "photograph?../x", "photograph?", "evened", "charted"):
        assert page.ask(name)[0] == 404


def test_the_page_and_its_parts_have_a_strict_policy(page):
    for name in ("", "/watch.css", "/lighttable.css", "/lighttable.js"):
        status, head, _ = page.ask(name)
        assert status == 200
        assert "default-src 'none'" in head["Content-Security-Policy"]
        assert "unsafe" not in head["Content-Security-Policy"]
        assert head["Cache-Control"] == "no-store"


CHART = """linen 2
fabric linen 32 over 2
key
  m  #a03a3a "madder"
chart 20 x 20
  |m...................|
photograph a.jpg  # the old one
  shows 0,0 to 9,9
  corners 1,1 9,1 9,9 1,9  # as of May
  landmark 3,3 at 4,4  # the knot
  landmark 5,5 at 6,6
photograph b.jpg
"""


def test_a_block_is_written_in_the_place_of_the_old_and_remarks_stay():
    source = Source("a.linen", CHART)
    corners = ((2.25, 1), (9, 1), (9, 9), (1, 9.5))
    made = Laid("a.jpg", "chart", corners, (Landmark(4, 4, 5, 5.125),))
    text, _ = with_photograph(source, made, 0)
    block = text[text.index("photograph a.jpg") : text.index("photograph b.jpg")].split("\n")
    assert [line.split("#")[0].split() for line in block if line] == [
        ["photograph", "a.jpg"],
        ["shows", "chart"],
        ["corners", "2.25,1", "9,1", "9,9", "1,9.5"],
        ["landmark", "4,4", "at", "5,5.12"],
    ]
    for remark in ("# the old one", "# as of May", "# the knot"):
        assert remark in text
    assert laid(Source("", text))[1] == Laid("b.jpg", "", ())


def test_a_block_that_is_not_whole_is_completed_and_a_new_one_comes_last():
    source = Source("a.linen", CHART)
    corners = ((2, 1), (9, 1), (9, 9), (1, 9))
    made = Laid("b.jpg", "0,0 to 9,9", corners, (Landmark(1, 1, 2, 2), Landmark(2, 1, 3, 2)))
    text, _ = with_photograph(source, made, 1)
    assert laid(Source("", text)) == (laid(source)[0], made)
    other = Laid("d e.jpg", "chart", corners)
    text, _ = with_photograph(Source("a.linen", text), other, None)
    assert laid(Source("", text))[2] == other
    older = CHART.partition("photograph")[0].replace("linen 2", "linen 1")
    text, _ = with_photograph(Source("a.linen", older), other, None)
    assert text.startswith("linen 2")
    assert with_photograph(Source("a.linen", "linen 2\nnonsense\n"), other, None)[0] is None


def test_the_command_tells_the_address_and_ends_when_interrupted(chart):
    with watching(chart.parent, "band.linen", "--photograph", "band.jpg", command="hold") as held:
        address = urlsplit(held.until("Page: ").removeprefix("Page: "))
        line = http.client.HTTPConnection("127.0.0.1", address.port, timeout=PATIENCE)
        line.request("GET", address.path)
        assert line.getresponse().status == 200
        line.close()
        assert held.interrupt() == 130


@pytest.mark.parametrize(
    ("words", "said", "status"),
    [
        ([], "name one with --photograph", 2),
        (["--photograph", "bad.jpg"], "None of its photographs can be opened", 2),
        (["--photograph", "/etc/hostname"], "only files in its own folder or below", 2),
    ],
)
def test_a_table_with_nothing_on_it_is_told(chart, monkeypatch, words, said, status):
    monkeypatch.chdir(chart.parent)
    (chart.parent / "bad.jpg").write_bytes(b"\xff\xd8\xff nothing")
    ran = CliRunner().invoke(main, ["hold", "band.linen", *words])
    assert (ran.exit_code, said in ran.output) == (status, True), ran.output
