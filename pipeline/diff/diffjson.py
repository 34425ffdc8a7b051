"""The changes between two charts as plain data, for tools.

Boxes are [x0, y0, x1, y1] and positions [x, y] on grid lines, of the new chart unless named
otherwise; a stitch is the symbol or word of its key line, null for bare fabric; a number of strands
is null where it is that of the key.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import assert_never

from . import changes as kinds
from . import facts
from .changes import Change, Changes, Drawn
from .keys import thread_name
from .sentences import Teller

FORMAT = 1  # raised when a reader of an older one could misunderstand a newer one
_LISTS = (
    "areas", "edges", "inserted", "moved", "arrived", "gone", "turned", "reworded", "redrawn",
    "off_grid", "strands", "lines", "knots", "counted", "key", "threads", "facts", "words",
)  # fmt: skip
_Plain = dict[str, object]


def as_json(changes: Changes, said: tuple[str, str]) -> str:
    """Return the changes as JSON; said: how both charts were named."""
    writer = _JsonWriter(changes)
    lists: dict[str, list[_Plain]] = {name: [] for name in _LISTS}
    for change in changes.every:
        for name, plain in writer.written(change):
            lists[name].append(plain)
    told = {
        "format": FORMAT,
        "old": _side(said[0], changes, new=False),
        "new": _side(said[1], changes, new=True),
        "different": bool(changes),
        "shift": list(changes.shift),
        "changed_cells": len(changes.cells),
        "stitches": writer.stitches(changes.stitches),
        **lists,
        "renamed": {change.old: change.new for change in changes.of(kinds.Renamed)},
    }
    return json.dumps(told, ensure_ascii=False, indent=2) + "\n"


def _side(said: str, changes: Changes, *, new: bool) -> _Plain:
    worked = changes.new if new else changes.old
    booklet = worked.design.booklet
    return {
        "chart": said,
        "title": booklet.title,
        "edition": booklet.edition,
        "day": None if booklet.day is None else booklet.day.isoformat(),
        "width": worked.width,
        "height": worked.height,
    }


class _JsonWriter:
    def __init__(self, changes: Changes) -> None:
        self.changes = changes
        self.teller = Teller.in_terminal(changes)

    def written(self, change: Change) -> Iterator[tuple[str, _Plain]]:
        """Give the lists that a change stands in, and what stands there."""
        match change:
            case kinds.Shifted() | kinds.Renamed():
                pass  # of the chart as a whole
            case kinds.Area():
                yield "areas", self._area(change)
            case kinds.Strip():
                of = "old" if change.lost else "new"
                yield "edges", {"box": change.box, "cells": change.number, "of": of}
            case kinds.Moved():
                yield (
                    "moved",
                    {
                        "what": change.sort.value if change.name else "area",
                        "name": change.name,
                        "by": change.by,
                        "turned": self.teller.turn(change.turn, change.over),
                        "places": self._spots(change.spots),
                    },
                )
            case kinds.Inserted():
                yield "inserted", {"row": change.row, "by": change.by, "things": change.number}
            case kinds.Added():
                yield "arrived", self._came(change, new=True)
            case kinds.Removed():
                yield "gone", self._came(change, new=False)
            case kinds.Turned():
                yield (
                    "turned",
                    {
                        "name": change.name,
                        "how": self.teller.turn(change.turn, change.over),
                        "places": self._spots(change.spots),
                        "areas": self._areas(change.areas),
                    },
                )
            case kinds.Reworded():
                yield (
                    "reworded",
                    {
                        "old": change.old,
                        "new": change.new,
                        "places": self._spots([change.spot]),
                        "areas": self._areas(change.areas),
                    },
                )
            case kinds.Redrawn():
                drawn = [each for part in change.drawn for each in self._drawn(part)]
                yield (
                    "redrawn",
                    {
                        "name": change.name,
                        "in_motif": {
                            "areas": self._areas(change.areas),
                            "lines": [plain for name, plain in drawn if name == "lines"],
                            "knots": [plain for name, plain in drawn if name == "knots"],
                            "counted": [plain for name, plain in drawn if name == "counted"],
                        },
                        "size": change.resized,
                        "places": self._spots(change.spots),
                        "areas": self._areas(change.places),
                    },
                )
            case kinds.Patched():
                yield (
                    "off_grid",
                    {
                        "name": change.name,
                        "at": [change.x, change.y],
                        "cell": change.cell,
                        "areas": self._areas(change.areas),
                    },
                )
            case kinds.Restranded():
                yield (
                    "strands",
                    {
                        "what": change.sort.value,
                        "name": change.name,
                        "old": change.old,
                        "new": change.new,
                        "places": self._spots(change.spots),
                    },
                )
            case kinds.Stretch() | kinds.Dotted() | kinds.Strayed() | kinds.Resewn():
                yield from self._drawn(change)
            case kinds.KeyChange():
                yield (
                    "key",
                    {
                        "old": self._symbol(change.old, new=False),
                        "new": self._symbol(change.new, new=True),
                        "changed": change.what,
                        "stitches": change.number,
                        "words": self.teller.key_line(change),
                    },
                )
            case kinds.Tally():
                yield (
                    "threads",
                    {
                        "range": change.thread.range,
                        "code": change.thread.code,
                        "name": change.thread.name,
                        "bead": change.bead,
                        "stitches": change.stitches,
                        "put_ups_used": change.skeins and [round(n, 6) for n in change.skeins],
                        "put_ups_to_buy": change.buy,
                    },
                )
            case facts.Fact():
                yield "facts", vars(self.teller.restated(change))
            case facts.Noted() | facts.Recoloured() | facts.Lettered() | facts.Worded():
                yield "words", vars(self.teller.restated(change))
            case _:
                assert_never(change)

    def _symbol(self, index: int, *, new: bool) -> str | None:
        worked = self.changes.new if new else self.changes.old
        return worked.entry(index).symbol if index else None

    def stitches(self, stitches: Iterable[kinds.Stitches]) -> list[_Plain]:
        """Return what cells held before and after."""
        return [
            {
                "old": self._symbol(cells.old, new=False),
                "new": self._symbol(cells.new, new=True),
                "cells": cells.number,
                "old_thread": self._threads(cells.old, new=False),
                "new_thread": self._threads(cells.new, new=True),
                "words": self.teller.stitches(cells),
            }
            for cells in stitches
        ]

    def _threads(self, index: int, *, new: bool) -> list[str] | None:
        if not index:
            return None
        needles = [part.needle for part in self.teller.entry(index, new=new).parts]
        threads = {
            thread_name(strands.thread): strands.thread for needle in needles for strands in needle
        }
        return [self.teller.thread_in_full(thread) for thread in threads.values()]

    def _area(self, area: kinds.Area) -> _Plain:
        return {
            "box": area.box,
            "words": self.teller.rows_columns(area.box),
            "cells": area.cells.tolist(),
            "stitches": self.stitches(area.stitches),
        }

    def _areas(self, areas: Iterable[kinds.Area]) -> list[_Plain]:
        return [self._area(area) for area in areas]

    def _spots(self, spots: Sequence[kinds.Spot]) -> list[_Plain]:
        return [
            {"old_box": spot.old, "new_box": spot.new, "cells": spot.cells, "free": spot.free}
            for spot in spots
        ]

    def _came(self, change: kinds.Added | kinds.Removed, *, new: bool) -> _Plain:
        return {
            "what": change.sort.value,
            "name": change.name,
            "places": self._spots(change.spots),
            "stitches": [
                {
                    "symbol": self._symbol(index, new=new),
                    "thread": self._threads(index, new=new),
                    "cells": number,
                }
                for index, number in change.stitches
            ],
        }

    def _drawn(self, change: Drawn) -> Iterator[tuple[str, _Plain]]:
        match change:
            case kinds.Stretch():
                yield "lines", self._over(change)
            case kinds.Dotted():
                yield "knots", self._over(change)
            case kinds.Strayed():
                yield "knots", self._over(kinds.Dotted(change.old, 0, (change.was,)))
                yield "knots", self._over(kinds.Dotted(0, change.new, (change.now,)))
            case kinds.Resewn():
                yield (
                    "counted",
                    {
                        "old": self._symbol(change.old, new=False),
                        "new": self._symbol(change.new, new=True),
                        "boxes": change.boxes,
                        "words": self.teller.drawn(change),
                    },
                )
            case _:
                assert_never(change)

    def _over(self, change: kinds.Stretch | kinds.Dotted) -> _Plain:
        return {
            "old": self._symbol(change.old, new=False),
            "new": self._symbol(change.new, new=True),
            "points": change.points,
            "words": self.teller.drawn(change),
        }
