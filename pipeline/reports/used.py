"""What a worked model really took, as it is typed, and the `working` block that follows from it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from ..core.ground import Working
from ..core.key import Thread
from ..core.suggest import did_you_mean, listed
from ..count.calibrate import Fit
from ..i18n.figures import fixed
from .phrasing import LEFT, RIGHT, many, number, table, thread_words

_NUMBER = r"(\d{1,6}(?:\.\d{1,6})?)"
_AMOUNT = re.compile(
    rf"{_NUMBER}\s*(g)?(?:\s+less\s+{_NUMBER}\s*(g)?)?(?:\s+at\s+{_NUMBER}\s*g)?", re.ASCII
)
FORM = '"estuary 417=1.6", "estuary 417=2 less 0.4" or "estuary 417=2 less 3.1 g at 8 g"'


class NotUnderstood(ValueError):
    """What was typed cannot be understood; the message says why."""


def used(texts: Iterable[str], threads: Sequence[Thread]) -> dict[Thread, float]:
    """Return the put-ups used of each thread named, from texts such as `estuary 417=1.6`.

    An amount is put-ups (`1.6`), put-ups less what is left (`2 less 0.4`), the same with what is
    left weighed (`2 less 3.1 g at 8 g`, where a whole put-up weighs 8 g), or all of it weighed
    (`12.9 g at 8 g`). Several in one text are parted by commas.

    Raises:
        NotUnderstood: for what is no amount, an unknown thread, or one named twice.
    """
    known = {each.label: each for each in threads}
    codes = [each.code for each in threads if each.code]
    known |= {each.code: each for each in threads if codes.count(each.code) == 1}
    amounts: dict[Thread, float] = {}
    for text in texts:
        rest = text.strip()
        while rest:
            name, rest = _name(rest, known)
            amount, _, rest = rest.partition(",")
            rest = rest.strip()
            thread = known[name]
            if thread in amounts:
                raise NotUnderstood(f"{name} is given twice.")
            amounts[thread] = _amount(name, amount.strip())
    return amounts


def _name(text: str, known: dict[str, Thread]) -> tuple[str, str]:
    """Return the thread that a text begins with, and what follows its equals sign."""
    for name in sorted(known, key=len, reverse=True):
        after = text.removeprefix(name).lstrip()
        if text.startswith(name) and after.startswith("="):
            return name, after[1:]
    wrong, sign, _ = text.partition("=")
    if not sign:
        raise NotUnderstood(f"An amount is written {FORM}.")
    labels = sorted({each.label for each in known.values()})
    guess = did_you_mean(wrong.strip(), known)
    raise NotUnderstood(
        f"No thread of the chart is called {wrong.strip()[:60]!r}; "
        + (guess or f"they are {listed(labels[:40], 'and')}.")
    )


def _amount(name: str, text: str) -> float:
    match = _AMOUNT.fullmatch(text)
    if match is None:
        raise NotUnderstood(f"{name}: {text[:60]!r} is not an amount; write {FORM}.")
    whole, in_grams, less, less_grams, at = match.groups()
    if bool(in_grams or less_grams) != bool(at):
        raise NotUnderstood(
            f"{name}: with grams say what a whole put-up weighs: `2 less 3.1 g at 8 g`."
        )
    put_up = float(at) if at else 1.0
    if put_up <= 0:
        raise NotUnderstood(f"{name}: a put-up weighs more than nothing.")
    if in_grams and less and not less_grams:
        raise NotUnderstood(f"{name}: take grams from grams, or put-ups from put-ups.")
    amount = float(whole) / (put_up if in_grams else 1.0)
    left = float(less or 0) / (put_up if less_grams else 1.0)
    if amount <= left:
        raise NotUnderstood(f"{name}: so nothing of it was used.")
    return amount - left


def as_working(fit: Fit, ground: str) -> str:
    """Return a `working` block to keep in the chart, with what it was fitted to as remarks.

    ground: the fabric and strands of the model, in words.
    """
    rows: list[tuple[str, ...]] = [("", "used", "before", "now")]
    for thread, took in fit.used.items():
        figures = (took, fit.before[thread], fit.after[thread])
        rows.append((thread_words(thread), *(fixed(each, 2) for each in figures)))
    heads, _, *lines = table(rows, (LEFT, RIGHT, RIGHT, RIGHT))
    return (
        "\n".join(
            [
                "working",
                *(f"  {word:<9} {value}" for word, value in _lines(fit.working)),
                f"  # Fitted to a model on {ground}: {many(len(fit.used), 'thread')}, in put-ups.",
                *(f"  # {line}" for line in (heads, *lines)),
            ]
        )
        + "\n"
    )


def _lines(working: Working) -> list[tuple[str, str]]:
    usual = Working()
    return [
        ("needleful", f"{number(working.needleful / 10)} cm"),
        ("tail", f"{number(working.tail / 10)} cm"),
        ("carry", f"{number(working.carry)} mm"),
        # Words of a later notation only where the chart has them.
        *([("slip", f"{number(working.slip)} mm")] if working.slip != usual.slip else []),
        *([("bare", f"{number(working.bare)} crosses")] if working.bare != usual.bare else []),
        ("method", working.method.value),
        ("reserve", f"{number(working.reserve * 100)} %"),
    ]
