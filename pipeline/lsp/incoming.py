"""What an editor sends, looked at before anything is made of it.

The base protocol of the Language Server Protocol 3.17: header lines, an empty line, and as many
bytes as `Content-Length` says. The library that reads the messages takes the length as it stands
and asks for so much memory at once.
"""

from __future__ import annotations

import io
import re
from typing import BinaryIO

LARGEST_MESSAGE = 64 * 1024 * 1024  # bytes; a chart is at most 16 MiB, some signs take six for one
LONGEST_HEADER = 8 * 1024  # bytes of one header line
MOST_HEADERS = 32  # lines
_PIECE = 1024 * 1024  # bytes read at a time, so that memory grows only with what is really sent

_LENGTH = re.compile(rb"content-length[ \t]*:[ \t]*([0-9]+)[ \t]*", re.IGNORECASE)


class Incoming(io.BufferedIOBase):
    """Whole messages of a stream, handed on header by header and body by body.

    fault: why nothing more is taken, once a message could not be made out; the stream seems to
    have ended then, since nobody can tell where the next message begins.
    """

    def __init__(self, stream: BinaryIO) -> None:
        """Read from a stream of bytes."""
        self.fault = ""
        self._stream = stream
        self._lines: list[bytes] = []  # of the header, to be handed on
        self._body = b""

    def readable(self) -> bool:
        """Tell that it can be read from."""
        return True

    def readline(self, _size: int | None = -1, /) -> bytes:
        """Return the next line of a header; nothing at the end."""
        while not self._lines and not self.fault:
            length = self._header()
            if length is None:
                return b""
            self._body = self._taken(length)
            if length and not self.fault:  # a message of nothing says nothing
                self._lines = [b"Content-Length: %d\r\n" % length, b"\r\n"]
        return self._lines.pop(0) if self._lines else b""

    def read(self, size: int | None = -1, /) -> bytes:
        """Return so much of the body that belongs to the header read last."""
        size = len(self._body) if size is None or size < 0 else size
        piece, self._body = self._body[:size], self._body[size:]
        return piece

    def _header(self) -> int | None:
        """Return the length that a header states; None at the end, or with a fault."""
        length: int | None = None
        for number in range(MOST_HEADERS + 1):
            line = self._stream.readline(LONGEST_HEADER + 1)
            if not line and not number:
                return None
            if not line.endswith(b"\n"):
                self.fault = (
                    "a header line is too long" if len(line) > LONGEST_HEADER else "it broke off"
                )
                return None
            if not line.strip():
                if length is None and number:
                    self.fault = "a header without Content-Length"
                return length if number else 0
            if line[:14].lower() == b"content-length":
                length = self._length(line.rstrip(b"\r\n"))
                if self.fault:
                    return None
        self.fault = f"a header of more than {MOST_HEADERS} lines"
        return None

    def _length(self, line: bytes) -> int | None:
        stated = _LENGTH.fullmatch(line)
        if stated is None:
            self.fault = "a Content-Length that is not a number of bytes"
        elif len(stated[1]) > len(str(LARGEST_MESSAGE)) or int(stated[1]) > LARGEST_MESSAGE:
            self.fault = f"a message of more than {LARGEST_MESSAGE // 2**20} MiB"
        else:
            return int(stated[1])
        return None

    def _taken(self, length: int) -> bytes:
        """Return so many bytes of the stream."""
        pieces: list[bytes] = []
        while length > 0:
            piece = self._stream.read(min(length, _PIECE))
            if not piece:
                self.fault = "it broke off"
                return b""
            pieces.append(piece)
            length -= len(piece)
        return b"".join(pieces)
