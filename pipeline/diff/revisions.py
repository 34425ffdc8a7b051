"""The differences as `revision` lines, to be put into the source of the new edition."""

from __future__ import annotations

from .differences import Differences
from .items import Item, items
from .notices import Notice, notices


def revision_lines(found: Differences) -> str:
    """Return one `revision` line for each difference, in the order of the sheet of corrections."""
    booklet = found.new.design.booklet
    edition = booklet.edition or "1"
    head = f"revision {_quoted(edition)} "
    if booklet.day is not None:
        head += f"{booklet.day.isoformat()} "
    every: list[Notice | Item] = [*notices(found), *items(found)]
    told = [f"{each.heading}: {' '.join(each.told)}" for each in every]
    return "".join(f"{head}{_quoted(each)}\n" for each in told)


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
