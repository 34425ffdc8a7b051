"""What is told of a photograph beside its cells: what stops the work, what makes it doubtful."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Limit(Enum):
    """What can be wrong with a photograph or its corners, by a short stable name.

    stops: nothing is read then; the others are told beside what was read.
    """

    CORNERS_OUTSIDE = "corners-outside", True
    CORNERS_CROSSED = "corners-crossed", True
    CORNERS_IN_LINE = "corners-in-line", True
    LANDMARK_OUTSIDE = "landmark-outside", True
    LANDMARK_OFF = "landmark-off", True
    TOO_SMALL = "too-small-to-read", True
    SMALL = "small-crosses", False
    TOO_FEW = "part-too-small", True
    TOO_LARGE = "part-too-large", True
    BLURRED = "blurred", False
    GLARE = "glare", False
    FADED = "faded", False
    NO_CROSSES = "no-crosses", True
    NO_WEAVE = "no-visible-weave", False
    COVERED = "covered-cloth", False
    SLIPPED = "slipped", False

    def __init__(self, name_: str, stops: bool) -> None:
        self.word = name_
        self.stops = stops

    @property
    def of_lattice(self) -> bool:
        """Whether it is about how crosses were followed, which a chart may set right."""
        return self is Limit.SLIPPED

    @property
    def of_corners(self) -> bool:
        """Whether it is about the four corners, whatever size the thing has."""
        return self in {Limit.CORNERS_OUTSIDE, Limit.CORNERS_CROSSED, Limit.CORNERS_IN_LINE}


@dataclass(frozen=True)
class Told:
    """One thing told: a plain sentence, what to do, and the crosses that it is about.

    box: left, top, right, bottom in crosses, the last two not included; None for all of it.
    """

    limit: Limit
    message: str
    advice: str
    box: tuple[int, int, int, int] | None = None

    @property
    def stops(self) -> bool:
        """Whether nothing can be read."""
        return self.limit.stops
