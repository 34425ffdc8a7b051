"""How each line of a chart is written in the one tidy form.

What a line says stays as it was said: a default that is stated stays stated. Only what can be
written in several ways is brought to one: the order of options, figures, quotes, colours.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..syntax.forms import Form, Slot
from ..syntax.nodes import DrawnLetterLine, Head, KeyLine, LetterLine, Member
from ..syntax.phrases import (
    AreaWords,
    Cloth,
    Dimensions,
    Extent,
    Length,
    NeedleWords,
    Numeral,
    Option,
    PartWords,
    Position,
    Row,
    StockWords,
    StrokeWords,
    SwapPair,
    Swaps,
    Text,
    ThreadWords,
    Word,
)
from ..syntax.statements import HEADS, OPTIONS, Body, Statement, statement_of

LONGEST_FIGURES = 12  # a longer number is a slip that is told elsewhere; it stays as it is
_BARE_PATH = re.compile(r'[^\s"#|][^\s"|]*')

# The options of a line by the words that nodes know them by, and the order they are written in.
_OPTIONS = {option.word: option.form for option in reversed(OPTIONS)}
_ORDER = {option.name: (place, option.word) for place, option in enumerate(OPTIONS)}


@dataclass(frozen=True, slots=True)
class Spelt:
    """One line as it is to be written.

    lead: a first word after which lines that stand together are aligned; empty for most.
    text: the line itself. note: the last part of a key line, aligned where lines stand together.
    """

    text: str
    lead: str = ""
    note: str = ""


def spell(node: Head | Member, block: str) -> Spelt:
    """Return a line in its tidy form; key lines and lines of one word are set by `columns`.

    block: the word of the block in which the line stands, empty for the first line of a block.
    """
    if isinstance(node, Row):
        return Spelt(row_of(node))
    statement, words = words_of(node, block)
    if statement.word and _is_aligned(statement):
        return Spelt(" ".join(words), lead=statement.word)
    return Spelt(" ".join([statement.word, *words] if statement.word else words))


def _is_aligned(statement: Statement) -> bool:
    """Tell whether a line without others below it shares its section with lines of other words."""
    kin = [head for head in HEADS.values() if head.page == statement.page]
    return statement.lines is Body.NONE and not statement.under and len(kin) > 1


def words_of(node: Head | Member, block: str) -> tuple[Statement, list[str]]:
    """Return the statement of a line in a block, and what follows its word, piece by piece."""
    word = getattr(node, "word", None)
    kind: type = type(node)
    statement = statement_of(kind, block, word.text if word is not None else "")
    names = [name for name in statement.fields if name != "word"]
    return statement, _spelt(statement.form, [getattr(node, name) for name in names])


def _spelt(form: Form, values: Iterable[object]) -> list[str]:
    pieces: list[object] = []
    for value in values:
        pieces += value if isinstance(value, tuple) else [value]
    return form.spell([piece for piece in pieces if piece is not None], _written)


# --- pieces ------------------------------------------------------------------------------------


def quoted(value: str) -> str:
    """Return a text in quotes."""
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


def path_text(value: str) -> str:
    """Return a path as it is written, in quotes only where it needs them."""
    return value if _BARE_PATH.fullmatch(value) else quoted(value)


def figure(number: Numeral) -> str:
    """Return a number that need not be whole, without idle noughts."""
    text = number.text
    if len(text) > LONGEST_FIGURES:
        return text
    sign, digits = ("-", text[1:]) if text.startswith("-") else ("", text)
    before, _, after = digits.partition(".")
    before, after = before.lstrip("0") or "0", after.rstrip("0")
    plain = f"{before}.{after}" if after else before
    return plain if plain == "0" else sign + plain


def place_of(place: Position) -> str:
    """Return a position."""
    return f"{figure(place.x)},{figure(place.y)}"


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
        f"{kind.kind.text} {kind.way.text}" if kind.way else kind.kind.text for kind in needle.kinds
    ]
    for number in needle.strands:
        one = number.text.lstrip("0") == "1"
        words.append(f"{number.text} strand" if one else f"{number.text} strands")
    return " ".join(words)


def part_of(part: PartWords) -> str:
    """Return one part of a key line."""
    return " with ".join(
        " ".join(filter(None, (thread_of(needle.thread), stitch_of(needle))))
        for needle in part.needles
    )


def endings_of(line: KeyLine) -> tuple[str, str]:
    """Return the printed symbol wished for and the note of a key line, as written."""
    printed = [_option(ending) for ending in line.endings if ending.word == "printed"]
    notes = [_option(ending) for ending in line.endings if ending.word == "note"]
    return "  ".join(printed), "  ".join(notes)


def letter_of(line: LetterLine | DrawnLetterLine) -> str:
    """Return the letter before its first line; what is no letter or figure stands in quotes."""
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


def _option(option: Option | Swaps) -> str:
    return " ".join(_spelt(_OPTIONS[option.word], option.values))


def _written(slot: Slot, pieces: Sequence[object]) -> str:
    """Return what stands in a slot."""
    if slot.options:
        # The sort is stable: what is said twice, which is an error, keeps its order.
        options = [piece for piece in pieces if isinstance(piece, Option | Swaps)]
        places = {word: place for place, word in sorted(_ORDER[name] for name in slot.options)}
        return " ".join(map(_option, sorted(options, key=lambda option: places[option.word])))
    return slot.between.join(_piece(slot, piece) for piece in pieces)


def _piece(slot: Slot, piece: object) -> str:
    if isinstance(piece, Text) and "FILE" in slot.rules:
        return path_text(piece.value)
    if isinstance(piece, AreaWords):
        return _area(piece, slot)
    written = _PIECES[type(piece)](piece)
    return written.lower() if "COLOUR" in slot.rules and isinstance(piece, Word) else written


def _area(area: AreaWords, slot: Slot) -> str:
    """Return an area; `in` stands before every `region`, before no part that is `shown`."""
    is_shown = "shown" in slot.rules
    words = ["in"] if "region" in slot.rules or (area.thing is not None and not is_shown) else []
    if is_shown and area.thing is None and area.start is None:
        words.append("chart")
    if area.thing is not None:
        words.append(area.thing.text)
    if area.start is not None:
        start = place_of(area.start)
        words.append(f"at {start}" if area.end is None else f"{start} to {place_of(area.end)}")
    return " ".join(words)


def extent_of(extent: Extent | Dimensions) -> str:
    """Return a size as far as it is stated."""
    width, height = extent.width, extent.height
    if width is None:
        return "fitted" if height is None else f"{height.text} high"
    return f"{width.text} wide" if height is None else f"{width.text} x {height.text}"


def _stroke(stroke: StrokeWords) -> str:
    bows = "".join(f"by {place_of(place)} " for place in stroke.by)
    return f"up {place_of(stroke.up)} {bows}down {place_of(stroke.down)}"


_PIECES: Mapping[type, Callable[[Any], str]] = {
    Text: lambda text: quoted(text.value),
    Word: lambda word: word.text,
    Numeral: lambda number: number.text,
    Position: place_of,
    Dimensions: lambda size: f"{size.width.text} x {size.height.text}",
    Extent: extent_of,
    Length: lambda measure: f"{figure(measure.number)} {measure.unit.text}",
    Cloth: _cloth,
    StockWords: lambda stock: f"stock {stock.name.text} {figure(stock.version)}",
    StrokeWords: _stroke,
    SwapPair: lambda pair: f"{pair.old.text} as {pair.new.text}",
    ThreadWords: thread_of,
}
