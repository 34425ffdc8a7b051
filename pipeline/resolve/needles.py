"""Which thread stands in the needle: ranges and codes, colours given inline, blends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ..core.characters import hidden_in_name
from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.files import hidden_character
from ..core.key import Strands, Thread
from ..core.suggest import all_of, did_you_mean, nearest
from ..syntax.phrases import Numeral, PartWords, ThreadWords
from .settings import whole
from .threads import ThreadRange

MOST_IN_NEEDLE = 24  # strands of one thread
MOST_IN_BLEND = 6  # threads worked together
LONGEST_NAME = 200  # characters


@dataclass
class Basket:
    """The threads that may be named: the ranges by name, and the inline colours met so far.

    unread: names of ranges whose block could not be read; their threads are not blamed.
    strands: of threads that are worked with another number where none is stated.
    whole: whether every file used could be read; if not, unknown ranges are not blamed.
    """

    ranges: Mapping[str, ThreadRange]
    unread: frozenset[str] = frozenset()
    whole: bool = True
    inline: dict[str, Thread] = field(default_factory=dict)
    strands: dict[tuple[str, str], int] = field(default_factory=dict)

    def thread(self, words: ThreadWords, findings: list[Diagnostic]) -> Thread | None:
        """Return the thread that the words name."""
        if words.colour is not None and words.name is not None:
            return self._inline(words.colour.text.lower(), words.name.value, words, findings)
        if words.range is None or words.code is None:
            return None
        name, code = words.range.text, words.code.text
        known = self.ranges.get(name)
        if known is None:
            if self.whole and name not in self.unread:
                findings.append(self._unknown_range(words))
            return None
        thread = known.threads.get(code)
        if thread is None and known.whole:
            findings.append(_unknown_thread(known, words))
        return thread

    def _unknown_range(self, words: ThreadWords) -> Diagnostic:
        assert words.range is not None
        name = words.range.text
        hints: list[str] = []
        if guess := did_you_mean(name, self.ranges):
            hints.append(guess)
        elif self.ranges:
            hints.append(f"the ranges of this chart: {all_of(sorted(self.ranges))}")
        else:
            hints.append(f"name its file: `range {name} from {name}.csv`")
        return finding(
            "unknown-range", f"There is no thread range `{name}`.", words.range.span, *hints
        )

    def _inline(
        self, colour: str, name: str, words: ThreadWords, findings: list[Diagnostic]
    ) -> Thread | None:
        if not name.strip() or len(name) > LONGEST_NAME:
            findings.append(
                finding(
                    "bad-thread-name",
                    f"A colour given here needs a name of at most {LONGEST_NAME} characters.",
                    words.span,
                    'write `#aa3344 "madder"`',
                )
            )
            return None
        if hidden := hidden_in_name(name):
            findings.append(hidden_character(hidden, words.span))
            return None
        thread = Thread("", "", name, colour, span=words.span)
        first = self.inline.setdefault(name, thread)
        if first.colour != colour:
            findings.append(
                finding(
                    "two-colours-one-name",
                    f'"{name}" is {colour} here and {first.colour} elsewhere.',
                    words.span,
                    Hint("first given here", first.span),
                    "give each colour a name of its own",
                )
            )
            return None
        return first


def _unknown_thread(known: ThreadRange, words: ThreadWords) -> Diagnostic:
    assert words.code is not None
    code = words.code.text
    codes = list(known.threads)
    hints = []
    guesses = nearest(code, codes)
    if guesses:
        with_names = [f"`{each}` ({known.threads[each].name})" for each in guesses]
        hints.append(f"the nearest: {', '.join(with_names)}")
    elif codes:
        hints.append(f"codes are such as {all_of(codes[:3])}")
    by_name = [
        each.code for each in known.threads.values() if each.name.casefold() == code.casefold()
    ]
    if by_name:
        hints = [f"`{code}` is the name of `{by_name[0]}`: write `{known.name} {by_name[0]}`"]
    return finding(
        "unknown-thread",
        f"The range `{known.name}` has no thread `{code}`.",
        words.code.span,
        *hints,
    )


def needle(
    part: PartWords,
    basket: Basket,
    usual: int,
    findings: list[Diagnostic],
    before: Sequence[Strands] = (),
) -> tuple[Strands, ...] | None:
    """Return what is in the needle for one part.

    usual: strands when none are stated; in a blend it is one of each, as it is of a thread that
    does not divide. before: what a colourway
    replaces; then as many strands as before are assumed.
    """
    blend = len(part.needles) > 1
    if len(part.needles) > MOST_IN_BLEND:
        findings.append(
            finding(
                "blend-too-long",
                f"At most {MOST_IN_BLEND} threads can be worked together in one needle.",
                part.span,
                "leave some out",
            )
        )
        return None
    result: list[Strands | None] = []
    for index, each in enumerate(part.needles):
        thread = basket.thread(each.thread, findings)
        if len(before) == len(part.needles):
            assumed = before[index].strands
        elif before and not blend:
            assumed = sum(strands.strands for strands in before)
        else:
            assumed = 1 if blend else usual
        if thread is not None and not before:
            own = basket.strands.get(thread.named)
            assumed = own or (assumed if thread.divides else 1)
        elif thread is not None and not thread.divides:
            assumed = 1
        count = _count(each.strands, assumed, findings)
        result.append(None if thread is None or count is None else Strands(thread, count))
    threads = [(each.thread.range, each.thread.label) for each in result if each]
    if len(set(threads)) < len(threads):
        findings.append(
            finding(
                "thread-twice",
                "One thread is named twice for the same needle.",
                part.span,
                "state its strands once: `2 strands`",
            )
        )
    kept = tuple(each for each in result if each is not None)
    return kept if len(kept) == len(result) else None


def _count(stated: Sequence[Numeral], assumed: int, findings: list[Diagnostic]) -> int | None:
    if not stated:
        return assumed
    if len(stated) > 1:
        findings.append(
            finding(
                "repeated-option",
                "The strands are stated twice.",
                stated[1].span,
                "take one of them out",
            )
        )
        return None
    return whole(stated[0], "The number of strands", 1, MOST_IN_NEEDLE, findings)
