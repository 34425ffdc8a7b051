"""The two charts that are compared: files, or files of revisions that are read through git.

git is called as a program with fixed arguments, never through a shell. What a person types as a
revision never stands where git could take it for an option, nothing is fetched from a network,
and no hook, filter or helper of a repository is run.
"""

from __future__ import annotations

import os
import posixpath
import re
import subprocess
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from ..compose.compose import compose
from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostics, has_errors, in_order
from ..core.files import LARGEST_TEXT, read_text, unsaved_texts
from ..resolve.read import read_source

INDEX = ""  # the revision that stands for what is staged
MOST_LINKS = 5
MOST_REVISIONS = 5_000  # looked at to find the one that a file is of
LARGEST = 64 * 1024 * 1024  # bytes of one file
_SECONDS = 60
_NAME = re.compile(r"[0-9a-f]{40}(?:[0-9a-f]{24})?")
_QUIET = {
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_LITERAL_PATHSPECS": "1",
    "LC_ALL": "C",
}
# A repository may name programs to run; none of these calls needs one.
_SAFE = ("-c", "core.fsmonitor=false", "-c", "protocol.allow=never", "--no-pager")


class NoRevision(Exception):
    """A revision or a file of it cannot be had; str() is a sentence for the user."""


@dataclass(frozen=True)
class _TreeEntry:
    mode: str
    name: str  # of the content, in hexadecimal


@dataclass(frozen=True)
class GitRevision:
    """One revision of one repository.

    top: the folder of the working tree. said: the revision as it was typed. tree: its name in
    hexadecimal, INDEX for what is staged.
    """

    top: Path
    said: str
    tree: str
    _seen: dict[str, _TreeEntry | None] = field(default_factory=dict, compare=False, repr=False)

    def holds(self, path: str) -> bool:
        """Tell whether there is a file at a path from the top of the repository."""
        entry = self._entry(path)
        return entry is not None and entry.mode.startswith("1")

    def read(self, path: str, folder: str) -> bytes | None:
        """Return a file by its path from the top, None where there is none.

        folder: what no link may lead out of.
        """
        for _ in range(MOST_LINKS):
            entry = self._entry(path)
            if entry is None or not entry.mode.startswith("1"):
                return None
            data = _blob(self.top, entry.name)
            if entry.mode != "120000":
                return data
            leads = posixpath.normpath(
                posixpath.join(posixpath.dirname(path), data.decode("utf-8", "replace"))
            )
            if not _below(leads, folder):
                return None
            path = leads
        return None

    def blob_name(self, path: str) -> str:
        """Return the name of a file's content, empty where there is no file."""
        entry = self._entry(path)
        return entry.name if entry is not None and entry.mode.startswith("1") else ""

    def _entry(self, path: str) -> _TreeEntry | None:
        if path not in self._seen:
            self._seen[path] = self._look(path)
        return self._seen[path]

    def _look(self, path: str) -> _TreeEntry | None:
        if self.tree == INDEX:
            # mode name stage, a tab, the path; a merge under way has more than one stage
            listed = _git(self.top, "ls-files", "--stage", "-z", "--full-name", "--", path)
        else:
            # mode kind name, a tab, the path
            listed = _git(self.top, "ls-tree", "-z", "--full-tree", self.tree, "--", path)
        for line in (listed or b"").split(b"\0"):
            told, _, where = line.partition(b"\t")
            words = told.decode("ascii", "replace").split()
            if where.decode("utf-8", "surrogateescape") != path or len(words) != 3:
                continue
            mode = words[0]
            name = words[1] if self.tree == INDEX else words[2]
            if _NAME.fullmatch(name):
                return _TreeEntry(mode, name)
        return None


def _below(path: str, folder: str) -> bool:
    if path.startswith(("/", "../")) or path == "..":
        return False
    return not folder or path.startswith(folder + "/")


