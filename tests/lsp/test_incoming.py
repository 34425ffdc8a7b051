"""What an editor sends, be it as the protocol says or not: LSP 3.17, "Base Protocol"."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import tracemalloc

import pytest
from linenleaf.lsp.incoming import LARGEST_MESSAGE, Incoming


def messages(sent: bytes) -> tuple[list[bytes], str]:
    """What the library that reads messages would make of it, and what was wrong."""
    incoming = Incoming(io.BytesIO(sent))
    bodies: list[bytes] = []
    while line := incoming.readline():
        name, _, length = line.partition(b": ")
        assert name == b"Content-Length"
        assert incoming.readline() == b"\r\n"
        bodies.append(incoming.read(int(length)))
    return bodies, incoming.fault


@pytest.mark.parametrize(
    "sent",
    [
        b"Content-Length: 2\r\n\r\n{}Content-Length: 3\r\n\r\n[1]",
        b"Content-Type: x; charset=utf-8\r\nContent-Length: 2\r\n\r\n{}content-length:3\n\n[1]",
        b"Content-Length: 0\r\n\r\nContent-Length: 2\r\n\r\n{}Content-Length: 3\r\n\r\n[1]",
    ],
)
def test_messages_are_handed_on(sent: bytes) -> None:
    assert messages(sent) == ([b"{}", b"[1]"], "")


@pytest.mark.parametrize(
    ("head", "fault"),
    [
        (b"X: 5\r\n\r\n", "without Content-Length"),
        (b"Content-Length: -5\r\n\r\n", "not a number"),
        (b"Content-Length: five\r\n\r\n", "not a number"),
        (b"Content-Length: 99999999999999\r\n\r\n", "more than 64 MiB"),
        (b"Content-Length: " + b"9" * 5000 + b"\r\n\r\n", "more than 64 MiB"),
        (b"Content-Length: 50\r\n\r\n", "broke off"),
        (b"Content-Length: 5", "broke off"),
        (b"A" * 10_000, "too long"),
        (b"A: b\r\n" * 40, "more than 32 lines"),
    ],
)
def test_what_cannot_be_made_out_ends_the_talk(head: bytes, fault: str) -> None:
    bodies, said = messages(b"Content-Length: 2\r\n\r\n{}" + head + b"{}")
    assert bodies == [b"{}"]
    assert fault in said


def test_no_more_memory_than_is_sent() -> None:
    tracemalloc.start()
    messages(b"Content-Length: %d\r\n\r\n{}" % LARGEST_MESSAGE)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < LARGEST_MESSAGE / 8


def framed(body: bytes) -> bytes:
    return b"Content-Length: %d\r\n\r\n" % len(body) + body


def test_the_server_answers_what_is_no_json_and_ends_plainly() -> None:
    able = {"general": {"positionEncodings": ["utf-32"]}}
    asked = {"processId": None, "rootUri": None, "capabilities": able}
    begin = {"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": asked}
    strange = [b"hello", b'{"method": "\xff"}', b"[]", b"[" * 100_000, b'{"id": 4, "method": 5}']
    sent = b"".join(map(framed, [json.dumps(begin).encode(), *strange]))
    ended = subprocess.run(
        [sys.executable, "-m", "linenleaf", "editor", "--stdio"],
        input=sent + b"Content-Length: 9999999999999\r\n\r\n{}",
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert b'"positionEncoding": "utf-32"' in ended.stdout
    assert ended.stdout.count(b"window/showMessage") == len(strange)
    assert ended.returncode == 2
    said = ended.stderr.decode()
    assert said == (
        "linenleaf: What the editor sent cannot be read: a message of more than 64 MiB.\n"
    )
