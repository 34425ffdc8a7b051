"""What is offered to be typed next."""

from __future__ import annotations

import pytest
from linenleaf.core.source import Source
from linenleaf.lsp.completion import Completion, Offer, complete
from linenleaf.lsp.outline import Outline
from linenleaf.resolve.read import read_source
from linenleaf.syntax.statements import HEADS

from tests.lsp.marked import CURSOR, SOUND, desk_with


def offered(tmp_path, below: str, line: str) -> Completion | None:
    """What is offered when a line with a cursor in it is typed below another."""
    before, after = line.split(CURSOR)
    assert SOUND.count(below + "\n") == 1, below
    text = SOUND.replace(below + "\n", f"{below}\n{before}{after}\n")
    desk, path = desk_with(tmp_path, text, examined=False)
    outline = desk.outline(path)
    assert isinstance(outline, Outline)
    return complete(outline, text.index(below + "\n") + len(below) + 1 + len(before))


def texts(completion: Completion | None) -> list[str]:
    return [each.text for each in completion.choices] if completion is not None else []


CHART, KEY, LAST = "chart 40 x 30", "key", "expect + 4"


@pytest.mark.parametrize(
    ("below", "line", "first"),
    [
        (CHART, "  ¦", ["boat", "tuft", "bead", "border", "knot", "line", "text"]),
        (CHART, "  bo¦", ["boat", "tuft", "bead", "border", "knot", "line", "text"]),
        (CHART, "  border ¦", ["boat", "tuft"]),
        (CHART, "  border tuft, corner ¦", ["boat", "tuft"]),
        (CHART, "  tuft mirrored ¦", ["at", "both", "centre"]),
        (CHART, "  tuft turned ¦", ["half", "left", "right"]),
        (CHART, "  tuft at 3,4 with ¦", ["m", "s", "^", "=", "+"]),
        (CHART, "  tuft at 3,4 with m as ¦", ["m", "s", "^", "=", "+"]),
        (CHART, '  text "A" in ¦', ["marks"]),
        (CHART, '  text "A" in marks at 3,4 cen¦', ["centred", "changeable"]),
        (CHART, "  line ¦", ["rope"]),
        (CHART, "  knot ¦", ["eye"]),
        (CHART, "  bead ¦", ["drop"]),
        (KEY, "  q  sh¦", ["shore"]),
        (KEY, "  q  shore ¦", ["12", "31", "47", "58"]),
        (KEY, "  q  shore 3¦", ["12", "31", "47", "58"]),
        (KEY, "  q  shore 12 half ¦", ["down", "up"]),
        (KEY, "  q  shore 12 quarter ¦", ["top-left", "top-right", "bottom-left", "bottom-right"]),
        (KEY, "  q  shore 12 1 ¦", ["strand"]),
        (KEY, "  q  shore 12 3 ¦", ["strands"]),
        (KEY, "  q  shore 12 with ¦", ["shore"]),
        ("colourway faded", "  ¦", ["m", "s", "^", "=", "+", "rope", "eye", "drop"]),
        ("colourway faded", "  m  shore ¦", ["12", "31", "47", "58"]),
        (
            "fabric linen 32 over 2",
            "  also ¦",
            ["linen", "evenweave", "canvas", "aida", "blockweave"],
        ),
        (LAST, "expect ¦", ["m", "s", "^", "=", "+", "rope", "eye", "drop"]),
        (LAST, "use ¦", ["marks.linen"]),
        (LAST, "range other from ¦", ["shore.csv"]),
        (LAST, "motif mew 3 x 3 symmetric ¦", ["both", "half-turn", "left-right"]),
    ],
)
def test_what_may_follow_is_offered(tmp_path, below, line, first):
    assert texts(offered(tmp_path, below, line))[: len(first)] == first


@pytest.mark.parametrize(
    ("below", "line"),
    [
        (CHART, '  text "TH¦E"'),  # a text
        (CHART, "  tuft at 3,4 # re¦"),  # a remark
        (KEY, "  q  #aa¦"),  # a colour
        ("motif boat 5 x 3 symmetric left-right", "  |.m¦m.|"),  # a row
        (LAST, "motif ¦"),  # a new name
        (LAST, "alphabet ma¦"),
        (KEY, "  ¦q"),  # a new symbol
        (CHART, "  tuft at ¦"),  # a position
        (CHART, "  tuft nonsense ¦"),  # what cannot be read
        (LAST, "x" * 5_000 + " ¦"),
    ],
)
def test_elsewhere_no_name_is_offered(tmp_path, below, line):
    found = offered(tmp_path, below, line)
    kinds = {each.offer for each in found.choices} if found is not None else set()
    assert kinds <= {Offer.WORD}
    if below != KEY:
        assert not kinds


def test_words_that_begin_a_block_are_offered_anywhere_at_the_beginning_of_a_line(tmp_path):
    heads = {head.word for head in HEADS.values() if head.since == 1}
    for below in ("linen 1", CHART, KEY):
        assert set(texts(offered(tmp_path, below, "¦"))) >= heads - {"linen"}