def top_of(folder: Path) -> Path:
    """Return the top of the working tree that a folder lies in.

    Raises:
        NoRevision: when it lies in none, or git is not there.
    """
    told = _git(folder, "rev-parse", "--show-toplevel")
    if told is None:
        raise NoRevision(f"{folder.resolve()} is not under version control by git.")
    return Path(os.fsdecode(told.rstrip(b"\n")))


def revision(top: Path, said: str) -> GitRevision:
    """Return a revision by whatever git understands: a name, `HEAD~2`, a tag, a number.

    Raises:
        NoRevision: when there is none of that name.
    """
    if said == INDEX:
        return GitRevision(top, said, INDEX)
    # A name that begins with a hyphen could be taken for an option.
    told = None
    if not said.startswith("-") and said.isprintable():
        told = _git(top, "rev-parse", "--verify", "--quiet", said + "^{tree}")
    tree = (told or b"").decode("ascii", "replace").strip()
    if not _NAME.fullmatch(tree):
        raise NoRevision(f"git knows no revision {said} here.")
    return GitRevision(top, said, tree)


def revision_with(top: Path, path: str, blob: str) -> GitRevision | None:
    """Return the likeliest revision in which a file has a content, None where there is none.

    The checked-out revision comes first, then what is staged, then all others from the newest.
    blob: the name of the content.
    """
    if not _NAME.fullmatch(blob) or "\n" in path:
        return None
    for said in ("HEAD", INDEX):
        try:
            candidate = revision(top, said)
        except NoRevision:
            continue
        if candidate.blob_name(path) == blob:
            return candidate
    # First all that is near, then any revision in which the file changed.
    for wanted in (("--all",), ("--all", "--", path)):
        told = _git(top, "rev-list", f"--max-count={MOST_REVISIONS}", *wanted) or b""
        names = told.decode("ascii", "replace").split()
        asked = "".join(f"{name}:{path}\n" for name in names)
        answers = _git(top, "cat-file", "--batch-check=%(objectname)", given=asked.encode()) or b""
        for name, answer in zip(names, answers.splitlines(), strict=False):
            if answer == blob.encode():
                return revision(top, name)
    return None


def _blob(top: Path, name: str) -> bytes:
    size = _git(top, "cat-file", "-s", name)
    if size is None or not size.strip().isdigit() or int(size) > LARGEST:
        raise NoRevision("A file of that revision is too large, or not there.")
    return _git(top, "cat-file", "blob", name) or b""


def _git(folder: Path, *arguments: str, given: bytes = b"") -> bytes | None:
    """Return what git prints, None where it says no; given: what it reads.

    Raises:
        NoRevision: when git is not installed or does not answer.
    """
    environment = {**os.environ, **_QUIET}
    # Set by git while it calls a diff driver or a hook; they would lead away from the folder.
    for name in ("GIT_EXTERNAL_DIFF", "GIT_PREFIX"):
        environment.pop(name, None)
    try:
        done = subprocess.run(
            ["git", *_SAFE, *arguments],
            cwd=folder,
            env=environment,
            input=given,
            capture_output=True,
            timeout=_SECONDS,
            check=False,
        )
    except FileNotFoundError as reason:
        raise NoRevision("git is not installed, so no revision can be read.") from reason
    except (OSError, ValueError, subprocess.TimeoutExpired) as reason:
        raise NoRevision("git did not answer.") from reason
    return done.stdout if done.returncode == 0 else None


