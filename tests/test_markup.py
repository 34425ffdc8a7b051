"""The markup of a booklet is HTML and XML at once, so that the quick reader may read it."""

from itertools import cycle
from xml.etree.ElementTree import Element, fromstring

import pytest
import tinyhtml5
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Options, Paper
from linenleaf.pdf.renderer import Sheet, press

from tests.booklets import DEMOS, worked_demo


class Taken(Exception):
    """The sheet has been made."""


def markup(name: str, options: Options) -> str:
    """The markup of a demo's booklet."""
    taken: list[Sheet] = []

    def take(sheet: Sheet, *_: object) -> None:
        taken.append(sheet)
        raise Taken

    with pytest.raises(Taken):
        bind(worked_demo(name), options, press=take)
    return taken[0].html


def outline(element: Element) -> tuple[object, ...]:
    """An element as values that compare; blanks alone at the ends of the page are left out."""
    outside = element.tag in {"html", "body"}
    return (
        element.tag,
        dict(element.attrib),
        (element.text or "").strip() if outside else element.text or "",
        tuple(outline(each) for each in element),
        *(each.tail or "" for each in list(element)[: -1 if outside else None]),
    )


# The paper cuts the markup into other lengths; its kinds are those of the chart.
FORMS = [*zip(DEMOS, cycle((Paper.A5, Paper.A4)), strict=False)]


@pytest.mark.parametrize(("name", "paper"), FORMS)
def test_both_readers_find_the_same_tree(name, paper):
    # Expat by the rules of XML 1.0, tinyhtml5 by those of the WHATWG's HTML.
    text = markup(name, Options(paper))
    assert outline(fromstring(text)) == outline(
        tinyhtml5.parse(text, namespace_html_elements=False)
    )


@pytest.mark.parametrize(
    "text",
    [
        "<p>a word<br>another",  # not closed
        "<html lang='en'><head><title>t</title></head><body><p>a\x0cword</p></body></html>",
        "<p>a word</p>",  # no page of its own
    ],
)
def test_what_is_no_xml_is_read_as_html(text, tmp_path):
    assert press(Sheet(text, "@page { size: 100mm }", tmp_path)).pages == 1
