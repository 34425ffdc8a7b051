"""The differences of two charts as plain data, for tools.

Boxes are [x0, y0, x1, y1] and positions [x, y] on grid lines, of the new chart unless named
otherwise; a stitch is the symbol or word of its key line, null for bare fabric.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence

from .differences import Area, Arrived, Differences, Dotted, Spot, Stitches, Stretch
from .keypairs import thread_name
from .words import Teller

FORMAT = 1  # raised when a reader of an older one could misunderstand a newer one


def as_json(found: Differences, said: tuple[str, str]) -> str:
    """Return the differences as JSON; said: how both charts were named."""
    return json.dumps(_told(found, said), ensure_ascii=False, indent=2) + "\n"


def _told(found: Differences, said: tuple[str, str]) -> dict[str, object]:
    plain = _Plain(found)
    return {
        "format": FORMAT,
        "old": _side(said[0], found, new=False),
        "new": _side(said[1], found, new=True),
        "different": bool(found),
        "shift": list(found.shift),
        "changed_cells": len(found.changed),
        "stitches": plain.stitches(found.stitches),
        "areas": plain.areas(found.areas),
        "edges": [
            {"box": each.box, "cells": each.number, "of": "old" if each.lost else "new"}
            for each in found.strips
        ],
        "moved": [
            {
                "what": each.sort.value if each.name else "area",
                "name": each.name,
                "by": each.by,
                "turned": each.turned,
                "places": plain.spots(each.spots),
            }
            for each in found.moved
        ],
        "arrived": [plain.arrived(each, new=True) for each in found.arrived],
        "gone": [plain.arrived(each, new=False) for each in found.gone],
        "turned": [
            {
                "name": each.name,
                "how": each.how,
                "places": plain.spots(each.spots),
                "areas": plain.areas(each.areas),
            }
            for each in found.turned
        ],
        "reworded": [
            {
                "old": each.old,
                "new": each.new,
                "places": plain.spots([each.spot]),
                "areas": plain.areas(each.areas),
            }
            for each in found.reworded
        ],
        "redrawn": [
            {
                "name": each.name,
                "in_motif": {
                    "areas": plain.areas(each.areas),
                    "lines": plain.strokes(each.strokes),
                    "knots": plain.points(each.points),
                },
                "size": each.resized,
                "places": plain.spots(each.spots),
                "areas": plain.areas(each.places),
            }
            for each in found.redrawn
        ],
        "off_grid": [
            {
                "name": each.name,
                "at": [each.x, each.y],
                "cell": each.cell,
                "areas": plain.areas(each.areas),
            }
            for each in found.patched
        ],
        "lines": plain.strokes(found.strokes),
        "knots": plain.points(found.points),
        "key": [
            {
                "old": plain.symbol(each.old, new=False),
                "new": plain.symbol(each.new, new=True),
                "changed": each.what,
                "stitches": each.number,
                "words": plain.teller.key_change(each),
            }
            for each in found.key
        ],
        "threads": [
            {
                "range": each.thread.range,
                "code": each.thread.code,
                "name": each.thread.name,
                "bead": each.bead,
                "stitches": each.stitches,
                "skeins_used": None if each.skeins is None else [round(n, 6) for n in each.skeins],
                "skeins_to_buy": each.buy,
            }
            for each in found.tallies
        ],
        "facts": [vars(each) for each in found.facts],
        "words": [vars(each) for each in found.words],
        "renamed": dict(found.renamed),
    }


def _side(said: str, found: Differences, *, new: bool) -> dict[str, object]:
    worked = found.new if new else found.old
    booklet = worked.design.booklet
    return {
        "chart": said,
        "title": booklet.title,
        "edition": booklet.edition,
        "day": None if booklet.day is None else booklet.day.isoformat(),
        "width": worked.width,
        "height": worked.height,
    }


class _Plain:
    def __init__(self, found: Differences) -> None:
        self.found = found
        self.teller = Teller(found)

    def symbol(self, index: int, *, new: bool) -> str | None:
        worked = self.found.new if new else self.found.old
        return worked.entry(index).symbol if index else None

    def stitches(self, stitches: Iterable[Stitches]) -> list[dict[str, object]]:
        return [
            {
                "old": self.symbol(each.old, new=False),
                "new": self.symbol(each.new, new=True),
                "cells": each.number,
                "old_thread": self._threads(each.old, new=False),
                "new_thread": self._threads(each.new, new=True),
                "words": self.teller.stitches(each),
            }
            for each in stitches
        ]

    def _threads(self, index: int, *, new: bool) -> list[str] | None:
        if not index:
            return None
        needles = [part.needle for part in self.teller.parts(index, new=new)]
        threads = {thread_name(each.thread): each.thread for needle in needles for each in needle}
        return [self.teller.thread_in_full(each) for each in threads.values()]

    def areas(self, areas: Iterable[Area]) -> list[dict[str, object]]:
        return [
            {
                "box": each.box,
                "words": self.teller.rows_columns(each.box),
                "cells": each.cells.tolist(),
                "stitches": self.stitches(each.stitches),
            }
            for each in areas
        ]

    def spots(self, spots: Sequence[Spot]) -> list[dict[str, object]]:
        return [
            {"old_box": each.old, "new_box": each.new, "cells": each.cells, "free": each.free}
            for each in spots
        ]

    def arrived(self, each: Arrived, *, new: bool) -> dict[str, object]:
        return {
            "what": each.sort.value,
            "name": each.name,
            "places": self.spots(each.spots),
            "stitches": [
                {
                    "symbol": self.symbol(index, new=new),
                    "thread": self._threads(index, new=new),
                    "cells": number,
                }
                for index, number in each.stitches
            ],
        }

    def strokes(self, strokes: Iterable[Stretch]) -> list[dict[str, object]]:
        return [self._drawn(each, self.teller.stretch(each)) for each in strokes]

    def points(self, points: Iterable[Dotted]) -> list[dict[str, object]]:
        return [self._drawn(each, self.teller.dotted(each)) for each in points]

    def _drawn(self, each: Stretch | Dotted, words: str) -> dict[str, object]:
        return {
            "old": self.symbol(each.old, new=False),
            "new": self.symbol(each.new, new=True),
            "points": each.points,
            "words": words,
        }
