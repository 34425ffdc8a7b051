"""The designer's Markdown: what reaches the page, and what must not."""

from __future__ import annotations

import io
from itertools import pairwise
from urllib.parse import unquote
from xml.etree import ElementTree

import numpy as np
import pikepdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.booklet.book import bind
from linenleaf.booklet.prose import Prints, typeset
from linenleaf.chart.options import Options, Purpose
from linenleaf.core.diagnostics import has_errors
from linenleaf.core.matter import Picture
from linenleaf.flow import Composed, set_out
from linenleaf.i18n.wording import wording
from linenleaf.resolve import pictures
from linenleaf.resolve.markdown import parser, picture_path, picture_tokens, plain
from linenleaf.resolve.read import read

from tests.rasters import DAMAGED, SOUND, STRANGE_PROFILE


def markup(text, readable=lambda path: True):
    return str(typeset(text, readable))


def tree(text):
    return ElementTree.fromstring(f"<body>{markup(text)}</body>")


def test_html_is_shown_as_it_was_typed():
    found = markup("A <b>bold</b> <script>alert(1)</script> reed\n\n<div>block</div>\n")
    assert "<b>" not in found
    assert "<script" not in found
    assert "<div" not in found
    assert "&lt;script&gt;" in found


@pytest.mark.parametrize(
    "address",
    [
        "http://example.org",
        "javascript:alert(1)",
        "JaVaScRiPt:alert(1)",
        "file:///etc/passwd",
        "//example.org/x",
        "data:text/html,x",
        "mailto:someone@example.org",
        "other.md",
        "#chart-1",
    ],
)
def test_a_link_to_anything_but_https_becomes_its_plain_words(address):
    found = tree(f"See [the *old* shore]({address}).")
    assert not list(found.iter("a"))
    assert "".join(found.itertext()).strip() == "See the old shore."


def test_an_https_link_is_kept_with_plain_words_inside():
    found = tree("See [the *old* shore](https://example.org/a?b=1&c=2 'title').")
    (link,) = found.iter("a")
    assert link.attrib == {"href": "https://example.org/a?b=1&c=2"}
    assert not list(link)
    assert link.text == "the old shore"


@pytest.mark.parametrize(
    "path",
    [
        "../secret.png",
        "a/../../secret.png",
        "/etc/passwd",
        "file:///etc/passwd",
        "https://example.org/x.png",
        "data:image/png;base64,AAAA",
        "//example.org/x.png",
        "..%2fsecret.png",
        "%2e%2e/secret.png",
        "a\\..\\b.png",
    ],
)
def test_a_picture_outside_the_folder_becomes_its_words(tmp_path, path):
    (tmp_path / "secret.png").write_bytes(SOUND["png-colour"][0])
    (tmp_path / "chart").mkdir()
    prints = Prints(tmp_path / "chart")
    found = markup(f"![a reed](<{path}>)", lambda each: prints.take(Picture(each)) is not None)
    assert "<img" not in found
    assert "a reed" in found
    assert prints.files == {}


def test_a_picture_alone_becomes_a_figure_with_its_caption():
    found = tree('![A reed](my%20reed.png "The reed, <drawn>.")')
    (figure,) = found.iter("figure")
    (image,) = figure.iter("img")
    (caption,) = figure.iter("figcaption")
    assert image.attrib == {"src": "folder:my%20reed.png", "alt": "A reed"}
    assert caption.text == "The reed, <drawn>."
    assert not list(found.iter("p"))


def test_a_picture_without_words_is_told_by_its_caption_or_name():
    assert 'alt="The reed"' in markup('![](reed.png "The reed")')
    assert 'alt="reed"' in markup("![](reed.png)")


def test_a_picture_that_cannot_be_read_leaves_its_words():
    found = markup("![A reed](reed.png)", lambda path: False)
    assert "<img" not in found
    assert "A reed" in found


def levels(text):
    return [each.tag for each in tree(text).iter() if each.tag[0] == "h" and each.tag != "hr"]


def test_headings_begin_below_those_of_the_booklet_and_leave_no_level_out():
    """PDF/UA-1, ISO 14289-1, 7.4.2: no heading level is skipped on the way down."""
    assert levels("# a\n\n#### b\n\n## c\n\n### d\n\n# e\n") == ["h3", "h4", "h4", "h5", "h3"]
    assert levels("### a\n\n###### b\n\n# c\n") == ["h3", "h4", "h3"]


