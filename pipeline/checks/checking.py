"""What a check is."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic, Hint, Level
from ..core.source import Span


@dataclass(frozen=True)
class Fault:
    """One thing that a check found: a plain sentence, its place, and what to do."""

    message: str
    span: Span | None
    hints: tuple[Hint | str, ...] = ()


@dataclass(frozen=True)
class Check:
    """One rule: its stable name, how grave it is, what it looks for, and what does the looking."""

    name: str
    level: Level
    what: str
    look: Callable[[WorkedChart], Iterable[Fault]]

    def run(self, worked: WorkedChart) -> list[Diagnostic]:
        """Return what the rule finds in a chart."""
        return [
            Diagnostic(
                self.name,
                self.level,
                fault.message,
                fault.span,
                tuple(Hint(each) if isinstance(each, str) else each for each in fault.hints),
            )
            for fault in self.look(worked)
        ]
