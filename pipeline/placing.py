"""The chart block: its size and rows, and every item placed in it, in order."""

from __future__ import annotations

import unicodedata
from collections.abc import Collection, Mapping, Sequence

from .amounts import whole
from .diagnostics import Diagnostic, Hint, error
from .keylines import LONGEST_TEXT, text_value
from .model import (
    Alphabet,
    Anchor,
    Border,
    Chart,
    Cover,
    Item,
    Lettering,
    Mirror,
    Motif,
    Placement,
    Swap,
)
from .motifs import (
    LARGEST_SIDE,
    MOST_OVER,
    check_rows,
    number_in,
    options_by_word,
    point,
    shape,
    size_of,
    symmetry_in,
)
from .nodes import (
    Block,
    BorderLine,
    ChartHead,
    LetteringLine,
    Option,
    Place,
    PlacementLine,
    Row,
    ShapeLine,
    Swaps,
    Text,
    Word,
)
from .source import Span
from .suggest import all_of, did_you_mean

MOST_COPIES = 10_000  # of one placement
MOST_SPACE = 200  # columns or rows between letters, words and lines
_TURNS = {"right": 1, "half": 2, "left": 3}

Options = dict[str, Option]


class Names:
    """What may be placed: motifs and alphabets, with None for one whose block is at fault."""

    def __init__(
        self, motifs: Mapping[str, Motif | None], alphabets: Mapping[str, Alphabet | None]
    ) -> None:
        self.motifs = motifs
        self.alphabets = alphabets


def resolve_chart(
    block: Block, head: ChartHead, names: Names, found: list[Diagnostic]
) -> Chart | None:
    """Return the chart of a `chart` block; None when anything in it is at fault."""
    before = len(found)
    options = options_by_word(head.options, found)
    size = size_of(head.size, "a chart", found)
    rows = [member for member in block.members if isinstance(member, Row)]
    if rows and size is not None and not block.broken:
        check_rows(rows, size, head.size.span, "chart", found)
    items: list[Item] = []
    for member in block.members:
        item: Item | None = None
        if isinstance(member, ShapeLine):
            item = shape(member, found)
        elif isinstance(member, PlacementLine):
            item = _placement(member, names, found)
        elif isinstance(member, BorderLine):
            item = _border(member, names, found)
        elif isinstance(member, LetteringLine):
            item = _lettering(member, names, found)
        if item is not None:
            items.append(item)
    if len(found) > before or size is None or block.broken:
        return None
    return Chart(
        size[0],
        size[1],
        tuple(row.cells for row in rows),
        tuple(items),
        symmetry_in(options.get("symmetric")),
        tuple(row.span for row in rows),
        head.span,
    )


def _options(options: Sequence[Option | Swaps], found: list[Diagnostic]) -> tuple[Options, Swap]:
    plain = [option for option in options if isinstance(option, Option)]
    swaps = [option for option in options if isinstance(option, Swaps)]
    if len(swaps) > 1:
        found.append(
            error(
                "repeated-option",
                "`with` stands twice.",
                swaps[1].span,
                "give all swaps after one `with`, parted by commas: `with s as m, t as k`",
            )
        )
    pairs: dict[str, str] = {}
    for swap in swaps[:1]:
        for pair in swap.pairs:
            if pair.old.text in pairs:
                found.append(
                    error(
                        "repeated-option",
                        f"`{pair.old.text}` is swapped twice.",
                        pair.old.span,
                    )
                )
            pairs[pair.old.text] = pair.new.text
    return options_by_word(plain, found), tuple(pairs.items())


def _place(
    options: Options, word: Span, example: str, found: list[Diagnostic]
) -> tuple[float, float, Span] | None:
    option = options.get("at")
    if option is None:
        found.append(
            error("missing-place", "Where it stands is not stated.", word, f"add `{example}`")
        )
        return None
    place = option.values[-1]
    assert isinstance(place, Place)
    at = point(place, found)
    return None if at is None else (at[0], at[1], place.span)