@given(st.lists(st.integers(1, 6), min_size=1, max_size=12))
def test_no_sequence_of_headings_skips_a_level(steps):
    found = [int(tag[1]) for tag in levels("\n\n".join("#" * each + " x" for each in steps))]
    assert found[0] == 3
    assert all(3 <= each <= 6 for each in found)
    assert all(after <= before + 1 for before, after in pairwise(found))


def test_quotes_and_dashes_are_set():
    assert "“reed” – it’s" in markup('"reed" -- it\'s')


def test_a_text_without_markdown_gets_the_same_marks_and_nothing_else():
    typed = 'the "old" sampler\'s 1840 -- 1850, *as* <b> & `it` was'
    assert plain(typed) == "the “old” sampler’s 1840 – 1850, *as* <b> & `it` was"
    assert plain('"x"', ("„", "“", "‚", "‘")) == "„x“"


def test_a_table_keeps_its_head():
    found = tree("| a | b |\n|---|---|\n| 1 | 2 |\n")
    assert [each.text for each in found.iter("th")] == ["a", "b"]
    assert [each.text for each in found.iter("td")] == ["1", "2"]


@given(st.text(alphabet="ab <>&\"'`*_[]()!#-|\\\n:/.", max_size=60))
def test_whatever_is_typed_comes_out_as_sound_markup_without_foreign_addresses(text):
    for each in tree(text).iter():
        assert each.tag not in {"script", "style", "iframe", "object", "link"}
        assert each.attrib.get("href", "https://").startswith("https://")
        assert each.attrib.get("src", "folder:").startswith("folder:")


# --- one way to read ------------------------------------------------------------------------------

HOSTILE = st.lists(
    st.sampled_from(
        [
            *("![a](a.png)", "![b][ref]", "![ref]", "![ref][]", "![c](c.png 'Title')", "![", "]("),
            *("[ref]: d.png\n", "\n[ref]: <e f.png> 'T'\n", "[", "]", "\\[", "\\]", "\\!", "!"),
            *("[link](https://example.org ", "[link](x.md)", ")", "(", "<", ">", "<!-- ", " -->"),
            *(
                "`",
                "``",
                "```\n",
                "~~~\n",
                "    ",
                "\t",
                "\n",
                "\n\n",
                " ",
                "# ",
                "> ",
                "- ",
                "1. ",
            ),
            *("| ", " |\n", "|---|\n", "| a |\n|---|\n| ", "*", "**", "_", "'", '"', "--", "(c)"),
            *("<b>", "</b>", "<div>\n", "<img src='x.png'>", "&amp;", "&#33;", "%20", "%2e", "\\"),
            *(
                "![x ![y](y.png) z](z.png)",
                "[![w](w.png)](https://example.org)",
                "https://a.b",
                "=\n",
            ),
        ]
    ),
    max_size=25,
).map("".join)


@settings(deadline=None)  # the first asks for a catalogue
@given(HOSTILE)
def test_the_check_and_the_booklet_see_the_same_pictures(text):
    """What `check` looks at is what stands on the page, in whatever language it is set."""
    checked = [picture_path(each) for each, _, _ in picture_tokens(parser().parse(text))]
    asked: list[str] = []
    for tag in ("en", "fr"):
        asked.clear()
        made = str(typeset(text, lambda each: not asked.append(each), wording(tag).quotes))
        page = ElementTree.fromstring(f"<body>{made}</body>")
        assert asked == checked
        shown = [each.get("src") for each in page.iter("img")]
        assert [unquote(each.removeprefix("folder:")) for each in shown] == checked


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("| a |\n|---|\n| ![b](b.png) |\n", (2, 3)),
        ("A reed:\n\n[![b](b.png)](https://example.org)\n", (2, 3)),
        ("A reed:\n\n<!-- ![b](b.png) -->\n", (2, 3)),
        ("![b][ref]\n\n[ref]: b.png\n", (0, 1)),
        ("# ![b](b.png)\n", (0, 1)),
        ("> - ![b](b.png)\n", (0, 1)),
    ],
)
def test_pictures_are_found_wherever_they_stand(text, lines):
    ((found, *place),) = picture_tokens(parser().parse(text))
    assert picture_path(found) == "b.png"
    assert place[0] <= lines[0] < place[1]
    assert "<img" in markup(text)


@pytest.mark.parametrize(
    "text", ["`![b](b.png)`", "    ![b](b.png)", r"!\[b](b.png)", "![b] (b.png)"]
)
def test_what_only_looks_like_a_picture_is_none(text):
    assert not list(picture_tokens(parser().parse(text)))
    assert "<img" not in markup(text)


