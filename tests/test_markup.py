"""The markup of a booklet is HTML and XML at once, so that the quick reader may read it."""

from itertools import cycle
from xml.etree.ElementTree import Element, fromstring

import pytest
import tinyhtml5
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Options, Paper
from linenleaf.compose.worked import WorkedChart
from linenleaf.pdf.renderer import Sheet, press

from tests.booklets import DEMOS, worked_demo
from tests.snippets import worked_of


class Taken(Exception):
    """The sheet has been made."""


def markup(worked: WorkedChart, options: Options) -> str:
    """The markup of a booklet."""
    taken: list[Sheet] = []

    def take(sheet: Sheet, *_: object) -> None:
        taken.append(sheet)
        raise Taken

    with pytest.raises(Taken):
        bind(worked, options, press=take)
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
    text = markup(worked_demo(name), Options(paper))
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


KEY = """key
  m     #a03a3a "madder"
  eye   #a03a3a "madder" knot
  drop  #ffcc55 "amber glass" bead
"""
CAUTION = "Beads can come off"


def headings(text: str) -> list[str]:
    page = fromstring(text)
    return [
        " ".join("".join(each.itertext()).split())
        for each in page.iter()
        if each.tag.rpartition("}")[2] in {"h2", "h3"}
    ]


@pytest.mark.parametrize(
    ("points", "said", "unsaid"),
    [
        ("  knot eye 1,1\n", "French knots", ["Beads", "French knots and beads"]),
        ("  bead drop 1,1\n", "Beads", ["French knots", "French knots and beads"]),
        ("  knot eye 1,1\n  bead drop 2,1\n", "French knots and beads", ["French knots"]),
    ],
)
def test_headings_name_what_stands_below_them(points, said, unsaid, tmp_path):
    worked = worked_of(KEY + "chart 3 x 2\n  |mmm|\n  |mmm|\n" + points, tmp_path)
    text = markup(worked, Options())
    found = headings(text)
    assert said in found
    assert not set(unsaid) & set(found)
    assert (CAUTION in text) == ("bead" in points)
    assert {"Size", "Take care"} <= set(found)
    assert not {"Size on other fabrics", "Editions and rights"} & set(found)
    assert ">Name<" not in text  # of threads without numbers


def test_headings_of_a_chart_with_an_edition_and_other_fabrics():
    found = headings(markup(worked_demo("first-wader"), Options()))
    assert {"Size on other fabrics", "Editions and rights", "Take care"} <= set(found)
