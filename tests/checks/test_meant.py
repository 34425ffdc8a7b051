"""Remarks keep findings quiet: at one place, by name, and only with a reason."""

from __future__ import annotations

import numpy as np
import pytest
from linenleaf.checks import examine
from linenleaf.core.source import Source
from linenleaf.formatting.rulers import Rulers
from linenleaf.formatting.tidy import tidy

from ..snippets import FABRIC, HEAD, found_in, worked_of
from .cases import BARE_HEART, KEY, RAY, band

SLIPPED = f"{RAY}.{RAY}.{BARE_HEART}.{RAY}."
ROW = f"  |{SLIPPED}|"
TEXT = KEY + band(SLIPPED)


def looked_at(text, tmp_path):
    """The names of what is found, and what is kept quiet with its reasons."""
    found, quiet = examine(worked_of(text, tmp_path))
    return [each.name for each in found], [(each.finding.name, each.reason) for each in quiet]


def after(remark):
    return TEXT.replace(ROW, f"{ROW}   {remark}")


def above(*remarks):
    return TEXT.replace(ROW, "\n".join([*(f"  {each}" for each in remarks), ROW]))


MEANT = "# meant odd-repeat: the maker's own slip"
QUIET = [("odd-repeat", "the maker's own slip")]


def test_without_a_remark_it_speaks(tmp_path):
    assert looked_at(TEXT, tmp_path) == (["odd-repeat"], [])


@pytest.mark.parametrize(
    "text",
    [
        after(MEANT),
        after("#meant  odd-repeat :the maker's own slip  "),
        above(MEANT),
        above(MEANT, "# a remark of another kind"),
        above("# as she drew it", MEANT),
    ],
)
def test_a_remark_keeps_it_quiet_and_is_handed_on(text, tmp_path):
    assert looked_at(text, tmp_path) == ([], QUIET)


def test_it_holds_for_its_own_place_only(tmp_path):
    elsewhere = TEXT.replace("chart 40 x 9", f"chart 40 x 9  {MEANT}")
    found, quiet = looked_at(elsewhere, tmp_path)
    assert sorted(found) == ["idle-remark", "odd-repeat"]
    assert quiet == []


@pytest.mark.parametrize(
    ("remark", "message"),
    [
        (
            "# meant odd-repeat:",
            "This remark gives no reason, so it does not silence `odd-repeat`.",
        ),
        ("# meant odd-repeat", "This remark gives no reason, so it does not silence `odd-repeat`."),
        ("# meant lone-stitch: no", "There is no `lone-stitch` here to silence."),
        ("# meant odd-repaet: no", "Nothing called `odd-repaet` can be silenced."),
    ],
)
def test_an_idle_remark_is_told(remark, message, tmp_path):
    found = found_in(after(remark), tmp_path)
    assert [each.name for each in found] == ["odd-repeat", "idle-remark"]
    assert found[1].message == message
    assert found[1].hints


def test_a_misspelt_name_gets_the_nearest(tmp_path):
    (idle,) = (
        each
        for each in found_in(after("# meant odd-repaet: no"), tmp_path)
        if each.name == "idle-remark"
    )
    assert idle.hints[0].message.startswith("did you mean `odd-repeat`")


@pytest.mark.parametrize("remark", ["# meant for the maker", "# what is meant here: a slip"])
def test_other_comments_are_left_alone(remark, tmp_path):
    assert looked_at(after(remark), tmp_path) == (["odd-repeat"], [])


def test_what_stands_in_quotes_is_no_remark(tmp_path):
    text = TEXT + 'note at 3,3 "Say # meant odd-repeat: so."\n'
    assert looked_at(text, tmp_path) == (["odd-repeat"], [])


def test_errors_are_never_kept_quiet(tmp_path):
    text = KEY + "chart 3 x 1\n |mms|\nexpect m 5 # meant not-as-expected: I like it\n"
    assert [each.name for each in found_in(text, tmp_path)] == ["not-as-expected", "idle-remark"]


def test_of_checks_that_did_not_run_nothing_is_said(tmp_path):
    found, quiet = examine(worked_of(after(MEANT), tmp_path), {"unused-symbol"})
    assert (found, quiet) == ((), ())


def test_another_slip_in_the_row_needs_a_remark_of_its_own(tmp_path):
    twice = SLIPPED[:2] + "." + SLIPPED[3:]
    text = KEY + band(twice)
    assert looked_at(text, tmp_path) == (["odd-repeat"] * 2, [])
    row = f"  |{twice}|"
    assert looked_at(text.replace(row, f"{row}  {MEANT}"), tmp_path) == (["odd-repeat"], QUIET)
    both = f"  {MEANT}\n{row}  {MEANT}"
    assert looked_at(text.replace(row, both), tmp_path) == ([], QUIET * 2)


@pytest.mark.parametrize("text", [after(MEANT), above(MEANT)])
def test_it_survives_tidying_and_moving(text, tmp_path):
    source = Source("test.linen", HEAD + FABRIC + text.lstrip("\n"))
    tidied, findings = tidy(source, Rulers.ADDED)
    assert tidied is not None, findings
    assert looked_at(tidied, tmp_path) == ([], QUIET)
    first, *rows = tidied[tidied.index("chart 40 x") :].splitlines()
    # Three bare rows above move the row with its remark.
    moved = "\n".join([first.replace("x 9", "x 12"), *[f"  |{'.' * 40}|"] * 3, *rows])
    assert looked_at(tidied[: tidied.index("chart 40 x")] + moved, tmp_path) == ([], QUIET)


STRIP = "motif strip 40 x 9\n" + TEXT[TEXT.index("  |") :].replace(ROW, f"{ROW}   {MEANT}")
CHART = "chart 48 x 16\n  strip at 2,2\n"
EDGE = "motif edge 4 x 2\n  |mmss|\n  |ssmm|\n"


@pytest.mark.parametrize(
    "text",
    [
        KEY + STRIP + CHART,
        KEY + EDGE + STRIP + "chart 48 x 16\n  edge at 2,0 x 10 step 4,0\n  strip at 2,5\n",
        KEY + STRIP + CHART.replace("at 2,2", "at 7,6 mirrored"),
        KEY + CHART + STRIP,
    ],
    ids=["as it was", "a band above", "placed elsewhere", "further down in the file"],
)
def test_a_remark_in_a_motif_goes_with_it(text, tmp_path):
    found, quiet = looked_at(text, tmp_path)
    assert (found, quiet) == ([], QUIET)


def test_a_remark_at_either_of_two_holds_when_they_change_places(tmp_path):
    cells = np.random.default_rng(0).integers(0, 3, (12, 12))
    cells[5:8, 5:8] = [[0, 1, 2], [2, 2, 1], [0, 2, 1]]
    figure = ["".join(".ms"[each] for each in row) for row in cells]
    version = [*figure[:6], figure[6][:6] + "m" + figure[6][7:], *figure[7:]]
    remark = "  # meant odd-twin: the second is a hen"
    for upper, lower in ((figure, version), (version, figure)):
        rows = [*upper, *["." * 12] * 3, *lower]
        lines = [f"  |{row}|{remark if row == version[6] else ''}" for row in rows]
        text = "\n".join([f"{KEY}chart 12 x {len(rows)}", *lines, ""])
        assert looked_at(text.replace(remark, ""), tmp_path)[0] == ["odd-twin"]
        assert looked_at(text, tmp_path) == ([], [("odd-twin", "the second is a hen")])
