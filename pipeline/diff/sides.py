"""The two charts that are compared: files, or files of revisions, each with all that it uses."""

from __future__ import annotations

import posixpath
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from ..compose.compose import compose
from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostics, has_errors, in_order
from ..core.files import LARGEST_TEXT, read_text, unsaved_texts
from ..resolve.read import read_source
from .history import NoRevision, Revision, Shelf, revision, top_of


@dataclass(frozen=True)
class Side:
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

    def open(self, said: str) -> Side:
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

    def open_file(self, path: Path, said: str) -> Side:
        """Return a chart that lies in a folder."""
        source, findings = read_text(path, said, LARGEST_TEXT)
        if source is None:
            return Side(said, "", None, in_order(findings))
        design, findings = read_source(source, path)
        if design is None or has_errors(findings):
            return Side(said, source.text, None, findings)
        worked, more = compose(design)
        findings = in_order(findings + more)
        return Side(said, source.text, None if has_errors(findings) else worked, findings)

    def open_revision(self, revised: Revision, path: str, said: str) -> Side:
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
