"""How a booklet speaks: every fixed word, figure and date, in one language."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from typing import Any

from .catalogue import Catalogue, catalogue, entry, language_of
from .figures import ENGLISH, NO_BREAK, Figures

# By CLDR; kept here, since English booklets are to be built without loading its data.
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
_DAY, _DAY_IN_AMERICA = "%(d)s %(MMMM)s %(y)s", "%(MMMM)s %(d)s, %(y)s"
_TIMES = f"{NO_BREAK}×{NO_BREAK}"
_INCHES_FIRST = frozenset({"en-us"})
_CANADA = "fr-ca"  # where inches are `po`; in France they are `pouces`


@dataclass(frozen=True, eq=False)
class Wording:
    """The words of one language.

    tag: the language, as an RFC 5646 tag. figures: how it writes figures. inches_first: whether
    inches stand before centimetres.
    """

    tag: str
    figures: Figures
    inches_first: bool
    _catalogue: Catalogue | None
    _day: str
    _months: tuple[str, ...]
    _form: Callable[[int], int] = field(repr=False)

    def message(self, message: str, context: str = "") -> str:
        """Return a message as it stands in the catalogue, else the English one itself.

        context: what is spoken of, where the same English words need others.
        """
        if self._catalogue is None:
            return message
        return self._catalogue.messages.get(entry(message, context), (message,))[0]

    def messages(self, singular: str, plural: str, number: int) -> str:
        """Return the message for so many."""
        forms = None if self._catalogue is None else self._catalogue.messages.get(singular)
        if forms is None:
            return singular if number == 1 else plural
        return forms[min(self._form(number), len(forms) - 1)]

    def gettext(self, message: str, /, **values: object) -> str:
        """Return a message with its values filled in; `%%` in it is a per cent sign."""
        return self.message(message) % values

    def pgettext(self, context: str, message: str, /, **values: object) -> str:
        """Return a message about something, with its values filled in."""
        return self.message(message, context) % values

    def ngettext(self, singular: str, plural: str, number: int, /, **values: object) -> str:
        """Return the message for so many, with its values filled in, among them `num`."""
        return self.messages(singular, plural, number) % {"num": number, **values}

    @property
    def inch(self) -> str:
        """What inches are called behind a figure."""
        if self.tag.lower() == _CANADA:
            return self.pgettext("in Canada", "in")
        return self.message("in")

    def day(self, day: date) -> str:
        """Return a day with its month in words."""
        return self._day % {"d": day.day, "MMMM": self._months[day.month - 1], "y": day.year}

    def length(self, mm: float) -> str:
        """Return a length in cm and inches: `45 cm (17¾ in)`."""
        return self._in_both(self.figures.cm(mm), self.figures.inches(mm))

    def about(self, mm: float) -> str:
        """Return a length that need not be exact in whole cm, and inches: `46 cm (18 in)`."""
        return self._in_both(self.figures.cm(round(mm, -1)), self.figures.inches(mm))

    def area(self, width: float, height: float) -> str:
        """Return two lengths in mm, in cm and inches: `12 × 5 cm (4¾ × 2 in)`."""
        sides = width, height
        return self._in_both(
            _TIMES.join(map(self.figures.cm, sides)), _TIMES.join(map(self.figures.inches, sides))
        )

    def cut(self, width: float, height: float) -> str:
        """Return the size in mm of a piece to cut in cm and inches: never too small."""
        sides = width, height
        return self._in_both(
            _TIMES.join(map(self.figures.cut_cm, sides)),
            _TIMES.join(map(self.figures.cut_inches, sides)),
        )

    @property
    def english(self) -> bool:
        """Whether the words are those of the templates."""
        return self._catalogue is None

    @property
    def quotes(self) -> tuple[str, str, str, str]:
        """The marks around what is quoted, and those around what is quoted within it."""
        marks = self.message("“%(text)s”"), self.message("‘%(text)s’")
        outer, inner = (each.partition("%(text)s") for each in marks)
        return outer[0], outer[2], inner[0], inner[2]

    def filters(self) -> dict[str, Callable[..., Any]]:
        """Return what templates write figures, sizes and days with."""
        figures = self.figures
        return {
            "cm": figures.cm,
            "cut_cm": figures.cut_cm,
            "inches": figures.inches,
            "cut_inches": figures.cut_inches,
            "figure": figures.figure,
            "fixed": figures.fixed,
            "whole": figures.whole,
            "share": figures.share,
            "tenths": figures.tenths,
            "thread_length": figures.thread_length,
            "day": self.day,
        }

    def _in_both(self, cm: str, inches: str) -> str:
        if self.inches_first:  # English alone
            return f"{inches}{NO_BREAK}{self.inch} ({cm}{NO_BREAK}cm)"
        return f"{cm}{NO_BREAK}cm ({inches}{NO_BREAK}{self.inch})"


@cache
def wording(tag: str) -> Wording:
    """Return the words of a language, by its tag; English where there is no catalogue for it."""
    words = catalogue(tag)
    if words is None:
        american = tag.lower() in _INCHES_FIRST
        day = _DAY_IN_AMERICA if american else _DAY
        english = language_of(tag) == "en"
        return Wording(tag if english else "en-GB", ENGLISH, american, None, day, _MONTHS, _one)
    from gettext import c2py  # noqa: PLC0415 - not for English

    return Wording(
        tag,
        Figures(words.decimal, words.group),
        False,
        words,
        words.day,
        words.months,
        c2py(words.plural),
    )


def _one(number: int) -> int:
    return int(number != 1)
