"""What two processes say to each other when one sets the pages for the other.

Each message is pickled and goes after its length. This module loads next to nothing.
"""

from __future__ import annotations

import pickle
import struct
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .document import Sheet

Finisher = Callable[[Any, Any], None]

_LENGTH = struct.Struct(">Q")


@dataclass(frozen=True)
class Ready:
    """The process is there. home: the folder of the package that it has loaded."""

    home: Path


@dataclass(frozen=True)
class Order:
    """What to set. later: the size of what comes while the pages are laid out, by address."""

    sheet: Sheet
    later: Mapping[str, tuple[float, float]]


@dataclass(frozen=True)
class Drawn:
    """What belongs at an address of an order."""

    address: str
    made: object


@dataclass(frozen=True)
class LastTouch:
    """The finisher of an order (see `pdf.press`); comes when all is drawn."""

    finisher: Finisher | None


@dataclass(frozen=True)
class LaidOut:
    """The page of this number has been laid out."""

    page: int


def put(stream: IO[bytes], message: object) -> None:
    """Send a message."""
    data = pickle.dumps(message, pickle.HIGHEST_PROTOCOL)
    stream.write(_LENGTH.pack(len(data)))
    stream.write(data)
    stream.flush()


def take(stream: IO[bytes]) -> bytes | None:
    """Return the next message as it was sent; None at the end."""
    head = stream.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        return None
    (length,) = _LENGTH.unpack(head)
    data = stream.read(length)
    return data if len(data) == length else None
