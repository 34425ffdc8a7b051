"""The sheet of a shop that makes kits, in the language of the booklet.

What to order, what lies in each kit, how cloth and thread are cut, and the words for the card.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..i18n.figures import NO_BREAK, inches
from ..i18n.trade import SKEIN
from ..i18n.wording import Wording, wording
from .kit import Kit
from .phrasing import LEFT, RIGHT, table, thread_words
from .roll import Plan, Strips
from .shoplist import (
    bead_lines,
    fabric_bought,
    heading,
    needle_lines,
    thread_lines,
    withdrawn_lines,
)

_INDENT = "  "
# Of a drawn strip, in characters: how wide the roll is, the least that a piece is told apart by,
# and the most lines. A character is about twice as high as it is wide.
_WIDE, _LEAST, _LINES = 60, 3, 12


def as_sheet(kit: Kit) -> str:
    """Return the sheet for so many kits."""
    design = kit.facts.worked.design
    words = wording(design.booklet.language)
    title = words.ngettext(
        "%(title)s: %(count)s kit",
        "%(title)s: %(count)s kits",
        kit.kits,
        title=heading(words, design),
        count=words.figures.whole(kit.kits),
    )
    sections = [
        (words.gettext("To order for all kits"), _order(words, kit)),
        (words.gettext("In each kit"), _in_each(words, kit)),
        (words.gettext("Cutting the fabric"), _cutting(words, kit)),
        (words.gettext("Cutting the thread"), _lengths(words, kit)),
        (
            words.gettext("For the thread card of %(title)s", title=heading(words, design)),
            _card(words, kit),
        ),
        (words.gettext("Take care"), _cautions(words)),
    ]
    lines = [title]
    for head, told in sections:
        if told:
            lines += ["", head, *(f"{_INDENT}{each}".rstrip() for each in told)]
    # Where the sheet is pasted, blanks that hold words together are no help.
    return "\n".join(lines).replace(NO_BREAK, " ") + "\n"


def _order(words: Wording, kit: Kit) -> list[str]:
    """Return what to order: what all kits hold, in the measures that shops sell by."""
    cloth = []
    if kit.cloth is not None:
        length = words.gettext(
            "%(length)s from a roll %(width)s wide, without its selvedges",
            length=_off_the_roll(words, kit.cloth.buy),
            width=words.length(kit.cloth.roll),
        )
        cloth.append(f"{_INDENT}{length}")
    if kit.kits > 1:
        one_roll = words.gettext(
            "Take all pieces from one roll: another may differ in colour and in count."
        )
        cloth.append(f"{_INDENT}{one_roll}")
    bought = {each.thread: each.put_ups for each in kit.threads}
    lines = _contents(words, kit, kit.kits, [*cloth, *thread_lines(words, bought)])
    if kit.needs:
        lines.append(
            words.gettext(
                "The chart also asks for the following; leave out what is listed above and what "
                "the buyer has at home:"
            )
        )
        count = words.figures.whole(kit.kits)
        lines += [
            _INDENT + words.gettext("%(count)s x %(what)s", count=count, what=each)
            for each in kit.needs
        ]
    return lines


def _in_each(words: Wording, kit: Kit) -> list[str]:
    number = sum(each.number for each in kit.threads)
    on_card = words.ngettext(
        "Thread: %(count)s length on a card",
        "Thread: %(count)s lengths on a card",
        number,
        count=words.figures.whole(number),
    )
    return _contents(words, kit, 1, [on_card] if number else [])


def _contents(words: Wording, kit: Kit, kits: int, between: Sequence[str]) -> list[str]:
    """Return what so many kits hold; between: what is told of cloth and thread."""
    count, size = words.figures.whole(kits), kit.facts.sizes[0].size
    fabric = words.ngettext(
        "Fabric: %(fabric)s, %(count)s piece of %(piece)s",
        "Fabric: %(fabric)s, %(count)s pieces of %(piece)s",
        kits,
        fabric=fabric_bought(words, kit.facts),
        count=count,
        piece=words.cut(size.cut_width, size.cut_height),
    )
    booklet = words.ngettext(
        "Booklet: %(count)s printed copy", "Booklet: %(count)s printed copies", kits, count=count
    )
    return [
        fabric,
        *(f"{_INDENT}{line}" for line in withdrawn_lines(words, kit.facts.worked)),
        *between,
        *needle_lines(words, kit.needles, kits, sharp=kit.sharp, beads=bool(kit.beads)),
        *bead_lines(words, {bead: kits * number for bead, number in kit.beads}),
        booklet,
    ]


def _cutting(words: Wording, kit: Kit) -> list[str]:
    """Return how the fabric is cut from the roll."""
    cloth = kit.cloth
    if cloth is None:
        return []
    heads = (
        words.gettext("Strips"),
        words.gettext("Height of a strip"),
        words.gettext("Pieces side by side"),
        words.gettext("Width of each"),
        words.gettext("Left at the side"),
        words.gettext("Pieces"),
        "",
    )
    rows = [
        (
            words.figures.whole(each.number),
            _measured(words, each.along),
            words.figures.whole(each.side_by_side),
            _measured(words, each.across),
            _measured(words, cloth.beside(each)),
            words.figures.whole(each.pieces),
            words.gettext("turned") if each.turned else "",
        )
        for each in cloth.strips
    ]
    taken = words.gettext(
        "The strips take %(length)s; with %(more)s to straighten the end, buy %(buy)s; %(left)s is "
        "left over.",
        length=_measured(words, cloth.length),
        more=_measured(words, cloth.measures.straighten),
        buy=_off_the_roll(words, cloth.buy),
        left=_measured(words, cloth.left),
    )
    lines = [
        words.gettext("Cut the end of the roll straight along a thread, then strips across it:"),
        *table((heads, *rows), (*(RIGHT,) * 6, LEFT)),
        taken,
    ]
    if cloth.spare:
        lines.append(
            words.ngettext(
                "The strips give %(count)s piece more than is needed.",
                "The strips give %(count)s pieces more than are needed.",
                cloth.spare,
                count=words.figures.whole(cloth.spare),
            )
        )
    lines.append(
        words.gettext("Pieces may be turned: the fabric has the same count both ways.")
        if kit.turn
        else words.gettext(
            "Do not turn the pieces: the fabric has another count down than across. Their width "
            "lies across the roll."
        )
    )
    for each in cloth.strips:
        drawn = _drawn(words, cloth, each)
        lines += ["", *drawn] if drawn else []
    return lines


def _drawn(words: Wording, cloth: Plan, strips: Strips) -> list[str]:
    """Return one of some strips as it lies across the roll; nothing where pieces are too narrow."""
    scale = _WIDE / cloth.roll
    if strips.across * scale < _LEAST:
        return []
    edges = {round(each * strips.across * scale) for each in range(strips.side_by_side + 1)}
    filled, high = max(edges), min(_LINES, max(1, round(strips.along * scale / 2)))
    left = "." * (_WIDE - filled)
    side = "".join("+" if at in edges else "-" for at in range(filled + 1)) + left
    row = "".join("|" if at in edges else " " for at in range(filled + 1)) + left
    rows = [row] * high
    rows[high // 2] += f"  {words.figures.whole(strips.number)} × {_measured(words, strips.along)}"
    return [side, *rows, side]


def _lengths(words: Wording, kit: Kit) -> list[str]:
    """Return the table of the lengths to cut."""
    if not kit.threads:
        return []
    heads = (
        "",
        words.gettext("Thread"),
        words.gettext("Name"),
        words.gettext("Length"),
        words.gettext("In a kit"),
        words.gettext("For all kits"),
        words.gettext("From one skein")
        if all(each.thread.put_up == SKEIN for each in kit.threads)
        else words.gettext("From one put-up"),
        words.gettext("Buy"),
        words.gettext("Left over"),
    )
    rows = [
        (
            str(no),
            each.thread.label,
            each.thread.name if each.thread.code else "",
            _measured(words, each.length),
            words.figures.whole(each.number),
            words.figures.whole(each.number * kit.kits),
            words.figures.whole(each.each),
            words.figures.whole(each.put_ups),
            words.figures.whole(each.put_ups * each.each - each.number * kit.kits),
        )
        for no, each in enumerate(kit.threads, 1)
    ]
    reserve = kit.facts.worked.design.working.reserve
    more = words.gettext(
        "A kit holds %(more)s %% more than the stitches take.",
        more=words.figures.figure(reserve * 100),
    )
    rule = words.gettext(
        "Cut whole lengths with all strands. An end too short for a length is waste."
    )
    return [rule, more, *table((heads, *rows), (RIGHT, LEFT, LEFT, *(RIGHT,) * 6))]


def _card(words: Wording, kit: Kit) -> list[str]:
    """Return the words for the card that the thread is wound on."""
    width = len(str(len(kit.threads)))
    return [
        f"{no:{width}}  "
        + words.ngettext(
            "%(thread)s: %(count)s x %(length)s, %(num)s strand",
            "%(thread)s: %(count)s x %(length)s, %(num)s strands",
            each.thread.strands,
            thread=thread_words(each.thread),
            count=words.figures.whole(each.number),
            length=words.length(each.length),
        )
        for no, each in enumerate(kit.threads, 1)
    ]


def _cautions(words: Wording) -> list[str]:
    return [
        words.gettext(
            "Needles and small parts: keep the kits away from small children, and say so on the "
            "packing."
        ),
        words.gettext("If the chart is not yours, ask the designer before you sell copies of it."),
    ]


def _measured(words: Wording, mm: float) -> str:
    """Return a length in the one unit that a shop measures with."""
    return f"{inches(mm)}{NO_BREAK}in" if words.inches_first else words.figures.in_cm(mm)


def _off_the_roll(words: Wording, mm: float) -> str:
    """Return a length of cloth as it is sold, in metres or yards."""
    if words.inches_first:  # eighths of a yard are written as those of an inch
        return f"{inches(mm / 36)}{NO_BREAK}yd"
    return f"{words.figures.fixed(mm / 1000, 1)}{NO_BREAK}m"
