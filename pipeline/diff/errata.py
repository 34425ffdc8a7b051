"""The sheet of corrections: one clean page, or more if needed, for those who have the old chart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from ..booklet.book import file_date, lacking, no_date
from ..booklet.frontmatter import editions, running_title
from ..booklet.maps import whole_picture
from ..chart.options import Ink, Paper
from ..core.diagnostics import Diagnostic, Diagnostics, Level, warning
from ..core.model import Booklet, Revision
from ..i18n.filling import fill
from ..pdf.document import Sheet
from ..pdf.renderer import press
from ..pdf.stylesheets import stylesheet
from .differences import Differences
from .errataviews import Corrections, Entry, Issue, MapSpot, Remark, SmallMap
from .items import Item, items
from .naming import PRINT
from .notices import Notice, notices, words_changed
from .shots import Room, Shots, room
from .views import view
from .words import Teller

WHOLE = "whole:"
MOST_ITEMS = 80  # told one by one
MOST_SHOWN = 48  # shown in pictures
MOST_CHANGED, FEW = 0.6, 400  # of the crosses, and in number: beyond, the chart is another one
BRIEF = 12  # characters of an edition that can stand over every picture
FOOT = 0.75  # of the size of type
FEET = (0.62, 0.3)  # of the width of a page
MAP = (44.0, 50.0)  # mm, the most that the small map takes
MEASURE = (
    "Rows and columns count from 1 at the top left, as numbered along the chart: column 10 ends at "
    "the line marked 10. Places such as 20,14 are the grid lines themselves."
)
LANGUAGE = "en-GB"  # of the sheet, whatever that of the chart


def corrections(
    found: Differences, paper: Paper = Paper.A4, *, advice: bool = True
) -> tuple[bytes | None, Diagnostics]:
    """Return the sheet as PDF, and findings; None where it cannot be made.

    advice: whether to say what to do for those who have begun; without it the sheet only tells
    what changed.

    Raises:
        CannotPress: when the pages cannot be set on this computer.
    """
    stamp = file_date(found.new.design.booklet.day)
    if stamp is None:
        return None, (no_date(),)
    divided = room(paper)
    shots = Shots(found, divided)
    sheet = _sheet(found, stamp, shots, divided, advice=advice)
    files = {}
    if sheet.map is not None:
        files[WHOLE] = (whole_picture(found.new, Ink.COLOUR), "image/png")
    printed = press(
        Sheet(
            fill(LANGUAGE, "errata.html.j2", sheet=sheet),
            stylesheet("booklet.css") + fill(LANGUAGE, "errata.css.j2", paper=paper, sheet=sheet),
            found.new.design.folder,
            files,
            shots.drawings,
        ),
        finisher=shots.finish,
    )
    span = found.new.design.booklet.span
    remarks = [Diagnostic("layout", Level.WARNING, each, span) for _, each in printed.remarks]
    return printed.data, (*map(lacking, printed.lacking), *remarks)


def _sheet(
    found: Differences, stamp: str, shots: Shots, divided: Room, *, advice: bool
) -> Corrections:
    booklet = found.new.design.booklet
    anew = _anew(found)
    every = [] if anew else items(found)
    entries = [_entry(found, shots, *each) for each in enumerate(every[:MOST_ITEMS], 1)]
    heading = "Corrections" if advice else "What changed"
    lead = list(_lead(found, advice=advice))
    if anew:
        lead.append(
            "That is most of them, so they are not told one by one: work from the new edition."
        )
    if len(every) > len(entries):
        rest = len(every) - len(entries)
        lead.append(f"{rest:,} further changes are not told here: work from the new edition.")
    old, new = issues(found.old.design.booklet, booklet)
    name = f"{heading} {'to' if advice else 'in'} {booklet.title}"
    return Corrections(
        name,
        heading,
        booklet.title,
        booklet.designer,
        stamp,
        old,
        new,
        tuple(lead),
        _map(found, every[:MOST_ITEMS]),
        tuple(_remark(shots, *each) for each in enumerate(notices(found))),
        tuple(entries),
        MEASURE if entries else "",
        words_changed(found),
        editions(new_revisions(found)),
        advice and any("out" in each.begun.split() for each in entries),
        advice,
        divided,
        shots.inset,
        _feet(divided, name, f"{old.short} to {new.short}" if old.short == old.name else ""),
    )


def _feet(divided: Room, *words: str) -> tuple[str, str]:
    """Return what stands at both ends of the foot of a page, cut to fit."""
    size = FOOT * divided.type
    first, second = (
        running_title(each, share * divided.whole, size)
        for each, share in zip(words, FEET, strict=True)
    )
    return first, second


def _anew(found: Differences) -> bool:
    """Tell whether so much differs that a list of it would help nobody."""
    stitched = max(int(np.count_nonzero(each.grid)) for each in (found.old, found.new))
    return len(found.changed) > MOST_CHANGED * stitched and len(found.changed) > FEW


def _entry(found: Differences, shots: Shots, number: int, item: Item) -> Entry:
    told = Entry(number, item.heading, item.told, item.begun)
    if number > MOST_SHOWN:
        return told
    sides = view(found, item)
    taken = shots.take(sides, str(number))
    if taken is None:
        return told
    teller = Teller(found, PRINT)
    return replace(
        told,
        before=taken[0][0],
        after=taken[0][1],
        old_place=teller.rows_columns(sides.old.window),
        new_place=teller.rows_columns(sides.new.window),
        alt=" ".join(item.told),
        stacked=taken[1],
    )


def _remark(shots: Shots, number: int, notice: Notice) -> Remark:
    name = str(number)
    return Remark(
        notice.heading,
        notice.told,
        notice.begun,
        shots.symbol(notice.old, name, new=False) if notice.old else "",
        shots.symbol(notice.new, name, new=True) if notice.new else "",
    )


def issues(old: Booklet, new: Booklet) -> tuple[Issue, Issue]:
    """Return what both editions are called; by their numbers only if these tell them apart."""
    names = [f"Edition {each.edition}" if each.edition else "The chart" for each in (old, new)]
    shorts = ["Before", "Now"]
    brief = all(0 < len(each.edition) <= BRIEF for each in (old, new))
    if brief and old.edition != new.edition:
        shorts = names
    return Issue(shorts[0], names[0], old.day), Issue(shorts[1], names[1], new.day)


def _lead(found: Differences, *, advice: bool) -> Iterator[str]:
    edition = found.old.design.booklet.edition
    if advice and edition:
        yield (
            f"For everyone who has edition {edition}. The edition stands at the foot of the pages "
            "of the booklet."
        )
    number = sum(each.number for each in found.stitches)
    if not found:
        yield "Nothing has changed that can be seen on the chart or in its words."
    elif not number:
        yield "Every cross of the chart is the same."
    elif number == 1:
        yield "One cross of the chart differs."
    else:
        yield f"{number:,} crosses of the chart differ."


def _map(found: Differences, every: Sequence[Item]) -> SmallMap | None:
    if not every:
        return None
    new = found.new
    scale = min(MAP[0] / new.width, MAP[1] / new.height)
    width, height = new.width * scale, new.height * scale
    spots = []
    for number, each in enumerate(every, 1):
        box, (x, y) = each.new, (0, 0)
        if box is None:
            box, (x, y) = each.old, found.shift
        assert box is not None
        across, down = (box[0] + box[2]) / 2 + x, (box[1] + box[3]) / 2 + y
        spots.append(MapSpot(number, _inside(across * scale, width), _inside(down * scale, height)))
    return SmallMap(width, height, tuple(spots))


def _inside(value: float, most: float) -> float:
    return min(max(value, 0.0), most)


def new_revisions(found: Differences) -> list[Revision]:
    """Return the revisions of the new chart that the old one does not have."""
    before = {(each.edition, each.text) for each in found.old.design.revisions}
    return [each for each in found.new.design.revisions if (each.edition, each.text) not in before]


def same_edition(found: Differences) -> Diagnostics:
    """Return a finding when both charts have the same edition though they differ."""
    old, new = found.old.design.booklet, found.new.design.booklet
    if not found or old.edition != new.edition:
        return ()
    said = f"Both charts are edition {new.edition}"
    if not new.edition:
        said = "Neither chart has an edition"
    return (
        warning(
            "same-edition",
            f"{said}, so nobody can tell which of them they have.",
            new.edition_span or new.span,
            "give the new one an edition of its own",
        ),
    )
