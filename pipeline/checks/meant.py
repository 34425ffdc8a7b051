"""Findings that the designer has looked at: `# meant NAME: the reason` keeps one quiet.

The comment stands at the end of the line of the finding, or alone on a line just above it, where
several may stand one below the other. It keeps warnings and hints of that name quiet at one place
on that line, and only with a reason: a second slip in the same row still speaks, until it has a
remark of its own. Where a finding is about two places of which either may be wrong, which of them
is named changes when they change places; so a remark at either keeps it quiet. Errors speak all the
same.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from ..core.diagnostics import Diagnostic, Hint, Silenced, finding
from ..core.findings import Level
from ..core.source import Source, Span
from ..core.suggest import did_you_mean

MOST_ABOVE = 12  # lines of remarks above a finding that are looked at
EITHER = frozenset({"odd-twin", "off-by-one", "other-thread", "nearly-symmetric", "off-centre"})

_MEANT = re.compile(r"#[ \t]*meant[ \t]+([a-z][a-z-]*)[ \t]*(:?)[ \t]*([^\n]*)")
_ALONE = re.compile(r"[ \t]*#")
_QUOTED = re.compile(r'"(?:\\.|[^"\\\n])*"?')


@dataclass(frozen=True)
class _Remark:
    """A remark: the name of the finding, the reason, empty where none is given, and its place."""

    name: str
    colon: bool
    reason: str
    span: Span


def without_the_meant(
    findings: Iterable[Diagnostic],
    source: Source,
    names: Collection[str],
    known: Collection[str],
) -> tuple[list[Diagnostic], list[Silenced]]:
    """Return the findings that speak, with a hint for each idle remark in source, and the others.

    names: the checks that ran. known: all checks; of those that did not run no finding is given.
    """
    kept: list[Diagnostic] = []
    quiet: list[Silenced] = []
    used: dict[Span, Span | None] = {}  # the place that each remark keeps quiet
    for each in findings:
        meant = None if each.level is Level.ERROR else _remark_on(each, used)
        if meant is None:
            kept.append(each)
        else:
            used[meant.remark] = each.span
            quiet.append(meant)
    for remark in _all_remarks(source):
        if remark.span not in used:
            kept.extend(_idle(remark, names, known))
    return kept, quiet


def _all_remarks(source: Source) -> Iterator[_Remark]:
    last = 0
    for match in _MEANT.finditer(source.text):
        line = source.position(match.start())[0]
        if line != last:  # what follows on a line is part of its reason
            last = line
            yield from _remarks_in(source, line)


def _remarks_in(source: Source, line: int) -> Iterator[_Remark]:
    """Yield the remark of a line counted from 1, if it has one."""
    text = source.line_text(line)
    # A number sign inside quotes begins no comment.
    match = _MEANT.search(_QUOTED.sub(lambda quoted: "q" * len(quoted[0]), text))
    if match:
        start = source.start_of(line)
        reason = text[match.start(3) : match.end(3)].rstrip()
        span = source.span(start + match.start(), start + match.end())
        yield _Remark(match[1], bool(match[2]), reason, span)


def _remark_on(finding: Diagnostic, used: Mapping[Span, Span | None]) -> Silenced | None:
    """Return the finding with the remark that keeps it quiet, None when there is none.

    used: the place that a remark keeps quiet already; it has no second one.
    """
    spans = [finding.span]
    if finding.name in EITHER:
        spans += [hint.span for hint in finding.hints if isinstance(hint, Hint)]
    for span in spans:
        for remark in _remarks_at(span) if span is not None and span.source.text else ():
            its_own = used.get(remark.span, finding.span) == finding.span
            if its_own and remark.name == finding.name and remark.colon and remark.reason:
                return Silenced(finding, remark.reason, remark.span)
    return None


def _remarks_at(span: Span) -> Iterator[_Remark]:
    """Yield the remarks at the line of a place, and alone on the lines just above it."""
    source, line = span.source, span.line
    yield from _remarks_in(source, line)
    last = max(1, line - MOST_ABOVE)
    while line > last and _ALONE.match(source.line_text(line - 1)):
        line -= 1
        yield from _remarks_in(source, line)


def _idle(remark: _Remark, names: Collection[str], known: Collection[str]) -> Iterator[Diagnostic]:
    if remark.name in known:
        if not (remark.colon and remark.reason):
            message = f"This remark gives no reason, so it does not silence `{remark.name}`."
            advice = f"write `# meant {remark.name}: ` and the reason"
            yield finding("idle-remark", message, remark.span, advice)
        elif remark.name in names:
            message = f"There is no `{remark.name}` here to silence."
            yield finding("idle-remark", message, remark.span, "take the remark out")
    elif remark.colon:
        message = f"Nothing called `{remark.name}` can be silenced."
        advice = did_you_mean(remark.name, known) or "take the remark out"
        yield finding("idle-remark", message, remark.span, advice)
