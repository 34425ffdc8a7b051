"""Exit statuses of `diff` and what it refuses."""

from pathlib import Path

import pytest
from click.testing import CliRunner
from linenleaf.cli import main

DATA = Path(__file__).resolve().parent.parent / "data" / "diff"
OLD, NEW, SAME = (str(DATA / f"boats-{each}.linen") for each in ("1", "moves", "same"))


def run(*words):
    return CliRunner().invoke(main, ["diff", *words])


@pytest.mark.parametrize(
    ("words", "status"),
    [
        ([OLD, NEW], 0),
        ([OLD, SAME], 0),
        ([OLD, NEW, "--exit-code"], 1),
        ([OLD, SAME, "--exit-code"], 0),
        ([OLD, NEW, "--exit-code", "--format", "json"], 1),
        ([OLD], 2),
        ([], 2),
        ([OLD, NEW, NEW], 2),
        ([OLD, "missing.linen"], 2),
        ([OLD, NEW, "-o", "change.gif"], 2),
        ([OLD, NEW, "-o", "/nowhere/change.svg"], 2),
        ([OLD, NEW, "--format", "yaml"], 2),
    ],
)
def test_exit_statuses(words, status):
    done = run(*words)
    assert done.exit_code == status, done.output
    assert not done.exception or isinstance(done.exception, SystemExit)


@pytest.mark.parametrize("which", [0, 1])
def test_a_chart_with_an_error_is_told_with_its_place(tmp_path, which):
    (tmp_path / "shore.csv").write_bytes((DATA / "shore.csv").read_bytes())
    broken = tmp_path / "broken.linen"
    broken.write_text(Path(OLD).read_text().replace("boat mirrored", "boot mirrored"))
    charts = [OLD, OLD]
    charts[which] = str(broken)
    done = run(*charts)
    assert done.exit_code == 1
    assert "There is no motif `boot`" in done.output
    assert f"{broken}:" in done.output
    assert "did you mean `boat`" in done.output


def test_hints_of_the_editor_do_not_stop_a_comparison(tmp_path):
    """Only what cannot be put together stops it; the checks of `check` are not run."""
    (tmp_path / "shore.csv").write_bytes((DATA / "shore.csv").read_bytes())
    doubtful = tmp_path / "doubtful.linen"
    doubtful.write_text(Path(OLD).read_text() + "expect s 1\n")
    assert CliRunner().invoke(main, ["check", str(doubtful)]).exit_code == 1
    assert run(OLD, str(doubtful)).exit_code == 0


def test_skeins_of_a_huge_chart_are_reckoned_only_when_asked_for(tmp_path):
    rows = "\n".join(f"|{'s' * 600}|" for _ in range(500))
    for name, letter in (("old", "s"), ("new", "t")):
        text = (
            'linen 1\nfabric linen 32 over 2\nkey\n  s #aa3344 "madder"\n  t #44aa33 "sedge"\n'
            f"chart 600 x 500\n{rows}\n".replace("|s", f"|{letter}", 1)
        )
        (tmp_path / f"{name}.linen").write_text(text)
    charts = [str(tmp_path / f"{each}.linen") for each in ("old", "new")]
    assert "skeins to buy" not in run(*charts).output
    assert "skeins not worked out; --thread does so" in run(*charts).output
    assert "skeins to buy" in run(*charts, "--thread").output
    assert "skeins to buy" not in run(OLD, NEW, "--no-thread").output
    assert "skeins to buy" in run(OLD, NEW).output
