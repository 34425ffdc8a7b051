"""The process that draws and binds while the watch goes on reading: its whole life.

It is kept warm, since loading what sets the pages takes longer than many a booklet. Anything that
comes in while it works means that a newer save has made the work pointless.
"""

from __future__ import annotations

import gc
import os
from contextlib import suppress
from multiprocessing.connection import Connection

from ..booklet.book import bind
from ..chart.crosses import rectangles
from ..compose.copies import recolour
from ..compose.worked import WorkedChart
from ..core.system import NO_MEMORY, MissingLibrary, give_back, is_shortage
from ..pdf.document import CannotPress
from ..pictures.chart_svg import chart_png, chart_svg
from .jobs import BookletDone, Failed, Hopeless, Job, PictureDone, Waiting, is_large
from .warmpress import WarmPress

WIDTH = 2400  # pixels of the picture
LARGEST_SVG = 4_000_000  # characters; a browser is slow with more, so it gets pixels then
LEAST_OF_BOX = len("M0 0h1v1h-1z")  # characters of a SVG for cells that are filled as one
POLITE = 5  # the findings of the next save go first on a busy computer


class Superseded(BaseException):
    """A newer save has come. No error: libraries that catch those must let it through."""


def work(connection: Connection) -> None:
    """Do jobs as they come, until the other end is closed."""
    if hasattr(os, "nice"):
        os.nice(POLITE)
    gc.disable()  # see __main__; here it is searched for between two jobs
    large = False
    with suppress(EOFError, OSError), WarmPress() as press:
        while True:
            connection.send(Waiting())
            gc.collect()
            if large:
                give_back()
            job = None
            while job is None:  # what came between two jobs is no longer of use
                job = connection.recv()
            with suppress(Superseded):
                _do(job, connection, press)
            large = is_large(job.worked)
            job = None  # what it holds is not to wait for the next


def _do(job: Job, connection: Connection, press: WarmPress) -> None:
    here = os.getpid()
    large = is_large(job.worked)

    def tell(_what: str, _done: int, _of: int) -> None:
        # A copy of this process that makes the pictures leaves the message to this one.
        if os.getpid() == here and connection.poll():
            connection.recv()
            raise Superseded

    try:
        worked = job.worked
        if job.options.colourway is not None:
            worked = recolour(worked, job.options.colourway)
        if job.picture:
            connection.send(PictureDone(job.number, *picture(worked)))
        if large:
            gc.collect()
            give_back()
        with press.running():
            bound, findings = bind(
                job.worked,
                job.options,
                tell,
                press=press.press,
                ahead=None if large else press.ahead,
            )
    except MissingLibrary as reason:
        connection.send(Hopeless(reason))
    except CannotPress as reason:
        connection.send(Failed(job.number, str(reason)))
    except (EOFError, ConnectionError):
        raise  # the watch is no more
    except Exception as fault:
        # A fault of ours must not end the watch: the next save may be better.
        words = f"linenleaf itself is at fault: {type(fault).__name__}: {fault}"
        words = NO_MEMORY if is_shortage(fault) else words
        connection.send(Failed(job.number, words))
    else:
        data, pages = (b"", 0) if bound is None else (bound.data, bound.pages)
        connection.send(BookletDone(job.number, data, pages, findings))


def picture(worked: WorkedChart) -> tuple[bytes, str]:
    """Return the chart as a picture for a browser, and its media type."""
    # Where the boxes alone are too much no SVG need be written to know it.
    crowded = (
        worked.grid.size * LEAST_OF_BOX > LARGEST_SVG
        and len(rectangles(worked.grid)[0]) * LEAST_OF_BOX > LARGEST_SVG
    )
    svg = "" if crowded else chart_svg(worked, WIDTH)
    if crowded or len(svg) > LARGEST_SVG:
        with suppress(MissingLibrary):  # the page can do without
            return chart_png(worked, WIDTH), "image/png"
    return (svg or chart_svg(worked, WIDTH)).encode(), "image/svg+xml"
