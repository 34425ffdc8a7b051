"""Sizes against published tables and worked examples."""

import csv
from pathlib import Path

import pytest
from linenleaf.core.ground import MM_PER_INCH, Fabric
from linenleaf.count.size import measured

DATA = Path(__file__).parent.parent / "data"


def linen(count, over):
    return Fabric("linen", count, count, over)


def inches(mm):
    return mm / MM_PER_INCH


def test_140_crosses_at_14_count_are_10_inches():
    # Common practice; so worked in the questions and answers of the Cross Stitch Guild.
    assert inches(measured(140, 140, Fabric("aida", 14, 14, 1, True)).width) == 10


def test_80_by_220_crosses_on_32_count_over_two_with_3_inch_margins():
    # Common practice, no single source.
    size = measured(80, 220, linen(32, 2), margin=3 * MM_PER_INCH)
    assert [inches(size.width), inches(size.height)] == pytest.approx([5, 13.75], rel=1e-12)
    assert [inches(size.cut_width), inches(size.cut_height)] == pytest.approx(
        [11, 19.75], rel=1e-12
    )


def test_an_inch_is_exactly_25_4_mm():
    # International yard and pound agreement, 1 July 1959; NIST SP 811.
    assert measured(16, 16, linen(32, 2)).width == 25.4


def test_uneven_counts_in_warp_and_weft():
    # Count is threads per unit length in warp and in weft (ASTM D3775: end and pick count).
    size = measured(72, 68, Fabric("linen", 36, 34, 2))
    assert (inches(size.width), inches(size.height)) == (4, 4)
    assert size.per_inch == (18, 17)
    assert size.per_cm == pytest.approx((18 / 2.54, 17 / 2.54))


@pytest.mark.parametrize(
    ("fabric", "crosses", "across"),
    [
        # 180 crosses, worked by hand: threads spanned, divided by threads to the inch.
        (linen(36, 1), 180, 5),
        (linen(36, 2), 180, 10),
        (linen(36, 3), 180, 15),
        (Fabric("aida", 18, 18, 1, True), 180, 10),
        (Fabric("blockweave", 9, 9, 1, True), 180, 20),
        (Fabric("aida", 18, 18, 2, True), 180, 20),
    ],
)
def test_over_one_two_and_three_threads_and_on_block_weaves(fabric, crosses, across):
    assert inches(measured(crosses, 1, fabric).width) == pytest.approx(across, rel=1e-12)


with (DATA / "canvas_1844.csv").open(encoding="utf-8") as stream:
    CANVASES = list(csv.DictReader(stream))


def test_crosses_over_two_are_half_the_tent_stitches_over_one():
    # "Scale of Canvases", The Ladies' Work-Table Book, New York 1844 (Project Gutenberg 29382),
    # page 21: tent stitch is worked over one thread, cross stitch over two. One of the 31 rows
    # (English canvas number 38) prints 10 1/4 where half of 21 is 10 1/2.
    wrong = []
    for row in CANVASES:
        threads = float(row["tent_stitch"])
        if linen(threads, 2).per_inch_x != float(row["cross_stitch"]):
            wrong.append((row["canvas"], row["number"]))
    assert len(CANVASES) == 31
    assert wrong == [("English", "38")]
