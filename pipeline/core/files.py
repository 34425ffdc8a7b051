"""Opening files that strangers may have written: nothing outside the folder, nothing too large.

A chart names other files (thread ranges, stories, pictures, charts to use). They are opened only
if they lie in the chart's own folder or below it, are plain files, and are small enough.
"""

from __future__ import annotations

import os
import re
import stat
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from .characters import called, hidden_in_name, hidden_in_text
from .diagnostics import Diagnostic, Diagnostics, finding
from .source import Source, Span
from .suggest import did_you_mean

LARGEST_TEXT = 16 * 1024 * 1024  # bytes of a chart
LARGEST_STORY = 256 * 1024  # bytes of a story or section
LARGEST_RANGE = 4 * 1024 * 1024  # bytes of a thread range
LARGEST_PICTURE = 32 * 1024 * 1024  # bytes
MOST_HIDDEN = 5  # places of hidden characters shown in one file

_URL = re.compile(r"[A-Za-z][A-Za-z0-9+.\-]+:|//|\\\\")
_DRIVE = re.compile(r"[A-Za-z]:")
_MAGIC = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"PK\x03\x04", "a ZIP archive or an office document"),
    (b"\x1f\x8b", "a compressed file"),
    (b"{\\rtf", "a word processor's document"),
)


# Who wants to know which files are named; nobody, unless somebody asks.
_NOTE: ContextVar[Callable[[Path], object] | None] = ContextVar("_NOTE", default=None)


@contextmanager
def noting(note: Callable[[Path], object]) -> Iterator[None]:
    """Tell which files beside a chart are named while the block runs, be they there or not.

    Each is told before it is opened. Nothing outside the chart's folder is told.
    """
    token = _NOTE.set(note)
    try:
        yield
    finally:
        _NOTE.reset(token)


def read_text(
    path: Path, shown: str, largest: int, blame: Span | None = None
) -> tuple[Source | None, Diagnostics]:
    """Return a text file as a source with plain line ends, or what is wrong with it.

    shown: the path as the user would type it. largest: bytes allowed. blame: the place that
    names the file, for files that cannot be opened at all.
    """
    data, findings = read_bytes(path, shown, largest, blame)
    return (None, findings) if data is None else as_text(data, shown, blame)


def as_text(
    data: bytes, shown: str, blame: Span | None = None
) -> tuple[Source | None, Diagnostics]:
    """Return bytes as a source with plain line ends, or why they are no text; see `read_text`."""
    refused = _not_text(data, shown, blame or Source(shown, "").span(0, 0))
    if refused is not None:
        return None, (refused,)
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as caught:
        return None, (_not_utf8(data, shown, caught.start),)
    # Composed, so that an accented letter is one character however it was typed (UAX 15).
    text = _plain_line_ends(text)
    composed = unicodedata.normalize("NFC", text)
    source = Source(shown, composed, "" if composed == text else text)
    hidden = tuple(
        hidden_character(composed[at], source.span(at, at + 1))
        for at in islice(hidden_in_text(composed), MOST_HIDDEN)
    )
    return (None, hidden) if hidden else (source, ())


def read_bytes(
    path: Path, shown: str, largest: int, blame: Span | None = None
) -> tuple[bytes | None, Diagnostics]:
    """Return the bytes of a plain file of bounded size, or why it cannot be read."""
    unsaved = _unsaved(path)
    if unsaved is None:
        return _read_from_disk(path, shown, largest, blame)
    if len(unsaved) > largest:
        return None, (_too_large(shown, largest, blame),)
    return unsaved, ()


