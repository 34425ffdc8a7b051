"""A line of the chart that places something, while the chart is read: what it says of its place."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

from ..core.places import Half, Sort
from ..core.source import Span
from ..syntax.nodes import (
    BandLine,
    BorderLine,
    LetteringLine,
    Member,
    PlaceLine,
    PlacementLine,
    ShapeLine,
    WithdrawnLine,
)
from ..syntax.phrases import Option, Word
from ..syntax.statements import OPTIONS, below
from .placed import OptionsByWord
from .settings import number_in

ACROSS = frozenset({"left", "right"})
_HALVES = {
    "left": Half.EARLIER,
    "up": Half.EARLIER,
    "right": Half.LATER,
    "down": Half.LATER,
}


@dataclass
class Draft:
    """A line of the chart that places something, while the chart is read."""

    number: int
    sort: Sort
    span: Span
    band: int | None
    name: Word | None = None
    before: Draft | None = None  # the motif, text or place before it in its band
    options: OptionsByWord = field(default_factory=dict)
    at: tuple[float, float] = (0.0, 0.0)
    size: tuple[float, float] = (0.0, 0.0)
    first: int = 0
    last: int = 0
    withdrawal: int | None = None
    is_shape: bool = False
    is_border: bool = False
    is_text: bool = False

    @property
    def needs_at(self) -> bool:
        """Whether it has to say at which position it stands."""
        if self._filling() == "area":
            return False
        words = {"below", "side", "on", "within"}
        return self.band is None and self.options.keys().isdisjoint(words)

    def _filling(self) -> str:
        option = self.options.get("filling")
        if option is None:
            return ""
        return option.values[0].text if option.values else "width"  # type: ignore[union-attr]

    def fills(self) -> tuple[bool, bool]:
        """Whether it fills something across, and down."""
        way = self._filling()
        return way in ("width", "area"), way in ("height", "area")

    @property
    def gap_round(self) -> float:
        """The bare crosses between a border and what it runs round."""
        option = self.options["round"]
        number = number_in(option, len(option.values) - 1)
        return float(number.text) if number is not None and len(number.text) < 9 else 0.0

    def is_aligned(self, way: str) -> bool:
        """Tell whether it is aligned that way."""
        return self._aligned() == way

    def half(self, *, across: bool) -> Half:
        """Return which way it goes where its middle falls inside a cross."""
        option = self.options.get("centred")
        for value in option.values if option is not None else ():
            if isinstance(value, Word) and (value.text in ACROSS) == across:
                return _HALVES[value.text]
        return Half.UNSAID

    def _aligned(self) -> str:
        option = self.options.get("aligned")
        word = option.values[0] if option is not None else None
        return word.text if isinstance(word, Word) else ""


def name_of(line: Member) -> Word | None:
    """Return the name that a line of the chart gives to what it places."""
    if isinstance(line, BandLine | PlaceLine):
        return line.name
    if not isinstance(line, ShapeLine | PlacementLine | LetteringLine | BorderLine | WithdrawnLine):
        return None
    for option in line.options:
        if isinstance(option, Option) and option.word == "named":
            word = option.values[0]
            return word if isinstance(word, Word) else None
    return None


@cache
def first_words() -> frozenset[str]:
    """Return the words with which the options of a line of a chart begin."""
    taken = {name for statement in below("chart") for name in statement.form.options}
    forms = [option.written for option in OPTIONS if option.name in taken]
    words = (word for form in forms for word in form.replace("(", "").split(" ")[0].split("|"))
    return frozenset(word.strip('"?)*') for word in words if word.startswith('"'))
