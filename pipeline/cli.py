"""The commands: arguments in, words out.

Each command is a module of `commands/`, loaded when it is asked for.
"""

from __future__ import annotations

import gc
from importlib import import_module
from importlib.resources import files
from typing import Any

import click

from . import __version__
from .core.system import MissingLibrary
from .terminal import echo, plain_usage

# What each command does, so that the list of commands is shown without loading any of them.
COMMANDS = {
    "new": "Make a folder with a small chart to start from.",
    "check": "Proof-read charts; exit status 1 when one has errors.",
    "count": "Count stitches, thread, skeins and sizes.",
    "build": "Build the booklet, next to the source unless -o says where.",
    "watch": "Check and build again at every save; Ctrl-C ends it.",
    "tidy": "Format charts in the standard layout; `-` reads standard input.",
    "bring": "Make a chart from a picture or a sheet of cells, or a first draft from a photograph.",
    "hold": "Lay a chart beside photographs of the old piece, on a page of this computer.",
    "match": "Find the nearest threads of a range to a colour, or to a whole key.",
    "diff": "Say what changed between two charts, in a stitcher's words.",
    "errata": "Make a sheet of corrections for those who have the old edition.",
    "picture": "Draw the stitched piece, the chart or the key as one picture.",
    "editor": "Work with a text editor: findings as you type, hover, completion, tidying.",
}
INTERRUPTED = 130  # exit status: 128 and the number of the signal, as shells have it
MISUSE = 2  # exit status: the command cannot be carried out
STAYING = {"watch", "hold", "editor"}  # until they are told to end


class Commands(click.Group):
    """The commands in the order in which a designer meets them, each loaded when needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """Return the names of all commands."""
        return list(COMMANDS)

    def format_commands(
        self,
        ctx: click.Context,  # noqa: ARG002
        formatter: click.HelpFormatter,
    ) -> None:
        """Write the list of commands."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def format_epilog(
        self,
        ctx: click.Context,  # noqa: ARG002
        formatter: click.HelpFormatter,
    ) -> None:
        """Tell where the reference lies, for those who have no copy of the repository."""
        reference = files("linenleaf.grammar") / "notation.md"
        formatter.write(f"\nEvery statement of a chart is explained in\n  {reference}\n")

    def make_context(
        self,
        info_name: str | None,
        args: list[str],
        parent: click.Context | None = None,
        **extra: Any,
    ) -> click.Context:
        """Take the arguments in."""
        with plain_usage():
            return super().make_context(info_name, args, parent, **extra)

    def invoke(self, ctx: click.Context) -> Any:
        """Carry out a command; what interrupts it goes on to whoever called.

        Where the system lacks a library, say so and leave.
        """
        with plain_usage():
            try:
                return super().invoke(ctx)
            except MissingLibrary as reason:
                echo(f"linenleaf: {reason}", err=True)
                ctx.exit(MISUSE)
            except KeyboardInterrupt:
                ctx.exit(INTERRUPTED)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Load a command; None when there is none of that name."""
        if cmd_name not in COMMANDS:
            return None
        if cmd_name in STAYING:
            gc.enable()
        command = import_module(f".commands.{cmd_name}", __package__).command
        assert isinstance(command, click.Command)
        return command


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, prog_name="linenleaf", message="%(prog)s %(version)s")
def main() -> None:
    """Counted cross stitch charts as plain text: checked, counted, built into a booklet.

    \b
    Start:    linenleaf new my-chart
    Check:    linenleaf check my-chart/my-chart.linen
    Booklet:  linenleaf build my-chart/my-chart.linen
    """  # noqa: D301
