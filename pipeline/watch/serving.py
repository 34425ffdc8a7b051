"""Small pages served to this computer only: the safety that all of them share.

The server listens on the loopback address. A page of another site could still be made to ask it
under a name of that site (DNS rebinding), so a request that does not name this very address is
refused. Nothing in an address is ever used as a path. A page that can change a file stands at an
address that cannot be guessed, and takes only what its own script sends.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import BoundedSemaphore, Thread

import font_source_sans_pro
import font_source_serif_pro
from linenleaf.templates import text

from .view import Board

LOOPBACK = "127.0.0.1"
MOST_LISTENERS = 32  # pages that hear of news at the same time
HEARTBEAT = 15.0  # seconds after which a page that went away is noticed
LARGEST_SENT = 64 * 1024  # bytes that a page may send

POLICY = (
    "default-src 'none'; img-src 'self'; style-src 'self'; font-src 'self'; script-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)

_SANS = Path(font_source_sans_pro.font_directory)
_SERIF = Path(font_source_serif_pro.font_directory)


class CannotServe(Exception):
    """The page cannot be served; str() is a sentence for the user."""


@dataclass(frozen=True)
class Answer:
    """What is sent: bytes, their media type, what they may do, and how it went."""

    data: bytes
    kind: str
    policy: str = POLICY
    status: HTTPStatus = HTTPStatus.OK


Give = Callable[[str], Answer | None]  # from what follows `?`; None where there is nothing yet
Take = Callable[[bytes], Answer]


def shipped(name: str, kind: str) -> Give:
    """Return what gives a file of the templates as it is."""
    return lambda _query: Answer(text(name).encode(), kind)


def _face(path: Path) -> Give:
    return lambda _query: Answer(path.read_bytes(), "font/ttf")


# What every page shows; it says nothing of a chart.
FIXED: Mapping[str, Give] = {
    "/watch.css": shipped("watch.css", "text/css; charset=utf-8"),
    "/icon.svg": shipped("watch-icon.svg", "image/svg+xml"),
    "/row.svg": shipped("watch-row.svg", "image/svg+xml"),
    "/sans-400.ttf": _face(_SANS / "SourceSansPro-Regular.ttf"),
    "/sans-600.ttf": _face(_SANS / "SourceSansPro-Semibold.ttf"),
    "/serif-600.ttf": _face(_SERIF / "SourceSerifPro-Semibold.ttf"),
}


@dataclass(frozen=True)
class Site:
    """The addresses of a page.

    gives: what is at each. takes: what each does with what is sent to it. news: told at `/events`.
    """

    gives: Mapping[str, Give]
    takes: Mapping[str, Take] = field(default_factory=dict)
    news: Board | None = None


def hidden(site: Site) -> tuple[str, Site]:
    """Return a page's address that cannot be guessed, such as `/x5…/`, and its site below it."""
    root = f"/{secrets.token_urlsafe(24)}"
    below = {f"{root}{address}": give for address, give in site.gives.items()}
    return f"{root}/", Site(below, {f"{root}{at}": take for at, take in site.takes.items()})


class LocalServer:
    """A site, served in threads of its own until it is closed."""

    def __init__(self, site: Site, port: int = 0, root: str = "/") -> None:
        """Begin to serve; port 0 for any that is free. root: where the page stands.

        Raises:
            CannotServe: when the port is taken or not allowed.
        """
        self._site = site
        try:
            self._server = _Server(port, site)
        except OSError as reason:
            raise CannotServe(
                f"Port {port} cannot be used: {(reason.strerror or str(reason)).lower()}. "
                "Choose another with --port, or leave it out for any that is free."
            ) from reason
        self.address = f"http://{LOOPBACK}:{self._server.server_port}{root}"
        Thread(target=self._server.serve_forever, args=(0.2,), daemon=True).start()

    def close(self) -> None:
        """End the serving."""
        if self._site.news is not None:
            self._site.news.close()
        self._server.shutdown()
        self._server.server_close()


class _Server(ThreadingHTTPServer):
    daemon_threads = True

    def __init__(self, port: int, site: Site) -> None:
        super().__init__((LOOPBACK, port), _Handler)
        self.site = site
        self.listeners = BoundedSemaphore(MOST_LISTENERS)
        self.names = frozenset(f"{host}:{self.server_port}" for host in (LOOPBACK, "localhost"))

    def handle_error(self, request: object, client_address: object) -> None:
        """Say nothing: a browser that goes away in the middle is nothing to tell."""


class _Handler(BaseHTTPRequestHandler):
    server: _Server
    timeout = 30  # seconds that a request may take to come in
    server_version = "linenleaf"
    sys_version = ""

    def do_GET(self) -> None:
        """Answer with what stands at an address."""
        if self._is_foreign():
            return
        address, _, query = self.path.partition("?")
        site = self.server.site
        if address == "/events" and self.command == "GET" and site.news is not None:
            self._tell_news(site.news)
            return
        give = site.gives.get(address)
        answer = None if give is None else give(query)
        if answer is None:
            self._plainly(HTTPStatus.NOT_FOUND, "There is nothing here.\n")
        else:
            self._send(answer)

    do_HEAD = do_GET

    def do_POST(self) -> None:
        """Take what the script of the page sends: JSON of a few bytes, from this very address."""
        self.close_connection = True  # what was not read is not taken for another request
        if not self.server.site.takes:
            self.send_error(HTTPStatus.NOT_IMPLEMENTED)
            return
        if self._is_foreign():
            return
        take = self.server.site.takes.get(self.path)
        length = self.headers.get("Content-Length", "")
        origin = self.headers.get("Origin", "").lower().removeprefix("http://")
        if take is None:
            self._plainly(HTTPStatus.NOT_FOUND, "There is nothing here.\n")
        elif origin != self.headers.get("Host", "").lower():
            self._plainly(HTTPStatus.FORBIDDEN, "Only the page itself may send this.\n")
        elif self.headers.get("Content-Type") != "application/json":
            self._plainly(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "This takes JSON.\n")
        elif not (length.isascii() and length.isdigit() and int(length[:9]) <= LARGEST_SENT):
            self._plainly(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "This is too much.\n")
        else:
            self._send(take(self.rfile.read(int(length))))

    def log_message(self, format: str, *args: object) -> None:
        """Keep requests out of the terminal, where the findings stand."""

    def _is_foreign(self) -> bool:
        """Refuse a request under another name than that of this computer."""
        if self.headers.get("Host", "").lower() in self.server.names:
            return False
        self._plainly(HTTPStatus.FORBIDDEN, "This page is for this computer only.\n")
        return True

    def _plainly(self, status: HTTPStatus, words: str) -> None:
        self._send(Answer(words.encode(), "text/plain; charset=utf-8", status=status))

    def _send(self, answer: Answer) -> None:
        self._head(answer.status, answer.kind, answer.policy)
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

    def _tell_news(self, board: Board) -> None:
        """Send an event for every change (HTML Living Standard, 9.2, server-sent events)."""
        if not self.server.listeners.acquire(blocking=False):
            self._plainly(HTTPStatus.SERVICE_UNAVAILABLE, "Too many pages are open.\n")
            return
        try:
            self._head(HTTPStatus.OK, "text/event-stream", POLICY)
            self.end_headers()
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
