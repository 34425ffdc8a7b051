"""Colourways: the same stitches in other threads, each with its counts, thread and picture."""

import io
from dataclasses import replace

import numpy as np
import pytest
from linenleaf.booklet.book import bind
from linenleaf.booklet.colourways import ROOM, way_pictures, ways
from linenleaf.booklet.layout import setting
from linenleaf.chart.options import Options, Paper
from linenleaf.chart.symbols import choose
from linenleaf.compose.copies import recolour
from linenleaf.core.matter import Picture
from linenleaf.count.count import BeadCount, count
from linenleaf.count.thread import estimate
from linenleaf.reports.facts import gather
from linenleaf.reports.report import as_text
from linenleaf.reports.shoplist import as_list
from PIL import Image

from ..pages import pages_of
from ..snippets import worked_of

FORM = setting(Paper.A4)

CHART = """
linen 1
booklet "Ebb"
  edition "1"
  cover photo.png
fabric linen 32 over 2
key
  s     #c69c63 "sand"
  w     #2f6b74 "creek"
  z     #2f6b74 "creek" with #c69c63 "sand"
  rope  #2f6b74 "creek" back
  lamp  #f2b33d "amber" bead
chart 12 x 3
  |sssswwwwwwzz|
  |sssswwwwwwzz|
  |sssswwwwwwzz|
  line rope 0,0 12,0
  bead lamp 2,2 3,2
colourway dusk "At dusk"
  w     #5f4c88 "aster"
  z     #5f4c88 "aster" with #c69c63 "sand"
  lamp  #c8662d "copper"
colourway one
  w     #c69c63 "sand"
  z     #c69c63 "sand" with #2f6b74 "creek"
"""


@pytest.fixture
def ebb(tmp_path):
    Image.new("RGB", (60, 40), "#a0b0c0").save(tmp_path / "photo.png")
    return worked_of(CHART, tmp_path)


def names(uses):
    return [use.thread.name for use in uses]


def test_each_colourway_has_its_own_threads_counts_beads_and_skeins(ebb):
    dusk, one = ways(ebb, FORM)
    assert (dusk.title, one.title) == ("At dusk", "one")
    # Only what the key then names: the rope is still worked in creek.
    assert names(dusk.threads) == ["sand", "aster", "creek"]
    assert names(one.threads) == ["sand", "creek"]
    for way, name in ((dusk, "dusk"), (one, "one")):
        assert way.threads == estimate(recolour(ebb, name), ebb.design.ground.fabric)
        assert way.buy == sum(use.buy for use in way.threads)
    counted = {each.thread.name: each.number for each in count(recolour(ebb, "one")).threads}
    # By hand: 12 + 18 crosses of sand, 6 of the blend; of creek the blend and 12 back stitches.
    assert counted == {"sand": 36, "creek": 18}
    (copper,) = dusk.beads
    assert (copper.bead.name, copper.number) == ("copper", 2)
    assert one.beads == (BeadCount(ebb.design.key[4].parts[0].needle[0].thread, 2),)


def test_stitches_and_symbols_stay(ebb):
    for name in ("dusk", "one"):
        other = recolour(ebb, name)
        assert np.array_equal(other.grid, ebb.grid)
        assert choose(other) == choose(ebb)


def test_pictures_are_in_the_colours_of_their_colourway_and_fit(ebb):
    found, later = ways(ebb, FORM), way_pictures(ebb, FORM)
    pixels = {}
    for way in found:
        data, kind = later[way.address]()
        assert kind == "image/jpeg"
        with Image.open(io.BytesIO(data)) as picture:
            assert way.width <= ROOM[0] + 1e-9
            assert way.height <= ROOM[1] + 1e-9
            assert picture.width / picture.height == pytest.approx(way.width / way.height, 0.03)
            pixels[way.title] = np.asarray(picture.convert("RGB")).astype(int)
    # In the middle stands what was creek: violet at dusk, so bluer than green; else sand.
    middle = {title: _middle(each) for title, each in pixels.items()}
    assert middle["At dusk"][2] > middle["At dusk"][1]
    assert middle["one"][2] < middle["one"][1]


def _middle(pixels):
    rows, columns, _ = pixels.shape
    part = pixels[rows * 3 // 8 : rows * 5 // 8, columns * 4 // 10 : columns * 7 // 10]
    return part.mean(axis=(0, 1))


def test_a_photograph_of_other_colours_is_not_on_the_cover(ebb):
    assert ebb.design.booklet.cover == Picture("photo.png")
    other = recolour(ebb, "dusk")
    assert other.design.booklet.cover is None
    assert other.design.in_colourway == ebb.design.colourways[0]


def test_reports_name_the_colourway(ebb):
    facts = gather(recolour(ebb, "dusk"))
    assert as_text(facts).startswith("Ebb, edition 1, colourway dusk\n")
    assert "Beads: 2 beads, copper (lamp)." in as_text(facts)
    assert "1 x aster (skein of 8 m)" in as_list(facts)


def test_a_colourway_that_is_not_there_is_a_fault_of_ours(ebb):
    with pytest.raises(KeyError):
        recolour(ebb, "dawn")


def pages(worked, **options):
    bound, findings = bind(worked, Options(**options))
    assert findings == ()
    return [page.extract_text() for page in pages_of(bound.data)]


def test_one_booklet_holds_all_colourways_and_one_sold_alone_only_its_own(ebb):
    # A photograph is no part of this test; without it the cover is drawn.
    plain = replace(ebb.design, booklet=replace(ebb.design.booklet, cover=None, about="Low water."))
    whole = pages(replace(ebb, design=plain))
    back = whole[-1]
    assert back.index("Low water.") < back.index("Other colourways") < back.index("At dusk")
    heading = "Thread for other colourways"
    assert sum(heading in page for page in whole) == 1
    section = "\n".join(whole).split(heading)[1]
    assert section.index("At dusk") < section.index("aster") < section.index("one")
    assert "3 colours, 3 skeins in all, 2 beads of copper." in section.replace("\n", " ")
    alone = pages(replace(ebb, design=plain), colourway="dusk")
    assert "Low water." in alone[-1]
    assert "Other colourways" not in alone[-1]
    assert not any(page.startswith("Thread for other colourways") for page in alone)
    materials = next(page for page in alone if page.startswith("Materials"))
    assert "aster" in materials
    assert "2 beads, copper" in materials
