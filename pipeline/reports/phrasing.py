"""How a report says fabrics, sizes, stitches, numbers and put-ups, and sets them in columns."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from ..core.key import Thread
from ..core.model import Design
from ..count.size import Size
from ..i18n.figures import cm, cut_cm, cut_inches, inches, whole

LEFT, RIGHT = "<", ">"
_OVERS = {1: "one", 2: "two", 3: "three", 4: "four"}


def heading(design: Design) -> str:
    """Return the title with the edition, the colourway, and what makes a copy a personal one."""
    booklet, way = design.booklet, design.in_colourway
    words = [booklet.title]
    if booklet.edition:
        words.append(f"edition {booklet.edition}")
    if way is not None:
        words.append(f"colourway {way.name}")
    if design.personal:
        words.append(f"personal copy ({personal_words(design)})")
    return ", ".join(words)


def personal_words(design: Design) -> str:
    """Return what was replaced for a personal copy: `initials “C D”, year “2027”`."""
    return ", ".join(f"{name} “{' / '.join(text.splitlines())}”" for name, text in design.personal)


def size_words(size: Size) -> str:
    """Return a finished size in cm and inches."""
    return (
        f"{cm(size.width)} x {cm(size.height)} cm ({inches(size.width)} x {inches(size.height)} in)"
    )


def cut_words(size: Size) -> str:
    """Return the size of the piece to cut, in cm and inches."""
    return (
        f"{cut_cm(size.cut_width)} x {cut_cm(size.cut_height)} cm "
        f"({cut_inches(size.cut_width)} x {cut_inches(size.cut_height)} in)"
    )


def over_words(over: int) -> str:
    """Return over how many threads a cross goes, as a person says it."""
    return f"over {_OVERS.get(over, over)}"


def thread_words(thread: Thread) -> str:
    """Return a thread, or a bead, with its code and its name."""
    return f"{thread.label} {thread.name}" if thread.code else thread.name


def put_ups(bought: Mapping[Thread, int]) -> str:
    """Return how many to buy of each way of putting up: `18 skeins and 2 hanks`."""
    said = [many(number, name, plural(name)) for name, number in by_put_up(bought).items()]
    return " and ".join([", ".join(said[:-1]), said[-1]] if len(said) > 1 else said)


def by_put_up(bought: Mapping[Thread, int]) -> dict[str, int]:
    """Return how many to buy by what the put-ups are called."""
    numbers: dict[str, int] = {}
    for thread, number in bought.items():
        numbers[thread.put_up] = numbers.get(thread.put_up, 0) + number
    return numbers


def put_up_called(threads: Iterable[Thread]) -> str:
    """Return what the put-ups of some threads are called, where they differ in one word for all."""
    names = {thread.put_up for thread in threads}
    return names.pop() if len(names) == 1 else "put-up"


def put_up_heading(threads: Iterable[Thread]) -> str:
    """Return the heading of a column of put-ups."""
    return plural(put_up_called(threads))


def plural(word: str) -> str:
    """Return the plural of a plain English word."""
    return f"{word}es" if word.endswith(("s", "x", "ch", "sh")) else f"{word}s"


def many(count: int, one: str, more: str = "") -> str:
    """Return a number with its noun."""
    return f"{whole(count)} {one if count == 1 else more or plural(one)}"


def number(value: float) -> str:
    """Return a number to the hundredth, without needless noughts."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def table(rows: Sequence[tuple[str, ...]], sides: Sequence[str]) -> list[str]:
    """Return rows, the first of them a heading, as lines of even columns with a rule below it.

    A column in which nothing stands is left out.
    """
    widths = [max(len(row[at]) for row in rows) for at in range(len(sides))]
    shown = [at for at in range(len(sides)) if any(row[at] for row in rows[1:])]
    lines = [
        "  ".join(f"{row[at]:{sides[at]}{widths[at]}}" for at in shown).rstrip() for row in rows
    ]
    return [lines[0], "-" * max(map(len, lines)), *lines[1:]]
