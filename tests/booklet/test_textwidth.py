"""Words without an end can be broken; all others are left as they were."""

from __future__ import annotations

import itertools
import re

import pytest
from linenleaf.booklet.textwidth import BREAK, LONGEST_WORD, with_breaks, with_full_lines
from pdfplumber.utils import extract_words
from weasyprint import HTML

from tests.pages import pages_of


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


CAPTION = "Columns 60 to 110, rows 3 to 9, on chart <b>3</b>, page <em>12</em>."
# Where a no-break space stands before a link, and before the words a bracket.
DUTCH = "Het ligt in kolom 6, in rij 9, op blad\xa0<a>1</a>, pagina\xa0<a>3</a>; daar."
FRENCH = "Il se trouve au rang 200 (planches\xa0<a>3</a> et\xa0<a>4</a>, page\xa0<a>9</a>)\xa0; là."


@pytest.mark.parametrize(
    ("caption", "points"),
    [(CAPTION, 7.6), (CAPTION, 8.5), (CAPTION, 10.5), (DUTCH, 10.5), (FRENCH, 10.5)],
)
def test_no_line_before_a_link_is_parted_where_more_words_have_room(
    caption: str, points: float
) -> None:
    """Each line is as full as it can be, read by pdfplumber from PDFium's letters."""
    widths = range(90, 270, 4)
    style = f"@page {{ size: 350pt 9000pt; margin: 0 }} body {{ margin: 0; font-size: {points}pt }}"
    words = with_full_lines(
        "".join(f'<p style="width: {w}pt; margin: 0">{caption}' for w in widths)
    )
    (page,) = pages_of(HTML(string=f"<style>{style}</style>{words}").write_pdf())
    read = extract_words(page.chars, x_tolerance=1)
    plain = re.sub("<[^>]*>", "", caption)
    assert [word["text"] for word in read] == plain.split() * len(widths)
    each = len(plain.split())
    space = read[1 - each]["x0"] - read[-each]["x1"]  # of the widest
    ends = list(itertools.accumulate(len(tied.split()) for tied in plain.split(" ")))
    for at, width in enumerate(widths):
        line = read[at * each : (at + 1) * each]
        for end, after in itertools.pairwise(ends):
            last, first, tied = line[end - 1], line[end], line[after - 1]
            assert tied["top"] == first["top"]
            if first["top"] > last["top"] + 1:
                room = width - last["x1"] - 2 * space  # the mark keeps a blank from hanging out
                assert tied["x1"] - first["x0"] > room, (width, last["text"])


def test_only_blanks_before_links_and_emphasis_are_marked() -> None:
    assert with_full_lines("<p>a <em>b</em> <a>c</a>\xa0d</p> <p>e\xa0<a>f</a></p>") == (
        f"<p>a {BREAK}<em>b</em> <a>c</a>\xa0d</p> <p>e\xa0\u2060<a>f</a></p>"
    )


def test_a_count_is_not_parted_at_its_hyphen() -> None:
    """Read by PDFium: the mark that keeps it together leaves no trace in the words."""
    words = with_full_lines('<p class="a-3-b">of a 32-count linen, 1-30</p>')
    assert words == '<p class="a-3-b">of a 32-\u2060count linen, 1-30</p>'
    style = (
        "<style>@page { size: 60pt 300pt; margin: 0 } body { margin: 0; font-size: 12pt }</style>"
    )
    (page,) = pages_of(HTML(string=style + words).write_pdf())
    assert page.extract_text().splitlines() == ["of a", "32-count", "linen,", "1-30"]
