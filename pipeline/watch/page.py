"""The small local page of the watch: a few fixed addresses."""

from __future__ import annotations

import stat
from contextlib import suppress
from pathlib import Path

from linenleaf.templates.environment import render

from .serving import FIXED, Answer, LocalServer, Site, shipped
from .view import Board, view

# A picture of the chart opened by itself may set its own style and nothing else.
PICTURE_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"
# The browser's own reader of PDF needs what it needs; a booklet holds no script.
BOOKLET_POLICY = "frame-ancestors 'none'"


def serve(board: Board, booklet: Path, port: int = 0) -> LocalServer:
    """Begin to serve the page; port 0 for any that is free.

    Raises:
        CannotServe: when the port is taken or not allowed.
    """
    return LocalServer(_site(board, booklet), port)


def _site(board: Board, booklet: Path) -> Site:
    def page(_query: str) -> Answer:
        html = render("watch.html.j2", view=view(board.state))
        return Answer(html.encode(), "text/html; charset=utf-8")

    def picture(_query: str) -> Answer | None:
        drawn = board.state.picture
        return None if drawn is None else Answer(drawn.data, drawn.kind, PICTURE_POLICY)

    def pdf(_query: str) -> Answer | None:
        if not board.state.booklet.at:
            return None  # what lies there may have nothing to do with this chart
        with suppress(OSError):
            if not stat.S_ISREG(booklet.lstat().st_mode):
                return None  # nor is a link followed that was put there meanwhile
            return Answer(booklet.read_bytes(), "application/pdf", BOOKLET_POLICY)
        return None

    gives = {
        **FIXED,
        "/": page,
        "/watch.js": shipped("watch.js", "text/javascript; charset=utf-8"),
        "/chart": picture,
        "/booklet.pdf": pdf,
    }
    return Site(gives, news=board)
