"""What is printed to be typed can be typed, however linenleaf was installed."""

import os
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner
from linenleaf.cli import main
from linenleaf.core.installed import PIPX_RECEIPT, UV_RECEIPT, to_add

ROOT = Path(__file__).resolve().parent.parent
PYGLS = "pygls<3,>=2.1"

# As uv 0.9 and pipx 1.8 wrote them.
UV = """\
[tool]
requirements = [{{ name = "linenleaf", {given} }}{more}]
python = "3.11"
entrypoints = [
    {{ name = "linenleaf", install-path = "/home/you/.local/bin/linenleaf", from = "linenleaf" }},
]
"""


@pytest.mark.parametrize(
    ("given", "more", "words"),
    [
        ('directory = "/home/you/my charts/linenleaf"', "", ["/home/you/my charts/linenleaf"]),
        ('editable = "/home/you/linenleaf"', "", ["--editable", "/home/you/linenleaf"]),
        ('path = "/tmp/linenleaf-1-py3-none-any.whl"', "", ["/tmp/linenleaf-1-py3-none-any.whl"]),
        ('git = "https://example.org/linenleaf"', "", ["git+https://example.org/linenleaf"]),
        ('specifier = "<2"', "", ["linenleaf<2"]),
        (
            'directory = "/linenleaf"',
            ', { name = "pillow", specifier = ">=12" }',
            ["--with=pillow>=12", "/linenleaf"],
        ),
    ],
)
def test_a_tool_of_uv_is_installed_once_more_with_the_package(tmp_path, given, more, words):
    (tmp_path / UV_RECEIPT).write_text(UV.format(given=given, more=more), "utf-8")
    line = shlex.split(to_add("editor", tmp_path))
    assert line[:3] == ["uv", "tool", "install"]
    assert sorted(line[3:]) == sorted([f"--with={PYGLS}", *words])
    assert line[-1] == words[-1]


def test_pipx_puts_the_package_beside_it(tmp_path):
    environment = tmp_path / "linenleaf"
    environment.mkdir()
    (environment / PIPX_RECEIPT).write_text("{}", "utf-8")
    assert shlex.split(to_add("editor", environment)) == ["pipx", "inject", "linenleaf", PYGLS]


def test_elsewhere_it_is_the_pip_of_this_very_python(tmp_path):
    words = shlex.split(to_add("editor", tmp_path))
    assert words == [sys.executable, "-m", "pip", "install", PYGLS]


def test_what_is_added_is_what_the_package_says_of_itself():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    [wanted] = project["optional-dependencies"]["editor"]
    assert sorted(wanted.removeprefix("pygls").split(",")) == ["<3", ">=2.1"]


def test_the_line_after_new_can_be_pasted(tmp_path):
    """Here by a Python that the shell does not find linenleaf with."""
    folder = "-it's $HOME; My Reeds"
    line = run_in(tmp_path, sys.executable, "-m", "linenleaf", "new", "--", folder).stdout
    line = line.splitlines()[-1]
    assert " build " in line
    said = run_in(tmp_path, "sh", "-c", line.replace(" build ", " check "))
    assert said.stderr == ""


def run_in(folder, *words):
    environment = {**os.environ, "PATH": os.defpath}
    return subprocess.run(
        words, cwd=folder, env=environment, capture_output=True, text=True, check=True
    )


def test_where_the_shell_finds_linenleaf_its_name_is_enough(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bin").mkdir()
    (tmp_path / "bin/linenleaf").touch(0o755)
    monkeypatch.setenv("PATH", str(tmp_path / "bin"))
    made = CliRunner().invoke(main, ["new", "My Sampler"])
    assert made.stdout.splitlines()[-1] == "linenleaf build 'My Sampler/My-Sampler.linen'"
