"""The page of the light table: its addresses, and what each sends."""

from __future__ import annotations

import json
from collections.abc import Callable
from http import HTTPStatus
from typing import Any

from linenleaf.templates.environment import render
from PIL import Image

from ..cloth.cloth import jpeg
from ..core.output import CannotWrite
from ..core.raster import LARGEST_SIDE
from ..held.picture import AROUND, charted, evened
from ..watch.serving import FIXED, Answer, Give, LocalServer, Site, Take, hidden, shipped
from .asked import (
    NotAsked,
    asked,
    asked_cells,
    asked_draft,
    asked_mark,
    asked_unmark,
    fields,
    number,
    whole,
)
from .entries import Refused
from .shown import CELL, plain_finding, plain_followed, plain_table
from .table import Lying, Table


def serve(table: Table, port: int = 0) -> LocalServer:
    """Begin to serve the page of a table; port 0 for any that is free.

    Raises:
        CannotServe: when the port is taken or not allowed.
    """
    root, site = hidden(_site(table))
    gives = {
        **FIXED,
        **site.gives,
        "/lighttable.css": shipped("lighttable.css", "text/css; charset=utf-8"),
        "/lighttable.js": shipped("lighttable.js", "text/javascript; charset=utf-8"),
    }
    return LocalServer(Site(gives, site.takes), port, root)


def _site(table: Table) -> Site:
    title = table.chart.name

    def page(_query: str) -> Answer:
        html = render("lighttable.html.j2", title=title)
        return Answer(html.encode(), "text/html; charset=utf-8")

    def lie(_query: str) -> Answer:
        return _plainly(lambda: plain_table(table.lie(), title))

    def photograph(query: str) -> Answer | None:
        sheets = table.lie().sheets
        at = int(query) if query.isascii() and query.isdigit() and len(query) < 4 else len(sheets)
        if at >= len(sheets):
            return None
        # Drawn anew: camera, place and day, which may stand in the file, go nowhere.
        return _picture(Image.fromarray(sheets[at].photograph.pixels))

    def even(_query: str) -> Answer | None:
        last = table.last
        if last is None or last.answer.reading is None:
            return None
        columns, rows = last.answer.reading.size
        size = (columns + 2 * AROUND) * CELL, (rows + 2 * AROUND) * CELL
        return _picture(evened(last.answer, size))

    def chart(_query: str) -> Answer | None:
        last = table.last
        if last is None or last.answer.reading is None:
            return None
        return _picture(charted(last.worked, last.answer, CELL))

    def follow(data: bytes) -> Answer:
        return _plainly(lambda: plain_followed(table.follow(asked(data))))

    def snap(data: bytes) -> Answer:
        return _plainly(lambda: _snapped(table, data))

    def changes(change: Callable[[bytes], Lying]) -> Take:
        return lambda data: _plainly(lambda: plain_table(change(data), title))

    gives: dict[str, Give] = {
        "/": page,
        "/table": lie,
        "/photograph": photograph,
        "/evened": even,
        "/charted": chart,
    }
    takes = {
        "/follow": follow,
        "/snap": snap,
        "/write": changes(lambda data: table.write(asked(data))),
        "/draft": changes(lambda data: table.draft(asked_draft(data))),
        "/enter": changes(lambda data: table.enter(asked_cells(data))),
        "/mark": changes(lambda data: table.mark(asked_mark(data))),
        "/unmark": changes(lambda data: table.unmark(asked_unmark(data))),
    }
    return Site(gives, takes)


def _snapped(table: Table, data: bytes) -> dict[str, Any]:
    sent = fields(data)
    pixel = number(sent.get("u"), LARGEST_SIDE), number(sent.get("v"), LARGEST_SIDE)
    mark, cell = table.snap(whole(sent, "sheet"), pixel)
    return {"landmark": [mark.x, mark.y, mark.u, mark.v], "cell": [*cell]}


def _picture(image: Image.Image) -> Answer:
    return Answer(jpeg(image, quality=90), "image/jpeg")


def _plainly(do: Callable[[], dict[str, Any]]) -> Answer:
    """Return what was asked for, or why it is refused, as JSON."""
    try:
        return _json(do(), HTTPStatus.OK)
    except NotAsked as reason:
        return _json({"refused": str(reason), "findings": []}, HTTPStatus.BAD_REQUEST)
    except Refused as reason:
        told = [plain_finding(each) for each in reason.findings]
        return _json({"refused": str(reason), "findings": told}, HTTPStatus.CONFLICT)
    except CannotWrite as reason:
        return _json({"refused": str(reason), "findings": []}, HTTPStatus.CONFLICT)
    except Exception as caught:
        # A fault of ours must not end the page: the next request may go well.
        words = f"linenleaf itself is at fault: {type(caught).__name__}: {caught}"
        return _json({"refused": words, "findings": []}, HTTPStatus.INTERNAL_SERVER_ERROR)


def _json(plain: dict[str, Any], status: HTTPStatus) -> Answer:
    return Answer(json.dumps(plain).encode(), "application/json", status=status)
