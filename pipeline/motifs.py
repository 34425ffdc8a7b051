"""Motifs and alphabets: grids of rows with a stated size, and their own lines and knots."""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Sequence

from .amounts import whole
from .diagnostics import Diagnostic, Hint, error
from .keylines import check_name
from .model import Alphabet, Knot, Letter, Line, Motif, Symmetry
from .nodes import (
    AlphabetHead,
    Block,
    LetterLine,
    Member,
    MotifHead,
    Number,
    Option,
    Place,
    Row,
    ShapeLine,
    Size,
    Text,
    Word,
)
from .source import Span

LARGEST_SIDE = 2_000  # crosses
MOST_OVER = 12  # threads one cross may span
HIGHEST_LETTER = 200  # rows
WIDEST_SPACE = 200  # columns
MOST_RAGGED = 5  # rows of a wrong width shown one by one
FURTHEST = 10_000.0  # crosses from the corner that anything can be placed


class Shape:
    """Lines and knots as read, in order."""

    def __init__(self) -> None:
        self.lines: list[Line] = []
        self.knots: list[Knot] = []
        self.nodes: list[ShapeLine] = []


def size_of(size: Size, what: str, found: list[Diagnostic]) -> tuple[int, int] | None:
    """Return width and height of a stated size."""
    width = whole(size.width, f"The width of {what}", 1, LARGEST_SIDE, found)
    height = whole(size.height, f"The height of {what}", 1, LARGEST_SIDE, found)
    return None if width is None or height is None else (width, height)


def point(place: Place, found: list[Diagnostic]) -> tuple[float, float] | None:
    """Return a position as numbers."""
    values = []
    for number in (place.x, place.y):
        value = float(number.text) if len(number.text) <= 12 else FURTHEST + 1
        if abs(value) > FURTHEST:
            found.append(error("absurd-number", "This position is far off any chart.", place.span))
            return None
        values.append(value)
    return values[0], values[1]


def shape(line: ShapeLine, found: list[Diagnostic]) -> Line | Knot | None:
    """Return a line or knots through points."""
    points = [point(each, found) for each in line.points]
    kept = tuple(each for each in points if each is not None)
    if len(kept) < len(points):
        return None
    if line.word.text == "line":
        if len(kept) < 2:
            found.append(
                error(
                    "too-few-points",
                    "A line needs two points or more.",
                    line.points[0].span,
                    f"write `line {line.symbol.text} 4,3 4,4`",
                )
            )
            return None
        return Line(line.symbol.text, kept, line.span)
    return Knot(line.symbol.text, kept, line.span)


def shapes(members: Sequence[Member], found: list[Diagnostic]) -> Shape:
    """Return the lines and knots among the lines of a block."""
    result = Shape()
    for member in members:
        if not isinstance(member, ShapeLine):
            continue
        made = shape(member, found)
        if isinstance(made, Line):
            result.lines.append(made)
        elif made is not None:
            result.knots.append(made)
        if made is not None:
            result.nodes.append(member)
    return result


def options_by_word(options: Sequence[Option], found: list[Diagnostic]) -> dict[str, Option]:
    """Return options by their word, each at most once."""
    result: dict[str, Option] = {}
    for option in options:
        if option.word in result:
            found.append(
                error(
                    "repeated-option",
                    "This is stated twice.",
                    option.span,
                    Hint("it stands here first", result[option.word].span),
                )
            )
        result.setdefault(option.word, option)
    return result


def number_in(option: Option | None, index: int = 0) -> Number | None:
    """Return a number that an option holds."""
    if option is None or index >= len(option.values):
        return None
    value = option.values[index]
    return value if isinstance(value, Number) else None


def symmetry_in(option: Option | None) -> Symmetry | None:
    """Return the symmetry that an option states."""
    if option is None or not isinstance(option.values[0], Word):
        return None
    return Symmetry(option.values[0].text)


def resolve_motif(block: Block, head: MotifHead, found: list[Diagnostic]) -> Motif | None:
    """Return the motif of a `motif` block; None when anything in it is at fault."""
    before = len(found)
    check_name(head.name, found)
    options = options_by_word(head.options, found)
    size = size_of(head.size, "a motif", found)
    over_number = number_in(options.get("over"))
    over = whole(over_number, "Over", 1, MOST_OVER, found) if over_number else None
    rows = [member for member in block.members if isinstance(member, Row)]
    if size is not None and not block.broken:
        check_rows(rows, size, head.size.span, f"motif `{head.name.text}`", found)
    own = shapes(block.members, found)
    if len(found) > before or size is None or block.broken:
        return None
    return Motif(
        head.name.text,
        size[0],
        size[1],
        tuple(row.cells for row in rows),
        tuple(own.lines),
        tuple(own.knots),
        over,
        symmetry_in(options.get("symmetric")),
        tuple(row.span for row in rows),
        head.name.span,
    )


