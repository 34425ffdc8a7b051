"""Tails and reserve fitted to a worked model, and what a model took as it is typed."""

import math
from dataclasses import replace
from textwrap import dedent

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linenleaf.core.ground import Working
from linenleaf.core.key import Thread
from linenleaf.count.calibrate import fit
from linenleaf.count.thread import by_needle, estimate, reckon
from linenleaf.reports.used import NotUnderstood, as_working, used
from scipy.optimize import brute

from ..charts import INK, LAMP, MADDER, SEDGE, cell, part
from ..snippets import design_of
from ..thread_charts import AT_16, USUAL, chart

KEY = tuple(
    cell(sign, part(thread))
    for sign, thread in zip("mslk", (MADDER, SEDGE, LAMP, INK), strict=True)
)


def patchwork(seed, working=USUAL, side=60):
    """A chart of fields and scattered crosses, since each loses another share in tails."""
    rng = np.random.default_rng(seed)
    grid = np.zeros((side, side))
    grid[: side // 2, : side // 2] = 1
    grid[: side // 2, side // 2 :] = rng.choice([0, 2], (side // 2, side - side // 2), p=[0.8, 0.2])
    grid[side // 2 :] = rng.choice([0, 3, 4], (side - side // 2, side), p=[0.7, 0.1, 0.2])
    return chart(grid, key=KEY, working=working)


def took(worked, tail):
    other = replace(worked.design.working, tail=tail)
    uses = reckon(worked.design, by_needle(worked, AT_16), other)
    return {use.thread: use.skeins for use in uses}


def test_tails_do_not_change_the_way_from_area_to_area():
    worked = patchwork(1)
    other = replace(worked.design.working, tail=50)
    again = replace(worked, design=replace(worked.design, working=other))
    assert took(worked, 50) == {use.thread: use.skeins for use in estimate(again, AT_16)}


@settings(max_examples=8)
@given(st.integers(0, 5), st.integers(0, 110))
def test_tails_are_found_again(seed, tail):
    worked = patchwork(seed)
    found = fit(worked, AT_16, took(worked, tail))
    assert found.working.tail == pytest.approx(tail, abs=2)
    # Only what the fitted tails miss by a millimetre is left to the reserve.
    assert found.working.reserve <= 0.07
    assert not found.too_little


@settings(max_examples=4)
@given(st.integers(0, 20), st.lists(st.floats(0.8, 1.3), min_size=4, max_size=4))
def test_no_other_tails_fit_clearly_better(seed, hands):
    worked = patchwork(seed)
    really = {
        thread: amount * hand
        for (thread, amount), hand in zip(took(worked, 50).items(), hands, strict=True)
    }

    def off(tail):
        reckoned = took(worked, float(np.ravel(tail)[0]))
        return math.fsum((really[each] - reckoned[each]) ** 2 / really[each] for each in really)

    found = fit(worked, AT_16, really)
    # scipy.optimize.brute tries each millimetre; the reckoned lengths jump a little from one to
    # the next, since needlefuls are whole.
    best = brute(off, (slice(0, 115, 1),), full_output=True, finish=None)[1]
    assert off(found.working.tail) <= best + 0.01 * sum(really.values())


def test_the_reserve_covers_the_thread_that_took_most_more():
    worked = patchwork(1)
    really = took(worked, 65)
    really[MADDER] *= 1.20
    found = fit(worked, AT_16, really)
    shares = [really[each] / found.after[each] for each in really if found.after[each] >= 0.25]
    assert max(shares) <= 1 + found.working.reserve + 1e-9
    assert found.working.reserve == pytest.approx(math.ceil(100 * (max(shares) - 1)) / 100)
    assert found.before == took(worked, 65)


def test_of_one_thread_the_usual_reserve_is_kept():
    worked = patchwork(1)
    found = fit(worked, AT_16, {MADDER: took(worked, 80)[MADDER]})
    assert found.working.reserve == Working().reserve


def test_what_no_tails_explain_is_marked():
    worked = patchwork(2)
    little = {each: amount / 3 for each, amount in took(worked, 0).items()}
    much = {each: amount * 3 for each, amount in took(worked, 110).items()}
    assert fit(worked, AT_16, little).too_little
    assert fit(worked, AT_16, much).too_much


def test_the_block_stands_in_a_chart_and_means_what_was_fitted(tmp_path):
    working = Working(needleful=457.2, tail=50, carry=12.7, reserve=0.125)
    worked = patchwork(3, working)
    found = fit(worked, AT_16, took(worked, 72))
    block = as_working(found, "linen 32 over 2 with 2 strands")
    text = f'key\n  m #445566 "mud"\n{block}chart 1 x 1\n  |m|\n'
    assert design_of(text, tmp_path).working == found.working


def test_the_block_as_it_is_printed():
    worked = patchwork(1, Working(needleful=450, tail=50, reserve=0.12))
    really = {MADDER: 1.0, Thread("", "", "inline red", "#aa0000"): 0.5}
    found = replace(
        fit(worked, AT_16, took(worked, 60)),
        working=Working(needleful=450, tail=62, reserve=0.12),
        used=really,
        before=dict.fromkeys(really, 0.9),
        after=dict.fromkeys(really, 1.01),
    )
    assert as_working(found, "linen 32 over 2 with 2 strands") == dedent(
        """\
        working
          needleful 45 cm
          tail      6.2 cm
          carry     12 mm
          method    rows
          reserve   12 %
          # Fitted to a model on linen 32 over 2 with 2 strands: 2 threads, in put-ups.
          #                     used  before   now
          # estuary 417 madder  1.00    0.90  1.01
          # inline red          0.50    0.90  1.01
        """
    )


# --- what is typed -------------------------------------------------------------------------------

SAND = Thread("", "", "sand, pale", "#d9c79a")
THREADS = (MADDER, SEDGE, SAND)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("estuary 417=1.6", {MADDER: 1.6}),
        ("417=1.6", {MADDER: 1.6}),
        (" estuary 417 = 2 less 0.4 ", {MADDER: 1.6}),
        ("estuary 417=2 less 3.2 g at 8 g", {MADDER: 1.6}),
        ("estuary 417=12.8 g at 8g", {MADDER: 1.6}),
        ("estuary 417=16 g less 3.2 g at 8 g", {MADDER: 1.6}),
        ("estuary 417=1.6, 220=0.5,sand, pale=3", {MADDER: 1.6, SEDGE: 0.5, SAND: 3}),
        ("", {}),
    ],
)
def test_amounts(text, expected):
    assert used([text], THREADS) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        (["estury 417=1"], "'estury 417'; did you mean `estuary 417`"),
        (["shell=1"], "they are estuary 220, estuary 417 and sand, pale"),
        (["estuary 417"], "An amount is written"),
        (["417=one"], "'one' is not an amount"),
        (["417="], "'' is not an amount"),
        (["417=-1"], "'-1' is not an amount"),
        (["417=nan"], "'nan' is not an amount"),
        (["417=99999999999999"], "is not an amount"),
        (["417=0"], "nothing of it was used"),
        (["417=1 less 1"], "nothing of it was used"),
        (["417=1 less 3 g"], "with grams say what a whole put-up weighs"),
        (["417=1 at 8 g"], "with grams say what a whole put-up weighs"),
        (["417=8 g less 0.5 at 8 g"], "take grams from grams"),
        (["417=1 less 1 g at 0 g"], "weighs more than nothing"),
        (["417=1", "estuary 417=1"], "is given twice"),
    ],
)
def test_what_is_no_amount_is_told(texts, said):
    with pytest.raises(NotUnderstood) as caught:
        used(texts, THREADS)
    assert said in str(caught.value)


@given(st.text(max_size=40))
def test_anything_typed_is_understood_or_told(text):
    try:
        found = used([f"estuary 417={text}"], THREADS)
    except NotUnderstood as reason:
        found = {}
        said = str(reason)
    else:
        said = "understood"
    assert said
    assert all(math.isfinite(each) and each > 0 for each in found.values())
