"""A first draft from a photograph: cells before threads are chosen, and which are unsure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..colour.colorimetry import to_hex
from ..core.diagnostics import Diagnostic, Diagnostics, finding
from ..core.key import Thread
from ..photograph.drafting import Draft, Threads, draft
from ..photograph.picture import Photograph
from ..photograph.placing import Landmark, Placing, Point
from ..photograph.proposing import propose_size, size_near
from ..photograph.reading import read
from ..photograph.told import Limit, Told
from .cells import Cells, Wanted
from .doubts import Inferred, inferred

_MANY = 0.01  # of the cells; with more in doubt the size that was counted is doubted too

Corners = tuple[Point, Point, Point, Point]
Named = Mapping[tuple[int, int], Thread | None]  # column and row -> thread; None is bare cloth


@dataclass(frozen=True, eq=False)
class FirstDraft:
    """Cells that are brought in, the areas of those that are unsure, and how many those are.

    evidence: what speaks for the size, where it was not given.
    """

    cells: Cells
    inferred: tuple[Inferred, ...]
    doubtful: int
    evidence: str

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in crosses."""
        height, width = self.cells.grid.shape
        return width, height

    @property
    def remarks(self) -> tuple[str, ...]:
        """What a chart says of itself above its first line."""
        size = (f"The size was not given. {self.evidence} Count it.",) if self.evidence else ()
        return (*size, "Compare every cell with the piece, those marked `inferred` first.")

    @property
    def account(self) -> tuple[str, ...]:
        """What is told of it."""
        width, height = self.size
        size = f"The size {width} x {height} was not given. {self.evidence} Count it."
        cells = "1 cell is" if self.doubtful == 1 else f"{self.doubtful:,} cells are"
        areas = "1 area" if len(self.inferred) == 1 else f"{len(self.inferred)} areas"
        share = 100 * self.doubtful / self.cells.grid.size
        doubt = f"{cells} doubtful ({share:.1f} %), in {areas} marked `inferred`, each with why."
        doubt = doubt if self.doubtful else "No cell is doubtful."
        return (size, doubt) if self.evidence else (doubt,)


def first_draft(
    photograph: Photograph,
    shown: str,
    corners: Corners,
    size: tuple[int, int] | None,
    landmarks: Sequence[Landmark],
    named: Named,
) -> tuple[FirstDraft | None, Diagnostics]:
    """Return a first draft of what lies between four corners, and all that is to be told.

    shown: the photograph as the user would type it. size: as counted; None has it proposed. named:
    cells whose thread the user has said; without any, threads are found by their colours.
    """
    evidence, counted = "", size is not None
    if size is None:
        size, evidence, findings = _proposed(photograph, shown, corners)
        if size is None:
            return None, findings
    outside = [at for at in named if not (0 <= at[0] < size[0] and 0 <= at[1] < size[1])]
    if outside:
        return None, (_not_there(outside[0], size, shown),)
    reading, told = read(photograph, Placing(*size, corners, tuple(landmarks)))
    made = None
    threads, cells_of = _threads(named)
    if reading is not None:
        made, told = draft(reading, Threads(named=cells_of) if cells_of else Threads())
    findings = tuple(_limit(each, shown) for each in told)
    doubtful = 0 if made is None else sum(len(doubt.cells) for doubt in made.doubts)
    slipped = any(each.limit is Limit.SLIPPED for each in told)
    if counted and (slipped if made is None else doubtful > _MANY * made.cells.size):
        findings = *_another_size(photograph, shown, corners, size), *findings
    if made is None:
        return None, (*findings, _refused(shown))
    return FirstDraft(_cells(made, threads), inferred(made.doubts, size), doubtful, evidence), (
        findings
    )


def _threads(
    named: Named,
) -> tuple[tuple[Thread, ...], dict[int, tuple[tuple[int, int], ...]]]:
    """Return the threads that were named, and the cells of each by its number from 1."""
    threads = tuple(dict.fromkeys(each for each in named.values() if each is not None))
    numbers: dict[Thread | None, int] = {None: 0}
    numbers.update((thread, at) for at, thread in enumerate(threads, start=1))
    cells: dict[int, tuple[tuple[int, int], ...]] = {}
    for at, thread in named.items():
        number = numbers[thread]
        cells[number] = (*cells.get(number, ()), at)
    return threads, cells


def _cells(made: Draft, threads: Sequence[Thread]) -> Cells:
    """Return the cells of a draft and what they ask for; threads that no cell has are left out."""
    used = [number for number in range(1, len(made.counts)) if made.counts[number]]
    place = np.zeros(len(made.counts), dtype=np.int32)
    place[used] = np.arange(1, len(used) + 1)
    wanted = []
    for number in used:
        thread = threads[number - 1] if threads else None
        colour = to_hex(np.clip(made.colours[number] / 255, 0, 1))
        wanted.append(Wanted(colour if thread is None else thread.colour, thread))
    return Cells(place[made.cells], tuple(wanted))


def _proposed(
    photograph: Photograph, shown: str, corners: Corners
) -> tuple[tuple[int, int] | None, str, Diagnostics]:
    """Return a size that is sure and what speaks for it, or what is to be told."""
    proposal, told = propose_size(photograph, corners)
    findings = tuple(_limit(each, shown) for each in told)
    if proposal is None:
        if not findings:
            findings = (_unsure_size("No pattern of crosses comes back between the corners.", ""),)
        return None, "", findings
    said = f"{proposal.width}x{proposal.height}"
    if not proposal.is_sure:
        return None, "", (_unsure_size(proposal.evidence, f", such as --size {said}"), *findings)
    return (proposal.width, proposal.height), proposal.evidence, findings


def _another_size(
    photograph: Photograph, shown: str, corners: Corners, size: tuple[int, int]
) -> Diagnostics:
    """Return what is to be told of a size that was counted, where surely it is another."""
    proposal = size_near(photograph, corners, size)
    if proposal is None or not proposal.is_sure or (proposal.width, proposal.height) == size:
        return ()
    stated = f"{size[0]} x {size[1]}"
    followed = f"{proposal.width} x {proposal.height}"
    return (
        finding(
            "another-size",
            f"{shown} has {followed} crosses as followed between the corners, not {stated}.",
            None,
            f"count along two sides again, and say --size {proposal.width}x{proposal.height} if so",
            "look whether the corners are the outer corners of the thing",
        ),
    )


def _unsure_size(evidence: str, example: str) -> Diagnostic:
    return finding(
        "size-unsure",
        f"How many crosses there are cannot be told surely. {evidence}",
        None,
        f"count them along two sides and say --size{example}",
        "look whether the corners are the outer corners of the thing",
    )


def _limit(told: Told, shown: str) -> Diagnostic:
    return finding(told.limit.word, f"{shown}: {told.message}", None, told.advice)


def _refused(shown: str) -> Diagnostic:
    return finding(
        "not-drafted",
        f"No chart is drafted from {shown}.",
        None,
        "what is told before says why; nothing was written",
    )


def _not_there(at: tuple[int, int], size: tuple[int, int], shown: str) -> Diagnostic:
    return finding(
        "unknown-cell",
        f"There is no cell at {at[0]},{at[1]}: {shown} shows {size[0]} x {size[1]} crosses.",
        None,
        "columns and rows of a cell are counted from 0 at the top left corner",
    )
