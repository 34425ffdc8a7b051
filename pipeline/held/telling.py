"""What differs between a chart and its photographs, as findings, the surest first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import assert_never

import numpy as np

from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic, Diagnostics, finding
from ..core.key import KeyEntry
from ..core.matter import Note
from ..core.source import Span
from ..photograph.differences import Difference, DifferenceKind
from ..photograph.told import Told
from .answers import Answer

MOST_TOLD = 150  # of one photograph; further ones are hardly ever right
SURE, LIKELY = 0.95, 0.75


def findings_of(worked: WorkedChart, answer: Answer) -> Diagnostics:
    """Return what is told of one photograph."""
    return tuple(_findings(worked, answer))


def _findings(worked: WorkedChart, answer: Answer) -> Iterator[Diagnostic]:
    for told in answer.told:
        yield _limit(told, answer)
    if answer.photograph is None:
        yield finding(
            "missing-file",
            f"`{answer.showing.path}` could be opened before, and now cannot.",
            answer.showing.span,
            "see whether it is still there",
        )
    if answer.held is None:
        return
    apart = [each for each in answer.held.differences if each.apart]
    others = [each for each in answer.held.differences if not each.apart]
    for number, difference in enumerate(others[:MOST_TOLD], 1):
        yield _difference(worked, answer, difference, number)
    if len(others) > MOST_TOLD:
        yield finding(
            "more-differ",
            f"{len(others) - MOST_TOLD:,} more differ, less surely.",
            answer.showing.span,
            "when the first are put right, hold the chart against the photograph again",
        )
    for pair in answer.held.alike:
        one, other = (_thread(each, answer) for each in pair)
        yield finding(
            "faded-alike",
            f"{answer.showing.path}: {one} and {other} look alike in it; where one is worked "
            "for the other is not told.",
            answer.showing.span,
            "look at the piece, best at its back, where both are used",
        )
    yield from _apart(worked, answer, apart)


def _limit(told: Told, answer: Answer) -> Diagnostic:
    where = told.message
    if told.box is not None:
        where = f"{counted_squares(told.box, answer)}: {told.message}"
    span = answer.showing.corners_span or answer.showing.span
    return finding(told.limit.word, f"{answer.showing.path}: {where}", span, told.advice)


def _difference(
    worked: WorkedChart, answer: Answer, difference: Difference, number: int
) -> Diagnostic:
    return finding(
        difference.kind.value,
        f"{number}. {sentence(difference, answer)}",
        _span(worked, answer, difference),
        f"{sureness(difference)}, by {answer.showing.path}; "
        f"its first cell is at {_position(difference, answer)}",
    )


def sentence(difference: Difference, answer: Answer) -> str:
    """Return what differs, as a sentence."""
    where = counted_squares(difference.box, answer)
    expected, seen = (_thread(each, answer) for each in (difference.expected, difference.seen))
    off = f"lies {step_words(difference.step)} in the photograph"
    match difference.kind:
        case DifferenceKind.BAND:
            what = f"all of it {off}"
        case DifferenceKind.BLOCK:
            what = f"this block {off}"
        case DifferenceKind.FIGURE:
            what = f"this figure in {expected} {off}"
        case DifferenceKind.STEP:
            what = f"this group of {len(difference.cells)} cells {off}"
        case DifferenceKind.MISSING:
            what = f"the chart has {expected}, the photograph bare cloth"
        case DifferenceKind.EXTRA:
            what = f"the chart is bare, the photograph has {seen}"
        case DifferenceKind.WRONG:
            what = f"the chart has {expected}, the photograph {seen}"
        case _:
            assert_never(difference.kind)
    return f"{where}: {what}."


def sureness(difference: Difference) -> str:
    """Return how sure a difference is, in words."""
    share = difference.sureness
    word = "sure" if share >= SURE else "likely" if share >= LIKELY else "doubtful"
    return f"{word} ({min(99, round(100 * share))} in 100)"


def step_words(step: tuple[int, int]) -> str:
    """Return a step in words: `one row lower, one column to the left`."""
    right, down = step
    words = []
    if down:
        words.append(f"{_many(abs(down), 'row')} {'lower' if down > 0 else 'higher'}")
    if right:
        words.append(f"{_many(abs(right), 'column')} to the {'right' if right > 0 else 'left'}")
    return ", ".join(words)


def _many(count: int, what: str) -> str:
    return f"one {what}" if count == 1 else f"{count} {what}s"


def counted_squares(box: tuple[int, int, int, int], answer: Answer) -> str:
    """Return cells of the part as counted squares of the chart, first and last included."""
    x0, y0, x1, y1 = box
    columns = _counted("column", x0 + answer.part.left + 1, x1 + answer.part.left)
    rows = _counted("row", y0 + answer.part.top + 1, y1 + answer.part.top)
    words = f"{columns}, {rows}"
    return words[0].upper() + words[1:]


def _counted(what: str, first: int, last: int) -> str:
    return f"{what} {first}" if first == last else f"{what}s {first} to {last}"


def _position(difference: Difference, answer: Answer) -> str:
    x, y = difference.cells[0].tolist()
    return f"{x + answer.part.left},{y + answer.part.top}"


def _thread(number: int, answer: Answer) -> str:
    if number == 0:
        return "bare cloth"
    entry: KeyEntry = answer.part.threads[number - 1]
    return f"{thread_words(entry)} (`{entry.symbol}`)"


def thread_words(entry: KeyEntry) -> str:
    """Return the threads of a key line by their names."""
    return " with ".join(each.thread.name or each.thread.label for each in entry.parts[0].needle)


def _span(worked: WorkedChart, answer: Answer, difference: Difference) -> Span | None:
    """Return the line that placed most of the cells; that of the photograph where all are bare."""
    columns, rows = difference.cells.T
    owners = worked.owner[rows + answer.part.top, columns + answer.part.left]
    owners = owners[owners >= 0]
    if not len(owners):
        return answer.showing.part_span
    return worked.placed[int(np.bincount(owners).argmax())].span


# --- where the chart says that it is not as the piece --------------------------------------------


def _apart(
    worked: WorkedChart, answer: Answer, differences: Sequence[Difference]
) -> Iterator[Diagnostic]:
    for note in worked.design.notes:
        if not note.kind.sets_apart:
            continue
        inside = sum(_in(note, difference, answer) for difference in differences)
        if inside:
            many = f"{inside} differences" if inside > 1 else "one difference"
            yield finding(
                "told-apart",
                f"In this area there {'are' if inside > 1 else 'is'} {many} from "
                f"{answer.showing.path}; `{note.kind.value}` says why.",
                note.span,
                "nothing needs to be done if that is what it tells of",
            )


def _in(note: Note, difference: Difference, answer: Answer) -> bool:
    x, y = (difference.cells[0] + (answer.part.left, answer.part.top)).tolist()
    return bool(note.x0 <= x + 0.5 <= note.x1 and note.y0 <= y + 0.5 <= note.y1)
