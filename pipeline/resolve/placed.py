"""What every placement says: where, how often, over how many threads, on what, in which symbols."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from ..core.diagnostics import Diagnostic, finding
from ..core.items import Alphabet, Cover, Swap
from ..core.source import Span
from ..core.suggest import did_you_mean, named
from ..syntax.nodes import PlacementLine
from ..syntax.phrases import Option, Position, Swaps, Word
from .needles import MOST_IN_NEEDLE
from .settings import LARGEST_SIDE, MOST_OVER, number_in, options_by_word, point, whole

OptionsByWord = dict[str, Option]


@dataclass(frozen=True)
class Names:
    """What may be placed, by name; None for an alphabet whose block could not be read.

    whole: whether every file used could be read; if not, a name that is not there is not blamed.
    """

    motifs: Collection[str]
    alphabets: Mapping[str, Alphabet | None]
    whole: bool = True


def known_motif(word: Word, names: Names, findings: list[Diagnostic]) -> bool:
    """Tell whether a motif of this name stands in the chart or in a chart it uses."""
    if word.text in names.motifs or not names.whole:
        return True
    guess = did_you_mean(word.text, names.motifs)
    hints = [guess] if guess else []
    if not guess and word.text in names.alphabets:
        hints.append(f'it is an alphabet: write `text "…" in {word.text} at 3,4`')
    elif not guess and names.motifs:
        hints.append(named("motif", names.motifs))
    elif not guess:
        hints.append("draw it under a `motif` line, or bring it in with `use`")
    findings.append(
        finding("unknown-motif", f"There is no motif `{word.text}`.", word.span, *hints)
    )
    return False


def options_of(
    options: Sequence[Option | Swaps], findings: list[Diagnostic]
) -> tuple[OptionsByWord, Swap]:
    """Return the options of a placement by their word, and its swaps."""
    plain = [option for option in options if isinstance(option, Option)]
    swaps = [option for option in options if isinstance(option, Swaps)]
    if len(swaps) > 1:
        findings.append(
            finding(
                "repeated-option",
                "`with` stands twice.",
                swaps[1].span,
                "give all swaps after one `with`, separated by commas: `with s as m, t as k`",
            )
        )
    pairs: dict[str, str] = {}
    for swap in swaps[:1]:
        for pair in swap.pairs:
            if pair.old.text in pairs:
                findings.append(
                    finding(
                        "repeated-option",
                        f"`{pair.old.text}` is swapped twice.",
                        pair.old.span,
                        "take one of them out",
                    )
                )
            pairs[pair.old.text] = pair.new.text
    return options_by_word(plain, findings), tuple(pairs.items())


def place_of(
    options: OptionsByWord, word: Span, example: str, findings: list[Diagnostic]
) -> tuple[float, float, Span] | None:
    """Return the position stated and its place; word: the place to blame where there is none."""
    option = options.get("at")
    if option is None:
        findings.append(
            finding("missing-place", "This placement does not say where.", word, f"add `{example}`")
        )
        return None
    place = option.values[-1]
    assert isinstance(place, Position)
    at = point(place, findings)
    return None if at is None else (at[0], at[1], place.span)


def over_of(options: OptionsByWord, findings: list[Diagnostic]) -> int | None:
    """Return over how many threads it is stitched, if that is stated."""
    number = number_in(options.get("over"))
    return whole(number, "`over`", 1, MOST_OVER, findings) if number else None


def strands_of(options: OptionsByWord, findings: list[Diagnostic]) -> int | None:
    """Return how many strands its crosses are stitched with, if that is stated."""
    number = number_in(options.get("strands"))
    return whole(number, "A number of strands", 1, MOST_IN_NEEDLE, findings) if number else None


def cover_of(options: OptionsByWord) -> Cover:
    """Return what it may do to what lies below."""
    option = options.get("cover")
    if option is None or not isinstance(option.values[0], Word):
        return Cover.NOTHING
    return Cover(option.values[0].text)


MOST_COPIES = 10_000  # of one placement


def repeats_of(
    line: PlacementLine, options: OptionsByWord, findings: list[Diagnostic]
) -> tuple[int, int, tuple[float, float]]:
    """Return how often across and down, and the step between."""
    nothing = (1, 1, (0.0, 0.0))
    repeat, step = options.get("repeat"), options.get("step")
    if repeat is None:
        if step is not None:
            findings.append(
                finding(
                    "step-without-repeat",
                    "There is a step, but not how often to repeat.",
                    step.span,
                    f"write `{line.motif.text} x 3`, or take the step out",
                )
            )
        return nothing
    counts = [1, 1]
    for index in range(len(repeat.values)):
        number = number_in(repeat, index)
        count = number and whole(number, "The number of repeats", 1, LARGEST_SIDE, findings)
        if not count:
            return nothing
        counts[index] = count
    across, down = counts
    if across * down > MOST_COPIES:
        findings.append(
            finding(
                "too-many-repeats",
                f"{across} by {down} repeats make {across * down:,}; "
                f"one line places at most {MOST_COPIES:,}.",
                repeat.span,
                "place them by several lines, or draw a larger motif",
            )
        )
        return nothing
    if step is None:
        if across * down > 1:
            findings.append(
                finding(
                    "missing-step",
                    "The distance from one repeat to the next is missing.",
                    repeat.span,
                    "add `step 10,0`: columns across, rows down",
                )
            )
        return across, down, (0.0, 0.0)
    place = step.values[0]
    distance = point(place, findings) if isinstance(place, Position) else None
    if distance is None:
        return nothing
    _check_step(across, down, distance, step, findings)
    return across, down, distance


def _check_step(
    across: int, down: int, step: tuple[float, float], option: Option, findings: list[Diagnostic]
) -> None:
    """The first figure moves the repeats across, the second those down; neither is idle."""
    ways = ((across, step[0], "across", 0), (down, step[1], "down", 1))
    for count, distance, way, index in ways:
        if count > 1 and distance == 0:
            other = "`x 1 by 12` repeats downwards" if index == 0 else "`x 12` repeats across"
            findings.append(
                finding(
                    "step-of-nothing",
                    f"It repeats {way}, but the step {way} is 0.",
                    option.span,
                    f"the step is columns, rows; {other}",
                )
            )
        elif count == 1 and distance != 0:
            findings.append(
                finding(
                    "idle-step",
                    f"There is a step {way}, but nothing repeats {way}.",
                    option.span,
                    "the first number is for `x 12`, the second for `by 3`; write 0 for the other",
                )
            )