def _read_from_disk(
    path: Path, shown: str, largest: int, blame: Span | None
) -> tuple[bytes | None, Diagnostics]:
    try:
        state = path.stat()
        if stat.S_ISDIR(state.st_mode):
            return None, (
                finding(
                    "not-a-file", f"`{shown}` is a folder, not a file.", blame, "name a file in it"
                ),
            )
        if not stat.S_ISREG(state.st_mode):
            return None, (
                finding("not-a-file", f"`{shown}` is not a plain file.", blame, "name another"),
            )
        # Not waited for, should a pipe have taken its place this moment.
        handle = os.open(path, os.O_RDONLY | _AT_ONCE)
        with os.fdopen(handle, "rb") as file:
            data = file.read(largest + 1) or b""
    except FileNotFoundError:
        return None, (_missing(path, shown, blame),)
    except (OSError, ValueError, RuntimeError) as caught:
        reason = getattr(caught, "strerror", None) or "its name cannot be used"
        return None, (
            finding(
                "cannot-read",
                f"`{shown}` cannot be read: {reason}.",
                blame,
                "check that you are allowed to read it and that it is not open elsewhere",
            ),
        )
    if max(len(data), state.st_size) > largest:
        return None, (_too_large(shown, largest, blame),)
    return data, ()


_AT_ONCE = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)

# What is open in a text editor and not saved yet, by real path; read in place of the files.
_OPEN: ContextVar[Mapping[Path, bytes] | None] = ContextVar("unsaved texts", default=None)


@contextmanager
def unsaved_texts(texts: Mapping[Path, bytes]) -> Iterator[None]:
    """Let texts stand in for the files at their real paths while something is read."""
    before = _OPEN.set(texts)
    try:
        yield
    finally:
        _OPEN.reset(before)


def _unsaved(path: Path) -> bytes | None:
    texts = _OPEN.get()
    if not texts:
        return None
    try:
        return texts.get(path.resolve())
    except (OSError, ValueError, RuntimeError):
        return None


def beside(root: Path, folder: Path, written: str, blame: Span) -> tuple[Path | None, Diagnostics]:
    """Return the file that a chart names, if it may be opened.

    root: the chart's folder, which nothing may leave. folder: where the naming file lies.
    """
    hidden = hidden_in_name(written)
    refusal = hidden_character(hidden, blame) if hidden else _refused_by_form(written, blame)
    if refusal is not None:
        return None, (refusal,)
    path = folder / written
    try:
        real = path.resolve()
        inside = real.is_relative_to(root.resolve())
        there = inside and (_unsaved(real) is not None or real.exists())
    except (OSError, ValueError, RuntimeError):
        return None, (
            finding(
                "cannot-read",
                f"`{_short(written)}` cannot be the name of a file.",
                blame,
                "check that you are allowed to read it and that it is not open elsewhere",
            ),
        )
    if not inside:
        return None, (_outside(written, blame),)
    note = _NOTE.get()
    if note is not None:
        for each in {path, real}:  # a link, and the file that it leads to
            note(each)
    if not there:
        return None, (_missing(path, written, blame),)
    return real, ()


def _refused_by_form(written: str, blame: Span) -> Diagnostic | None:
    if not written.strip():
        return finding(
            "missing-file-name",
            "The name of the file is missing.",
            blame,
            "write it as seen from the chart's folder: `story.md`",
        )
    if _DRIVE.match(written) and not written[2:].startswith("//"):
        return _outside(written, blame)
    if _URL.match(written):
        return finding(
            "address-refused",
            "A chart cannot open network addresses: linenleaf fetches nothing.",
            blame,
            "save the file into the chart's folder and write its name here",
        )
    if written.startswith(("/", "\\", "~")):
        return _outside(written, blame)
    if "\\" in written:
        return finding(
            "bad-path",
            "A path cannot contain a backslash.",
            blame,
            "between folders write `/`: `pictures/tern.png`",
        )
    return None


def _outside(written: str, blame: Span) -> Diagnostic:
    return finding(
        "outside-folder",
        f"`{_short(written)}` is outside the chart's folder.",
        blame,
        "only files in the chart's folder or below it are opened; move the file there",
    )


def _too_large(shown: str, largest: int, blame: Span | None) -> Diagnostic:
    return finding(
        "file-too-large",
        f"`{_short(shown)}` is larger than {_in_words(largest)}.",
        blame or Source(shown, "").span(0, 0),
        "nothing worked by hand is this large; check that it is the right file",
    )


