"""The pictures of the README and of the reference are those of the program as it is."""

import re

import pytest

from tests.manual_pictures import FOLDER, REFERENCE, ROOT, examples, others, pages, unlike, written

README = (ROOT / "README.md").read_text("utf-8")
LARGEST = 60_000  # bytes of a file
FAR = 24  # of 255, over 8 x 8 pixels: more than another version of a library draws otherwise
AGAIN = "draw anew, and look: python -m tests.manual_pictures"


@pytest.fixture(scope="module")
def drawn(built_demo):
    booklet = built_demo("saltmarsh-bands").data
    return {name: written(name, image) for name, image in (*pages(booklet), *others())}


def test_all_are_current_and_small(drawn):
    assert {each.stem for each in FOLDER.iterdir()} == set(drawn), AGAIN
    for name, now in drawn.items():
        kept = (FOLDER / f"{name}.png").read_bytes()
        assert len(kept) < LARGEST, name
        assert unlike(kept, now) < FAR, f"{name}: {AGAIN}"


def test_a_picture_of_something_else_is_noticed(drawn):
    assert unlike(drawn["chart-page"], drawn["notes-page"]) > FAR
    assert unlike(drawn["example-1"], drawn["example-2"]) > FAR


def test_each_stands_beside_what_it_shows():
    shown = re.findall(
        r"^```linen\n(.*?)^```\n\n!\[[^]]+\]\(pictures/(example-\d+)\.png\)",
        re.sub(
            r"^```linen\n(?:(?!^```).)*?^```\n(?!\n!\[)",
            "",
            REFERENCE.read_text("utf-8"),
            flags=re.M | re.S,
        ),
        re.M | re.S,
    )
    assert {name: text for text, name in shown} == examples()
    first, *_ = README.partition("## Two commands")
    assert re.findall(r"\(grammar/pictures/([a-z-]+)\.png\)", first) == [
        "cover", "chart-page", "notes-page", "difference",
    ]  # fmt: skip