def check_rows(
    rows: Sequence[Row], size: tuple[int, int], stated: Span, what: str, found: list[Diagnostic]
) -> None:
    """Hold rows to the size stated for them."""
    width, height = size
    widths = Counter(len(row.cells) for row in rows)
    too_long = next((row for row in rows if len(row.cells) > LARGEST_SIDE), None)
    if too_long is not None:
        found.append(
            error(
                "row-too-long",
                f"This row has {len(too_long.cells):,} crosses; "
                f"a chart is at most {LARGEST_SIDE:,} wide.",
                too_long.span,
                "divide a larger work into several charts",
            )
        )
        return
    common, times = widths.most_common(1)[0] if widths else (width, 0)
    if common != width and times == len(rows) and times > 1:
        found.append(
            error(
                "width-differs",
                f"The rows of {what} are {common} wide, but {width} is stated.",
                stated,
                Hint("the first row", rows[0].span),
            )
        )
    else:
        _check_widths(rows, width, stated, what, found)
    if len(rows) != height:
        rows_word = "row" if len(rows) == 1 else "rows"
        place = [Hint("the last row", rows[-1].span)] if rows else []
        found.append(
            error(
                "row-count",
                f"The {what} has {len(rows)} {rows_word}, but {height} are stated.",
                stated,
                *place,
                "put the size right, or look for a row too few or too many",
            )
        )


def _check_widths(
    rows: Sequence[Row], width: int, stated: Span, what: str, found: list[Diagnostic]
) -> None:
    ragged = [(index, row) for index, row in enumerate(rows, 1) if len(row.cells) != width]
    for index, row in ragged[:MOST_RAGGED]:
        found.append(
            error(
                "ragged-row",
                f"Row {index} of {what} is {len(row.cells)} wide, but {width} is stated.",
                row.span,
                Hint(f"{width} is stated here", stated),
            )
        )
    if len(ragged) > MOST_RAGGED:
        more = len(ragged) - MOST_RAGGED
        found.append(
            error(
                "ragged-row",
                f"{more} more rows of {what} are not {width} wide.",
                ragged[MOST_RAGGED][1].span,
            )
        )


# --- alphabets ---------------------------------------------------------------------------------


def resolve_alphabet(block: Block, head: AlphabetHead, found: list[Diagnostic]) -> Alphabet | None:
    """Return the alphabet of an `alphabet` block; None when anything in it is at fault."""
    before = len(found)
    check_name(head.name, found)
    options = options_by_word(head.options, found)
    number = number_in(options.get("height"))
    if number is None:
        found.append(
            error(
                "missing-height",
                f"How high the letters of `{head.name.text}` are is not stated.",
                head.name.span,
                f"write `alphabet {head.name.text} height 7`",
            )
        )
        height = None
    else:
        height = whole(number, "The height of letters", 1, HIGHEST_LETTER, found)
    spacing = _space(options.get("spacing"), 1, found)
    word = _space(options.get("space"), 3, found)
    letters = _letters(block, number, height, found)
    if not letters and not block.broken and len(found) == before:
        found.append(error("empty-alphabet", f"`{head.name.text}` has no letters.", head.name.span))
    if len(found) > before or height is None or block.broken:
        return None
    return Alphabet(head.name.text, height, letters, spacing, word, head.name.span)


def _space(option: Option | None, default: int, found: list[Diagnostic]) -> int:
    number = number_in(option)
    if number is None:
        return default
    value = whole(number, "A space", 0, WIDEST_SPACE, found)
    return default if value is None else value


def _letters(
    block: Block, stated: Number | None, height: int | None, found: list[Diagnostic]
) -> dict[str, Letter]:
    letters: dict[str, Letter] = {}
    current: LetterLine | None = None
    rows: list[Row] = []

    def finish() -> None:
        if current is None:
            return
        letter = _letter(current, rows, stated, height, bool(block.broken), found)
        if letter is None:
            return
        first = letters.get(letter.character)
        if first is not None:
            found.append(
                error(
                    "duplicate-letter",
                    f"The letter `{letter.character}` is charted twice.",
                    current.character.span,
                    Hint("the first stands here", first.span),
                )
            )
            return
        letters[letter.character] = letter

    for member in block.members:
        if isinstance(member, LetterLine):
            finish()
            current, rows = member, []
        elif isinstance(member, Row):
            rows.append(member)
    finish()
    return letters


def _letter(
    line: LetterLine,
    rows: Sequence[Row],
    stated: Number | None,
    height: int | None,
    broken: bool,
    found: list[Diagnostic],
) -> Letter | None:
    written = line.character
    character = unicodedata.normalize(
        "NFC", written.value if isinstance(written, Text) else written.text
    )
    if len(character) != 1 or unicodedata.category(character)[0] not in "LNPS":
        found.append(
            error(
                "bad-letter",
                "A letter of an alphabet is one visible character.",
                written.span,
                "the space between words is stated once: `space 3`",
            )
        )
        return None
    what = f"letter `{character}`"
    widths = Counter(len(row.cells) for row in rows)
    width = widths.most_common(1)[0][0]
    if width == 0:
        found.append(error("empty-row", f"The {what} has no width.", rows[0].span))
        return None
    too_long = next((row for row in rows if len(row.cells) > LARGEST_SIDE), None)
    if too_long is not None or len(widths) > 1:
        odd = too_long or next(row for row in rows if len(row.cells) != width)
        found.append(
            error(
                "row-too-long" if too_long else "ragged-row",
                f"Row {rows.index(odd) + 1} of {what} is {len(odd.cells):,} wide, "
                f"the others are {width:,}.",
                odd.span,
                "all rows of a letter are equally wide; letters may differ",
            )
        )
        return None
    if height is not None and len(rows) != height and not broken:
        found.append(
            error(
                "row-count",
                f"The {what} has {len(rows)} row{'s' if len(rows) != 1 else ''}, "
                f"but the alphabet is {height} high.",
                written.span,
                *([Hint("the height is stated here", stated.span)] if stated else []),
            )
        )
        return None
    return Letter(
        character,
        tuple(row.cells for row in rows),
        tuple(row.span for row in rows),
        written.span,
    )
