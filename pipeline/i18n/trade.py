"""Words of the trade in the language of a booklet: stitches, fabrics, put-ups."""

from __future__ import annotations

from ..core.counted import Counted
from ..core.key import Part, Way
from ..core.model import Fabric
from ..core.saying import to_say
from ..stitches.kinds import STITCHES
from .wording import Wording

_WAYS = {
    Way.UP: to_say("bottom left to top right"),
    Way.DOWN: to_say("top left to bottom right"),
    Way.TOP_LEFT: to_say("top left"),
    Way.TOP_RIGHT: to_say("top right"),
    Way.BOTTOM_LEFT: to_say("bottom left"),
    Way.BOTTOM_RIGHT: to_say("bottom right"),
}
_FABRICS = {
    "linen": to_say("linen"),
    "evenweave": to_say("evenweave"),
    "canvas": to_say("canvas"),
    "aida": to_say("aida"),
    "blockweave": to_say("blockweave"),
}
# Fabric threads that a cross spans; of one thread speak sentences of their own.
_OVERS = {
    2: to_say("two"),
    3: to_say("three"),
    4: to_say("four"),
    5: to_say("five"),
    6: to_say("six"),
}
SKEIN = to_say("skein")


def stitch(words: Wording, part: Part, *, brief: bool = False, turned: bool = False) -> str:
    """Return a stitch: its kind and, unless in brief, which way it lies.

    turned: it lies in other ways as well, where what it stands in is mirrored or turned.
    """
    if part.stitch is not None:
        name = stitch_name(words, part.stitch)
        return words.gettext("%(stitch)s, second thread", stitch=name) if part.second else name
    kind = words.message(STITCHES[part.kind].one)
    if brief or part.way is None:
        return kind
    if turned:
        return words.gettext("%(stitch)s, as charted", stitch=kind)
    return f"{kind}, {words.message(_WAYS[part.way])}"


def stitch_name(words: Wording, stitch: Counted) -> str:
    """Return what a counted stitch is called; the designer's own keep the name that she gave."""
    return words.message(stitch.called) if stitch.built_in else stitch.called


def number_word(words: Wording, number: int) -> str:
    """Return a small number as a word: `two`."""
    return words.message(_OVERS[number]) if number in _OVERS else words.figures.figure(number)


def fabric_kind(words: Wording, kind: str) -> str:
    """Return what a fabric is called; kinds that the trade does not know stay as they are."""
    return words.message(_FABRICS[kind]) if kind in _FABRICS else kind


def fabric(words: Wording, ground: Fabric) -> str:
    """Return a fabric with its count and over how many threads a cross goes."""
    figure = words.figures.figure
    count = figure(ground.count_x)
    if ground.count_y != ground.count_x:
        count += f" × {figure(ground.count_y)}"
    values = {"count": count, "kind": fabric_kind(words, ground.kind)}
    if ground.block and ground.over == 1:
        return words.gettext("%(count)s-count %(kind)s", **values)
    return words.ngettext(
        "%(count)s-count %(kind)s over one",
        "%(count)s-count %(kind)s over %(over)s",
        ground.over,
        over=number_word(words, ground.over),
        **values,
    )


def put_up(words: Wording, name: str) -> str:
    """Return how thread is sold: a skein where nothing else is said, else the user's own word."""
    return words.message(SKEIN) if name == SKEIN else name


def opening(text: str) -> str:
    """Return a text as it opens a sentence: with a capital letter."""
    return text[:1].upper() + text[1:]
