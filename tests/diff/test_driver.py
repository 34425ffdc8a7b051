"""Real git calls linenleaf as diff driver, and merges charts by itself."""

from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner
from linenleaf.cli import main
from linenleaf.commands.new import start
from linenleaf.core.installed import GIT_SETTING
from linenleaf.diff.driver import answer_git
from linenleaf.flow import follow

from tests.diff.repositories import COMMAND, Repository, answering, started


@pytest.fixture(scope="module")
def driver(tmp_path_factory):
    return answering(tmp_path_factory.mktemp("driver"))


@pytest.fixture
def boats(tmp_path, driver):
    return started(tmp_path / "boats", driver=driver)


def test_git_diff_tells_what_differs_on_the_chart(boats):
    boats.edit("boats.linen", ("sail at 20,2", "sail at 22,2"), ("|.sss|", "|.hss|"))
    told = boats.git("diff")
    assert told.startswith("chart boats.linen\n")
    assert "sail moved 2 columns to the right, from 20,2 to 22,2" in told
    assert "sail redrawn; placed 2 times" in told
    assert "1 cross sail canvas -> hull tar" in told
    assert "@@" not in told


def test_git_show_and_log_do_so_when_asked(boats):
    boats.edit("boats.linen", ("sail at 20,2", "sail at 22,2"))
    boats.commit("Move")
    assert "sail moved" in boats.git("show", "--ext-diff")
    assert "sail moved" in boats.git("log", "-p", "--ext-diff", "-1")
    assert "+  sail at 22,2" in boats.git("show")


def test_other_files_are_shown_by_line(boats):
    boats.edit("boats.linen", ("sail at 20,2", "sail at 22,2"))
    boats.edit("shore.csv", ("sail canvas", "weathered canvas"))
    told = boats.git("diff")
    assert "sail moved" in told
    assert "+12,weathered canvas" in told
    assert "sail canvas -> weathered canvas" in told


def test_each_side_has_the_range_of_its_own_revision(boats):
    boats.edit("boats.linen", ("sail at 20,2", "sail at 22,2"))
    boats.edit("shore.csv", ("47,hull tar", "48,hull tar"))
    boats.edit("boats.linen", ("shore 47", "shore 48"))
    boats.commit("Another thread")
    told = boats.git("diff", "HEAD~1", "HEAD")
    assert "shore 47 hull tar, 2 strands -> shore 48 hull tar, 2 strands" in told
    assert "cannot be read" not in told


def test_a_renamed_chart_is_compared(boats):
    boats.edit("boats.linen", ("sail at 20,2", "sail at 22,2"))
    boats.git("mv", "boats.linen", "fleet.linen")
    told = boats.git("diff", "-M", "HEAD")
    assert told.startswith("chart boats.linen -> fleet.linen\n")
    assert "sail moved" in told


def test_new_and_removed_charts_are_told(boats):
    boats.write("new.linen", (boats.top / "boats.linen").read_text())
    boats.git("add", "new.linen")
    told = boats.git("diff", "--cached")
    assert told.startswith("chart new.linen\nnew chart: Two Boats, edition 1. 30 by 20 crosses")
    (boats.top / "boats.linen").unlink()
    assert "chart boats.linen\nthe chart was removed: Two Boats" in boats.git("diff")


def test_a_chart_that_cannot_be_read_is_shown_by_line(boats):
    boats.edit("boats.linen", ("sail at 20,2", "sial at 22,2"))
    told = boats.git("diff")
    assert "The new side cannot be read as a chart: There is no motif `sial`." in told
    assert "-  sail at 20,2" in told
    assert "+  sial at 22,2" in told


def test_a_file_of_motifs_is_shown_by_line(boats):
    boats.write("birds.linen", "linen 1\nmotif gull 2 x 1\n  |ss|\n")
    boats.commit("Birds")
    boats.edit("birds.linen", ("|ss|", "|s.|"))
    told = boats.git("diff")
    assert "holds no chart" in told
    assert "+  |s.|" in told


def test_what_is_only_written_otherwise_is_said_to_be_the_same(boats):
    boats.edit("boats.linen", ("  sail at 2,2", "  # the first boat\n  sail at 2,2"))
    told = boats.git("diff")
    assert "The chart is the same, only written differently." in told
    assert "+  # the first boat" in told


