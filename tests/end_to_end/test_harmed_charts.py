"""Harmed charts go through every stage without a traceback; `tests.benchmarks.fuzz` tries 20,000.

Cases that once went wrong are kept by what went wrong with them, in the tests of that stage.
"""

from __future__ import annotations

from ..fuzzing import Walk, case, cases, keep

SEED = 1


def test_harmed_charts_end_in_findings(tmp_path):
    walk = Walk(tmp_path, built=25)
    for each in cases(300, SEED):
        walk.go(*each)
    tally = walk.tally
    assert tally.faults == []
    # Some of them must stay sound, or nothing is tried but reading.
    assert tally.reached["count"] > 40
    assert tally.reached["build"] > 0


def test_a_case_can_be_had_again(tmp_path):
    base, name, data = case(7, SEED)
    keep(7, SEED, tmp_path / "seven")
    assert (tmp_path / "seven" / name).read_bytes() == data
    assert (base, name, data) == case(7, SEED)
