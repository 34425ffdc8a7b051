"""Charts of revisions, each with all that it uses from the same revision, through real git."""

import pytest
from click.testing import CliRunner
from linenleaf.cli import main
from linenleaf.diff.history import NoRevision, Shelf, opener, revision, revision_with, top_of

from tests.diff.repositories import CHART, RANGE, started


@pytest.fixture
def boats(tmp_path, monkeypatch):
    made = started(tmp_path / "boats")
    monkeypatch.chdir(made.top)
    return made


def run(*words):
    return CliRunner().invoke(main, ["diff", *words])


def test_a_chart_is_compared_with_one_of_a_revision(boats):
    boats.edit("boats.linen", ("sail at 20,2", "sail at 22,2"))
    done = run("HEAD:boats.linen", "boats.linen")
    assert done.exit_code == 0
    assert "sail moved 2 columns to the right, from 20,2 to 22,2" in done.output
    assert done.output.startswith("HEAD:boats.linen -> boats.linen\n")


@pytest.mark.parametrize("said", ["HEAD~1", "first", "main~1", "HEAD^", "@~1"])
def test_a_revision_may_be_anything_that_git_understands(boats, said):
    boats.git("tag", "first")
    boats.edit("boats.linen", ("sail at 2,2", "sail at 4,2"))
    boats.commit("Move")
    done = run(f"{said}:boats.linen", "HEAD:boats.linen")
    assert "sail moved 2 columns to the right" in done.output


def test_what_is_staged_is_a_revision_too(boats):
    boats.edit("boats.linen", ("sail at 2,2", "sail at 4,2"))
    boats.git("add", "boats.linen")
    boats.edit("boats.linen", ("sail at 4,2", "sail at 7,2"))
    assert "moved 2 columns to the right" in run("HEAD:boats.linen", ":boats.linen").output
    assert "moved 3 columns to the right" in run(":boats.linen", "boats.linen").output


def test_what_a_chart_uses_comes_from_the_same_revision(boats):
    old = boats.git("rev-parse", "HEAD").strip()
    boats.edit("shore.csv", ("sail canvas", "weathered canvas"))
    boats.write("story.md", "# A story\n")
    boats.edit("boats.linen", ('  edition "1"', '  story story.md\n  edition "1"'))
    boats.commit("Tell a story")
    (boats.top / "story.md").unlink()
    done = run(f"{old}:boats.linen", "HEAD:boats.linen")
    assert done.exit_code == 0
    assert "sail canvas -> weathered canvas" in done.output
    assert "+ # A story" in done.output
    # The folder itself has no story any more, and that is its own matter.
    assert run(f"{old}:boats.linen", "boats.linen").exit_code == 1


def test_files_that_only_the_folder_has_are_not_of_a_revision(boats):
    boats.write("birds.linen", "linen 1\nmotif gull 2 x 1\n  |ss|\n")
    boats.edit("boats.linen", ("key\n", "use birds.linen\n\nkey\n"))
    boats.git("add", "boats.linen")
    boats.git("commit", "-q", "-m", "Use what is not recorded")
    done = run("HEAD:boats.linen", "boats.linen")
    assert done.exit_code == 1
    assert "There is no file `birds.linen`" in done.output
    boats.commit("Record it")
    assert run("HEAD:boats.linen", "boats.linen").exit_code == 0


def test_a_path_counts_from_the_top_or_from_here(tmp_path, monkeypatch):
    made = started(tmp_path / "work", "charts/sea/")
    monkeypatch.chdir(made.top / "charts")
    for path in ("charts/sea/boats.linen", "./sea/boats.linen", "sea/boats.linen"):
        assert run(f"HEAD:{path}", "sea/boats.linen").exit_code == 0, path
    done = run("HEAD:../boats.linen", "sea/boats.linen")
    assert done.exit_code == 2
    assert "has no file ../boats.linen" in done.output


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("nowhere:boats.linen", "git knows no revision nowhere"),
        ("HEAD:other.linen", "Revision HEAD has no file other.linen"),
        ("HEAD:", "There is no file HEAD:"),
        ("other.linen", "There is no file other.linen"),
        ("HEAD:../../boats.linen", "has no file"),
        ("HEAD:/etc/passwd", "has no file"),
        ("--upload-pack=stolen:boats.linen", "No such option"),
        ("HEAD\n:boats.linen", "git knows no revision"),
        (":/Begin:boats.linen", "has no file"),
    ],
)
def test_what_is_not_there_is_told_plainly(boats, said, words):
    done = run(said, "boats.linen")
    assert done.exit_code == 2
    assert words in done.output
    assert sorted(each.name for each in boats.top.iterdir()) == [
        ".git",
        ".gitattributes",
        "boats.linen",
        "shore.csv",
    ]