def test_a_merge_that_git_cannot_make_is_told(boats):
    boats.git("checkout", "-q", "-b", "other")
    boats.edit("boats.linen", ("|.sss|", "|.hss|"))
    boats.commit("One")
    boats.git("checkout", "-q", "main")
    boats.edit("boats.linen", ("|.sss|", "|.ssh|"))
    boats.commit("Other")
    boats.git("merge", "other", check=False)
    assert "boats.linen is not merged yet" in boats.git("diff", "--cached")
    assert "<<<<<<<" in boats.git("diff")


def test_branches_that_touch_different_motifs_merge_by_themselves(boats):
    boats.git("checkout", "-q", "-b", "sails")
    boats.edit("boats.linen", ("  |.sss|\n", "  |.hss|\n"))
    boats.commit("A patch in the sail")
    boats.git("checkout", "-q", "main")
    boats.edit("boats.linen", ("  |.hhhh.|", "  |.hsh..|"), ("hull at 19,7", "hull at 18,7"))
    boats.commit("Another hull")
    boats.git("merge", "-q", "-m", "Both", "sails")
    flow = follow(boats.top / "boats.linen")
    assert flow.worked is not None
    assert not flow.findings
    told = boats.git("diff", "HEAD~1", "HEAD")
    assert "sail redrawn; placed 2 times" in told
    assert "hull redrawn" not in told
    told = boats.git("diff", "HEAD^2", "HEAD")
    assert "hull redrawn" in told
    assert "hull moved 1 column to the left" in told


def test_a_new_chart_comes_with_the_attributes(tmp_path, driver):
    start(tmp_path / "reeds", date(2026, 3, 14))
    made = Repository(tmp_path / "reeds", driver)
    made.git("init", "-q", "-b", "main")
    made.commit("Begin")
    made.edit("reeds.linen", ("at 19,5", "at 18,5"))
    assert "boat moved 1 column to the left" in made.git("diff")


def test_without_the_setting_git_shows_lines(tmp_path):
    """Who has not told git of linenleaf sees what git always shows, and no error."""
    start(tmp_path / "reeds", date(2026, 3, 14))
    made = Repository(tmp_path / "reeds")
    made.git("init", "-q", "-b", "main")
    made.commit("Begin")
    made.edit("reeds.linen", ("at 19,5", "at 18,5"))
    told = made.git("-c", "diff.linenleaf.command=", "diff", "--no-ext-diff")
    assert "+  boat mirrored at 18,5" in told


def test_a_chart_in_a_folder_and_a_call_from_below(tmp_path):
    made = started(tmp_path / "work", "charts/sea/")
    made.edit("charts/sea/boats.linen", ("sail at 20,2", "sail at 22,2"))
    below = Repository(made.top / "charts")
    told = below.git("diff")
    assert told.startswith("chart charts/sea/boats.linen\n")
    assert "sail moved" in told


def test_arguments_that_are_not_gits_are_misuse(tmp_path):
    done = CliRunner().invoke(main, ["diff", "--git", "one", "two"])
    assert done.exit_code == 2
    assert "git" in done.output
    with pytest.raises(ValueError, match="1, 7 or 9"):
        answer_git(["one", "two"])


@pytest.mark.parametrize("driver", [COMMAND, COMMAND.replace(" linenleaf ", " /bin/false ")])
def test_where_linenleaf_is_missing_or_fails_git_shows_lines_and_goes_on(boats, tmp_path):
    boats.edit("boats.linen", ("sail at 20,2", "sail at 22,2"))
    boats.edit("shore.csv", ("sail canvas", "weathered canvas"))
    (tmp_path / "no commands").mkdir()
    told = boats.git("diff", path=tmp_path / "no commands")
    assert "+  sail at 22,2" in told
    assert "+12,weathered canvas" in told  # the file after it


def test_the_readme_tells_the_setting_that_is_tested():
    readme = (Path(__file__).resolve().parents[2] / "README.md").read_text("utf-8")
    assert f"\n{GIT_SETTING}\n" in readme
