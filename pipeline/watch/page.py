"""The small local page of the watch: a few fixed addresses, served to this computer only.

The server listens on the loopback address. A page of another site could still be made to ask it
under a name of that site (DNS rebinding), so a request that does not name this very address is
refused. Nothing in an address is ever used as a path.
"""

from __future__ import annotations

import stat
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import BoundedSemaphore, Thread

import font_source_sans_pro
import font_source_serif_pro
from linenleaf.templates import render, text

from .view import Board, view

LOOPBACK = "127.0.0.1"
MOST_LISTENERS = 32  # pages that hear of news at the same time
HEARTBEAT = 15.0  # seconds after which a page that went away is noticed

POLICY = (
    "default-src 'none'; img-src 'self'; style-src 'self'; font-src 'self'; script-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
# A picture of the chart opened by itself may set its own style and nothing else.
PICTURE_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"
# The browser's own reader of PDF needs what it needs; a booklet holds no script.
BOOKLET_POLICY = "frame-ancestors 'none'"

_SANS = Path(font_source_sans_pro.font_directory)
_SERIF = Path(font_source_serif_pro.font_directory)


class CannotServe(Exception):
    """The page cannot be served; str() is a sentence for the user."""


@dataclass(frozen=True)
class _Answer:
    data: bytes
    kind: str
    policy: str = POLICY


class _Server(ThreadingHTTPServer):
    daemon_threads = True

    def __init__(self, port: int, board: Board, booklet: Path) -> None:
        super().__init__((LOOPBACK, port), _Handler)
        self.board = board
        self.listeners = BoundedSemaphore(MOST_LISTENERS)
        self.names = frozenset(f"{host}:{self.server_port}" for host in (LOOPBACK, "localhost"))
        self.answers = _answers(board, booklet)

    def handle_error(self, request: object, client_address: object) -> None:
        """Say nothing: a browser that goes away in the middle is nothing to tell."""


class WatchPage:
    """The page, served in threads of its own until it is closed."""

    def __init__(self, board: Board, booklet: Path, port: int = 0) -> None:
        """Begin to serve; port 0 for any that is free.

        Raises:
            CannotServe: when the port is taken or not allowed.
        """
        self._board = board
        try:
            self._server = _Server(port, board, booklet)
        except OSError as reason:
            raise CannotServe(
                f"Port {port} cannot be used: {(reason.strerror or str(reason)).lower()}. "
                "Choose another with --port, or leave it out for any that is free."
            ) from reason
        self.address = f"http://{LOOPBACK}:{self._server.server_port}/"
        Thread(target=self._server.serve_forever, args=(0.2,), daemon=True).start()

    def close(self) -> None:
        """End the serving."""
        self._board.close()
        self._server.shutdown()
        self._server.server_close()


def _answers(board: Board, booklet: Path) -> Mapping[str, Callable[[], _Answer | None]]:
    """Return what each address gives; None where there is nothing yet."""

    def picture() -> _Answer | None:
        drawn = board.state.picture
        return None if drawn is None else _Answer(drawn.data, drawn.kind, PICTURE_POLICY)

    def pdf() -> _Answer | None:
        if not board.state.booklet.at:
            return None  # what lies there may have nothing to do with this chart
        with suppress(OSError):
            if not stat.S_ISREG(booklet.lstat().st_mode):
                return None  # nor is a link followed that was put there meanwhile
            return _Answer(booklet.read_bytes(), "application/pdf", BOOKLET_POLICY)
        return None

    def shipped(name: str, kind: str) -> Callable[[], _Answer]:
        return lambda: _Answer(text(name).encode(), kind)

    def face(path: Path) -> Callable[[], _Answer]:
        return lambda: _Answer(path.read_bytes(), "font/ttf")

    return {
        "/": lambda: _Answer(
            render("watch.html.j2", view=view(board.state)).encode(), "text/html; charset=utf-8"
        ),
        "/watch.css": shipped("watch.css", "text/css; charset=utf-8"),
        "/watch.js": shipped("watch.js", "text/javascript; charset=utf-8"),
        "/icon.svg": shipped("watch-icon.svg", "image/svg+xml"),
        "/row.svg": shipped("watch-row.svg", "image/svg+xml"),
        "/sans-400.ttf": face(_SANS / "SourceSansPro-Regular.ttf"),
        "/sans-600.ttf": face(_SANS / "SourceSansPro-Semibold.ttf"),
        "/serif-600.ttf": face(_SERIF / "SourceSerifPro-Semibold.ttf"),
        "/chart": picture,
        "/booklet.pdf": pdf,
    }


class _Handler(BaseHTTPRequestHandler):
    server: _Server
    timeout = 30  # seconds that a request may take to come in
    server_version = "linenleaf"
    sys_version = ""

    def do_GET(self) -> None:
        """Answer with what stands at an address."""
        if self.headers.get("Host", "").lower() not in self.server.names:
            self._plainly(HTTPStatus.FORBIDDEN, "This page is for this computer only.\n")
            return
        address = self.path.partition("?")[0]
        if address == "/events" and self.command == "GET":
            self._tell_news()
            return
        answer = self.server.answers.get(address, lambda: None)()
        if answer is None:
            self._plainly(HTTPStatus.NOT_FOUND, "There is nothing here.\n")
        else:
            self._send(HTTPStatus.OK, answer)

    do_HEAD = do_GET

    def log_message(self, format: str, *args: object) -> None:
        """Keep requests out of the terminal, where the findings stand."""

    def _plainly(self, status: HTTPStatus, words: str) -> None:
        self._send(status, _Answer(words.encode(), "text/plain; charset=utf-8"))

    def _send(self, status: HTTPStatus, answer: _Answer) -> None:
        self._head(status, answer.kind, answer.policy)
        self.send_header("Content-Length", str(len(answer.data)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(answer.data)

    def _head(self, status: HTTPStatus, kind: str, policy: str) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Security-Policy", policy)
        self.send_header("Cross-Origin-Resource-Policy", "same-origin")
        self.send_header("Cross-Origin-Opener-Policy", "same-origin")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Referrer-Policy", "no-referrer")
        self.send_header("Cache-Control", "no-store")

    def _tell_news(self) -> None:
        """Send an event for every change (HTML Living Standard, 9.2, server-sent events)."""
        if not self.server.listeners.acquire(blocking=False):
            self._plainly(HTTPStatus.SERVICE_UNAVAILABLE, "Too many pages are open.\n")
            return
        try:
            self._head(HTTPStatus.OK, "text/event-stream", POLICY)
            self.end_headers()
            board = self.server.board
            # The page may have been made before the last change, so it is told at once; what is
            # posted from here on is told after that.
            version = board.version
            self.wfile.write(b"retry: 1000\ndata: now\n\n")
            while not board.closed:
                self.wfile.flush()
                heard = board.wait(version, HEARTBEAT)
                self.wfile.write(b"data: now\n\n" if heard != version else b":\n\n")
                version = heard
        finally:
            self.server.listeners.release()
