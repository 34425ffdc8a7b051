"""What a check is."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.source import Span


@dataclass(frozen=True)
class Fault:
    """One thing that a check found: a plain sentence, its place, and what to do."""

    message: str
    span: Span | None
    hints: tuple[Hint | str, ...] = ()


@dataclass(frozen=True)
class Check:
    """One rule: the name of its finding, and what does the looking."""

    name: str
    look: Callable[[WorkedChart], Iterable[Fault]]

    def run(self, worked: WorkedChart) -> list[Diagnostic]:
        """Return what the rule finds in a chart."""
        return [
            finding(self.name, fault.message, fault.span, *fault.hints)
            for fault in self.look(worked)
        ]
