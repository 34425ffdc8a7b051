"""Words without an end can be broken; all others are left as they were."""

from __future__ import annotations

import re

import pytest
from linenleaf.booklet.textwidth import BREAK, LONGEST_WORD, with_breaks


@pytest.mark.parametrize(
    "html",
    [
        "<p>Rindfleischetikettierungsüberwachung und Flut</p>",
        f"<p>{'tide and reed ' * 20}</p>",
        f"<td>{'a' * 30}</td><td>{'b' * 30}</td>",
        f'<img alt="{"a" * 300}"/><a href="https://x.org/{"a" * 300}">a</a>',
        f"<p>{'漢字' * 60}</p>",
        f"<p>{'a' * LONGEST_WORD} <em>{'b' * LONGEST_WORD}</em></p>",
    ],
)
def test_what_can_be_read_is_left_alone(html: str) -> None:
    assert with_breaks(html) == html


@pytest.mark.parametrize(
    ("html", "signs"),
    [
        (f"<p>{'a' * 205}</p>", 205),
        (f"<p>{'<em>a</em>_' * 100}</p>", 200),
        (f"<p>{'&amp;' * 205}</p>", 205),
        (f"<p>tide {'e' * 205}</p>", 205),
    ],
)
def test_a_word_without_end_is_broken(html: str, signs: int) -> None:
    made = with_breaks(html)
    assert made.replace(BREAK, "") == html  # nothing else is touched, no sign is cut in two
    words = re.sub("&amp;", "&", re.sub("<[^>]*>", "", made)).split()[-1].split(BREAK)
    assert sum(map(len, words)) == signs
    assert max(map(len, words)) <= LONGEST_WORD


def test_a_letter_keeps_its_accents() -> None:
    made = with_breaks("e\u0323\u0301" * 100)
    assert BREAK in made
    assert not re.search(f"{BREAK}[\u0301\u0323]", made)
