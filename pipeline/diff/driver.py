"""What git is told when it calls linenleaf as the diff driver of charts.

git hands over `path old-file old-hex old-mode new-file new-hex new-mode`, after a rename also the
new path and how alike both are, and for an unmerged file its path alone (git(1), at
GIT_EXTERNAL_DIFF). It names files, no revisions; but a chart is nothing without its thread ranges.
So the revision is looked for in which the chart has that content, and all that it uses is taken
from there. A converter to text would not do: it sees one file at a time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import unified_diff
from pathlib import Path

from ..core.diagnostics import Diagnostics
from ..core.findings import Level
from ..pictures.caption import description
from .compare import compare
from .difftext import as_text, printable
from .history import NoRevision, revision_with, top_of
from .sides import Opener, Side, opener

NOTHING = "/dev/null"
QUICK = 250_000  # cells up to which skeins are reckoned


@dataclass(frozen=True)
class _Given:
    """One side as git gives it. path: from the top. file: where git has put it."""

    path: str
    file: str
    blob: str

    @property
    def there(self) -> bool:
        """Whether the chart is there at all on this side."""
        return self.file != NOTHING

    @property
    def at_work(self) -> bool:
        """Whether it is the file of the working tree, as it is now."""
        return self.file == self.path


def answer_git(arguments: Sequence[str]) -> str:
    """Return what a diff driver has to print; arguments: as git gives them.

    Charts that cannot be read are shown line by line, since a diff must not fail.

    Raises:
        ValueError: when these are not the arguments of git.
    """
    if len(arguments) == 1:
        return f"{printable(arguments[0])} is not merged yet: both sides changed the same lines.\n"
    if len(arguments) not in (7, 9):
        raise ValueError("git gives a diff driver 1, 7 or 9 arguments")
    path, old_file, old_hex, _, new_file, new_hex, _ = arguments[:7]
    old = _Given(path, old_file, old_hex)
    new = _Given(arguments[7] if len(arguments) == 9 else path, new_file, new_hex)
    renamed = f" -> {printable(new.path)}" if new.path != old.path else ""
    heading = f"chart {printable(old.path)}{renamed}\n"
    with opener() as opened:
        if not old.there or not new.there:
            side = _open(opened, new if new.there else old)
            return (
                f"{heading}{'new chart' if new.there else 'the chart was removed'}{_what(side)}\n\n"
            )
        before, after = _open(opened, old), _open(opened, new)
        if before.worked is None or after.worked is None:
            return heading + _by_line(before, after)
        size = max(before.worked.grid.size, after.worked.grid.size)
        changes = compare(before.worked, after.worked, thread=size <= QUICK)
        if not changes:
            return heading + _by_line(
                before, after, "The chart is the same, only written differently."
            )
        return heading + as_text(changes, (before.said, after.said)) + "\n"


def _open(opened: Opener, given: _Given) -> Side:
    """Return one side, with what it uses from the revision in which it has this content."""
    if given.at_work:
        return opened.open_file(Path(given.file), given.path)
    try:
        kept_in = revision_with(top_of(Path()), given.path, given.blob)
    except NoRevision:
        kept_in = None
    if kept_in is None:
        return opened.open_file(Path(given.file), given.path)
    return opened.open_revision(kept_in, given.path, given.path)


def _what(side: Side) -> str:
    """Return what a chart is, if it can be read."""
    if side.worked is None:
        return ""
    booklet = side.worked.design.booklet
    edition = f", edition {booklet.edition}" if booklet.edition else ""
    return f": {booklet.title}{edition}. {description(side.worked)}"


def _by_line(old: Side, new: Side, why: str = "") -> str:
    """Return the lines that differ, and why they are shown instead of the chart."""
    if not why:
        side, which = (old, "old") if old.worked is None else (new, "new")
        why = f"The {which} side cannot be read as a chart: {_first(side.findings)}"
    before, after = old.text.splitlines(), new.text.splitlines()
    lines = unified_diff(before, after, printable(old.said), printable(new.said), lineterm="")
    return "\n".join([why, *lines, "", ""])


def _first(findings: Diagnostics) -> str:
    return next((each.message for each in findings if each.level is Level.ERROR), "")
