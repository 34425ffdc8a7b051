"""A key line that a finding tells to add can be added as it stands."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from linenleaf.compose.keytext import free_symbol, key_line
from linenleaf.core.key import KeyEntry, Kind, Part, Strands, Thread, Way

from ..charts import FULLS, HALVES, MADDER, part
from ..snippets import design_of

RANGE = "code,name,colour\n417,madder,#a03a3a\n220,sedge,#5f7a4a\n"
RANGED = st.sampled_from(
    [Thread("estuary", "417", "madder", "#a03a3a"), Thread("estuary", "220", "sedge", "#5f7a4a")]
)
INLINE = st.just(Thread("", "", "old rose", "#aa3344"))
CORNERS = [Way.TOP_LEFT, Way.TOP_RIGHT, Way.BOTTOM_LEFT, Way.BOTTOM_RIGHT]


@st.composite
def parts(draw):
    needles = st.lists(
        st.builds(Strands, RANGED | INLINE, st.integers(1, 4)),
        min_size=1,
        max_size=2,
        unique_by=lambda each: each.thread.label,
    ).map(tuple)
    kind = draw(st.sampled_from([Kind.FULL, Kind.UPRIGHT, Kind.HALF, Kind.QUARTER, None]))
    if kind is None:
        corner = draw(st.integers(0, 3))
        return (
            Part(Kind.THREE_QUARTER, draw(needles), CORNERS[corner]),
            Part(Kind.QUARTER, draw(needles), CORNERS[3 - corner]),
        )
    ways = {Kind.HALF: [Way.UP, Way.DOWN], Kind.QUARTER: CORNERS}.get(kind, [None])
    return (Part(kind, draw(needles), draw(st.sampled_from(ways))),)


@given(parts())
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_key_line_reads_back_as_what_it_was_made_from(tmp_path, made):
    (tmp_path / "estuary.csv").write_text(RANGE, encoding="utf-8")
    text = (
        f"range estuary from estuary.csv\nkey\n  q {key_line('q', made)[1:]}\nchart 1 x 1\n  |q|\n"
    )
    assert design_of(text, tmp_path).key[0].parts == made


def test_the_symbol_offered_is_the_mirror_image_if_it_is_free():
    assert free_symbol("/", FULLS) == "\\"
    assert free_symbol("/", FULLS + HALVES) == "a"
    assert free_symbol("m", FULLS) == "a"
    assert free_symbol("b", FULLS) == "d"
    assert free_symbol("m", [KeyEntry(each, (part(MADDER),)) for each in "abc"], ["d"]) == "e"
