"""The page of the watch as any program may ask for it: what it gives, and what it refuses."""

import http.client
import re
import socket
from html.parser import HTMLParser

import pytest
from linenleaf.core.source import Source
from linenleaf.watch.page import serve
from linenleaf.watch.serving import MOST_LISTENERS, CannotServe
from linenleaf.watch.view import Board, LastBooklet, LastPicture, Phase, State

from tests.made_up import error
from tests.patience import PATIENCE

EVIL = '<script src="//x"></script><img src=x onerror=alert(1)>"\'&'
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>'
FIXED = [
    "/",
    "/watch.css",
    "/watch.js",
    "/icon.svg",
    "/row.svg",
    "/sans-400.ttf",
    "/sans-600.ttf",
    "/serif-600.ttf",
]


@pytest.fixture
def board():
    source = Source(f"{EVIL}.linen", f"linen 1\n  |{EVIL}|\n")
    fault = error("evil", f"A row of {EVIL} `{EVIL}`.", source.span(11, 20), f"{EVIL}")
    picture = LastPicture(4, SVG, "image/svg+xml", "10:00:00")
    return Board(State(f"{EVIL}.linen", EVIL, 9, 9, 5, "10:00:05", (fault,), False, picture))


@pytest.fixture
def booklet(tmp_path):
    path = tmp_path / "reeds.pdf"
    path.write_bytes(b"%PDF-1.7 not ours yet")
    return path


@pytest.fixture
def page(board, booklet):
    page = serve(board, booklet)
    yield page
    page.close()


@pytest.fixture
def port(page):
    return int(re.fullmatch(r"http://127\.0\.0\.1:(\d+)/", page.address)[1])


def ask(port, address, method="GET", host=None):
    """Ask with the address exactly as it stands, and return status, head and body."""
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    try:
        line.putrequest(method, address, skip_host=True)
        if host != "":
            line.putheader("Host", host or f"127.0.0.1:{port}")
        line.endheaders()
        answer = line.getresponse()
        return answer.status, answer.headers, answer.read()
    finally:
        line.close()


@pytest.mark.parametrize("address", FIXED)
def test_every_fixed_address_answers_with_a_strict_policy(port, address):
    status, head, body = ask(port, address)
    assert status == 200
    assert body
    policy = dict(each.split(" ", 1) for each in head["Content-Security-Policy"].split("; "))
    # Scripts, styles and pictures only from here, and none written into the page.
    assert policy["default-src"] == "'none'"
    assert {policy[each] for each in ("script-src", "style-src", "img-src", "connect-src")} == {
        "'self'"
    }
    assert policy["frame-ancestors"] == "'none'"
    assert head["X-Content-Type-Options"] == "nosniff"
    assert head["Cross-Origin-Resource-Policy"] == "same-origin"
    assert head["Cache-Control"] == "no-store"


@pytest.mark.parametrize("host", ["localhost:{}", "LOCALHOST:{}", "127.0.0.1:{}"])
def test_the_names_of_this_computer_are_served(port, host):
    assert ask(port, "/", host=host.format(port))[0] == 200


@pytest.mark.parametrize(
    "host",
    ["", "evil.example:{}", "127.0.0.1", "127.0.0.1:1", "localhost.evil.example:{}", "[::1]:{}"],
)
@pytest.mark.parametrize("address", ["/", "/chart", "/events"])
def test_any_other_name_is_refused(port, host, address):
    # DNS rebinding: a foreign page that gives its own name the address 127.0.0.1.
    status, _, body = ask(port, address, host=host.format(port))
    assert status == 403
    assert b"evil" not in body


@pytest.mark.parametrize(
    "address",
    [
        "/../../../../etc/passwd",
        "/..%2f..%2fetc%2fpasswd",
        "//etc/passwd",
        "/chart/../watch.css",
        "/watch.css/",
        "/watch.html.j2",
        "/booklet.pdf/../../x",
        "/%2e%2e/pyproject.toml",
        "/\\..\\x",
        "http://127.0.0.1/",
        "/" + "a" * 5000,
        "*",
    ],
)
def test_there_is_nothing_at_any_other_address(port, address):
    assert ask(port, address)[0] == 404


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "PATCH"])
def test_there_is_nothing_to_change(port, method):
    assert ask(port, "/", method=method)[0] == 501


