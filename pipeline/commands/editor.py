"""`linenleaf editor`."""

from __future__ import annotations

import logging
import sys
from typing import BinaryIO, cast

import click

from ..console import stop


@click.command()
@click.option(
    "--stdio", is_flag=True, help="Talk over standard input and output, as editors say; assumed."
)
def command(stdio: bool) -> None:
    """Work with a text editor: findings as you type, hover, completion, tidying.

    The editor starts this command by itself and talks to it in the Language Server Protocol. How
    to set up an editor is told in grammar/editors.md.

    Example:  linenleaf editor --stdio
    """
    try:
        from ..lsp.answers import chart_server
        from ..lsp.incoming import Incoming
    except ModuleNotFoundError as missing:
        if (missing.name or "").partition(".")[0] not in {"pygls", "lsprotocol"}:
            raise
        from ..core.installed import to_add

        stop("Serving an editor takes a package that is not installed. Type:", to_add("editor"))
    if not stdio and sys.stdin.isatty():
        stop("`editor` is started by a text editor, not by hand. See `linenleaf editor --help`.")
    # What goes wrong in the talk itself is told to the editor; tracebacks would only fill its log.
    logging.getLogger("pygls").setLevel(logging.CRITICAL)
    incoming = Incoming(sys.stdin.buffer)
    chart_server().start_io(cast(BinaryIO, incoming))
    if incoming.fault:
        stop(f"What the editor sent cannot be read: {incoming.fault}.")
