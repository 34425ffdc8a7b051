"""Findings that only follow from another: one mistake is told once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from ..core.diagnostics import Diagnostic, Hint

MOST_LINES_NAMED = 5

# What is not there because of a mistake that is told where it was made.
_FOLLOWS = {
    "unknown-range": {"duplicate-range"},
    "unknown-motif": {"duplicate-motif"},
    "unknown-alphabet": {"duplicate-alphabet"},
    "unknown-symbol": {"duplicate-symbol", "bad-symbol", "missing-kind"},
}
# Of a chart whose lines are read elsewhere, or not at all, no name is known.
_UNREAD = {"second-block", "chart-cut-short"}
_SAME = {
    "unknown-stitch",
    "unknown-thing",
    *_FOLLOWS,
}  # told once for all places, where it is no slip of one


def told_once(findings: Sequence[Diagnostic]) -> list[Diagnostic]:
    """Return the findings without those that would go with another.

    What is missing is told at its first place, which names the lines of the others; a name that is
    spelt nearly as one that is there is told wherever it stands.
    """
    explained = _explained(findings)
    kept: dict[object, Diagnostic] = {}
    again: dict[object, list[int]] = {}
    blank = {each.span.line for each in findings if each.name == "blank-in-row" and each.span}
    for number, each in enumerate(findings):
        if each.name in explained and not _is_slip(each):
            continue
        if each.span is not None and each.name == "ragged-row" and each.span.line in blank:
            continue
        said: object = number
        if each.span is not None and each.name in _SAME and not _is_slip(each):
            source = each.span.source
            said = each.name, source.name, source.text[each.span.start : each.span.end]
        if said in kept and each.span is not None:
            again.setdefault(said, []).append(each.span.line)
        else:
            kept[said] = each
    return [_also(each, again.get(said, ())) for said, each in kept.items()]


def _explained(findings: Sequence[Diagnostic]) -> set[str]:
    """Return the findings of which no more names are missing than mistakes explain."""
    missing: dict[str, set[str]] = {}
    for each in findings:
        if each.name in _FOLLOWS and each.span is not None and not _is_slip(each):
            text = each.span.source.text[each.span.start : each.span.end]
            missing.setdefault(each.name, set()).add(text)
    causes = Counter(each.name for each in findings)
    unnamed = set() if _UNREAD.isdisjoint(causes) else {"unknown-thing"}
    return unnamed | {
        name
        for name, texts in missing.items()
        if len(texts) <= sum(causes[cause] for cause in _FOLLOWS[name])
    }


def _is_slip(told: Diagnostic) -> bool:
    return any(
        hint.message.startswith(("did you mean", "it is", "take this line out"))
        for hint in told.hints
    )


def _also(told: Diagnostic, lines: Iterable[int]) -> Diagnostic:
    """Return a finding that names other lines with the same mistake."""
    others = sorted({*lines} - {told.span.line if told.span else 0})
    if not others:
        return told
    named = ", ".join(map(str, others[:MOST_LINES_NAMED]))
    more = len(others) - MOST_LINES_NAMED
    rest = f" and {more} more" if more > 0 else ""
    word = "line" if len(others) == 1 else "lines"
    return replace(told, hints=(*told.hints, Hint(f"so too on {word} {named}{rest}")))
