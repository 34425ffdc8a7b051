"""The sheet of corrections: one clean page, or more if needed, for those who have the old chart.

It speaks the language of the new chart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from linenleaf.templates import text

from ..booklet.bindery import file_date, lacking, no_date, remarked
from ..booklet.frontmatter import Edition, editions, running_title
from ..booklet.maps import whole_picture
from ..chart.options import Ink, Paper
from ..core.diagnostics import Diagnostics, finding
from ..core.matter import Booklet, Revision
from ..i18n.filling import fill
from ..pdf.document import Sheet
from ..pdf.renderer import press
from .changes import Changes
from .difftext import measure
from .entries import PlaceEntry, entries
from .notices import Notice
from .sentences import Teller
from .views import Room, Shots, room, view

WHOLE = "whole:"
MOST_ITEMS = 80  # told one by one
MOST_SHOWN = 48  # shown in pictures
MOST_CHANGED, FEW = 0.6, 400  # of the crosses, and in number: beyond, the chart is another one
LONG = 420  # characters beyond which words stand above the pictures
OVERLEAF = 1200  # characters beyond which they may go on overleaf
BRIEF = 12  # characters of an edition that can stand over every picture
FOOT = 0.75  # of the size of type
FEET = (0.62, 0.3)  # of the width of a page
MAP = (44.0, 50.0)  # mm, the most that the small map takes


# --- what the templates show ---------------------------------------------------------------------


@dataclass(frozen=True)
class Issue:
    """One of the two editions: `Edition 3` or `Before`, its name in full, its day."""

    short: str
    name: str
    day: date | None


@dataclass(frozen=True)
class Correction:
    """One correction as it is set; number: 0 for one without a place.

    begun: what those can do who have begun; when: which of them. before, after: addresses of its
    pictures, empty for none. stacked: whether these stand one
    below the other.
    """

    number: int
    heading: str
    told: tuple[str, ...]
    begun: str
    when: str
    before: str = ""
    after: str = ""
    old_place: str = ""
    new_place: str = ""
    stacked: bool = False

    @property
    def room(self) -> str:
        """Whether its words need more room than there is beside the pictures, as a class."""
        letters = sum(map(len, (*self.told, self.begun)))
        return "long overleaf" if letters > OVERLEAF else "long" if letters > LONG else ""

    @property
    def alt(self) -> str:
        """What its pictures show."""
        return " ".join(self.told)


@dataclass(frozen=True)
class MapSpot:
    """A number on the small map, in mm."""

    number: int
    x: float
    y: float


@dataclass(frozen=True)
class SmallMap:
    """The whole new chart, small, with the corrections numbered."""

    width: float
    height: float
    spots: tuple[MapSpot, ...]


@dataclass(frozen=True)
class Corrections:
    """Everything that the templates show.

    differing: crosses that differ. anew: whether there is too much to be told. rest: corrections
    that are not told. unpicking: whether stitches have to be taken out. advice: whether to say
    what to do for those who have begun. room: how the page is divided; inset: of the cells in a
    picture, in mm. feet: what stands at both ends of the foot of a page.
    """

    name: str
    language: str
    booklet: Booklet
    stamp: str
    old: Issue
    new: Issue
    edition: str
    different: bool
    differing: int
    anew: bool
    rest: int
    map: SmallMap | None
    notices: tuple[Correction, ...]
    items: tuple[Correction, ...]
    measure: str
    words: tuple[str, ...]
    says: tuple[Edition, ...]
    unpicking: bool
    advice: bool
    room: Room
    inset: float
    feet: tuple[str, str]


# --- the sheet -----------------------------------------------------------------------------------


def corrections(
    changes: Changes, paper: Paper = Paper.A4, *, advice: bool = True
) -> tuple[bytes | None, Diagnostics]:
    """Return the sheet as PDF, and findings; None where it cannot be made.

    advice: whether to say what to do for those who have begun; without it the sheet only tells
    what changed.

    Raises:
        CannotPress: when the pages cannot be set on this computer.
    """
    booklet = changes.new.design.booklet
    stamp = file_date(booklet.day)
    if stamp is None:
        return None, (no_date(),)
    divided = room(paper)
    shots = Shots(changes, divided)
    sheet = _sheet(changes, stamp, shots, divided, advice=advice)
    files = {}
    if sheet.map is not None:
        files[WHOLE] = (whole_picture(changes.new, Ink.COLOUR), "image/png")
    style = fill(booklet.language, "errata.css.j2", paper=paper, sheet=sheet)
    printed = press(
        Sheet(
            fill(booklet.language, "errata.html.j2", sheet=sheet),
            text("booklet.css") + style,
            changes.new.design.folder,
            files,
            shots.drawings,
        ),
        finisher=shots.finish,
    )
    remarks = [remarked(words, booklet.span) for _, words in printed.remarks]
    return printed.data, (*map(lacking, printed.lacking), *remarks)


def _sheet(
    changes: Changes, stamp: str, shots: Shots, divided: Room, *, advice: bool
) -> Corrections:
    teller = Teller.in_print(changes)
    booklet = changes.new.design.booklet
    anew = _anew(changes)
    listed = entries(changes)
    items = () if anew else listed.items[:MOST_ITEMS]
    old, new = issues(changes, teller)
    title = booklet.title
    name = teller.gettext("What changed in %(title)s", title=title)
    if advice:
        name = teller.gettext("Corrections to %(title)s", title=title)
    versions = teller.change(old.short, new.short)
    return Corrections(
        name,
        booklet.language,
        booklet,
        stamp,
        old,
        new,
        changes.old.design.booklet.edition,
        bool(changes),
        len(changes.cells),
        anew,
        0 if anew else len(listed.items) - len(items),
        _map(changes, items),
        tuple(_notice(shots, *numbered) for numbered in enumerate(listed.notices)),
        tuple(_correction(changes, teller, shots, *numbered) for numbered in enumerate(items, 1)),
        measure(teller) if items else "",
        listed.words,
        editions(new_revisions(changes)),
        advice and any(item.unpicks for item in items),
        advice,
        divided,
        shots.inset,
        _feet(divided, name, versions if old.short == old.name else ""),
    )


def _feet(divided: Room, *words: str) -> tuple[str, str]:
    """Return what stands at both ends of the foot of a page, cut to fit."""
    size = FOOT * divided.type
    first, second = (
        running_title(text, share * divided.whole, size)
        for text, share in zip(words, FEET, strict=True)
    )
    return first, second


def _anew(changes: Changes) -> bool:
    """Tell whether so much differs that a list of it would help nobody."""
    stitched = max(int(np.count_nonzero(chart.grid)) for chart in (changes.old, changes.new))
    return len(changes.cells) > MOST_CHANGED * stitched and len(changes.cells) > FEW


def _correction(
    changes: Changes, teller: Teller, shots: Shots, number: int, item: PlaceEntry
) -> Correction:
    note = (item.note,) if item.note else ()
    when = teller.gettext("If you have stitched past this:")
    told = Correction(number, item.heading, item.told + note, item.begun, when)
    if number > MOST_SHOWN:
        return told
    sides = view(changes, item)
    taken = shots.take(sides, str(number))
    if taken is None:
        return told
    return replace(
        told,
        before=taken[0][0],
        after=taken[0][1],
        old_place=teller.rows_columns(sides.old.window),
        new_place=teller.rows_columns(sides.new.window),
        stacked=taken[1],
    )


def _notice(shots: Shots, number: int, notice: Notice) -> Correction:
    name = str(number)
    return Correction(
        0,
        notice.heading,
        notice.told,
        notice.begun,
        notice.when,
        shots.symbol(notice.old, name, new=False) if notice.old else "",
        shots.symbol(notice.new, name, new=True) if notice.new else "",
    )


def issues(changes: Changes, teller: Teller) -> tuple[Issue, Issue]:
    """Return what both editions are called; by their numbers only if these tell them apart."""
    booklets = changes.old.design.booklet, changes.new.design.booklet
    old, new = booklets
    names = [
        teller.gettext("Edition %(edition)s", edition=booklet.edition)
        if booklet.edition
        else teller.gettext("The chart")
        for booklet in booklets
    ]
    shorts = [teller.gettext("Before"), teller.gettext("Now")]
    brief = all(0 < len(booklet.edition) <= BRIEF for booklet in booklets)
    if brief and old.edition != new.edition:
        shorts = names
    return Issue(shorts[0], names[0], old.day), Issue(shorts[1], names[1], new.day)


def _map(changes: Changes, items: Sequence[PlaceEntry]) -> SmallMap | None:
    if not items:
        return None
    new = changes.new
    scale = min(MAP[0] / new.width, MAP[1] / new.height)
    width, height = new.width * scale, new.height * scale
    spots = []
    for number, item in enumerate(items, 1):
        box, (x, y) = item.new, (0, 0)
        if box is None:
            box, (x, y) = item.old, changes.shift
        assert box is not None
        across, down = (box[0] + box[2]) / 2 + x, (box[1] + box[3]) / 2 + y
        spots.append(MapSpot(number, _inside(across * scale, width), _inside(down * scale, height)))
    return SmallMap(width, height, tuple(spots))


def _inside(value: float, most: float) -> float:
    return min(max(value, 0.0), most)


def new_revisions(changes: Changes) -> list[Revision]:
    """Return the revisions of the new chart that the old one does not have."""
    old, new = changes.old.design.revisions, changes.new.design.revisions
    before = {(revision.edition, revision.text) for revision in old}
    return [revision for revision in new if (revision.edition, revision.text) not in before]


def same_edition(changes: Changes) -> Diagnostics:
    """Return a finding when both charts have the same edition though they differ."""
    old, new = changes.old.design.booklet, changes.new.design.booklet
    if not changes or old.edition != new.edition:
        return ()
    said = f"Both charts are edition {new.edition}"
    if not new.edition:
        said = "Neither chart has an edition"
    return (
        finding(
            "same-edition",
            f"{said}, so nobody can tell which of them they have.",
            new.edition_span or new.span,
            "give the new one an edition of its own",
        ),
    )
