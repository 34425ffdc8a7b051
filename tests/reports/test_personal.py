"""Personal copies: replaced lettering is set, checked and counted; the chart file stays."""

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.cli import main
from linenleaf.compose.compose import compose
from linenleaf.compose.copies import NotChangeable, letters_asked, personalise
from linenleaf.count.count import count
from linenleaf.flow import follow

from ..charts import picture
from ..snippets import design_of

ALPHABET = """
alphabet plain height 3 spacing 1 space 2
  A |.m.|
    |mmm|
    |m.m|
  I |m|
    |m|
    |m|
  É |mm|
    |m.|
    |mm|
"""
CHART = f"""linen 1
booklet "Sampler"
  edition "1"
fabric linen 32 over 2
key
  m  #a03a3a "madder"
  s  #5f7a4a "sedge"
{ALPHABET}
motif reed 1 x 3
  |s|
  |s|
  |s|
chart 12 x 9
  text "AI" in plain at 0,0 changeable initials
  text "II" in plain at 0,5 changeable year
  text "I" in plain at 6,5 changeable year
  reed at 8,0
expect m 18
expect m 9 in 0,0 to 7,3
expect s 3
"""


@pytest.fixture
def sampler(tmp_path):
    path = tmp_path / "sampler.linen"
    path.write_text(CHART, "utf-8")
    return path


def copied(path, *texts):
    flow = follow(path, letters_asked(texts))
    assert flow.worked is not None, [each.message for each in flow.findings]
    return flow


def rows(worked):
    return picture(worked.grid, worked.design.key)


def test_the_published_chart(sampler):
    assert rows(follow(sampler).worked)[:3] == [
        ".m..m...s...",
        "mmm.m...s...",
        "m.m.m...s...",
    ]


def test_a_text_is_replaced_and_everything_counted_anew(sampler):
    before = sampler.read_bytes()
    flow = copied(sampler, "initials=I A")
    assert rows(flow.worked)[:3] == [
        "m...m...s...",
        "m..mmm..s...",
        "m..m.m..s...",
    ]
    assert rows(flow.worked)[5:] == rows(follow(sampler).worked)[5:]
    # By hand: I has 3 crosses and A 6; three I of the years 9.
    assert {each.entry.symbol: each.number for each in count(flow.worked).entries} == {
        "m": 18,
        "s": 3,
    }
    assert sampler.read_bytes() == before


def test_one_name_may_stand_for_several_texts_and_an_empty_text_takes_it_out(sampler):
    flow = copied(sampler, "year=", "initials=I")
    assert "".join(rows(flow.worked)).count("m") == 3


def test_lines_are_set_one_below_the_other(sampler):
    # The second line stands two bare rows below the first: over the years, which are taken out.
    flow = copied(sampler, "initials=I", "initials=AA", "year=")
    assert rows(flow.worked)[5:8] == [
        ".m...m......",
        "mmm.mmm.....",
        "m.m.m.m.....",
    ]


def test_letters_are_composed_as_they_are_in_a_chart(sampler):
    assert rows(copied(sampler, "initials=E\N{COMBINING ACUTE ACCENT}").worked)[0].startswith("mm.")


# --- expectations --------------------------------------------------------------------------------


def test_a_copy_is_not_held_to_what_is_expected_of_the_published_chart(sampler):
    # The copy holds 3 crosses less, and none where 9 are expected.
    assert copied(sampler, "initials=I").findings == ()
    assert copied(sampler, "initials=").findings == ()


def test_the_published_chart_is_held_to_it_all_the_same(sampler):
    sampler.write_text(CHART.replace("expect m 18", "expect m 20"), "utf-8")
    expected = ["20 of `m` are expected, but the chart holds 18."]
    for text in ("initials=", "initials=IA", "initials=A A"):
        flow = follow(sampler, letters_asked([text]))
        assert flow.worked is None
        assert [each.message for each in flow.findings] == expected


# --- findings ------------------------------------------------------------------------------------


def findings(path, *texts):
    flow = follow(path, letters_asked(texts))
    assert flow.worked is None
    return flow.findings


def test_a_missing_letter_points_at_the_text_in_the_source_and_says_what_it_reads(sampler):
    (found,) = findings(sampler, "initials=ÄI")
    assert found.name == "missing-letter"
    assert found.message == "The alphabet `plain` has no letter `Ä`."
    assert CHART.splitlines()[found.span.line - 1].strip() == (
        'text "AI" in plain at 0,0 changeable initials'
    )
    assert found.hints[0].message == "in this copy `initials` reads “ÄI”"
    assert found.hints[-1].message == "or give this copy other letters"


