"""Findings for review tools: SARIF 2.1.0 (OASIS Standard, 27 March 2020).

Section numbers below are those of the standard.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from urllib.parse import quote

from ..core.diagnostics import Diagnostic, Diagnostics, Silenced
from ..core.findings import Level
from ..core.source import Span
from .codeunits import units_before

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
_LEVELS = {Level.ERROR: "error", Level.WARNING: "warning", Level.HINT: "note"}  # 3.27.10
_BASE = "WORKING_FOLDER"

_Json = dict[str, object]


def as_sarif(
    findings: Diagnostics,
    silenced: Sequence[Silenced],
    *,
    version: str,
    folder: Path,
    what: Mapping[str, str],
) -> _Json:
    """Return findings as one run of a SARIF log.

    Files are named relative to the working folder where they lie in it (3.4.4); the log does not
    say where that folder is, so that it is the same on every machine. what: sentences that say
    what a finding is about, by its name. Findings kept quiet in the source are given as
    suppressed (3.35), with their reason.
    """
    both = [*findings, *(each.finding for each in silenced)]
    names = sorted({each.name for each in both})
    quiet = {id(each.finding): each for each in silenced}
    results = [
        _result(each, names.index(each.name), quiet.get(id(each)), folder.resolve())
        for each in both
    ]
    return {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {
                    "driver": {
                        "name": "linenleaf",
                        "version": version,
                        "rules": [_rule(name, both, what) for name in names],
                    }
                },
                "columnKind": "utf16CodeUnits",
                "originalUriBaseIds": {
                    _BASE: {"description": {"text": "The folder in which the check was run."}}
                },
                "results": results,
            }
        ],
    }


def _rule(name: str, findings: Iterable[Diagnostic], what: Mapping[str, str]) -> _Json:
    level = min(each.level for each in findings if each.name == name)
    return {
        "id": name,
        "shortDescription": {"text": _sentence(what.get(name, name.replace("-", " ")))},
        "defaultConfiguration": {"level": _LEVELS[level]},
    }


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _result(finding: Diagnostic, index: int, quiet: Silenced | None, folder: Path) -> _Json:
    advice = [each.message for each in finding.hints if each.span is None]
    result: _Json = {
        "ruleId": finding.name,
        "ruleIndex": index,
        "level": _LEVELS[finding.level],
        "message": {"text": "\n".join([finding.message, *map(_sentence, advice)])},
    }
    if finding.span is not None:
        result["locations"] = [{"physicalLocation": _place(finding.span, folder)}]
    related = [each for each in finding.hints if each.span is not None]
    if related:
        result["relatedLocations"] = [
            {
                "id": number,
                "message": {"text": _sentence(each.message)},
                "physicalLocation": _place(each.span, folder),
            }
            for number, each in enumerate(related, 1)
            if each.span is not None
        ]
    if quiet is not None:
        result["suppressions"] = [
            {
                "kind": "inSource",
                "justification": quiet.reason,
                "location": {"physicalLocation": _place(quiet.remark, folder)},
            }
        ]
    return result


def _place(span: Span, folder: Path) -> _Json:
    place: _Json = {"artifactLocation": _file(span.path, folder)}
    if span.source.text:
        place["region"] = _region(span)
    return place


def _region(span: Span) -> _Json:
    """Return lines and columns counted from 1; the end column is the first one behind (3.30.8)."""
    line, column = units_before(span.source, span.start)
    last, end = units_before(span.source, span.end)
    return {
        "startLine": line + 1,
        "startColumn": column + 1,
        "endLine": last + 1,
        "endColumn": end + 1,
    }


def _file(shown: str, folder: Path) -> _Json:
    # First as the user sees it, for a link in the folder is the file that review tools know.
    asked = Path(os.path.normpath(folder / shown))
    for path in (asked, asked.resolve()):
        if path.is_relative_to(folder):
            return {
                "uri": quote(os.fsencode(path.relative_to(folder).as_posix())),
                "uriBaseId": _BASE,
            }
    return {"uri": asked.as_uri()}
