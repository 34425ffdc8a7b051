"""Lines of text set in an alphabet."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.items import Alphabet, Lettering, Taking, Turns
from ..core.source import Span
from ..core.suggest import did_you_mean, named
from ..syntax.nodes import LetteringLine
from ..syntax.phrases import Option, SwapPair, Text, Word
from .drafts import Draft
from .keylines import LONGEST_TEXT, text_value
from .placed import Names, cover_of, options_of, over_of, place_of, strands_of
from .settings import LARGEST_SIDE, number_in, whole

MOST_SPACE = 200  # columns or rows between letters, words and lines


def lettering(
    line: LetteringLine, names: Names, draft: Draft, findings: list[Diagnostic]
) -> Lettering | None:
    """Return the lettering of a `text` line; None when anything in it is at fault."""
    before = len(findings)
    options, swap = options_of(line.options, findings)
    alphabet = options.get("in")
    span = line.lines[0].span
    draft.options = options
    at: tuple[float, float, Span | None] | None = (0.0, 0.0, None)
    if draft.needs_at or "at" in options:
        at = place_of(options, span, "at 10,60", findings)
    named = alphabet.values if alphabet else ()
    word = named[0] if named else None
    if not isinstance(word, Word):
        findings.append(
            finding(
                "missing-alphabet",
                "This text does not say which alphabet to use.",
                span,
                f"add `in {next(iter(names.alphabets), 'marking')}`",
            )
        )
        return None
    if names.whole:
        for each in named:
            assert isinstance(each, Word)  # the grammar has it so
            _check_alphabet(each, names.alphabets, names.motifs, findings)
    texts = tuple(text_value(each, findings) for each in line.lines)
    if not "".join(texts).strip():
        findings.append(
            finding(
                "empty-text",
                "There is nothing to set.",
                span,
                "write the letters between the quotes, or take the line out",
            )
        )
    _check_length(line.lines, findings)
    spacing = _space(options.get("spacing"), findings)
    word_space = _space(options.get("space"), findings)
    leading = _space(options.get("leading"), findings)
    spread_number = number_in(options.get("spread"))
    spread = None
    if spread_number is not None:
        spread = whole(spread_number, "A width", 1, LARGEST_SIDE, findings)
    over = over_of(options, findings)
    strands = strands_of(options, findings)
    if len(findings) > before or at is None:
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
        strands,
        cover_of(options),
        swap,
        name.text if isinstance(name, Word) else "",
        line.span,
        tuple(each.span for each in line.lines),
        word.span,
        draft.is_aligned("right"),
        draft.half(across=True),
        tuple(name.text for name in named[1:] if isinstance(name, Word)),
        spread,
        _turns(options.get("taking")),
    )


def _check_alphabet(
    word: Word,
    alphabets: Mapping[str, Alphabet | None],
    motifs: Collection[str],
    findings: list[Diagnostic],
) -> None:
    if word.text in alphabets:
        return
    guess = did_you_mean(word.text, alphabets)
    hints: list[str | Hint] = [guess] if guess else []
    if not guess and word.text in motifs:
        hints.append("it is a motif, not an alphabet")
    elif not guess and alphabets:
        hints.append(named("alphabet", alphabets))
    elif not guess:
        hints.append("draw its letters under an `alphabet` line, or bring it in with `use`")
    findings.append(
        finding("unknown-alphabet", f"There is no alphabet `{word.text}`.", word.span, *hints)
    )


def _turns(option: Option | None) -> Turns | None:
    """Return the symbols that letters, words or lines take by turns."""
    if option is None or not isinstance(option.values[0], Word):
        return None
    swaps: dict[str, list[str]] = {}
    for pair in option.values[1:]:
        if isinstance(pair, SwapPair):
            swaps.setdefault(pair.old.text, []).append(pair.new.text)
    news = tuple((old, tuple(several)) for old, several in swaps.items())
    return Turns(Taking(option.values[0].text), news)


def _check_length(lines: Sequence[Text], findings: list[Diagnostic]) -> None:
    for line in lines:
        if LARGEST_SIDE < len(line.value) <= LONGEST_TEXT:
            findings.append(
                finding(
                    "text-too-long",
                    f"This line has {len(line.value):,} letters and is wider than any chart.",
                    line.span,
                    "divide it into several texts",
                )
            )


def _space(option: Option | None, findings: list[Diagnostic]) -> int | None:
    number = number_in(option)
    return whole(number, "A space", 0, MOST_SPACE, findings) if number else None