CHART = """\
linen 1
booklet "Reed"
  cover front.jpg
  story story.md
  picture side.png "A reed"
fabric linen 28 over 2
key
  m  #3f4a2c "wrack"
chart 2 x 1
  |mm|
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "reed.linen").write_text(CHART, "utf-8")
    (tmp_path / "front.jpg").write_bytes(SOUND["jpeg-cmyk"][0])
    (tmp_path / "side.png").write_bytes(SOUND["png-16-grey"][0])
    (tmp_path / "story.md").write_text("A reed.\n", "utf-8")
    return tmp_path


def wanted(folder):
    return [(each.name, each.span.path, each.span.line) for each in read(folder / "reed.linen")[1]]


@pytest.mark.parametrize("purpose", [Purpose.SCREEN, Purpose.ARCHIVE])
def test_pictures_of_every_kind_are_printed_in_their_colours(folder, purpose):
    kinds = list(SOUND) if purpose is Purpose.SCREEN else ["jpeg-cmyk", "jpeg", "png-alpha"]
    for kind in kinds:
        (folder / f"{kind}.bin").write_bytes(SOUND[kind][0])
    story = "\n\n".join(f"![{each}]({each}.bin)" for each in kinds)
    (folder / "story.md").write_text(story, "utf-8")
    chart = folder / "reed.linen"
    composed = set_out(chart)
    assert isinstance(composed, Composed)
    sources = (chart,) if purpose is Purpose.ARCHIVE else ()
    bound, findings = bind(composed.worked, Options(purpose=purpose), sources=sources)
    assert [each.message for each in findings] == []
    with pikepdf.open(io.BytesIO(bound.data)) as pdf:
        assert pdf.check_pdf_syntax() == []
        spaces = set()
        for each in pdf.objects:
            if isinstance(each, pikepdf.Stream) and each.get("/Subtype") == "/Image":
                pikepdf.PdfImage(each).as_pil_image().load()
                spaces.add(str(each.ColorSpace))
        assert spaces == {"/DeviceRGB", "/DeviceGray"}  # no inks: the booklet is meant for sRGB
    colours = [SOUND[each][1:] for each in ("jpeg-cmyk", *kinds, "png-16-grey")]
    np.testing.assert_allclose(list(seen(bound.data)), colours, atol=8)


def seen(data):
    """The colours of both halves of each picture beside the chart, as they stand on the page."""
    with pypdfium2.PdfDocument(data) as pdf:
        for page in pdf:
            pixels = page.render(scale=1).to_numpy()[..., ::-1]
            for each in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE]):
                if each.get_px_size() in {(48, 36), (32, 24)}:
                    left, bottom, right, top = each.get_bounds()
                    row = pixels[round(page.get_height() - (bottom + top) / 2)]
                    yield tuple(
                        row[round(left + (right - left) * part / 4)].tolist() for part in (1, 3)
                    )


@pytest.mark.parametrize("kind", ["png-without-data", "jpeg-cut"])
def test_a_damaged_picture_is_an_error_at_every_line_that_names_it(folder, kind):
    (folder / "front.jpg").write_bytes(DAMAGED[kind])
    (folder / "story.md").write_text("A reed.\n\n| a |\n|---|\n| ![b](front.jpg) |\n", "utf-8")
    told = wanted(folder)
    assert [each[0] for each in told] == ["damaged-picture"] * 2
    assert [each[1].rpartition("/")[2] for each in told] == ["reed.linen", "story.md"]
    assert [each[2] for each in told] == [3, 5]


def test_a_strange_profile_is_a_warning_at_its_line(folder):
    (folder / "side.png").write_bytes(STRANGE_PROFILE["png-no-profile"])
    ((name, _, line),) = wanted(folder)
    assert (name, line) == ("strange-profile", 5)
    assert not has_errors(read(folder / "reed.linen")[1])


def test_pictures_have_limits_together(folder, monkeypatch):
    monkeypatch.setattr(pictures, "MOST_PIXELS_IN_ALL", 48 * 36 * 3)
    # The cover again, which counts once, and two more are as many as may be.
    story = "![a](front.jpg) ![b](a.png)\n\n![c](side.png)\n\n![d](b.png)\n"
    (folder / "story.md").write_text(story, "utf-8")
    (folder / "a.png").write_bytes(SOUND["png-colour"][0])
    (folder / "b.png").write_bytes(SOUND["png-colour"][0])
    assert [(each[0], each[2]) for each in wanted(folder)] == [("too-many-pictures", 5)]