def known_motif(word: Word, names: Names, found: list[Diagnostic]) -> bool:
    """Tell whether a motif of this name stands in the chart or in a chart it uses."""
    if word.text in names.motifs:
        return True
    guess = did_you_mean(word.text, names.motifs)
    hints = [guess] if guess else []
    if not guess and word.text in names.alphabets:
        hints.append(f'it is an alphabet: write `text "…" in {word.text} at 3,4`')
    elif not guess and names.motifs:
        hints.append(f"the motifs are {all_of(sorted(names.motifs)[:12])}")
    found.append(error("unknown-motif", f"There is no motif `{word.text}`.", word.span, *hints))
    return False


def _over(options: Options, found: list[Diagnostic]) -> int | None:
    number = number_in(options.get("over"))
    return whole(number, "Over", 1, MOST_OVER, found) if number else None


def _cover(options: Options) -> Cover:
    option = options.get("cover")
    if option is None or not isinstance(option.values[0], Word):
        return Cover.NOTHING
    return Cover(option.values[0].text)


def _placement(line: PlacementLine, names: Names, found: list[Diagnostic]) -> Placement | None:
    before = len(found)
    known_motif(line.motif, names, found)
    options, swap = _options(line.options, found)
    at = _place(options, line.motif.span, "at 20,14", found)
    across, down, step = _repeats(line, options, found)
    over = _over(options, found)
    if len(found) > before or at is None:
        return None
    return Placement(
        line.motif.text,
        at[0],
        at[1],
        _anchor(options["at"]),
        _mirror(options.get("mirrored")),
        _turns(options.get("turned")),
        across,
        down,
        step,
        over,
        _cover(options),
        swap,
        line.span,
        line.motif.span,
        at[2],
    )


def _anchor(option: Option) -> Anchor:
    first = option.values[0]
    return Anchor(first.text) if isinstance(first, Word) else Anchor.TOP_LEFT


def _mirror(option: Option | None) -> Mirror | None:
    if option is None:
        return None
    if option.values and isinstance(option.values[0], Word):
        return Mirror(option.values[0].text)
    return Mirror.LEFT_RIGHT


def _turns(option: Option | None) -> int:
    if option is None or not isinstance(option.values[0], Word):
        return 0
    return _TURNS[option.values[0].text]


def _repeats(
    line: PlacementLine, options: Options, found: list[Diagnostic]
) -> tuple[int, int, tuple[float, float]]:
    """Return how often across and down, and the step between."""
    nothing = (1, 1, (0.0, 0.0))
    repeat, step = options.get("repeat"), options.get("step")
    if repeat is None:
        if step is not None:
            found.append(
                error(
                    "step-without-repeat",
                    "A step is stated, but not how often.",
                    step.span,
                    f"write `{line.motif.text} x 3`, or take the step out",
                )
            )
        return nothing
    counts = [1, 1]
    for index in range(len(repeat.values)):
        number = number_in(repeat, index)
        count = number and whole(number, "The number of repeats", 1, LARGEST_SIDE, found)
        if not count:
            return nothing
        counts[index] = count
    across, down = counts
    if across * down > MOST_COPIES:
        found.append(
            error(
                "too-many-repeats",
                f"{across} by {down} repeats are {across * down:,}; "
                f"at most {MOST_COPIES:,} are placed by one line.",
                repeat.span,
            )
        )
        return nothing
    if step is None:
        if across * down > 1:
            found.append(
                error(
                    "missing-step",
                    "How far it is from one repeat to the next is not stated.",
                    repeat.span,
                    "add `step 10,0`: columns across, rows down",
                )
            )
        return across, down, (0.0, 0.0)
    place = step.values[0]
    distance = point(place, found) if isinstance(place, Place) else None
    if distance is None:
        return nothing
    _check_step(across, down, distance, step, found)
    return across, down, distance