def test_a_revision_is_never_taken_for_an_option(boats):
    with pytest.raises(NoRevision, match="no revision --output=stolen"):
        revision(boats.top, "--output=stolen")
    assert not (boats.top / "stolen").exists()


def test_a_folder_without_version_control(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    (tmp_path / "boats.linen").write_text(CHART)
    done = run("HEAD:boats.linen", "boats.linen")
    assert done.exit_code == 2
    assert "is not under version control by git" in done.output


def test_without_git_there_are_no_revisions(boats, monkeypatch):
    monkeypatch.setenv("PATH", str(boats.top))
    done = run("HEAD:boats.linen", "boats.linen")
    assert done.exit_code == 2
    assert "git is not installed" in done.output


def test_nothing_outside_the_charts_folder_is_read_from_a_revision(tmp_path, monkeypatch):
    made = started(tmp_path / "work", "charts/")
    made.write("secret.csv", RANGE)
    made.edit("charts/boats.linen", ("from shore.csv", 'from "../secret.csv"'))
    made.commit("Reach out")
    monkeypatch.chdir(made.top)
    done = run("HEAD:charts/boats.linen", "charts/boats.linen")
    assert done.exit_code == 1
    assert "is outside the chart's folder" in done.output


def test_a_link_is_followed_inside_the_folder_only(tmp_path, monkeypatch):
    made = started(tmp_path / "work", "charts/")
    made.write("secret.csv", RANGE)
    (made.top / "charts/shore.csv").rename(made.top / "charts/range.csv")
    (made.top / "charts/shore.csv").symlink_to("range.csv")
    inside = made.commit("Link inside")
    (made.top / "charts/shore.csv").unlink()
    (made.top / "charts/shore.csv").symlink_to("../secret.csv")
    outside = made.commit("Link outside")
    monkeypatch.chdir(made.top)
    with opener() as opened:
        assert opened.open(f"{inside}:charts/boats.linen").worked is not None
        side = opened.open(f"{outside}:charts/boats.linen")
    assert side.worked is None
    assert [each.name for each in side.findings] == ["missing-file"]


def test_no_helper_of_the_repository_is_run(boats):
    trap = boats.top / "trap.sh"
    trap.write_text(f"#!/bin/sh\ntouch {boats.top}/sprung\n")
    trap.chmod(0o755)
    for name in ("core.fsmonitor", "diff.linenleaf.textconv", "filter.linen.smudge"):
        boats.git("config", name, str(trap))
    boats.write(".gitattributes", "*.linen filter=linen diff=linenleaf\n*.csv filter=linen\n")
    (boats.top / "sprung").unlink(missing_ok=True)
    assert run("HEAD:boats.linen", ":boats.linen").exit_code == 0
    assert not (boats.top / "sprung").exists()


def test_nothing_is_written_for_a_revision(boats):
    before = {path: path.stat().st_mtime_ns for path in boats.top.rglob("*")}
    run("HEAD:boats.linen", "boats.linen")
    assert {path: path.stat().st_mtime_ns for path in boats.top.rglob("*")} == before


def test_the_revision_of_a_content_is_found(boats):
    first = boats.git("rev-parse", "HEAD:boats.linen").strip()
    boats.edit("boats.linen", ("sail at 2,2", "sail at 4,2"))
    boats.commit("Move")
    boats.edit("shore.csv", ("sail canvas", "weathered canvas"))
    latest = boats.commit("Another range")
    second = boats.git("rev-parse", "HEAD:boats.linen").strip()
    top = top_of(boats.top)
    assert revision_with(top, "boats.linen", second).tree == revision(top, latest).tree
    assert revision_with(top, "boats.linen", first).tree == revision(top, "HEAD~2").tree
    assert revision_with(top, "boats.linen", "0" * 40) is None
    assert revision_with(top, "other.linen", first) is None


def test_a_shelf_holds_what_its_revisions_hold(boats, tmp_path):
    shelf = Shelf()
    assert not shelf
    path = shelf.place(tmp_path / "nowhere", revision(boats.top, "HEAD"), "boats.linen")
    assert shelf
    assert shelf[path] == CHART.encode()
    assert shelf.get(path.parent / "shore.csv") == RANGE.encode()
    assert shelf.get(path.parent / "other.csv") is None
    assert shelf.get(boats.top / "boats.linen") is None
    assert sorted(each.name for each in shelf) == ["boats.linen", "shore.csv"]
