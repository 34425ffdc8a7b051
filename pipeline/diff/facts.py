"""What differs between two charts in figures and words alone."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..core.key import Colourway
from ..core.matter import Note
from ..core.saying import to_say


class Measure(StrEnum):
    """A figure of a chart as a whole, in words."""

    CHART = to_say("chart")
    FABRIC = to_say("fabric")
    COLOUR = to_say("fabric colour")
    STITCHED = to_say("stitched area")
    CUT = to_say("fabric to cut")
    OTHERS = to_say("other fabrics")
    WITHDRAWN = to_say("fabric threads withdrawn")
    WORKING = to_say("working")
    OWN_WORKING = to_say("threads worked otherwise")
    KINDS = to_say("kinds of thread")
    STOCK = to_say("stock")
    PAGES = to_say("pages of the chart")


class Subject(StrEnum):
    """A text or picture of a booklet, in words; some are there several times, by name."""

    TITLE = to_say("title")
    SUBTITLE = to_say("subtitle")
    DESIGNER = to_say("designer")
    EDITION = to_say("edition")
    LANGUAGE = to_say("language")
    RIGHTS = to_say("copyright")
    THANKS = to_say("thanks")
    NEEDS = to_say("needs")
    ABOUT = to_say("what it is about")
    LEVEL = to_say("level")
    MARK = to_say("designer’s mark")
    ADDRESS = to_say("address")
    ERRATA = to_say("where corrections stand")
    GUTTER = to_say("gutter")
    ORIGINAL = to_say("original, %(name)s")
    STORY = to_say("story")
    SECTION = to_say("section %(name)s")
    COVER = to_say("cover picture")
    PICTURE = to_say("picture %(name)s")
    REVISION = to_say("revision %(name)s")
    PHOTOGRAPH = to_say("photograph %(name)s")


@dataclass(frozen=True)
class Fact:
    """A figure of the chart as a whole that is another; the charts themselves have both."""

    what: Measure


@dataclass(frozen=True)
class Noted:
    """A note that is new, gone, stands elsewhere or reads otherwise; None where it was not."""

    old: Note | None
    new: Note | None

    @property
    def elsewhere(self) -> bool:
        """Whether it says the same at another place."""
        return self.old is not None and self.new is not None and self.old.text == self.new.text


@dataclass(frozen=True)
class Recoloured:
    """A colourway that is new, gone, or worked in other threads; None where it was not."""

    old: Colourway | None
    new: Colourway | None


@dataclass(frozen=True)
class Lettered:
    """Letters of an alphabet that are drawn otherwise."""

    alphabet: str
    letters: tuple[str, ...]


@dataclass(frozen=True)
class Worded:
    """A text or picture of the booklet, before and after; empty where it was not there."""

    what: Subject
    name: str
    old: str
    new: str


Told = Fact | Noted | Recoloured | Lettered | Worded  # in figures and words alone