def _missing(path: Path, shown: str, blame: Span | None) -> Diagnostic:
    advice = did_you_mean(path.name, _neighbours(path))
    if not advice and blame is not None:  # the chart itself is named by a command
        advice = "file names start from the chart's folder; put the file there, or correct the name"
    hints = (advice,) if advice else ()
    return finding("missing-file", f"There is no file `{_short(shown)}`.", blame, *hints)


def _neighbours(path: Path) -> list[str]:
    try:
        return sorted(each.name for each in islice(path.parent.iterdir(), 500))
    except (OSError, ValueError):
        return []


def _not_text(data: bytes, shown: str, blame: Span) -> Diagnostic | None:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return finding(
            "not-utf-8",
            f"`{_short(shown)}` is saved as UTF-16.",
            blame,
            "save it again as UTF-8 (plain text)",
        )
    what = next((name for magic, name in _MAGIC if data.startswith(magic)), "")
    if not what and b"\x00" in data:
        what = "not a text"
    if not what:
        return None
    return finding(
        "binary-file",
        f"`{_short(shown)}` is {what}, not plain text.",
        blame,
        "check that it is the right file; plain text as UTF-8 is needed",
    )


def _not_utf8(data: bytes, shown: str, at: int) -> Diagnostic:
    before = _plain_line_ends(data[:at].decode("utf-8"))
    source = Source(shown, _plain_line_ends(data.decode("utf-8", "replace")))
    span = source.span(len(before), len(before) + 1)
    return finding(
        "not-utf-8",
        f"Line {span.line}, column {span.column} is not UTF-8 (byte {data[at]:02x}).",
        span,
        "save the file as UTF-8 (plain text) and look at this place afterwards",
    )


def _plain_line_ends(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n") if "\r" in text else text


def hidden_character(character: str, place: Span) -> Diagnostic:
    """Return the finding on a character that cannot be seen, or not be told from another blank."""
    return finding(
        "hidden-character",
        f"There is an invisible character here: {called(character)}.",
        place,
        "take it out: such characters can make a text look different from what it is",
    )


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:59] + "…"


def _in_words(size: int) -> str:
    return f"{size // 2**20} MiB" if size >= 2**20 else f"{size // 2**10} KiB"


MOST_CHARTS = 1_000  # in a folder and below
MOST_ENTRIES = 100_000  # files and folders looked at
SUFFIX = ".linen"


class CannotList(Exception):
    """What is in a folder cannot be told; str() is a sentence for the user."""


@dataclass(frozen=True)
class Below:
    """What lies in a folder. charts: by path. links: those with the name of a chart."""

    charts: tuple[Path, ...]
    links: tuple[Path, ...]


def charts_below(folder: Path) -> Below:
    """Return all files called `*.linen` in a folder and its folders, in the order of their paths.

    Links are not followed, be it to files or folders; what is hidden (its name begins with a
    point) is left alone.

    Raises:
        CannotList: for too many files, or a folder that cannot be opened.
    """
    charts: list[Path] = []
    links: list[Path] = []
    waiting, seen = [folder], 0
    while waiting:
        try:
            with os.scandir(waiting.pop()) as entries:
                for entry in entries:
                    seen += 1
                    if seen > MOST_ENTRIES:
                        raise CannotList(
                            f"{folder} has more than {MOST_ENTRIES:,} files below it; name a "
                            "smaller folder."
                        )
                    if entry.name.startswith("."):
                        continue
                    if entry.is_dir(follow_symlinks=False):
                        waiting.append(Path(entry.path))
                    elif entry.name.lower().endswith(SUFFIX):
                        (links if entry.is_symlink() else charts).append(Path(entry.path))
        except OSError as reason:
            place = reason.filename or folder
            raise CannotList(
                f"The folder {place} cannot be opened: {(reason.strerror or str(reason)).lower()}."
            ) from reason
    if len(charts) > MOST_CHARTS:
        raise CannotList(
            f"{folder} has {len(charts):,} charts below it; at most {MOST_CHARTS:,} are taken at "
            "once. Name a smaller folder."
        )
    return Below(tuple(sorted(charts)), tuple(sorted(links)))
