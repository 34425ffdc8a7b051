"""The command line itself."""

import re

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