@dataclass(frozen=True)
class Shelf(Mapping[Path, bytes]):
    """Files of revisions as they would lie in folders that are not there.

    Each chart of a revision has a folder of its own that exists nowhere; whatever is opened below
    it is asked of git. To be given to `files.unsaved_texts`.
    """

    _roots: dict[Path, tuple[GitRevision, str]] = field(default_factory=dict)
    _read: dict[Path, bytes | None] = field(default_factory=dict)

    def place(self, nowhere: Path, kept_in: GitRevision, path: str) -> Path:
        """Return where a chart of a revision seems to lie; nowhere: a folder that is empty."""
        root = nowhere.resolve() / f"revision-{len(self._roots)}"
        folder = posixpath.dirname(path)
        self._roots[root] = (kept_in, folder)
        return root / posixpath.basename(path)

    def __getitem__(self, path: Path) -> bytes:
        """Return a file; a path is one as `Path.resolve` gives it."""
        if path not in self._read:
            self._read[path] = self._fetch(path)
        data = self._read[path]
        if data is None:
            raise KeyError(path)
        return data

    def _fetch(self, path: Path) -> bytes | None:
        for root, (kept_in, folder) in self._roots.items():
            if path.is_relative_to(root):
                inside = PurePosixPath(*path.relative_to(root).parts)
                try:
                    return kept_in.read(posixpath.join(folder, str(inside)), folder)
                except NoRevision:
                    return None
        return None

    def __iter__(self) -> Iterator[Path]:
        """Give what was read so far."""
        return iter(path for path, data in self._read.items() if data is not None)

    def __len__(self) -> int:
        """Return how many charts of revisions there are."""
        return len(self._roots)


@dataclass(frozen=True)
class ComparedSide:
    """One of two charts. said: as the person named it. worked: None after an error."""

    said: str
    text: str
    worked: WorkedChart | None
    findings: Diagnostics


class Opener:
    """Opens charts; of those that lie in a revision nothing is written to the disk."""

    def __init__(self, nowhere: Path, shelf: Shelf) -> None:
        self._nowhere = nowhere
        self._shelf = shelf

    def open(self, said: str) -> ComparedSide:
        """Return a chart by its path or as REVISION:path.

        Raises:
            NoRevision: when there is no such file or revision.
        """
        if Path(said).is_file():
            return self.open_file(Path(said), said)
        named, colon, path = said.partition(":")
        if not colon or not path:
            raise NoRevision(
                f"There is no file {said}. A file of a revision is written REVISION:path."
            )
        top = top_of(Path())
        revised = revision(top, named)
        for each in _meant(top, path):
            if revised.holds(each):
                return self.open_revision(revised, each, said)
        where = f"Revision {named}" if named else "What is staged"
        raise NoRevision(f"{where} has no file {path}.")

    def open_file(self, path: Path, said: str) -> ComparedSide:
        """Return a chart that lies in a folder."""
        source, findings = read_text(path, said, LARGEST_TEXT)
        if source is None:
            return ComparedSide(said, "", None, in_order(findings))
        design, findings = read_source(source, path)
        if design is None or has_errors(findings):
            return ComparedSide(said, source.text, None, findings)
        worked, more = compose(design)
        findings = in_order(findings + more)
        return ComparedSide(said, source.text, None if has_errors(findings) else worked, findings)

    def open_revision(self, revised: GitRevision, path: str, said: str) -> ComparedSide:
        """Return a chart of a revision; path: from the top of the repository."""
        return self.open_file(self._shelf.place(self._nowhere, revised, path), said)


@contextmanager
def opener() -> Iterator[Opener]:
    """Give what opens charts; what they name may be opened for as long as the block runs."""
    shelf = Shelf()
    with tempfile.TemporaryDirectory() as nowhere, unsaved_texts(shelf):
        yield Opener(Path(nowhere), shelf)


def _meant(top: Path, path: str) -> list[str]:
    """Return what a path after a revision may mean, from the top of the repository.

    As git has it a path counts from the top, one that begins with a dot from where we are. Since
    that is easily forgotten, the second is tried for others too.
    """
    here = Path().resolve()
    below = here.relative_to(top.resolve()).as_posix() if here.is_relative_to(top.resolve()) else ""
    from_here = posixpath.normpath(posixpath.join(below, path))
    if path.startswith(("./", "../")):
        return [from_here]
    return list(dict.fromkeys([posixpath.normpath(path), from_here]))
