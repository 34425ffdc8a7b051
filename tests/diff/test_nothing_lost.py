"""Every changed cell is told by something: by what moved, came, went or turned, or in an area."""

from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.core.items import Cover, Mirror
from linenleaf.core.model import Chart
from linenleaf.diff.changes import Added, Area, Moved, Removed, Sort, Turned

from tests.charts import design, motif
from tests.diff.pairs import at, changed, compared, worked

WIDTH, HEIGHT = 30, 24
MOTIFS = (
    motif("tern", "..mm...", ".mmmmss", "mm.kmm.", "...m..."),
    motif("reed", "s", "s", "m"),
    motif("gull", "mm..mm", ".mmmm.", "..mm.."),
    motif("sand", "kskskskskskskskskskskskskskskk"),
)
SIZES = {each.name: (each.width, each.height) for each in MOTIFS}


@st.composite
def placements(draw):
    name = draw(st.sampled_from(sorted(SIZES)))
    wide, high = SIZES[name]
    turns = draw(st.sampled_from((0, 0, 2)))
    mirror = draw(st.sampled_from((None, None, Mirror.LEFT_RIGHT)))
    x = draw(st.integers(0, WIDTH - wide))
    y = draw(st.integers(0, HEIGHT - high))
    return at(name, x, y, turns=turns, mirror=mirror, cover=Cover.REPLACING)


@st.composite
def editions(draw):
    """A chart, and the same with some things added, left out, moved and put in another order."""
    old = draw(st.lists(placements(), min_size=1, max_size=8))
    new = [each for each in old if draw(st.integers(0, 4))]
    new += draw(st.lists(placements(), max_size=3))
    if draw(st.booleans()):
        new = draw(st.permutations(new))
    rows = [draw(st.text("..ms", min_size=WIDTH, max_size=WIDTH)) for _ in range(HEIGHT)]
    other = [*rows]
    for _ in range(draw(st.integers(0, 3))):
        row, column = draw(st.integers(0, HEIGHT - 1)), draw(st.integers(0, WIDTH - 1))
        line = other[row]
        other[row] = line[:column] + draw(st.sampled_from("msk.")) + line[column + 1 :]
    return (rows, old), (other, new)


def chart(rows, items):
    made = Chart(WIDTH, HEIGHT, tuple(rows), tuple(items))
    return worked(design((WIDTH, HEIGHT), motifs=MOTIFS, chart=made))


@settings(max_examples=40)
@given(editions())
def test_no_change_is_lost_and_none_is_told_twice(editions):
    old, new = (chart(*each) for each in editions)
    found = compared(old, new, thread=False)
    assert found.shift == (0, 0)
    if any(each.sort is Sort.GRID for each in found.of(Moved)):
        return  # figures within the grid tell their own size, not what changed
    spots = [
        spot
        for group in (found.of(Moved), found.of(Added), found.of(Removed), found.of(Turned))
        for each in group
        for spot in each.spots
    ]
    told = sum(spot.cells for spot in spots) + sum(each.number for each in found.of(Area))
    assert told == len(changed(found)) == len(found.cells)
    assert bool(found) == bool(len(found.cells))