def test_an_overlap_says_so_even_where_the_other_thing_is_blamed(sampler):
    (found,) = findings(sampler, "initials=AAA")
    assert found.name == "overlap"
    assert "`reed` lies on the text “AAA”" in found.message
    assert found.hints[0].message == "in this copy `initials` reads “AAA”"


def test_text_that_leaves_the_chart(sampler):
    found = findings(sampler, "year=AAAA")
    assert {each.name for each in found} == {"outside", "overlap"}
    assert all(each.hints[0].message == "in this copy `year` reads “AAAA”" for each in found)


def test_findings_about_anything_else_are_left_alone(tmp_path):
    path = tmp_path / "sampler.linen"
    path.write_text(CHART.replace("reed at 8,0", "reed at 20,0"), "utf-8")
    (found,) = findings(path, "initials=I")
    assert not any("in this copy" in each.message for each in found.hints)


@given(st.text(alphabet="AIÉ ", min_size=0, max_size=3))
def test_whatever_fits_is_the_chart_that_says_so_itself(tmp_path_factory, text):
    # A chart whose source holds the text is an independent way to the same crosses.
    folder = tmp_path_factory.mktemp("copies")
    published = design_of(CHART, folder)
    copy, found = compose(personalise(published, {"initials": (text,)}))
    line = f'text "{text}"' if text.strip() else '# text "AI"'
    written, other = compose(design_of(CHART.replace('text "AI"', line), folder))
    assert [each.message for each in found] == [each.message for each in other]
    if copy is not None:
        assert np.array_equal(copy.grid, written.grid)


# --- what is typed -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        (["initials"], "names no text"),
        (["=C D"], "names no text"),
        (["initials=A\nI"], "all visible"),
        (["initials=A\u202eI"], "all visible"),
        (["initials=" + "A" * 201], "at most 200 characters"),
        (["initials=A"] * 51, "at most 50 lines"),
    ],
)
def test_texts_that_cannot_be_set(texts, said):
    with pytest.raises(NotChangeable, match=said):
        letters_asked(texts)


def test_an_unknown_name_is_told_with_those_there_are(sampler):
    with pytest.raises(NotChangeable, match="did you mean `initials`"):
        follow(sampler, {"initails": ("A",)})
    with pytest.raises(NotChangeable, match="there is `initials` and `year`"):
        follow(sampler, {"motto": ("A",)})


@pytest.fixture
def run(sampler, monkeypatch):
    monkeypatch.chdir(sampler.parent)
    return lambda *arguments: CliRunner().invoke(main, list(arguments))


def test_counts_and_checks_of_a_copy(run):
    counted = run("count", "sampler.linen", "--letter", "initials=I A")
    assert counted.exit_code == 0
    assert counted.stdout.startswith("Sampler, edition 1, personal copy (initials “I A”)\n")
    assert "21 crosses" in counted.stdout
    assert run("check", "sampler.linen", "--letter", "initials=I A").exit_code == 0
    assert run("check", "sampler.linen", "--letter", "initials=Ä").exit_code == 1


def test_misuse_has_status_2(run):
    found = run("check", "sampler.linen", "--letter", "motto=A")
    assert (found.exit_code, found.stdout) == (2, "")
    assert "linenleaf: --letter: No text is called 'motto'; there is `initials`" in found.stderr


@pytest.mark.parametrize(
    ("letters", "name"),
    [
        ([], "sampler--64px.png"),
        (["initials=I A"], "sampler--64px-copy-i-a_a7d84d6a83dd.png"),
        (["initials=I", "year=II"], "sampler--64px-copy-i-ii_9b36017b2a2e.png"),
        (["initials="], "sampler--64px-copy_35ea3bebfe4f.png"),
    ],
)
def test_a_copy_gets_a_file_of_its_own(run, sampler, letters, name):
    more = [word for text in letters for word in ("--letter", text)]
    found = run("picture", "sampler.linen", "--width", "64", *more)
    assert (found.exit_code, found.stdout) == (0, f"{name}\n")
    assert [each.name for each in sampler.parent.glob("*.png")] == [name]
