"""A plain shopping list in the language of the booklet, for a shop page or a buyer."""

from __future__ import annotations

from collections.abc import Sequence

from ..core.model import Design
from ..count.thread import ThreadUse
from ..i18n.figures import NO_BREAK
from ..i18n.trade import SKEIN, fabric, put_up
from ..i18n.wording import Wording, wording
from .facts import Facts
from .phrasing import put_ups, thread_words


def as_list(facts: Facts) -> str:
    """Return what to buy, line by line."""
    design, size = facts.worked.design, facts.sizes[0].size
    words = wording(design.booklet.language)
    ground = fabric(words, size.fabric)
    colour = design.ground.colour_name
    bought = f"{ground}, {colour}" if colour else ground
    lines = [
        _heading(words, design),
        words.gettext(
            "Finished size on %(fabric)s: %(size)s",
            fabric=ground,
            size=words.area(size.width, size.height),
        ),
        "",
        words.gettext(
            "Fabric: %(fabric)s, at least %(piece)s",
            fabric=bought,
            piece=words.cut(size.cut_width, size.cut_height),
        ),
        *_threads(words, facts.uses),
        *(
            words.ngettext(
                "Beads: %(count)s bead, %(bead)s",
                "Beads: %(count)s beads, %(bead)s",
                each.number,
                count=words.figures.whole(each.number),
                bead=thread_words(each.bead),
            )
            for each in facts.counts.beads
        ),
        *(
            words.gettext("You will also need: %(what)s", what=each)
            for each in design.booklet.needs
        ),
    ]
    # Where the list is pasted, blanks that hold words together are no help.
    return "\n".join(lines).replace(NO_BREAK, " ") + "\n"


def _heading(words: Wording, design: Design) -> str:
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


def _threads(words: Wording, uses: Sequence[ThreadUse]) -> list[str]:
    if not uses:
        return []
    lines = [
        "  "
        + words.gettext(
            "%(number)s x %(thread)s (%(put_up)s of %(metres)s m)",
            number=words.figures.whole(use.buy),
            thread=thread_words(use.thread),
            put_up=put_up(words, use.thread.put_up),
            metres=words.figures.figure(use.thread.metres, 2),
        )
        for use in uses
    ]
    if any(use.buy > 1 for use in uses):
        lines.append(
            "  " + words.gettext("Buy all the thread of one colour together, from one dye lot.")
        )
    return [words.gettext("Thread: %(amount)s", amount=_amount(words, uses)), *lines]


def _amount(words: Wording, uses: Sequence[ThreadUse]) -> str:
    """Return how many to buy of each way of putting up."""
    if words.english:
        return put_ups(uses)
    found: dict[str, int] = {}
    for use in uses:
        found[use.thread.put_up] = found.get(use.thread.put_up, 0) + use.buy
    return ", ".join(
        words.ngettext("%(count)s skein", "%(count)s skeins", each, count=words.figures.whole(each))
        if name == SKEIN
        else f"{words.figures.whole(each)} × {name}"
        for name, each in found.items()
    )