def test_the_head_alone_has_no_body(port):
    status, head, body = ask(port, "/", method="HEAD")
    assert (status, body) == (200, b"")
    assert int(head["Content-Length"]) > 0


def test_it_listens_on_the_loopback_address_alone(page, port):
    with pytest.raises(ConnectionRefusedError), socket.create_connection(("127.0.0.2", port), 5):
        pass


class Tags(HTMLParser):
    def __init__(self):
        super().__init__()
        self.found = []
        self.words = []

    def handle_starttag(self, tag, attributes):
        self.found.append((tag, dict(attributes)))

    def handle_data(self, data):
        self.words.append(data)


def test_words_of_the_chart_are_words_and_nothing_more(port):
    tags = Tags()
    tags.feed(ask(port, "/")[2].decode())
    assert [each["src"] for tag, each in tags.found if tag == "script"] == ["/watch.js"]
    [image] = [each for tag, each in tags.found if tag == "img"]
    assert image["src"] == "/chart?4"
    assert image["alt"].startswith(f"Chart of {EVIL}")
    assert not any(name.startswith("on") for _, each in tags.found for name in each)
    said = "".join(tags.words)
    assert f"A row of {EVIL} " in said
    assert said.count(EVIL) > 5  # title, file, message, hint, line of the source


def test_the_picture_is_the_last_that_was_drawn(port, board):
    status, head, body = ask(port, "/chart?4")
    assert (status, head["Content-Type"], body) == (200, "image/svg+xml", SVG)
    assert head["Content-Security-Policy"].startswith("default-src 'none'")
    board.post(picture=LastPicture(5, b"\x89PNG", "image/png", "10:00:09"))
    assert ask(port, "/chart")[2] == b"\x89PNG"
    board.post(picture=None)
    assert ask(port, "/chart")[0] == 404


def test_the_booklet_is_given_once_the_watch_has_built_it(port, board, booklet):
    assert ask(port, "/booklet.pdf")[0] == 404
    board.post(booklet=LastBooklet(Phase.BUILT, "10:00:07", 6))
    booklet.write_bytes(b"%PDF-1.7 ours")
    status, head, body = ask(port, "/booklet.pdf")
    assert (status, head["Content-Type"], body) == (200, "application/pdf", b"%PDF-1.7 ours")
    booklet.unlink()
    assert ask(port, "/booklet.pdf")[0] == 404


def listen(port):
    line = socket.create_connection(("127.0.0.1", port), 60)
    line.sendall(f"GET /events HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode())
    return line, line.makefile("rb")


def test_news_come_as_events(port, board):
    line, stream = listen(port)
    with line, stream:
        assert b" 200 " in stream.readline()
        head = b"".join(iter(stream.readline, b"\r\n"))
        assert b"text/event-stream" in head
        # HTML Living Standard, 9.2.6: an event is dispatched at an empty line.
        assert [stream.readline() for _ in range(3)] == [b"retry: 1000\n", b"data: now\n", b"\n"]
        for number in range(20):
            board.post(title=f"Reeds {number}")
            assert [stream.readline() for _ in range(2)] == [b"data: now\n", b"\n"]


def test_closing_ends_the_events(page, port):
    line, stream = listen(port)
    with line, stream:
        stream.readline()
        page.close()
        assert stream.read().endswith(b"\n\n")


def test_a_crowd_of_listeners_is_turned_away(port):
    held = [listen(port) for _ in range(MOST_LISTENERS)]
    try:
        assert all(b" 200 " in stream.readline() for _, stream in held)
        assert ask(port, "/events")[0] == 503
        assert ask(port, "/")[0] == 200
    finally:
        for line, stream in held:
            stream.close()
            line.close()


def test_a_port_that_is_taken_is_told(port, board, booklet):
    with pytest.raises(CannotServe, match=f"Port {port} cannot be used: .*--port"):
        serve(board, booklet, port)
