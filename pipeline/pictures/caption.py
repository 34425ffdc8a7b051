"""What a picture says of itself to those who cannot see it, and names that keep it to itself."""

from __future__ import annotations

import zlib

import numpy as np

from ..compose.worked import WorkedChart
from ..i18n.trade import fabric
from ..i18n.wording import Wording, wording


def chart_title(worked: WorkedChart) -> str:
    """Return the title of a picture of the chart."""
    return _words(worked).gettext("%(title)s: chart", title=worked.design.booklet.title)


def piece_title(worked: WorkedChart) -> str:
    """Return the title of a picture of the worked piece."""
    return _words(worked).gettext("%(title)s: stitched piece", title=worked.design.booklet.title)


def key_title(worked: WorkedChart) -> str:
    """Return the title of a picture of the key."""
    return _words(worked).gettext("%(title)s: key", title=worked.design.booklet.title)


def description(worked: WorkedChart) -> str:
    """Return one sentence on size, colours and fabric, in the language of the booklet."""
    threads = {
        needled.thread.label + needled.thread.colour
        for index in worked.used
        for part in worked.entry(index).parts
        for needled in part.needle
    }
    words = _words(worked)
    return words.ngettext(
        "%(columns)s by %(rows)s crosses in %(num)s colour, drawn for %(fabric)s.",
        "%(columns)s by %(rows)s crosses in %(num)s colours, drawn for %(fabric)s.",
        len(threads),
        columns=words.figures.whole(worked.width),
        rows=words.figures.whole(worked.height),
        fabric=fabric(words, worked.design.ground.fabric),
    )


def _words(worked: WorkedChart) -> Wording:
    return wording(worked.design.booklet.language)


def prefix(worked: WorkedChart) -> str:
    """Return a beginning for the names inside a picture.

    Two pictures on one page must not share names, and the same chart always gives the same.
    """
    state = zlib.crc32(worked.design.booklet.title.encode())
    state = zlib.crc32(np.ascontiguousarray(worked.grid).tobytes(), state)
    return f"p{state:08x}-"
