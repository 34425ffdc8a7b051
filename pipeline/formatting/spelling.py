"""How each line of a chart is written in the one tidy form.

What a line says stays as it was said: a default that is stated stays stated. Only what can be
written in several ways is brought to one: the order of options, figures, quotes, colours.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..syntax.nodes import (
    AlphabetHead,
    AlsoLine,
    BookletHead,
    BorderLine,
    ChartHead,
    ColourLine,
    ColourwayHead,
    ExpectLine,
    FabricHead,
    Head,
    KeyHead,
    KeyLine,
    LetteringLine,
    LetterLine,
    MeasureLine,
    Member,
    MotifHead,
    NoteLine,
    PlacementLine,
    RangeHead,
    RevisionLine,
    ShapeLine,
    UseLine,
    VersionLine,
    WordLine,
    WorkingHead,
)
from ..syntax.phrases import (
    Cloth,
    Measure,
    NeedleWords,
    Number,
    Option,
    PartWords,
    Place,
    Row,
    Size,
    Swaps,
    Text,
    ThreadWords,
    Word,
)
from ..syntax.versions import NOTATION

LONGEST_FIGURES = 12  # a longer number is a slip that is told elsewhere; it stays as it is
_BARE_PATH = re.compile(r'[^\s"#|][^\s"|]*')

_PATHS = {"story": 0, "cover": 0, "picture": 0, "section": 1}  # which value of a line is a path

# The order in which the options of a line are written, by the words of `phrases.Option`.
_ORDER = {
    word: place
    for place, word in enumerate(
        (
            "height",
            "inset",
            "repeat",
            "mirrored",
            "turned",
            "in",
            "at",
            "step",
            "centred",
            "spacing",
            "space",
            "leading",
            "over",
            "symmetric",
            "cover",
            "changeable",
            "with",
        )
    )
}


@dataclass(frozen=True, slots=True)
class Spelt:
    """One line as it is to be written.

    lead: a first word after which lines that stand together are aligned; empty for most.
    text: the line itself. note: the last part of a key line, aligned where lines stand together.
    """

    text: str
    lead: str = ""
    note: str = ""


def spell(node: Head | Member) -> Spelt:
    """Return a line in its tidy form; key lines and lines of one word are set by `columns`."""
    return _SPELLINGS[type(node)](node)


# --- pieces ------------------------------------------------------------------------------------


def quoted(value: str) -> str:
    """Return a text in quotes."""
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


def path_of(path: Word | Text) -> str:
    """Return a path, in quotes only where it needs them."""
    return path_text(path.value if isinstance(path, Text) else path.text)


def path_text(value: str) -> str:
    """Return a path as it is written, in quotes only where it needs them."""
    return value if _BARE_PATH.fullmatch(value) else quoted(value)


def figure(number: Number) -> str:
    """Return a number that need not be whole, without idle noughts."""
    text = number.text
    if len(text) > LONGEST_FIGURES:
        return text
    sign, digits = ("-", text[1:]) if text.startswith("-") else ("", text)
    before, _, after = digits.partition(".")
    before, after = before.lstrip("0") or "0", after.rstrip("0")
    plain = f"{before}.{after}" if after else before
    return plain if plain == "0" else sign + plain


def place_of(place: Place) -> str:
    """Return a position."""
    return f"{figure(place.x)},{figure(place.y)}"


def measure_of(measure: Measure) -> str:
    """Return a length with its unit."""
    return f"{figure(measure.number)} {measure.unit.text}"


def thread_of(thread: ThreadWords) -> str:
    """Return a thread: range and code, or colour and name."""
    if thread.colour is not None and thread.name is not None:
        return f"{thread.colour.text.lower()} {quoted(thread.name.value)}"
    assert thread.range is not None
    assert thread.code is not None
    return f"{thread.range.text} {thread.code.text}"


def stitch_of(needle: NeedleWords) -> str:
    """Return what is said of a thread: the kind of stitch, then the strands."""
    words = [
        f"{each.kind.text} {each.way.text}" if each.way else each.kind.text for each in needle.kinds
    ]
    for each in needle.strands:
        one = each.text.lstrip("0") == "1"
        words.append(f"{each.text} strand" if one else f"{each.text} strands")
    return " ".join(words)


def part_of(part: PartWords) -> str:
    """Return one part of a key line."""
    return " with ".join(
        " ".join(filter(None, (thread_of(each.thread), stitch_of(each)))) for each in part.needles
    )


def endings_of(line: KeyLine) -> tuple[str, str]:
    """Return the printed symbol wished for and the note of a key line, as written."""
    printed = "  ".join(f"printed {each.text}" for each in line.printed)
    return printed, "  ".join(f"note {quoted(each.value)}" for each in line.notes)


def words_of(line: Member) -> tuple[str, list[str]]:
    """Return the word of a line of a booklet, fabric, range or way of working, and what follows."""
    if isinstance(line, ColourLine):
        name = [quoted(line.name.value)] if line.name else []
        return "colour", [line.colour.text.lower(), *name]
    if isinstance(line, MeasureLine):
        return line.word.text, [measure_of(line.measure)]
    if isinstance(line, AlsoLine):
        return "also", [", ".join(map(_cloth, line.cloths))]
    assert isinstance(line, WordLine)
    word = line.word.text
    values = [
        path_of(each)
        if index == _PATHS.get(word) and not isinstance(each, Number)
        else quoted(each.value)
        if isinstance(each, Text)
        else each.text
        for index, each in enumerate(line.values)
    ]
    return word, [*values, "%"] if word == "reserve" else values


def letter_of(line: LetterLine) -> str:
    """Return the letter before its first row; what is no letter or figure stands in quotes."""
    value = line.character.value if isinstance(line.character, Text) else line.character.text
    return value if len(value) == 1 and value.isalnum() else quoted(value)


def row_of(row: Row) -> str:
    """Return a row between its bars."""
    return f"|{row.cells}|"


def _cloth(cloth: Cloth) -> str:
    words = [cloth.kind.text, cloth.count.text]
    if cloth.count_down is not None:
        words += ["x", cloth.count_down.text]
    if cloth.per_cm:
        words.append("per cm")
    if cloth.over is not None:
        words += ["over", cloth.over.text]
    return " ".join(words)


def _size(size: Size) -> str:
    return f"{size.width.text} x {size.height.text}"


def _with_options(start: str, options: Sequence[Option | Swaps]) -> str:
    # The sort is stable: what is said twice, which is an error, keeps its order.
    ordered = sorted(options, key=lambda each: _ORDER[_word(each)])
    return " ".join([start, *map(_option, ordered)])


def _word(option: Option | Swaps) -> str:
    return "with" if isinstance(option, Swaps) else option.word


def _option(option: Option | Swaps) -> str:
    if isinstance(option, Swaps):
        pairs = ", ".join(f"{pair.old.text} as {pair.new.text}" for pair in option.pairs)
        return f"with {pairs}"
    values = [place_of(each) if isinstance(each, Place) else each.text for each in option.values]
    if option.word == "repeat":
        return f"x {' by '.join(values)}"
    if option.word == "at":
        return " ".join([*values[:-1], "at", values[-1]])
    if option.word == "cover":
        return values[0]
    return " ".join([option.word, *values])


# --- lines -------------------------------------------------------------------------------------


def _shape(line: ShapeLine) -> Spelt:
    return Spelt(" ".join([line.word.text, line.symbol.text, *map(place_of, line.points)]))


def _lettering(line: LetteringLine) -> Spelt:
    texts = [quoted(each.value) for each in line.lines]
    return Spelt(_with_options(" ".join(["text", *texts]), line.options))


def _border(line: BorderLine) -> Spelt:
    corner = f", corner {line.corner.text}" if line.corner else ""
    return Spelt(_with_options(f"border {line.repeat.text}{corner}", line.options))


def _note(line: NoteLine) -> Spelt:
    start = place_of(line.start)
    where = f"at {start}" if line.end is None else f"{start} to {place_of(line.end)}"
    return Spelt(f"{where} {quoted(line.text.value)}", lead=line.kind.text)


def _colourway(line: ColourwayHead) -> Spelt:
    title = f" {quoted(line.title.value)}" if line.title else ""
    return Spelt(f"colourway {line.name.text}{title}")


def _revision(line: RevisionLine) -> Spelt:
    day = f" {line.day.text}" if line.day else ""
    return Spelt(f"revision {quoted(line.edition.value)}{day} {quoted(line.text.value)}")


def _expect(line: ExpectLine) -> Spelt:
    area = f" in {place_of(line.start)} to {place_of(line.end)}" if line.start and line.end else ""
    return Spelt(f"expect {line.symbol.text} {line.count.text}{area}")


_SPELLINGS: Mapping[type, Callable[[Any], Spelt]] = {
    VersionLine: lambda _: Spelt(f"linen {NOTATION}"),
    UseLine: lambda line: Spelt(f"use {path_of(line.path)}"),
    BookletHead: lambda line: Spelt(f"booklet {quoted(line.title.value)}"),
    FabricHead: lambda line: Spelt(f"fabric {_cloth(line.cloth)}"),
    RangeHead: lambda line: Spelt(f"range {line.name.text} from {path_of(line.path)}"),
    KeyHead: lambda _: Spelt("key"),
    WorkingHead: lambda _: Spelt("working"),
    MotifHead: lambda line: Spelt(
        _with_options(f"motif {line.name.text} {_size(line.size)}", line.options)
    ),
    AlphabetHead: lambda line: Spelt(_with_options(f"alphabet {line.name.text}", line.options)),
    ChartHead: lambda line: Spelt(_with_options(f"chart {_size(line.size)}", line.options)),
    NoteLine: _note,
    ColourwayHead: _colourway,
    RevisionLine: _revision,
    ExpectLine: _expect,
    ShapeLine: _shape,
    PlacementLine: lambda line: Spelt(_with_options(line.motif.text, line.options)),
    LetteringLine: _lettering,
    BorderLine: _border,
    Row: lambda row: Spelt(row_of(row)),
}
