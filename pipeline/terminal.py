"""All that is printed goes through here, and nothing that cannot be seen comes out.

Names of files, words of a chart and what other programs say may hold characters that steer a
terminal, hide something, or turn the direction of reading. Each is shown by its number, such as
`<U+001B>`. Colours are put in afterwards.
"""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import click

from .core.characters import HIDDEN, escaped

_LEVELS = {"error": "red", "warning": "yellow", "hint": "cyan"}
_LEVEL = re.compile(rf"^(?! )(.*?)\b({'|'.join(_LEVELS)}):(?= )", re.MULTILINE)


def echo(text: str, *, err: bool = False, nl: bool = True) -> None:
    """Print a text; line ends in it stay.

    err: on the error stream. nl: whether a line end is put behind it.
    """
    click.echo(escaped(text, keep="\n"), err=err, nl=nl)


def echo_findings(text: str, *, err: bool = False) -> None:
    """Print findings, their levels in colour on a terminal that wants it."""
    shown = escaped(text, keep="\n")
    stream = sys.stderr if err else sys.stdout
    if stream.isatty() and not os.environ.get("NO_COLOR"):
        shown = _LEVEL.sub(_coloured, shown)
    click.echo(shown, err=err)


def _coloured(match: re.Match[str]) -> str:
    return match[1] + click.style(f"{match[2]}:", fg=_LEVELS[match[2]], bold=True)


def echo_json(text: str) -> None:
    """Print JSON. What cannot be seen stands in it by its number, as JSON has it."""
    click.echo(HIDDEN.sub(lambda match: _as_json(match[0]), text.rstrip("\n")))


def _as_json(character: str) -> str:
    return character if character == "\n" else json.dumps(character)[1:-1]


def hand_on(text: str) -> None:
    """Print the text of a chart as it is, to be written into a file by whoever reads it.

    A chart with characters in it that steer or hide something was refused before.
    """
    click.echo(text, nl=False)


@contextmanager
def plain_usage() -> Iterator[None]:
    """Let what is said of a command's arguments hold nothing that cannot be seen."""
    try:
        yield
    except click.ClickException as reason:
        said = reason.format_message()
        if escaped(said, keep="\n\t") == said:
            raise
        raise click.UsageError(escaped(said), getattr(reason, "ctx", None)) from reason
