"""The command line itself."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from linenleaf.cli import COMMANDS, main


def test_the_list_of_commands_says_what_each_says_of_itself():
    for name, summary in COMMANDS.items():
        command = main.get_command(None, name)
        assert command.help.splitlines()[0] == summary


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example(name):
    shown = CliRunner().invoke(main, [name, "--help"])
    assert shown.exit_code == 0
    assert re.search(rf"Example:\s+linenleaf {name} ", shown.output)


def test_an_unknown_command_is_misuse():
    assert CliRunner().invoke(main, ["unpick"]).exit_code == 2


def test_help_lists_every_command():
    shown = CliRunner().invoke(main, ["--help"]).output
    assert all(re.search(rf"^  {name} ", shown, re.MULTILINE) for name in COMMANDS)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only Linux has a full device")
@pytest.mark.parametrize("words", [["--help"], ["check", "examples/first-wader/first-wader.linen"]])
def test_an_answer_that_cannot_be_written_is_told_of(words):
    with open("/dev/full", "w") as full:  # noqa: PTH123 - a device
        done = subprocess.run(
            [sys.executable, "-m", "linenleaf", *words],
            cwd=Path(__file__).resolve().parent.parent,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr == "linenleaf: the answer cannot be written: No space left on device.\n"


def test_a_reader_that_has_gone_is_no_fault():
    ours, theirs = os.pipe()
    os.close(ours)
    done = subprocess.run(
        [sys.executable, "-m", "linenleaf", "--help"],
        stdout=theirs,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    os.close(theirs)
    assert done.returncode == 1
    assert done.stderr == ""


def test_no_file_takes_the_number_of_a_standard_stream_that_is_closed():
    # A shell closes the streams; what is said goes nowhere, and a file that is opened is no stream.
    script = (
        "import sys; from linenleaf.__main__ import run; "
        "run(lambda: print('said', file=sys.stderr) or open('/dev/null').fileno())"
    )
    command = f'"{sys.executable}" -c "{script}" <&- >&- 2>&-'
    assert subprocess.run(["sh", "-c", command], check=False).returncode > 2
