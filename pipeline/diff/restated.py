"""What differs in figures and words: size and fabric, the texts of the booklet, the notes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from hashlib import sha256

from ..compose.keytext import key_line
from ..compose.worked import WorkedChart
from ..core.files import LARGEST_PICTURE, beside, read_bytes
from ..core.model import (
    Booklet,
    Colourway,
    Design,
    Kind,
    Markdown,
    Method,
    Note,
    Part,
    Picture,
    Point,
    Working,
)
from ..count.size import size
from ..i18n.figures import cm, cut_cm, cut_inches, inches
from ..pictures.caption import fabric_words
from .alignment import Offset
from .differences import Worded
from .redrawing import redrawn_letters

_Said = Mapping[str, str]


def facts(old: WorkedChart, new: WorkedChart) -> tuple[Worded, ...]:
    """Return what differs in size, fabric and the working that thread is reckoned by."""
    return _unlike(_facts(old), _facts(new))


def words(old: Design, new: Design, shift: Offset) -> tuple[Worded, ...]:
    """Return what differs in texts and pictures, notes, colourways and letters."""
    found = list(_unlike(_texts(old), _texts(new)))
    found += _notes(old.notes, new.notes, shift)
    found += _unlike(_colourways(old), _colourways(new))
    for name, letters in redrawn_letters(old, new).items():
        listed = ", ".join(letters)
        plural = "letter" if len(letters) == 1 else "letters"
        found.append(Worded(f"alphabet {name}", "", f"{plural} drawn anew: {listed}"))
    return tuple(found)


def _unlike(old: _Said, new: _Said) -> tuple[Worded, ...]:
    return tuple(
        Worded(what, old.get(what, ""), new.get(what, ""))
        for what in dict.fromkeys([*new, *old])
        if old.get(what, "") != new.get(what, "")
    )


# --- figures -------------------------------------------------------------------------------------


def _facts(worked: WorkedChart) -> dict[str, str]:
    ground = worked.design.ground
    own = size(worked, ground.fabric)
    return {
        "chart": f"{worked.width:,} x {worked.height:,} crosses",
        "fabric": fabric_words(ground.fabric),
        "fabric colour": f"{ground.colour} {ground.colour_name}".strip(),
        "stitched area": f"{cm(own.width)} x {cm(own.height)} cm "
        f"({inches(own.width)} x {inches(own.height)} in)",
        "fabric to cut": f"{cut_cm(own.cut_width)} x {cut_cm(own.cut_height)} cm "
        f"({cut_inches(own.cut_width)} x {cut_inches(own.cut_height)} in)",
        "other fabrics": ", ".join(fabric_words(each) for each in ground.also),
        "working": _working(worked.design.working),
    }


def _working(working: Working) -> str:
    how = "rows there and back" if working.method is Method.ROWS else "each cross finished"
    return (
        f"{how}, needlefuls of {cm(working.needleful)} cm, tails of {cm(working.tail)} cm, "
        f"carried up to {cm(working.carry)} cm, {working.reserve:.0%} in reserve"
    )


# --- texts ---------------------------------------------------------------------------------------


def _texts(design: Design) -> dict[str, str]:
    booklet = design.booklet
    said = {
        "title": booklet.title,
        "subtitle": booklet.subtitle,
        "designer": booklet.designer,
        "edition": edition(booklet),
        "language": booklet.language,
        "copyright": booklet.rights,
        "thanks": booklet.thanks,
        "needs": "; ".join(booklet.needs),
    }
    said |= {f"original, {what}": text for what, text in booklet.original}
    for markdown in (booklet.story, *booklet.sections):
        if markdown is not None:
            said[_heading(markdown)] = markdown.text
    if booklet.cover is not None:
        said["cover picture"] = _picture(design, booklet.cover)
    for number, picture in enumerate(booklet.pictures, 1):
        said[f"picture {number}"] = _picture(design, picture)
    for revision in design.revisions:
        day = "" if revision.day is None else f", {day_words(revision.day)}"
        what = f"revision {revision.edition}{day}"
        said[what] = f"{said[what]} {revision.text}" if what in said else revision.text
    return said


def edition(booklet: Booklet) -> str:
    """Return an edition with its day: `2 (14 March 2026)`."""
    day = "" if booklet.day is None else f" ({day_words(booklet.day)})"
    return booklet.edition + day


def day_words(day: date) -> str:
    """Return a day as it is written out: `14 March 2026`."""
    return f"{day.day} {day:%B %Y}"


def _heading(markdown: Markdown) -> str:
    return f"section {markdown.heading}" if markdown.heading else "story"


def _picture(design: Design, picture: Picture) -> str:
    """Return what tells one picture from another: its file, caption and the sum of its bytes."""
    blame = picture.span or design.source.span(0, 0)
    path, _ = beside(design.folder, design.folder, picture.path, blame)
    data = None
    if path is not None:
        data, _ = read_bytes(path, picture.path, LARGEST_PICTURE, blame)
    told = "missing" if data is None else f"sha256 {sha256(data).hexdigest()[:12]}"
    caption = f' "{picture.caption}"' if picture.caption else ""
    return f"{picture.path}{caption}, {told}"


# --- notes and colourways ------------------------------------------------------------------------


def _notes(old: Iterable[Note], new: Iterable[Note], shift: Offset) -> list[Worded]:
    """Pair notes that say the same, then those at the same place; the rest came or went."""
    before, after = list(old), list(new)
    found = []
    for one in list(before):
        for other in after:
            if one.kind is other.kind and one.text == other.text:
                if _place(one, shift) != _place(other):
                    what = f"{one.kind.value}, place"
                    found.append(Worded(what, place_words(one), place_words(other)))
                before.remove(one)
                after.remove(other)
                break
    for one in list(before):
        for other in after:
            if one.kind is other.kind and _place(one, shift) == _place(other):
                what = f"{one.kind.value} {place_words(other)}"
                found.append(Worded(what, one.text, other.text))
                before.remove(one)
                after.remove(other)
                break
    found += [Worded(f"{one.kind.value} {place_words(one)}", one.text, "") for one in before]
    found += [Worded(f"{one.kind.value} {place_words(one)}", "", one.text) for one in after]
    return found


def _place(note: Note, shift: Offset = (0, 0)) -> tuple[Point, Point]:
    x, y = shift
    return (note.x0 + x, note.y0 + y), (note.x1 + x, note.y1 + y)


def place_words(note: Note) -> str:
    """Return the place of a note as the source writes it: `at 3,4`, `3,4 to 10,12`."""
    first = f"{note.x0:g},{note.y0:g}"
    if (note.x0, note.y0) == (note.x1, note.y1):
        return f"at {first}"
    return f"{first} to {note.x1:g},{note.y1:g}"


def _colourways(design: Design) -> dict[str, str]:
    return {
        f"colourway {each.name}": f'"{each.title}": {"; ".join(_changes(each))}'
        for each in design.colourways
    }


def _changes(colourway: Colourway) -> list[str]:
    return [
        key_line(each.symbol, [Part(Kind.FULL, needle) for needle in each.needles])
        for each in colourway.changes
    ]