def _check_step(
    across: int, down: int, step: tuple[float, float], option: Option, found: list[Diagnostic]
) -> None:
    """The first figure moves the repeats across, the second those down; neither is idle."""
    ways = ((across, step[0], "across", 0), (down, step[1], "down", 1))
    for count, distance, way, index in ways:
        if count > 1 and distance == 0:
            other = "`x 1 by 12` repeats downwards" if index == 0 else "`x 12` repeats across"
            found.append(
                error(
                    "step-of-nothing",
                    f"It repeats {way}, but the step {way} is 0.",
                    option.span,
                    f"the step is columns, rows; {other}",
                )
            )
        elif count == 1 and distance != 0:
            found.append(
                error(
                    "idle-step",
                    f"There is a step {way}, but nothing repeats {way}.",
                    option.span,
                    "the first figure is for `x 12`, the second for `by 3`; write 0 for the other",
                )
            )


def _border(line: BorderLine, names: Names, found: list[Diagnostic]) -> Border | None:
    before = len(found)
    known_motif(line.repeat, names, found)
    if line.corner is not None:
        known_motif(line.corner, names, found)
    options, swap = _options(line.options, found)
    number = number_in(options.get("inset"))
    inset = whole(number, "The inset", 0, LARGEST_SIDE, found) if number else 0
    mirrored = options.get("mirrored")
    if mirrored is not None and mirrored.values:
        found.append(
            error(
                "too-many-words",
                "A mirrored border is mirrored both ways; nothing follows `mirrored`.",
                mirrored.span,
            )
        )
    if len(found) > before or inset is None:
        return None
    corner = line.corner.text if line.corner else None
    return Border(line.repeat.text, corner, inset, mirrored is not None, swap, line.span)


def _lettering(line: LetteringLine, names: Names, found: list[Diagnostic]) -> Lettering | None:
    before = len(found)
    options, swap = _options(line.options, found)
    alphabet = options.get("in")
    span = line.lines[0].span
    at = _place(options, span, "at 10,60", found)
    word = alphabet.values[0] if alphabet else None
    if not isinstance(word, Word):
        found.append(
            error(
                "missing-alphabet",
                "In which alphabet it is set is not stated.",
                span,
                f"add `in {next(iter(names.alphabets), 'marking')}`",
            )
        )
        return None
    _check_alphabet(word, names.alphabets, names.motifs, found)
    texts = tuple(unicodedata.normalize("NFC", text_value(each, found)) for each in line.lines)
    if not "".join(texts).strip():
        found.append(error("empty-text", "There is nothing to set.", span))
    _check_length(line.lines, found)
    spacing = _space(options.get("spacing"), found)
    word_space = _space(options.get("space"), found)
    leading = _space(options.get("leading"), found)
    over = _over(options, found)
    if len(found) > before or at is None:
        return None
    changeable = options.get("changeable")
    name = changeable.values[0] if changeable else None
    return Lettering(
        texts,
        word.text,
        at[0],
        at[1],
        "centred" in options,
        spacing,
        word_space,
        2 if leading is None else leading,
        over,
        _cover(options),
        swap,
        name.text if isinstance(name, Word) else "",
        line.span,
        tuple(each.span for each in line.lines),
        word.span,
    )


def _check_alphabet(
    word: Word,
    alphabets: Mapping[str, Alphabet | None],
    motifs: Collection[str],
    found: list[Diagnostic],
) -> None:
    if word.text in alphabets:
        return
    guess = did_you_mean(word.text, alphabets)
    hints: list[str | Hint] = [guess] if guess else []
    if not guess and word.text in motifs:
        hints.append("it is a motif, not an alphabet")
    elif not guess and alphabets:
        hints.append(f"the alphabets are {all_of(sorted(alphabets)[:12])}")
    found.append(
        error("unknown-alphabet", f"There is no alphabet `{word.text}`.", word.span, *hints)
    )


def _check_length(lines: Sequence[Text], found: list[Diagnostic]) -> None:
    for line in lines:
        if LARGEST_SIDE < len(line.value) <= LONGEST_TEXT:
            found.append(
                error(
                    "text-too-long",
                    f"This line has {len(line.value):,} letters and is wider than any chart.",
                    line.span,
                )
            )


def _space(option: Option | None, found: list[Diagnostic]) -> int | None:
    number = number_in(option)
    return whole(number, "A space", 0, MOST_SPACE, found) if number else None
