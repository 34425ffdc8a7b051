"""The fabric as it was meant, and how it is worked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import assert_never

from .key import Thread
from .source import Span

MM_PER_INCH = 25.4  # exact: international yard and pound agreement, 1 July 1959


@dataclass(frozen=True)
class Fabric:
    """A ground to stitch on.

    kind: `linen`, `evenweave`, `aida`, `canvas`, `blockweave` ...
    count_x, count_y: threads (or blocks) per inch across and down.
    over: how many threads one cross spans; 1 on block weaves.
    block: a block weave, whose blocks cannot be halved.
    per_cm: whether the count was stated by the centimetre, by which it is then called.
    """

    kind: str
    count_x: float
    count_y: float
    over: int = 1
    block: bool = False
    span: Span | None = field(default=None, compare=False, repr=False)
    per_cm: bool = False

    @property
    def stated(self) -> tuple[float, ...]:
        """The count as it was stated: one figure, or those across and down."""
        unit = MM_PER_INCH / 10 if self.per_cm else 1.0
        # Undone, the change to inches is off by what a computer rounds.
        counts = round(self.count_x / unit, 9), round(self.count_y / unit, 9)
        return counts[:1] if self.count_x == self.count_y else counts

    @property
    def written(self) -> str:
        """The fabric as the notation writes it: `linen 32 over 2`, `linen 12 per cm over 2`."""
        counts = " x ".join(f"{count:g}" for count in self.stated)
        unit = " per cm" if self.per_cm else ""
        over = "" if self.block and self.over == 1 else f" over {self.over}"
        return f"{self.kind} {counts}{unit}{over}"

    @property
    def per_inch_x(self) -> float:
        """Crosses per inch across."""
        return self.count_x / self.over

    @property
    def per_inch_y(self) -> float:
        """Crosses per inch down."""
        return self.count_y / self.over

    @property
    def cross_width(self) -> float:
        """Width of one cross in mm."""
        return MM_PER_INCH / self.per_inch_x

    @property
    def cross_height(self) -> float:
        """Height of one cross in mm."""
        return MM_PER_INCH / self.per_inch_y


@dataclass(frozen=True)
class Ground:
    """The fabric of the model, its colour, the bare margin to leave, and the other fabrics."""

    fabric: Fabric
    colour: str = "#f1ebdd"  # sRGB
    colour_name: str = ""
    margin: float = 3 * MM_PER_INCH  # mm on each side
    also: tuple[Fabric, ...] = ()
    span: Span | None = field(default=None, compare=False, repr=False)


class Method(StrEnum):
    """How crosses are worked."""

    ROWS = "rows"  # half crosses there, the upper legs back
    EACH = "each"  # each cross finished before the next

    @property
    def journeys(self) -> int | None:
        """How many journeys a row of crosses takes; None for as many as their stitch has."""
        match self:
            case Method.ROWS:
                return None
            case Method.EACH:
                return 1
            case _:
                assert_never(self)


@dataclass(frozen=True)
class Working:
    """How the thread estimate works; all lengths in mm, reserve as a share of the thread used.

    tail: two inches to hold at the start and three to end with, for the needle must still pass
    under stitches: five inches for both ends, rounded up. So a needleful of 18 in at 14 crosses
    per inch works 36 or 37 crosses (a designer's published rule, common practice, says 36).
    """

    needleful: float = 457.2  # 18 in, common practice
    tail: float = 65.0  # at each end of a needleful
    carry: float = 12.0  # so far a thread is always carried behind stitches
    slip: float = 60.0  # farther than that it is never slipped under them
    bare: float = 8.0  # crosses; so far it is always carried behind bare cloth
    method: Method = Method.ROWS
    reserve: float = 0.10
    loose: float = 12.0  # longest thread that may lie loose; common practice
    span: Span | None = field(default=None, compare=False, repr=False)
    own: tuple[ThreadWorking, ...] = ()  # of threads that are worked in another way

    @property
    def otherwise(self) -> tuple[ThreadWorking, ...]:
        """The threads whose way differs in more than what the key says anyway."""
        unsaid = None, None, None
        return tuple(way for way in self.own if (way.needleful, way.tail, way.method) != unsaid)

    def of(self, threads: Iterable[Thread]) -> Working:
        """Return how a needle with these threads is worked.

        Where several have ways of their own, the shortest needleful and the longest tail count,
        and each cross is finished as soon as one of them asks for it.
        """
        if not self.own:
            return self
        named = {thread.named for thread in threads}
        own = [way for way in self.own if way.thread.named in named]
        methods = [way.method for way in own if way.method is not None]
        return replace(
            self,
            needleful=min((way.needleful for way in own if way.needleful), default=self.needleful),
            tail=max((way.tail for way in own if way.tail is not None), default=self.tail),
            method=max(methods, key=list(Method).index, default=self.method),
        )


@dataclass(frozen=True)
class ThreadWorking:
    """How one thread is worked: lengths in mm; what is None is as for all others.

    strands: of its key lines that state none.
    """

    thread: Thread
    needleful: float | None = None
    tail: float | None = None
    method: Method | None = None
    strands: int | None = None
    span: Span | None = field(default=None, compare=False, repr=False)
