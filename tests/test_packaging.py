"""What is installed works from any folder, and the README says what is true."""

import os
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from linenleaf.flow import follow

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text("utf-8")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """The wheel, built from a copy so that the tree is left alone."""
    out = tmp_path_factory.mktemp("wheel")
    copy = out / "copy"
    kept = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=True,
    ).stdout.decode()
    for name in filter(None, kept.split("\0")):
        if name.startswith(("pipeline/", "grammar/", "templates/")) or "/" not in name:
            if not (ROOT / name).is_file():
                continue
            (copy / name).parent.mkdir(parents=True, exist_ok=True)
            (copy / name).write_bytes((ROOT / name).read_bytes())
    subprocess.run(
        [
            sys.executable,
            "-m",
            "pip",
            "wheel",
            "-q",
            "--no-deps",
            "--no-build-isolation",
            "-w",
            str(out),
            str(copy),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    [built] = out.glob("*.whl")
    return built


def test_the_wheel_holds_every_resource(wheel):
    inside = set(zipfile.ZipFile(wheel).namelist())
    for folder, room in (
        ("pipeline", "linenleaf"),
        ("grammar", "linenleaf/grammar"),
        ("templates", "linenleaf/templates"),
    ):
        for path in (ROOT / folder).rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts and ".egg-info" not in str(path):
                assert f"{room}/{path.relative_to(ROOT / folder).as_posix()}" in inside


def test_the_wheel_builds_a_booklet_from_another_folder(wheel, tmp_path):
    place = tmp_path / "installed"
    zipfile.ZipFile(wheel).extractall(place)
    environment = {**os.environ, "PYTHONPATH": str(place)}
    run = [sys.executable, "-m", "linenleaf"]
    where = subprocess.run(
        [sys.executable, "-c", "import linenleaf; print(linenleaf.__file__)"],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert str(place) in where
    subprocess.run([*run, "new", "reeds"], cwd=tmp_path, env=environment, check=True)
    subprocess.run([*run, "build", "reeds/reeds.linen"], cwd=tmp_path, env=environment, check=True)
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
