"""`linenleaf count` from the command line."""

import json

import pytest
from click.testing import CliRunner
from linenleaf.cli import main

from tests.reports.test_report import RANGE, SALTINGS


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "estuary.csv").write_text(RANGE, "utf-8")
    (tmp_path / "saltings.linen").write_text(SALTINGS.lstrip(), "utf-8")
    return lambda *arguments: CliRunner().invoke(main, ["count", "saltings.linen", *arguments])


@pytest.mark.parametrize(
    ("form", "first"),
    [
        ("text", "Saltings, edition 1"),
        ("csv", "what,range,code"),
        ("json", "{"),
        ("list", "Saltings, edition 1"),
        ("kit", "Saltings, edition 1: 1 kit"),
    ],
)
def test_every_form(run, form, first):
    found = run("--format", form)
    assert found.exit_code == 0
    assert found.stdout.startswith(first)
    assert found.stdout.endswith("\n")


def test_another_fabric_with_its_usual_strands_and_with_others(run):
    usual = json.loads(run("--fabric", "linen 40 over 2", "--format", "json").stdout)
    thick = json.loads(
        run("--fabric", "linen 40 over 2", "--strands", "3", "--format", "json").stdout
    )
    assert (usual["fabric"], usual["strands"]) == ("linen 40 over 2", 1)
    assert (thick["fabric"], thick["strands"]) == ("linen 40 over 2", 3)
    mud, more = usual["threads"][0], thick["threads"][0]
    assert more["put_ups_used"] == pytest.approx(3 * mud["put_ups_used"], abs=1e-5)


def test_kits_of_another_fabric(run):
    found = run("--format", "kit", "--kits", "3", "--fabric", "linen 40 over 2").stdout
    assert found.startswith("Saltings, edition 1: 3 kits\n")
    assert "40-count linen over two, raw flax, 3 pieces of 18 × 16 cm" in found


def test_kits_for_other_programs(run):
    told = json.loads(run("--format", "json", "--kits", "3", "--roll", "55 in").stdout)
    assert (told["kits"], told["cloth"]["roll"]["width_mm"]) == (3, 1397.0)
    assert run("--format", "csv", "--kits", "3").stdout.startswith(
        "what,range,code,name,colour,in_"
    )
    assert run("--format", "csv").stdout.startswith("what,range,code,name,colour,symbols")


def test_a_working_block_that_fits_a_model(run):
    found = run("--used", "estuary 207=1.2, 343=0.06")
    assert found.exit_code == 0
    assert found.stdout.startswith("working\n  needleful 45 cm\n  tail      ")
    assert "# Fitted to a model on linen 32 over 2 with 2 strands: 2 threads" in found.stdout
    other = run("--used", "estuary 207=1.2", "--strands", "3", "--fabric", "aida 16")
    assert "# Fitted to a model on aida 16 with 3 strands: 1 thread" in other.stdout


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ["--fabric", "linnen 36 over 2"],
            "`linnen` is not a kind of fabric. (did you mean `linen`?)",
        ),
        (["--fabric", "aida 14\nkey"], "--fabric: This is not a fabric."),
        (["--strands", "0"], "0 is not in the range"),
        (["--kits", "3"], "--kits goes with --format kit"),
        (["--kits", "0", "--format", "kit"], "0 is not in the range 1<=x<=100000"),
        (["--roll", "140 cm"], "--roll goes with kits"),
        (["--roll", "wide", "--format", "kit"], "'wide' is not a length"),
        (["--roll", "0 cm", "--format", "kit"], "no roll is 0 cm wide; 10 to 500 cm is possible"),
        (["--roll", "9999 in", "--format", "kit"], "no roll is 9999 in wide"),
        (["--roll", "17 cm", "--format", "kit"], "it must be 17.5 cm (6⅞ in) wide at the least"),
        (["--used", "estuary 207=1", "--format", "csv"], "leave --format out"),
        (["--used", "estuary 999=1"], "No thread of the chart is called 'estuary 999'"),
        (["--used", "amber glass=1"], "No thread of the chart is called 'amber glass'"),
        (["--used", "estuary 207=0.1"], "less than the stitches take without any tails"),
        (["--used", "estuary 207=9"], "more than the longest tails would take"),
        (["--used", " "], "say how much of which thread"),
        (["--colourway", "dusk"], "has no colourway named dusk. It has: none."),
        (["--letter", "year=2027"], "none is marked `changeable`"),
    ],
)
def test_misuse_is_told_and_has_status_2(run, arguments, said):
    found = run(*arguments)
    assert said in found.stderr
    assert (found.exit_code, found.stdout) == (2, "")
