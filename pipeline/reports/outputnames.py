"""What an output is called where nobody says: every form of a chart has a name of its own.

`NAME.pdf` and `NAME.png` are the plain forms. Whatever differs from them stands behind two
hyphens, in a fixed order: `saltmarsh--a5-symbols.pdf`. Words that a person chose come last; those
that are not plain small letters and figures are shortened, and a number made of all of them stands
behind `_`, so that no two requests share a name, on disks without capitals neither. A chart with
two hyphens in its own name has a mark in every form. Names take at most LONGEST bytes.
"""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from ..chart.options import Options, Paper, Shape
from ..compose.copies import Letters
from ..syntax.notation import notation

APART = "--"
LONGEST = 240  # bytes; most disks allow 255, and some programs put a few before or behind
LONGEST_WORD = 24  # characters of a word that a person chose
_PLAIN = re.compile(rf"(?!.{{{LONGEST_WORD + 1}}})[a-z0-9]+(?:-[a-z0-9]+)*")
_DIGITS = 12  # of the number, in hexadecimal: 48 bits

LONGEST_RANGE = 40  # characters


@dataclass(frozen=True)
class Chosen:
    """Words that a person chose. kind: what of. exact: all of what was chosen, to tell it apart."""

    kind: str
    shown: str
    exact: str


def booklet_name(
    chart: Path, options: Options, letters: Letters | None = None, profile: bytes | None = None
) -> str:
    """Return the name of a booklet. letters: of a personal copy. profile: of the printer."""
    marks, usual = [], Options()
    if options.fold is not None:
        marks.append(f"fold-{options.fold.value}")  # which says the paper too
    elif options.paper != usual.paper:
        marks.append(options.paper.value)
    if options.orientation is not None:
        marks.append(options.orientation.value)
    if options.whole:
        marks.append("whole")
    if options.ink is not usual.ink:
        marks.append(options.ink.value)
    if options.cell is not None:
        marks.append(f"cell-{options.cell!r}mm".replace(".0mm", "mm"))
    if options.with_symbols:
        marks.append("with-symbols")
    if options.gutter is not None:
        marks.append(f"gutter-{options.gutter!r}mm".replace(".0mm", "mm"))
    if options.large:
        marks.append("large")
    if options.purpose is not usual.purpose:
        marks.append(options.purpose.value)
    words = _chosen(options.colourway, letters)
    if profile is not None:
        words.append(Chosen("profile", "", sha256(profile).hexdigest()))
    return _name(chart, marks, words, Paper.A4.value, ".pdf")


def picture_name(
    chart: Path,
    what: str,
    shape: Shape,
    width: int | None,
    colourway: str | None = None,
    letters: Letters | None = None,
    part: str | None = None,
) -> str:
    """Return the name of a picture. width: None for the one that is assumed."""
    marks = [] if what == "piece" else [what]
    if shape is not Shape.AS_IS:
        marks.append(shape.value)
    if width is not None:
        marks.append(f"{width}px")
    words = _chosen(colourway, letters)
    if part is not None:
        shown = part.replace(" ", "").replace(",", "-")
        words.append(Chosen("part", shown, shown))
    return _name(chart, marks, words, "piece", ".png")


def corrections_name(chart: Path, charts: tuple[str, str], paper: Paper) -> str:
    """Return the name of a sheet of corrections. charts: as they were named, old and new."""
    marks = ["corrections"] if paper is Paper.A4 else ["corrections", paper.value]
    old, new = charts
    revision, _, path = old.rpartition(":")
    since = Chosen("since", revision, revision)
    word = since if path == new and revision else Chosen("from", Path(path).stem, repr(charts))
    return _name(chart, marks, [word], "", ".pdf")


def _chosen(colourway: str | None, letters: Letters | None) -> list[Chosen]:
    words = [] if colourway is None else [Chosen("colourway", colourway, colourway)]
    if letters:
        read = "-".join(line for lines in letters.values() for line in lines)
        words.append(Chosen("copy", read, repr(sorted(letters.items()))))
    return words


def _name(chart: Path, marks: list[str], words: list[Chosen], plain: str, suffix: str) -> str:
    """Return a name. plain: the mark of the plain form, where a mark is needed."""
    stem = chart.stem
    for each in words:
        marks += [each.kind, *filter(None, [_word(each.shown)])]
    told = "-".join(marks or ([plain] if APART in stem else []))
    number = ""
    if any(each.exact != _word(each.exact) for each in words):
        number = _number(*(f"{each.kind} {each.exact}" for each in words))
    end = f"{APART}{told}" if told else ""
    if len(os.fsencode(f"{stem}{end}_{number}{suffix}")) > LONGEST and told:
        number = _number(stem, number)
        room = LONGEST - len(os.fsencode(f"{end}_{number}{suffix}"))
        stem = _cut(stem, room)
    return f"{stem}{end}{'_' if number else ''}{number}{suffix}"


def _word(text: str) -> str:
    """Return a word as it can stand in every name: itself where it is plain, else shortened."""
    if _PLAIN.fullmatch(text):
        return text
    letters = unicodedata.normalize("NFKD", text[: 4 * LONGEST_WORD]).encode("ascii", "ignore")
    plain = re.sub(r"[^a-z0-9]+", "-", letters.decode("ascii").lower()).strip("-")
    return plain[:LONGEST_WORD].strip("-")


def _number(*texts: str) -> str:
    return sha256(repr(texts).encode("utf-8")).hexdigest()[:_DIGITS]


def _cut(stem: str, room: int) -> str:
    while len(os.fsencode(stem)) > room:
        stem = stem[:-1]
    return stem


def range_name(stem: str, taken: Collection[str]) -> str:
    """Return a name made of a file's name without its ending: free, and no word of the notation."""
    plain = re.sub(r"[^0-9A-Za-z_-]+", "-", stem).strip("-_")[:LONGEST_RANGE].rstrip("-_")
    if len(plain) < 2 or not plain[0].isalpha():
        plain = f"threads-{plain}".rstrip("-")
    name, number = plain, 2
    while name in taken or name in notation().reserved:
        name, number = f"{plain}-{number}", number + 1
    return name
