"""Findings of any name, for tests of how findings are shown; the real ones are registered."""

from __future__ import annotations

from linenleaf.core.diagnostics import Diagnostic, Hint
from linenleaf.core.findings import Level
from linenleaf.core.source import Span


def _told(level: Level, name: str, message: str, span: Span | None, *hints: Hint | str):
    whole = tuple(Hint(text) if isinstance(text, str) else text for text in hints)
    return Diagnostic(name, level, message, span, whole)


def error(name: str, message: str, span: Span | None, *hints: Hint | str) -> Diagnostic:
    return _told(Level.ERROR, name, message, span, *hints)


def warning(name: str, message: str, span: Span | None, *hints: Hint | str) -> Diagnostic:
    return _told(Level.WARNING, name, message, span, *hints)


def hint(name: str, message: str, span: Span | None, *hints: Hint | str) -> Diagnostic:
    return _told(Level.HINT, name, message, span, *hints)
