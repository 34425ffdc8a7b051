"""Words of the trade in the language of a booklet: stitches, fabrics, put-ups."""

from __future__ import annotations

from collections.abc import Iterable
from typing import assert_never

from ..core.counted import Counted
from ..core.ground import Fabric, Method, ThreadWorking
from ..core.key import Part, Thread, ThreadKind, Way
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
_KINDS = {
    ThreadKind.STRANDED: "",  # as most are
    ThreadKind.FLAT: to_say("flat thread"),
    ThreadKind.PERLE: to_say("perle thread"),
    ThreadKind.METALLIC: to_say("metallic thread"),
    ThreadKind.BEAD: "",  # its stitch says so
    ThreadKind.OVERDYED: to_say("overdyed thread"),
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
    """Return a fabric with its count, as it was stated, and over how many threads a cross goes."""
    count = " × ".join(words.figures.figure(each) for each in ground.stated)
    values = {"count": count, "kind": fabric_kind(words, ground.kind)}
    if ground.per_cm:
        return _by_the_cm(words, ground, values)
    if ground.block and ground.over == 1:
        return words.gettext("%(count)s-count %(kind)s", **values)
    return words.ngettext(
        "%(count)s-count %(kind)s over one",
        "%(count)s-count %(kind)s over %(over)s",
        ground.over,
        over=number_word(words, ground.over),
        **values,
    )


def _by_the_cm(words: Wording, ground: Fabric, values: dict[str, str]) -> str:
    """Return a fabric that is counted by the centimetre, and about how many that is to the inch."""
    sides = dict.fromkeys((ground.count_x, ground.count_y))
    values |= {"inch": " × ".join(words.figures.whole(each) for each in sides)}
    if ground.block:
        cloth = words.gettext(
            "%(kind)s with %(count)s blocks to the cm (%(inch)s to the inch)", **values
        )
    else:
        cloth = words.gettext(
            "%(kind)s with %(count)s threads to the cm (%(inch)s to the inch)", **values
        )
    if ground.block and ground.over == 1:
        return cloth
    return words.ngettext(
        "%(fabric)s, over one",
        "%(fabric)s, over %(over)s",
        ground.over,
        fabric=cloth,
        over=number_word(words, ground.over),
    )


def thread_way(words: Wording, way: ThreadWorking) -> str:
    """Return how a thread is worked by itself: `each cross finished, needlefuls of 30 cm`."""
    told = []
    match way.method:
        case Method.ROWS:
            told.append(words.gettext("rows there and back"))
        case Method.EACH:
            told.append(words.gettext("each cross finished"))
        case None:
            pass
        case _:
            assert_never(way.method)
    if way.needleful is not None:
        length = words.figures.in_cm(way.needleful)
        told.append(words.gettext("needlefuls of %(length)s", length=length))
    if way.tail is not None:
        told.append(words.gettext("tails of %(length)s", length=words.figures.in_cm(way.tail)))
    return ", ".join(told)


def sold_as(words: Wording, thread: Thread) -> str:
    """Return what a thread or bead is put up as for sale."""
    return words.gettext("sold as: %(put_up)s", put_up=put_up(words, thread.put_up))


def thread_kind(words: Wording, thread: Thread) -> str:
    """Return what a thread is; nothing where that goes without saying."""
    kind = _KINDS[thread.kind]
    return words.message(kind) if kind else ""


def of_a_kind(threads: Iterable[Thread]) -> tuple[Thread, ...]:
    """Return the threads of which it is told what they are."""
    return tuple(thread for thread in threads if _KINDS[thread.kind])


def put_up(words: Wording, name: str) -> str:
    """Return how thread is sold: a skein where nothing else is said, else the user's own word."""
    return words.message(SKEIN) if name == SKEIN else name


def opening(text: str) -> str:
    """Return a text as it opens a sentence: with a capital letter."""
    return text[:1].upper() + text[1:]
