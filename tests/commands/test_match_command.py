"""`linenleaf match` from the command line."""

import numpy as np
import pytest
from click.testing import CliRunner
from linenleaf.cli import main
from PIL import Image

from tests.reports.test_rekeyed import CHART, OTHER, OWN

PLACES = ["--patch", "1,1", "9,9", "--white", "1,1", "9,9", "--grey", "1,1", "9,9"]


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "own.csv").write_text(OWN, "utf-8")
    (tmp_path / "other.csv").write_text(OTHER, "utf-8")
    (tmp_path / "short.csv").write_text("".join(OTHER.splitlines(True)[:3]), "utf-8")
    (tmp_path / "bad.csv").write_text("code,name\n1,dune\n", "utf-8")
    (tmp_path / "ebb.linen").write_text(CHART.lstrip(), "utf-8")
    pixels = np.full((40, 80, 3), 200, np.uint8)  # a table; on it a thread and a white card
    pixels[:, :40] = (0x7A, 0x96, 0xA6)
    Image.fromarray(pixels).save(tmp_path / "photo.png")
    return lambda *arguments: CliRunner().invoke(main, ["match", *map(str, arguments)])


def test_a_colour(run):
    found = run("other.csv", "#d5c090", "-n", 2)
    assert found.exit_code == 0
    # Lab 78.380 0.347 26.942 and 32.995 to channel, as coloraide 8.13 works them out.
    assert found.stdout.splitlines() == [
        "Sought: #d5c090, Lab 78.4 0.3 26.9",
        "",
        "thread   name     colour    off",
        "--------------------------------------------------------------",
        "other 1  dune     #d5c090   0.0  the same to the eye",
        "other 3  channel  #6f8fa0  33.0  another colour; bluer, darker",
    ]
    assert found.stderr == ""


def test_a_photograph(run):
    patch, card = ("--patch", "5,5", "35,35"), ("--white", "45,5", "75,35")
    found = run("own.csv", "--photo", "photo.png", *patch, "-n", 1)
    assert found.exit_code == 0
    assert "own 12  ebb   #7a96a6  0.0  the same to the eye" in found.stdout
    assert "warning: Without a grey or white patch" in found.stderr
    corrected = run("own.csv", "--photo", "photo.png", *patch, *card, "--reflects", 57.8)
    # A card that gives back 57.8 % is #c8c8c8, 200: then nothing is corrected.
    assert corrected.stdout.startswith("Sought: #7a96a6,")
    assert corrected.stderr == ""


def test_a_whole_key(run):
    found = run("ebb.linen", "--into", "other.csv")
    assert found.exit_code == 0
    assert 'range other from "other.csv"' in found.stdout
    assert "  z     other 3 with other 1" in found.stdout


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["own.csv"], "say one colour, in quotes"),
        (["own.csv", "red"], "'red' is not a colour"),
        (["own.csv", "#8a6a49", "--photo", "photo.png"], "say one colour"),
        (["own.csv", "#8a6a49", "--patch", "1,1", "9,9"], "go with --photo"),
        (["own.csv", "--photo", "photo.png"], "--photo needs --patch"),
        (["own.csv", "--photo", "photo.png", "--patch", "1,1", "9"], "'9' is not a place"),
        (["own.csv", "--photo", "photo.png", "--patch", "1,1", "-9,9"], "'-9,9' is not a place"),
        (["own.csv", "--photo", "photo.png", "--patch", "1,1", "99,9"], "leaves the picture"),
        (["own.csv", "--photo", "own.csv", "--patch", "1,1", "9,9"], "not a PNG or JPEG"),
        (
            ["own.csv", "--photo", "photo.png", *PLACES],
            "give one of --white and --grey",
        ),
        (["ebb.linen", "#8a6a49"], "a chart needs --into"),
        (["ebb.linen", "#8a6a49", "--into", "other.csv"], "leave the colour and --photo out"),
        (["ebb.linen", "--into", "short.csv"], "2 threads are too few; the key needs 5"),
        (["nowhere.csv", "#8a6a49"], "does not exist"),
        (["own.csv", "#8a6a49", "-n", "0"], "0 is not in the range"),
    ],
)
def test_misuse_is_told_and_has_status_2(run, arguments, said):
    found = run(*arguments)
    assert said in found.stderr
    assert (found.exit_code, found.stdout) == (2, "")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["bad.csv", "#8a6a49"], "bad.csv:1:1: error: The column `colour` is missing."),
        (["ebb.linen", "--into", "bad.csv"], "The column `colour` is missing."),
        (["own.csv", "--into", "other.csv"], "own.csv:1:1: error:"),
    ],
)
def test_faults_in_files_are_findings_with_status_1(run, arguments, said):
    found = run(*arguments)
    assert said in found.stderr
    assert (found.exit_code, found.stdout) == (1, "")


def test_metal_and_beads_are_offered_when_asked_for(run, tmp_path):
    odd = "code,name,colour,kind\n3,frost,#7a96a6,metallic\n4,twine,#c9ad7e,perle\n"
    (tmp_path / "odd.csv").write_text(odd, "utf-8")
    assert "odd 3" not in run("odd.csv", "#7a96a6").stdout
    asked = run("odd.csv", "#7a96a6", "--kind", "metallic", "--kind", "bead").stdout
    assert "odd 3" in asked
    assert "odd 4" not in asked
    nothing = run("odd.csv", "#7a96a6", "--kind", "flat")
    assert nothing.exit_code == 2
    assert "--kind metallic --kind perle" in nothing.stderr
    beads = run("ebb.linen", "--into", "other.csv", "--kind", "bead")
    assert beads.exit_code == 2
    assert "worked with thread" in beads.stderr
