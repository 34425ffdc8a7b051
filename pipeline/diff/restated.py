"""What differs in what was written: drawings of motifs and letters, size, fabric, texts, notes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from hashlib import sha256
from typing import assert_never

import numpy as np

from ..compose.stamps import UNKNOWN, RowTable
from ..compose.worked import Gap, WorkedChart
from ..core.files import LARGEST_PICTURE, beside, read_bytes
from ..core.items import Knot, Line, Motif, Point
from ..core.key import Colourway, KeyEntry
from ..core.matter import Booklet, Note, Picture, Showing
from ..core.model import Design
from ..count.size import size
from ..i18n.trade import of_a_kind, thread_way
from ..i18n.wording import wording
from .areas import areas
from .canvas import Offset, align, lay
from .changes import GapsApart, Redrawn
from .facts import Fact, Lettered, Measure, Noted, Recoloured, Subject, Worded
from .keys import KeyPairs
from .resewn import apart_of, resewn
from .sewn import Sewing
from .stretches import Mark, Run, dotted, stretches, unlike, with_strayed


def redrawn_motifs(
    old: WorkedChart, new: WorkedChart, pairs: KeyPairs, sewing: Sewing
) -> dict[str, Redrawn]:
    """Return the motifs of both charts that are drawn otherwise, in the order of the new one.

    Where their copies stand is not known here.
    """
    tables = RowTable(old.design.key), RowTable(new.design.key)
    redrawn: dict[str, Redrawn] = {}
    for name, motif in new.motifs.items():
        before = old.motifs.get(name)
        if before is None or _same(before, motif):
            continue
        overs = tuple(each.design.ground.fabric.over for each in (old, new))
        drawing = _compare(before, motif, tables, pairs, sewing, overs)
        if drawing is not None:
            redrawn[name] = drawing
    return redrawn


def _same(one: Motif, other: Motif) -> bool:
    return (one.rows, one.lines, one.knots) == (other.rows, other.lines, other.knots)


def _compare(
    old: Motif,
    new: Motif,
    tables: tuple[RowTable, RowTable],
    pairs: KeyPairs,
    sewing: Sewing,
    overs: tuple[int, ...],
) -> Redrawn | None:
    before, after = (table.grid(each.rows) for table, each in zip(tables, (old, new), strict=True))
    # What the key does not hold is swapped where the motif is placed: here it is left bare.
    before, after = (np.where(each == UNKNOWN, 0, each) for each in (before, after))
    shift = align(pairs.old_class[before], pairs.new_class[after])
    before, were = sewing.apart(before, pairs.old, old.over or overs[0], new=False)
    after, are = sewing.apart(after, pairs.new, new.over or overs[1], new=True)
    canvas = lay(pairs, before, after, shift)
    counted = resewn(*apart_of(were.shifted(shift), are).unlike)
    lines, more = unlike(
        _runs(old.lines, pairs.old, pairs.old_class, shift),
        _runs(new.lines, pairs.new, pairs.new_class),
    )
    strokes = stretches(lines, more, pairs.old, pairs.new, new.over or overs[1])
    dots = dotted(
        _marks(old.knots, pairs.old, pairs.old_class, shift),
        _marks(new.knots, pairs.new, pairs.new_class),
    )
    drawn = *strokes, *with_strayed(dots, pairs.partner), *counted
    sizes = (old.width, old.height), (new.width, new.height)
    changed = areas(canvas, canvas.changed)
    if not (changed or drawn):
        return None
    return Redrawn(new.name, changed, drawn, sizes if sizes[0] != sizes[1] else None)


def _runs(
    lines: Sequence[Line],
    key: Sequence[KeyEntry],
    classes: np.ndarray[tuple[int, ...], np.dtype[np.int32]],
    shift: tuple[int, int] = (0, 0),
) -> list[Run]:
    index = {entry.symbol: at for at, entry in enumerate(key, 1)}
    return [
        Run(
            index[line.symbol],
            int(classes[index[line.symbol]]),
            np.array(line.points) + shift,
            1.0,
        )
        for line in lines
        if line.symbol in index
    ]


def _marks(
    knots: Sequence[Knot],
    key: Sequence[KeyEntry],
    classes: np.ndarray[tuple[int, ...], np.dtype[np.int32]],
    shift: tuple[int, int] = (0, 0),
) -> list[Mark]:
    index = {entry.symbol: at for at, entry in enumerate(key, 1)}
    return [
        Mark(index[knot.symbol], int(classes[index[knot.symbol]]), x + shift[0], y + shift[1])
        for knot in knots
        if knot.symbol in index
        for x, y in knot.points
    ]


def redrawn_letters(old: Design, new: Design) -> Iterator[Lettered]:
    """Give by alphabet the letters of both designs that are drawn otherwise."""
    for name, alphabet in new.alphabets.items():
        before = old.alphabets.get(name)
        letters = {} if before is None else before.letters
        redrawn = tuple(
            character
            for character, letter in alphabet.letters.items()
            if character in letters and letters[character] != letter
        )
        if redrawn:
            yield Lettered(name, redrawn)


ENGLISH = wording("en-GB")  # of dates within what else stands as the designer wrote it


# --- figures -------------------------------------------------------------------------------------


def facts(old: WorkedChart, new: WorkedChart, gaps: GapsApart) -> tuple[Fact, ...]:
    """Return what differs in size, fabric and the working that thread is reckoned by.

    gaps: those of each chart that the other has not.
    """
    return tuple(
        Fact(what) for what in Measure if _figure(old, what, gaps[0]) != _figure(new, what, gaps[1])
    )


def _figure(worked: WorkedChart, what: Measure, gaps: Sequence[Gap]) -> object:
    """Return what tells a figure from another: lengths by what can be printed of them."""
    ground = worked.design.ground
    match what:
        case Measure.CHART:
            return worked.width, worked.height
        case Measure.FABRIC:
            return ground.fabric
        case Measure.COLOUR:
            return ground.colour, ground.colour_name
        case Measure.STITCHED:
            own = size(worked, ground.fabric)
            return ENGLISH.area(own.width, own.height)
        case Measure.CUT:
            own = size(worked, ground.fabric)
            return ENGLISH.cut(own.cut_width, own.cut_height)
        case Measure.OTHERS:
            return ground.also
        case Measure.WITHDRAWN:
            return frozenset(gaps)
        case Measure.WORKING:
            how = worked.design.working
            lengths = (round(mm) for mm in (how.needleful, how.tail, how.carry, how.slip))
            return how.method, *lengths, round(how.bare), round(how.reserve, 2)
        case Measure.OWN_WORKING:
            ways = worked.design.working.otherwise
            return frozenset((way.thread.named, thread_way(ENGLISH, way)) for way in ways)
        case Measure.KINDS:
            return frozenset(
                (thread.named, thread.kind, thread.colours)
                for thread in of_a_kind(worked.design.threads)
            )
        case Measure.STOCK:
            return frozenset(worked.design.stock)
        case Measure.PAGES:
            paging = worked.design.paging
            return paging.orientation, paging.overlap, frozenset(paging.breaks)
        case _:
            assert_never(what)


# --- texts ---------------------------------------------------------------------------------------

_Said = dict[tuple[Subject, str], str]


def words(
    old: Design, new: Design, shift: Offset
) -> Iterator[Worded | Noted | Recoloured | Lettered]:
    """Give what differs in texts and pictures, notes, colourways and letters."""
    yield from _unlike(_texts(old), _texts(new))
    yield from _notes(old.notes, new.notes, shift)
    yield from _colourways(old.colourways, new.colourways)
    yield from redrawn_letters(old, new)


def _unlike(old: _Said, new: _Said) -> Iterator[Worded]:
    for subject in dict.fromkeys([*new, *old]):
        before, after = old.get(subject, ""), new.get(subject, "")
        if before != after:
            yield Worded(*subject, before, after)


def _texts(design: Design) -> _Said:
    booklet = design.booklet
    said = {
        (Subject.TITLE, ""): booklet.title,
        (Subject.SUBTITLE, ""): booklet.subtitle,
        (Subject.DESIGNER, ""): booklet.designer,
        (Subject.EDITION, ""): edition(booklet),
        (Subject.LANGUAGE, ""): booklet.language,
        (Subject.RIGHTS, ""): booklet.rights,
        (Subject.THANKS, ""): booklet.thanks,
        (Subject.NEEDS, ""): "; ".join(booklet.needs),
        (Subject.ABOUT, ""): booklet.about,
        (Subject.LEVEL, ""): booklet.level,
        (Subject.ADDRESS, ""): "; ".join(booklet.address),
        (Subject.ERRATA, ""): booklet.errata,
        (Subject.GUTTER, ""): f"{booklet.gutter:g} mm" if booklet.gutter else "",
    }
    said |= {(Subject.ORIGINAL, what): text for what, text in booklet.original}
    for text in (booklet.story, *booklet.sections):
        if text is not None:
            subject = Subject.SECTION if text.heading else Subject.STORY
            said[subject, text.heading] = text.text
    for subject, drawn in ((Subject.COVER, booklet.cover), (Subject.MARK, booklet.mark)):
        if drawn is not None:
            said[subject, ""] = _picture(design, drawn)
    for number, picture in enumerate(booklet.pictures, 1):
        said[Subject.PICTURE, str(number)] = _picture(design, picture)
    for revision in design.revisions:
        day = "" if revision.day is None else f", {ENGLISH.day(revision.day)}"
        what = Subject.REVISION, revision.edition + day
        said[what] = f"{said[what]} {revision.text}" if what in said else revision.text
    for showing in design.showings:
        what = Subject.PHOTOGRAPH, showing.path
        shown = _photograph(design, showing)
        said[what] = f"{said[what]}; {shown}" if what in said else shown
    return said


def edition(booklet: Booklet) -> str:
    """Return an edition with its day: `2 (14 March 2026)`."""
    return booklet.edition + ("" if booklet.day is None else f" ({ENGLISH.day(booklet.day)})")


def _picture(design: Design, picture: Picture) -> str:
    """Return what tells one picture from another: its file, caption and the sum of its bytes."""
    caption = f' "{picture.caption}"' if picture.caption else ""
    return f"{picture.path}{caption}, {_sum(design, picture)}"


def _photograph(design: Design, showing: Showing) -> str:
    """Return what tells one photograph from another: where it shows what, the sum of its bytes."""
    part = "the chart"
    if not showing.whole:
        part = f"{showing.x0:g},{showing.y0:g} to {showing.x1:g},{showing.y1:g}"
    corners = " ".join(f"{x:g},{y:g}" for x, y in showing.corners)
    marks = "".join(
        f", landmark {x:g},{y:g} at {u:g},{v:g}" for (x, y), (u, v) in showing.landmarks
    )
    return f"shows {part}, corners {corners}{marks}, {_sum(design, showing)}"


def _sum(design: Design, picture: Picture | Showing) -> str:
    blame = picture.span or design.source.span(0, 0)
    path, _ = beside(design.folder, design.folder, picture.path, blame)
    data = None
    if path is not None:
        data, _ = read_bytes(path, picture.path, LARGEST_PICTURE, blame)
    return "missing" if data is None else f"sha256 {sha256(data).hexdigest()[:12]}"


def _colourways(old: Iterable[Colourway], new: Iterable[Colourway]) -> Iterator[Recoloured]:
    before, after = ({colourway.name: colourway for colourway in each} for each in (old, new))
    for name in dict.fromkeys([*after, *before]):
        pair = before.get(name), after.get(name)
        if pair[0] != pair[1]:
            yield Recoloured(*pair)


# --- notes ---------------------------------------------------------------------------------------


def _notes(old: Iterable[Note], new: Iterable[Note], shift: Offset) -> Iterator[Noted]:
    """Pair notes that say the same, then those at the same place; the rest came or went."""
    same, before, after = _paired(
        list(old), list(new), lambda one, other: (one.kind, one.text) == (other.kind, other.text)
    )
    for one, other in same:
        if _place(one, shift) != _place(other):
            yield Noted(one, other)
    there, before, after = _paired(
        before,
        after,
        lambda one, other: one.kind is other.kind and _place(one, shift) == _place(other),
    )
    yield from (Noted(*pair) for pair in there)
    yield from (Noted(note, None) for note in before)
    yield from (Noted(None, note) for note in after)


def _paired(
    old: list[Note], new: list[Note], alike: Callable[[Note, Note], bool]
) -> tuple[list[tuple[Note, Note]], list[Note], list[Note]]:
    """Return the pairs of notes that are alike, and those of each side that are left."""
    pairs, left = [], []
    for one in old:
        other = next((note for note in new if alike(one, note)), None)
        if other is None:
            left.append(one)
        else:
            pairs.append((one, other))
            new = [note for note in new if note is not other]
    return pairs, left, new


def _place(note: Note, shift: Offset = (0, 0)) -> tuple[Point, Point]:
    x, y = shift
    return (note.x0 + x, note.y0 + y), (note.x1 + x, note.y1 + y)
