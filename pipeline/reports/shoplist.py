"""A plain shopping list in the language of the booklet, for a shop page or a buyer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ..booklet.supplies import needles
from ..compose.worked import WorkedChart
from ..core.key import Thread
from ..core.model import Design
from ..count.size import pierced
from ..i18n.figures import NO_BREAK
from ..i18n.trade import SKEIN, fabric, put_up, sold_as
from ..i18n.wording import Wording, wording
from .facts import Facts
from .phrasing import by_put_up, put_ups, thread_words


def as_list(facts: Facts) -> str:
    """Return what to buy, line by line."""
    design, size = facts.worked.design, facts.sizes[0].size
    words = wording(design.booklet.language)
    ground = fabric(words, size.fabric)
    beads = {each.bead: each.number for each in facts.counts.beads}
    lines = [
        heading(words, design),
        words.gettext(
            "Finished size on %(fabric)s: %(size)s",
            fabric=ground,
            size=words.area(size.width, size.height),
        ),
        "",
        words.gettext(
            "Fabric: %(fabric)s, at least %(piece)s",
            fabric=fabric_bought(words, facts),
            piece=words.cut(size.cut_width, size.cut_height),
        ),
        *withdrawn_lines(words, facts.worked),
        *thread_lines(words, facts.bought),
        *needle_lines(
            words,
            needles(facts.worked, size.fabric),
            1,
            sharp=bool(pierced(facts.worked, size.fabric)),
            beads=bool(beads),
        ),
        *bead_lines(words, beads),
        *(
            words.gettext("You will also need: %(what)s", what=each)
            for each in design.booklet.needs
        ),
    ]
    # Where the list is pasted, blanks that hold words together are no help.
    return "\n".join(lines).replace(NO_BREAK, " ") + "\n"


def withdrawn_lines(words: Wording, worked: WorkedChart) -> list[str]:
    """Return which threads of the fabric are withdrawn, where any are."""
    across, down = (sum(gap.number for gap in worked.gaps if gap.axis == axis) for axis in (0, 1))
    told = []
    if across:
        count = words.figures.whole(across)
        told.append(
            words.ngettext(
                "%(count)s fabric thread across",
                "%(count)s fabric threads across",
                across,
                count=count,
            )
        )
    if down:
        count = words.figures.whole(down)
        told.append(
            words.ngettext(
                "%(count)s fabric thread down", "%(count)s fabric threads down", down, count=count
            )
        )
    if not told:
        return []
    threads = ", ".join(told)
    return [
        words.gettext("To withdraw from it, and part of its size: %(threads)s", threads=threads)
    ]


def fabric_bought(words: Wording, facts: Facts) -> str:
    """Return the fabric with its colour, as a shop is asked for it."""
    ground = fabric(words, facts.sizes[0].size.fabric)
    colour = facts.worked.design.ground.colour_name
    return f"{ground}, {colour}" if colour else ground


def heading(words: Wording, design: Design) -> str:
    """Return the title with the edition, the colourway, and what makes a copy a personal one."""
    booklet, way = design.booklet, design.in_colourway
    said = [booklet.title]
    if booklet.edition:
        said.append(words.gettext("edition %(edition)s", edition=booklet.edition))
    if way is not None:
        said.append(words.gettext("colourway %(name)s", name=way.name))
    if design.personal:
        changed = [
            (name, words.gettext("“%(text)s”", text=" / ".join(text.splitlines())))
            for name, text in design.personal
        ]
        everything = ", ".join(f"{name} {quoted}" for name, quoted in changed)
        said.append(words.gettext("personal copy (%(changed)s)", changed=everything))
    return ", ".join(said)


def thread_lines(words: Wording, bought: Mapping[Thread, int]) -> list[str]:
    """Return how many put-ups to buy of each thread, in all and one by one."""
    if not bought:
        return []
    lines = [
        "  "
        + words.gettext(
            "%(number)s x %(thread)s (%(put_up)s of %(metres)s m)",
            number=words.figures.whole(number),
            thread=thread_words(thread),
            put_up=put_up(words, thread.put_up),
            metres=words.figures.figure(thread.metres, 2),
        )
        for thread, number in bought.items()
    ]
    if max(bought.values()) > 1:
        lines.append(
            "  " + words.gettext("Buy all the thread of one colour together, from one dye lot.")
        )
    return [words.gettext("Thread: %(amount)s", amount=_amount(words, bought)), *lines]


def needle_lines(
    words: Wording, sizes: Iterable[int], number: int, *, sharp: bool, beads: bool
) -> list[str]:
    """Return so many of each needle: tapestry needles by size, a sharp one, one for beads."""
    count = words.figures.whole(number)
    lines = [
        words.ngettext(
            "Needles: %(count)s tapestry needle, size %(size)s",
            "Needles: %(count)s tapestry needles, size %(size)s",
            number,
            count=count,
            size=size,
        )
        for size in sizes
    ]
    if sharp:
        lines.append(
            words.ngettext(
                "Needles: %(count)s sharp needle",
                "Needles: %(count)s sharp needles",
                number,
                count=count,
            )
        )
    if beads:
        lines.append(
            words.ngettext(
                "Needles: %(count)s beading needle",
                "Needles: %(count)s beading needles",
                number,
                count=count,
            )
        )
    return lines


def bead_lines(words: Wording, beads: Mapping[Thread, int]) -> list[str]:
    """Return how many beads of each kind, and what they are sewn on with."""
    lines = [
        words.ngettext(
            "Beads: %(count)s bead, %(bead)s",
            "Beads: %(count)s beads, %(bead)s",
            number,
            count=words.figures.whole(number),
            bead=thread_words(bead),
        )
        + (f", {sold_as(words, bead)}" if bead.in_packages else "")
        for bead, number in beads.items()
    ]
    if lines:
        lines.append(words.gettext("Sewing thread of the colour of the fabric, for the beads"))
    return lines


def _amount(words: Wording, bought: Mapping[Thread, int]) -> str:
    """Return how many to buy of each way of putting up."""
    if words.english:
        return put_ups(bought)
    return ", ".join(
        words.ngettext("%(count)s skein", "%(count)s skeins", each, count=words.figures.whole(each))
        if name == SKEIN
        else f"{words.figures.whole(each)} × {name}"
        for name, each in by_put_up(bought).items()
    )
