"""Findings that the designer has looked at: `# meant NAME: the reason` keeps one quiet.

The comment stands at the end of the line of the finding, or alone on a line just above it. It
keeps warnings and hints of that name quiet on that one line, and only with a reason. Errors speak
all the same.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

from ..diagnostics import Diagnostic, Level, hint
from ..source import Source

_MEANT = re.compile(r"#[ \t]*meant[ \t]+([a-z][a-z-]*)[ \t]*:[ \t]*(\S[^\n]*)")
_ALONE = re.compile(r"[ \t]*#")

_Remark = tuple[str, int, str]  # path, line, name of the finding


def without_the_meant(
    findings: Iterable[Diagnostic], source: Source, names: Collection[str]
) -> list[Diagnostic]:
    """Return the findings that no remark keeps quiet, and a hint for each idle remark in source.

    names: the checks that ran; a remark that names another is left for whoever knows it.
    """
    kept: list[Diagnostic] = []
    used: set[_Remark] = set()
    for each in findings:
        found = None if each.level is Level.ERROR else _remark(each)
        if found is None:
            kept.append(each)
        else:
            used.add(found)
    for match in _MEANT.finditer(source.text):
        line = source.position(match.start())[0]
        if match[1] in names and (source.path, line, match[1]) not in used:
            kept.append(
                hint(
                    "idle-remark",
                    f"There is no `{match[1]}` here to be kept quiet.",
                    source.span(match.start(), match.end()),
                    "take the remark out",
                )
            )
    return kept


def _remark(finding: Diagnostic) -> _Remark | None:
    """Return the remark that keeps a finding quiet."""
    if finding.span is None or not finding.span.source.text:
        return None
    source, line = finding.span.source, finding.span.line
    here = _MEANT.search(source.line_text(line))
    if here and here[1] == finding.name:
        return source.path, line, here[1]
    if line > 1:
        above = source.line_text(line - 1)
        match = _MEANT.search(above)
        if match and match[1] == finding.name and _ALONE.match(above):
            return source.path, line - 1, match[1]
    return None
