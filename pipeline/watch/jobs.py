"""What the watch asks of the process that draws and binds, and what it hears back."""

from __future__ import annotations

from dataclasses import dataclass

from ..chart.options import Options
from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostics
from ..core.system import MissingLibrary

# Crosses above which memory goes before haste: one thing is done at a time, and what it took is
# given back before the next.
LARGE = 500_000


def is_large(worked: WorkedChart) -> bool:
    """Return whether memory goes before haste."""
    return worked.width * worked.height > LARGE


@dataclass(frozen=True, eq=False)
class Job:
    """One chart to draw (if `picture`) and to bind.

    number: counts the jobs, so that a late answer is known as one.
    """

    number: int
    worked: WorkedChart
    options: Options
    picture: bool


@dataclass(frozen=True)
class Waiting:
    """The process waits for a job."""


@dataclass(frozen=True)
class PictureDone:
    """The picture of the chart; kind: its media type."""

    number: int
    data: bytes
    kind: str


@dataclass(frozen=True)
class BookletDone:
    """The booklet; data is empty where findings tell why it cannot be made."""

    number: int
    data: bytes
    pages: int
    findings: Diagnostics


@dataclass(frozen=True)
class Failed:
    """A job could not be done; reason is a sentence."""

    number: int
    reason: str


@dataclass(frozen=True)
class Hopeless:
    """No job can be done on this computer."""

    reason: MissingLibrary


@dataclass(frozen=True)
class Ended:
    """The process is no more. process: which one it was."""

    process: int


Reply = Waiting | PictureDone | BookletDone | Failed | Hopeless | Ended