def test_an_empty_file_is_offered_its_first_line(tmp_path):
    desk, path = desk_with(tmp_path, "", examined=False)
    assert texts(complete(desk.outline(path), 0))[0] == "linen 2"


def test_a_thread_is_found_by_its_name_and_shows_it(tmp_path):
    found = offered(tmp_path, KEY, "  q  shore ¦").choices[1]
    assert (found.offer, found.text) == (Offer.THREAD, "31")
    assert found.detail == "wrack #3f4a2c"
    assert found.found_by == "31 wrack"


def test_what_is_chosen_takes_the_place_of_what_was_begun(tmp_path):
    line = "  tuft at 3,4 with m as s, ^ as ¦"
    for begun in ("", "r", "ro"):
        found = offered(tmp_path, CHART, line.replace(CURSOR, begun + CURSOR))
        assert found.start == SOUND.index(CHART) + len(CHART) + 1 + len(line) - 1


def test_names_of_files_that_need_quotes_have_them(tmp_path):
    tmp_path.mkdir(exist_ok=True)
    (tmp_path / "my shore.csv").touch()
    (tmp_path / "notes").mkdir()
    (tmp_path / "notes" / "deep.csv").touch()
    found = texts(offered(tmp_path, LAST, "range other from ¦"))
    assert found == ['"my shore.csv"', "shore.csv", "notes/deep.csv"]


def test_every_choice_of_a_chart_line_can_be_read(tmp_path):
    """What is offered first after a motif makes, with what it needs, a line without findings."""
    needs = {"at": " 3,4", "centre": " at 3,4", "over": " 1 at 3,4", "strands": " 1 over 1 at 3,4"}
    needs |= {"turned": " half at 3,4", "with": " s as m at 3,4", "x": " 2 step 5,0 at 3,4"}
    needs |= {"step": " 5,0 x 2 at 3,4"}
    words = [each for each in texts(offered(tmp_path, CHART, "  tuft ¦")) if "-" not in each]
    assert len(words) >= 10
    for word in words:
        line = f"  tuft {word}{needs.get(word, ' at 3,4')}"
        text = SOUND.replace(CHART, f"{CHART}\n{line}")
        design, findings = read_source(Source("chart.linen", text), tmp_path / "chart.linen")
        assert design is not None, (line, findings)


@pytest.mark.parametrize(
    ("line", "first", "no"),
    [
        ("  boat below ¦", ["low", "at"], "boat"),
        ("  boat right of ¦", ["low"], "at"),
        ("  line rope 0,0 1,1 in ¦", ["low"], "at"),
        ("  boat named ¦", [], "low"),
    ],
)
def test_names_of_things_are_offered_where_they_may_stand(tmp_path, line, first, no):
    text = SOUND.replace("linen 1", "linen 2").replace("use marks", "use marks")
    text = text.replace("tuft at 30,20", "tuft at 30,20 named low")
    before, after = line.split(CURSOR)
    text = text.replace(CHART + "\n", f"{CHART}\n{before}{after}\n")
    desk, path = desk_with(tmp_path, text, examined=False)
    offset = text.index(CHART + "\n") + len(CHART) + 1 + len(before)
    found = texts(complete(desk.outline(path), offset))
    assert found[: len(first[:1])] == first[:1]
    assert set(first) <= set(found)
    assert no not in found


def test_the_key_is_offered_stitches_by_what_its_symbol_stands_for(tmp_path):
    head = "linen 2\nstitch my-plait over 2 x 2\n  up 0,2 down 2,0\nkey\n"
    desk, path = desk_with(tmp_path, f'{head}  q  #223388 "tide" ', examined=False)
    cells = texts(complete(desk.outline(path), len(desk.outline(path).file.source.text)))
    assert {"eye", "rice", "my-plait", "half"} <= set(cells)
    assert not {"double-running", "french-knot"} & set(cells)
    desk, path = desk_with(tmp_path, f'{head}  rope  #223388 "tide" ', examined=False)
    lines = texts(complete(desk.outline(path), len(desk.outline(path).file.source.text)))
    assert {"double-running", "chain", "french-knot", "back"} <= set(lines)
    assert "eye" not in lines


def test_the_block_of_a_thread(tmp_path):
    text = SOUND.replace("linen 1", "linen 2", 1) + "\nthread shore 31\n  \nthread shore \n"
    desk, path = desk_with(tmp_path, text, examined=False)
    outline = desk.outline(path)
    lines = texts(complete(outline, text.index("shore 31\n  \n") + len("shore 31\n  ")))
    assert lines[:4] == ["method", "needleful", "strands", "tail"]
    assert texts(complete(outline, len(text) - 1)) == ["12", "31", "47", "58"]
    assert texts(complete(outline, text.rindex("shore")))[0] == "shore"
