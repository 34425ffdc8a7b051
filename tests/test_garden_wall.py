"""The band sampler holds what is said of it, and takes a new band with one new line."""

import re
from difflib import ndiff
from pathlib import Path

import pytest
from linenleaf.chart.options import Options
from linenleaf.compose.compose import compose
from linenleaf.compose.copies import personalise
from linenleaf.core.source import Source
from linenleaf.count.count import count
from linenleaf.flow import follow
from linenleaf.resolve.read import read_source

from tests.booklets import worked_demo
from tests.test_markup import markup

FOLDER = Path(__file__).parent.parent / "examples" / "garden-wall"
CHART = FOLDER / "garden-wall.linen"
STORY = (FOLDER / "story.md").read_text("utf-8")
BELOW, NEW = "    bean-leaf filling\n", "    furrow below gap 3 filling\n"


@pytest.fixture(scope="module")
def flow():
    return follow(CHART)


@pytest.fixture(scope="module")
def worked(flow):
    return flow.worked


def test_nothing_is_found_in_it(flow):
    assert flow.findings == ()


def test_it_is_as_large_and_as_varied_as_it_says(worked):
    assert worked.width >= 120
    assert worked.height >= 300
    counted = {
        part.stitch.name
        for entry in worked.design.key
        for part in entry.parts
        if part.stitch is not None
    }
    used = {each.entry.symbol for each in count(worked).entries}
    assert used == {entry.symbol for entry in worked.design.key}
    assert "fourteen stitches and seven colours" in worked.design.booklet.subtitle
    assert len(counted) + 1 == 14  # and the cross
    assert len(count(worked).threads) == 7
    bands = re.findall(r"^  band\b", CHART.read_text("utf-8"), re.MULTILINE)
    assert len(bands) >= 12


def test_the_story_tells_of_stitches_that_are_there(worked):
    titles = {
        part.stitch.called
        for entry in worked.design.key
        for part in entry.parts
        if part.stitch is not None
    }
    told = re.findall(r"^\| [\w ]+ \| ([\w -]+) \|", STORY, re.MULTILINE)
    told = {each.replace("Algerian eyes", "Algerian eye") for each in told} - {"stitch", "---"}
    assert len(told) == 11
    assert told <= titles


def test_a_band_is_put_in_with_one_line(worked):
    text = CHART.read_text("utf-8")
    assert text.count(BELOW) == 1
    longer = text.replace(BELOW, BELOW + NEW)
    lines = [line for line in ndiff(text.splitlines(), longer.splitlines()) if line[0] in "+-"]
    assert lines == [f"+ {NEW.rstrip()}"]
    design, findings = read_source(Source(str(CHART), longer), CHART)
    assert findings == ()
    other, findings = compose(design)
    assert findings == ()
    assert other.height == worked.height + 4
    before, after = tops(worked), tops(other)
    moved = {name for name in before if after[name] != before[name]}
    assert {after[name] - before[name] for name in moved} == {4}
    assert moved == {name for name, top in before.items() if top > before["leaves"]}


def tops(worked):
    return {thing.name: thing.box[1] for thing in worked.design.chart.things if thing.name}


def test_there_is_room_for_wide_initials_and_a_year(worked):
    copy, findings = compose(personalise(worked.design, {"initials": ("W W",), "year": ("2088",)}))
    assert copy is not None
    assert findings == ()


def test_its_booklet_draws_each_stitch_from_both_sides():
    sides = re.findall(
        r'src="stitch:([\w-]+)".*?<figcaption>(\w+)<', markup(worked_demo("garden-wall"), Options())
    )
    names, told = zip(*sides, strict=True)
    assert told == ("Front", "Back") * 13  # all but the cross, which has drawings of its own
    assert len(set(names)) == 2 * 13
