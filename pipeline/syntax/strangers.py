"""Signs, words and characters that do not belong to the notation, and what is written instead."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from ..core.diagnostics import Diagnostic, finding
from ..core.source import Source, Span
from .cutting import Chunk
from .forms import short, terminal
from .statements import HEADS, Body

POINT = re.compile(r"-?[0-9]+(?:\.[0-9]+)?,[ \t]*-?[0-9]")
_TIMES = re.compile(r"([0-9]+)[x×]?(?![\w.,])")
_ROW_LIKE = re.compile(r"[¦│┃]|\.\S*[ \t]*$|\S*\.\.\S*[ \t]*$|\S*\|[ \t]*$|[0-9]+[.:]?[ \t]*\|")

# Signs and words that lists, notes and other trades have, and what is written here.
MARKS = {
    "//": "a remark for yourself is written after `#`",
    "/*": "a remark for yourself is written after `#`",
    "--": "a remark for yourself is written after `#`",
    "{": "leave it out: what belongs to a block simply stands below it",
    "}": "leave it out: what belongs to a block simply stands below it",
    ":": "leave it out: only a blank stands between words",
    "=": "leave it out: only a blank stands between words",
    ";": "write a comma between the things of a list, and each statement on a line of its own",
}
_BETWEEN = ("to", "-", "–", "—", "→", "->", ">", ";", ",")  # the points of a line
_APART = re.compile(r"\S+[ \t]")
_WORDS = {
    "flipped": "mirrored",
    "flip": "mirrored",
    "reflected": "mirrored",
    "rotated": "turned right",
    "rotate": "turned right",
    "90": "right",
    "180": "half",
    "270": "left",
    "repeat": "x 3",
    "centered": "centred",
    "center": "centre",
    "swap": "with m as s",
}


@dataclass(frozen=True)
class Stuck:
    """Where reading of a statement stopped, what stands there, and what could have stood there."""

    source: Source
    chunk: Chunk
    at: int
    met: str
    wanted: frozenset[str]
    block: str

    @property
    def span(self) -> Span:
        """The place of what stands there."""
        return self.source.span(self.at, self.at + len(self.met))

    @property
    def shown(self) -> str:
        """What stands there, for a sentence."""
        return f"`{short(self.met)}`"

    def match(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        """Match a pattern against what stands there."""
        return pattern.match(self.source.text, self.at, self.chunk.end)


def odd_blank(stuck: Stuck) -> Diagnostic | None:
    """Return the finding for a blank that is none in the notation."""
    blank = stuck.met[0]
    if not blank.isspace():
        return None
    named = unicodedata.name(blank, "blank").lower()
    return finding(
        "hidden-character",
        f"There is an invisible character here: {named} (U+{ord(blank):04X}).",
        stuck.source.span(stuck.at, stuck.at + 1),
        "type a plain space in its place; a word processor may have changed it",
    )


def row_without_bars(stuck: Stuck) -> Diagnostic | None:
    """Return the finding for a row that does not begin with its bar."""
    body = HEADS[stuck.block].lines
    if stuck.at != stuck.chunk.start or body not in (Body.GRID, Body.LETTERS):
        return None
    if not stuck.match(_ROW_LIKE):
        return None
    return finding(
        "unclosed-row",
        "This row does not begin with a bar.",
        stuck.source.span(stuck.at, stuck.chunk.end),
        "a row is written between two bars, with nothing before them: `|..mm..|`",
    )


def placed_without_at(stuck: Stuck) -> Diagnostic | None:
    """Return the finding for a place or a number of repeats without the word before it."""
    times = stuck.match(_TIMES)
    if terminal("at") in stuck.wanted and "$END" in stuck.wanted and stuck.match(POINT):
        return finding(
            "missing-at",
            "A position is written after `at`.",
            stuck.source.span(stuck.at, stuck.at),
            "write `at 20,14`",
        )
    if terminal("step") in stuck.wanted and "X" in stuck.wanted and times:
        return finding(
            "too-many-words",
            f"{stuck.shown} does not belong here.",
            stuck.span,
            f"how often it is placed is written `x {times[1]}`, and `step` says how far apart",
        )
    return None


def another_word(stuck: Stuck) -> Diagnostic | None:
    """Return the finding for a sign or a word that means here what another does."""
    parted = stuck.met in _BETWEEN and stuck.match(_APART)
    if parted and "POINT" in stuck.wanted and "$END" in stuck.wanted:
        return finding(
            "too-many-words",
            f"{stuck.shown} does not belong here.",
            stuck.span,
            "leave it out: the points of a line follow each other, `0,0 3,4 3,8`",
        )
    for mark, advice in MARKS.items():
        if stuck.met.startswith(mark):
            return finding(
                "too-many-words",
                f"`{mark}` does not belong here.",
                stuck.source.span(stuck.at, stuck.at + len(mark)),
                advice,
            )
    meant = _WORDS.get(stuck.met)
    if meant is None or terminal(meant.partition(" ")[0]) not in stuck.wanted:
        return None
    return finding(
        "misspelt-word",
        f"{stuck.shown} is not a word of this line.",
        stuck.span,
        f"write `{meant}`",
    )
