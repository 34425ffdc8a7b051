"""What is known of open texts, whatever stands in them."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from linenleaf.core.findings import Level
from linenleaf.lsp.completion import complete
from linenleaf.lsp.desk import Desk, examine
from linenleaf.lsp.hover import hover
from linenleaf.lsp.mentions import mention_at
from linenleaf.lsp.outline import contents, swatches
from linenleaf.reports.codeunits import Units, offset_of, units_before

from tests.lsp.marked import MARKS, SOUND, WHOLE, desk_with
from tests.resolve.test_read_fuzz import ODD
from tests.sources import folder_with


def settle(desk: Desk, *paths) -> None:
    for path in paths:
        desk.settle(examine(path, desk.texts()))


def names(desk: Desk, path) -> list[str]:
    return [each.name for each in desk.findings()[path] if each.level is Level.ERROR]


def test_findings_are_those_of_the_open_texts_not_of_the_files(tmp_path):
    desk, path = desk_with(tmp_path)
    assert names(desk, path) == []
    desk.put(path, SOUND.replace("boat at 2,10", "bote at 2,10"))
    settle(desk, path)
    assert names(desk, path) == ["unknown-motif"]
    assert path.read_text("utf-8") == SOUND


def test_findings_in_used_files_are_told_where_they_are(tmp_path):
    desk, path = desk_with(tmp_path)
    marks = path.with_name("marks.linen")
    desk.put(marks, MARKS.replace("|mm|", "|mQ|", 1))
    assert desk.charts_with(marks) == [marks, path]
    settle(desk, marks, path)
    # Only the chart's key can tell that there is no such symbol; said once.
    assert names(desk, marks) == ["unknown-symbol"]
    assert names(desk, path) == []
    desk.take_away(marks)
    settle(desk, path)
    assert marks not in desk.findings()
    assert names(desk, path) == []


def test_a_chart_that_is_closed_is_forgotten(tmp_path):
    desk, path = desk_with(tmp_path)
    desk.take_away(path)
    assert desk.findings() == {}
    assert desk.outline(path) is None
    assert desk.tally(path) is None
    settle(desk, path)  # an examination that was under way
    assert desk.findings() == {}


def test_charts_that_use_each_other_in_a_ring_are_outlined(tmp_path):
    desk = Desk()
    paths = [(tmp_path / name).resolve() for name in ("a.linen", "b.linen")]
    for path, other in zip(paths, reversed(paths), strict=True):
        desk.put(path, f"linen 1\nuse {other.name}\nmotif m{path.stem} 1 x 1\n  |m|\n")
    settle(desk, *paths)
    assert set(desk.outline(paths[0]).motifs) == {"ma", "mb"}


def test_a_text_that_is_not_saved_yet_is_examined(tmp_path):
    folder_with(tmp_path)
    path = (tmp_path / "new.linen").resolve()
    desk = Desk()
    desk.put(path, SOUND)
    settle(desk, path)
    assert names(desk, path) == []
    assert desk.tally(path).current


def test_colours_and_contents(tmp_path):
    desk, path = desk_with(tmp_path)
    outline = desk.outline(path)
    found = [
        (each.colour, each.span.source.text[each.span.start : each.span.end])
        for each in swatches(outline)
    ]
    assert found[:2] == [("#E9DFCB", "#E9DFCB"), ("#3f4a2c", "31")]
    assert ("#aa3344", "#aa3344") in found
    assert found[-1] == ("#6b5a4a", "47")
    listed = [(each.word, each.name, each.size) for each in contents(outline.file)]
    assert listed == [
        ("range", "shore", ""),
        ("key", "key", ""),
        ("motif", "boat", "5 x 3"),
        ("motif", "tuft", "2 x 1"),
        ("chart", "chart", "40 x 30"),
        ("colourway", "faded", ""),
    ]


def everything(desk: Desk, path) -> None:
    """Ask everything of every place of a text."""
    settle(desk, path)
    for findings in desk.findings().values():
        for finding in findings:
            for span in filter(None, (finding.span, *(each.span for each in finding.hints))):
                for units in Units:
                    assert units_before(span.source, span.start, units) <= units_before(
                        span.source, span.end, units
                    )
    outline = desk.outline(path)
    if outline is None:
        return
    source = outline.file.source
    for each in swatches(outline):
        assert each.span.end <= len(source.text)
    for each in contents(outline.file):
        assert each.whole.start <= each.head.start <= each.head.end <= each.whole.end
    for offset in range(0, len(source.text) + 1, 7):
        mention = mention_at(outline.file, offset)
        if mention is not None:
            assert mention.span.start <= offset <= mention.span.end
            hover(mention, outline, desk.tally(path))
            outline.definition(mention)
            outline.file_named(mention)
        found = complete(outline, offset)
        assert found is None or found.start <= offset
        assert offset_of(source, *units_before(source, offset)) <= offset


def test_everything_can_be_asked_of_a_sound_text(tmp_path):
    for text in (SOUND, WHOLE, MARKS, "", "\n", "linen", "|"):
        desk, path = desk_with(tmp_path, text, examined=False)
        everything(desk, path)


@settings(
    max_examples=20,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    derandomize=True,
    database=None,
)
@given(data=st.data())
def test_no_text_breaks_anything(tmp_path, data):
    text = data.draw(st.sampled_from([SOUND, WHOLE]))
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        end = min(len(text), at + data.draw(st.sampled_from([0, 1, 5, 60])))
        text = (
            text[:at]
            + data.draw(st.sampled_from([*ODD, "", "\ud83d", "\udc1f", "\n\n"]))
            + text[end:]
        )
    desk = Desk()
    path = folder_with(tmp_path, SOUND).resolve()
    desk.put(path, text)
    everything(desk, path)


def test_each_line_cut_off_anywhere_breaks_nothing(tmp_path):
    """As a chart looks while it is being typed."""
    path = folder_with(tmp_path, WHOLE).resolve()
    desk = Desk()
    for end in range(0, len(WHOLE), 37):
        desk.put(path, WHOLE[:end])
        outline = desk.outline(path)
        assert outline is not None
        complete(outline, len(outline.file.source.text))
        mention_at(outline.file, end)
