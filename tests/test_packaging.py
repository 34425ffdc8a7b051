"""What is installed works from any folder, and the README says what is true."""

import email
import importlib.metadata
import importlib.resources
import os
import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest
from linenleaf import __version__
from linenleaf.flow import follow
from markdown_it import MarkdownIt

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text("utf-8")


PACKED = {
    "pipeline": "linenleaf",
    "grammar": "linenleaf/grammar",
    "templates": "linenleaf/templates",
}
# Not of the project: what tools and runs leave in its folder.
LEFT = (".git", ".venv", "build", "dist", "*.egg-info", "__pycache__", ".*_cache", ".hypothesis")


@pytest.fixture(scope="module")
def sources(tmp_path_factory):
    """The source distribution, built from a copy so that the tree is left alone, and unpacked."""
    out = tmp_path_factory.mktemp("sources")
    shutil.copytree(ROOT, out / "copy", ignore=shutil.ignore_patterns(*LEFT, "*.pdf", "output"))
    with tarfile.open(setuptools_builds("sdist", out / "copy", out)) as archive:
        # Python before 3.11.4 has no filters.
        archive.extractall(out, **({"filter": "data"} if hasattr(tarfile, "data_filter") else {}))
    [unpacked] = out.glob("linenleaf-*/")
    return unpacked


@pytest.fixture(scope="module")
def wheel(sources, tmp_path_factory):
    """The wheel, built from the source distribution."""
    return setuptools_builds("wheel", sources, tmp_path_factory.mktemp("wheel"))


def setuptools_builds(kind, folder, out):
    """Build as any installer would, by the door that is made for them (PEP 517)."""
    code = f"from setuptools.build_meta import build_{kind} as build; build({str(out)!r})"
    subprocess.run([sys.executable, "-c", code], cwd=folder, check=True, capture_output=True)
    [built] = [each for each in out.iterdir() if each.name.endswith((".whl", ".tar.gz"))]
    return built


@pytest.mark.skipif(not (ROOT / ".git").exists(), reason="not a copy that git knows")
def test_the_source_distribution_holds_all_that_is_under_version_control(sources):
    under = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True, text=True
    ).stdout.split("\0")
    there = {each.relative_to(sources).as_posix() for each in sources.rglob("*")}
    assert {name for name in under if name and (ROOT / name).exists()} <= there
    strange = {name.partition("/")[0] for name in there} - {
        name.partition("/")[0] for name in under
    }
    assert strange == {"PKG-INFO", "setup.cfg", "linenleaf.egg-info"}  # setuptools' own


def test_the_metadata_tells_what_an_index_shows(wheel):
    [name] = [each for each in zipfile.ZipFile(wheel).namelist() if each.endswith("/METADATA")]
    told = email.message_from_bytes(zipfile.ZipFile(wheel).read(name))
    assert told["Version"] == __version__
    assert told["License-Expression"] == "MIT"
    for field in ("Author", "Keywords", "Classifier", "Project-URL", "License-File"):
        assert told[field], field
    links = hrefs(told.get_payload())
    assert all(each.startswith("https://") for each in links), links
    assert "[notation reference](" in README
    assert "notation reference (`grammar/notation.md`)" in told.get_payload()


def hrefs(markdown):
    """The links of a page, by a parser of Markdown."""
    inline = (each.children or [] for each in MarkdownIt().parse(markdown))
    tokens = [token for children in inline for token in children]
    led = {token.attrs["href"] for token in tokens if token.type == "link_open"}
    return led | {token.attrs["src"] for token in tokens if token.type == "image"}


def test_the_version_stands_in_one_place():
    places = [
        path
        for folder in (*PACKED, ".ci")
        for path in (ROOT / folder).rglob("*")
        if path.suffix in {".py", ".json", ".j2", ".md"} and __version__ in path.read_text("utf-8")
    ] + [
        name for name in ("README.md", "pyproject.toml") if __version__ in (ROOT / name).read_text()
    ]
    assert places == [ROOT / "pipeline/__init__.py"]


def test_the_licences_told_are_those_that_the_packages_tell():
    page = (ROOT / "templates/licences/others.md").read_text("utf-8")
    told = dict(re.findall(r"^\| ([\w-]+) \| (.+?) \|$", page, re.MULTILINE))
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    needed = [*project["dependencies"], *project["optional-dependencies"]["editor"]]
    names = {re.match(r"[\w-]+", each)[0] for each in needed}
    assert told.keys() - {"package", "what", "---"} == names
    for name in names:
        own = importlib.metadata.metadata(name)
        fields = [own["License-Expression"] or own["License"], *own.get_all("Classifier")]
        for licence in re.findall(r"[A-Z]{3,}|Apache", told[name]):
            assert licence in " ".join(filter(None, fields)), name


@pytest.mark.parametrize("face", ["sans", "serif"])
def test_the_licence_of_the_typefaces_is_theirs(face):
    theirs = importlib.resources.files(f"font_source_{face}_pro") / "files/LICENSE.txt"
    ours = ROOT / f"templates/licences/source-{face}.txt"
    assert ours.read_bytes().splitlines() == theirs.read_bytes().splitlines()


def test_the_wheel_holds_every_resource(wheel):
    inside = set(zipfile.ZipFile(wheel).namelist())
    for folder, room in PACKED.items():
        for path in (ROOT / folder).rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts and ".egg-info" not in str(path):
                assert f"{room}/{path.relative_to(ROOT / folder).as_posix()}" in inside


def test_the_wheel_builds_a_booklet_from_another_folder(wheel, tmp_path):
    place = tmp_path / "installed"
    zipfile.ZipFile(wheel).extractall(place)
    environment = {**os.environ, "PYTHONPATH": str(place)}
    code = "import linenleaf, linenleaf.cli; print(linenleaf.__file__)"
    for words in (["new", "reeds"], ["build", "reeds/reeds.linen"]):
        code += f"; linenleaf.cli.main({words}, standalone_mode=False)"
    said = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert said.startswith(str(place))
    assert (tmp_path / "reeds/reeds.pdf").read_bytes().startswith(b"%PDF-")


def test_the_charts_in_the_readme_are_sound(tmp_path):
    charts = re.findall(r"```linen\n(.*?)```", README, re.DOTALL)
    assert charts
    for number, text in enumerate(charts):
        path = tmp_path / f"{number}.linen"
        path.write_text(text, "utf-8")
        flow = follow(path)
        assert flow.worked is not None, flow.findings


def test_the_files_that_the_readme_names_are_there():
    for name in re.findall(r"\]\(([\w./-]+)\)", README) + re.findall(
        r"`(examples/[\w-]+)`", README
    ):
        assert (ROOT / name).exists(), name
    demo = re.search(r"<!-- demo -->\n```sh\n(.*?)\n```", README, re.DOTALL)
    assert (ROOT / demo.group(1).split()[-1]).is_file()


def test_ci_runs_the_test_command_of_the_readme():
    command = re.search(r"<!-- tests -->\n```sh\n(.*?)\n```", README, re.DOTALL).group(1)
    assert command.endswith(".venv/bin/pytest")
    script = (ROOT / ".ci/run").read_text("utf-8")
    assert "README.md" in script
    assert "pytest" not in script  # it has no test command of its own
