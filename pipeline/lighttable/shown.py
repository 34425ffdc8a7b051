"""What the page is told of the table, as plain data for JSON."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, assert_never

import numpy as np

from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic
from ..core.matter import NoteKind
from ..held.answers import Answer
from ..held.picture import AROUND
from ..held.telling import MOST_TOLD, counted_squares, findings_of, sentence, sureness, thread_words
from ..photograph.differences import Difference, DifferenceKind
from ..photograph.lattice import Lattice
from .entries import crosses_of
from .table import Followed, Lying

CELL = 12  # pixels of a cross where photograph and chart lie side by side
_STEP = 2  # crosses between the points of a line
_TENS = 10


def plain_table(lying: Lying, title: str) -> dict[str, Any]:
    """Return what lies on the table."""
    return {
        "title": title,
        "seen": lying.seen,
        "sheets": [
            {
                "path": sheet.laid.path,
                "shows": sheet.laid.shows,
                "corners": [list(corner) for corner in sheet.laid.corners],
                "landmarks": [[mark.x, mark.y, mark.u, mark.v] for mark in sheet.laid.landmarks],
                "width": sheet.photograph.width,
                "height": sheet.photograph.height,
                "written": sheet.at is not None,
            }
            for sheet in lying.sheets
        ],
    }


def plain_followed(followed: Followed) -> dict[str, Any]:
    """Return what was read of a photograph and what differs; cells count from the part's corner."""
    answer = followed.answer
    if answer.reading is None:
        return {"told": _told(followed), "differences": [], "more": 0, "followed": False}
    lattice = answer.reading.lattice
    differences = () if answer.held is None else answer.held.differences
    proper = [each for each in differences if not each.apart]
    fine, tens = _lines(lattice)
    return {
        "told": _told(followed),
        "followed": True,
        "held": answer.held is not None,
        "size": list(answer.reading.size),
        "pixels": round(lattice.placing.pixels_per_cross, 1),
        "fine": fine,
        "tens": tens,
        "differences": [
            {
                "message": sentence(each, answer),
                "sureness": sureness(each),
                "box": list(each.box),
                "ring": _ring(each.box, lattice),
                "cells": _crosses(each, answer),
            }
            for each in proper[:MOST_TOLD]
        ],
        "more": max(0, len(proper) - MOST_TOLD),
        "unsure": list(_unsure(followed, lattice)),
        "left": answer.part.left,
        "top": answer.part.top,
        "crosses": _threads(followed.worked),
        "cell": CELL,
        "around": AROUND,
    }


def plain_finding(finding: Diagnostic) -> dict[str, Any]:
    """Return a finding as its sentence and what to do."""
    return {"message": finding.message, "advice": [hint.message for hint in finding.hints]}


def _told(followed: Followed) -> list[dict[str, Any]]:
    """Return what is told of the photograph as a whole."""
    answer = followed.answer
    limits = {each.limit.word for each in answer.told}
    findings = findings_of(followed.worked, answer)
    return [plain_finding(each) for each in findings if each.name in limits]


def _crosses(difference: Difference, answer: Answer) -> list[list[object]]:
    """Return the crosses that the photograph has there: columns, rows, signs; none for steps."""
    match difference.kind:
        case DifferenceKind.MISSING | DifferenceKind.EXTRA | DifferenceKind.WRONG:
            number = difference.seen
            sign = answer.part.threads[number - 1].symbol if number else "."
            return [[x, y, sign] for x, y in difference.cells.tolist()]
        case (
            DifferenceKind.BAND | DifferenceKind.BLOCK | DifferenceKind.FIGURE | DifferenceKind.STEP
        ):
            return []
        case _:
            assert_never(difference.kind)


def _unsure(followed: Followed, lattice: Lattice) -> Iterator[dict[str, Any]]:
    """Yield the areas of the part of which the chart says that they are inferred."""
    answer = followed.answer
    assert answer.reading is not None
    width, height = answer.reading.size
    left, top = answer.part.left, answer.part.top
    for note in followed.worked.design.notes:
        x0, y0 = max(0, math.floor(note.x0) - left), max(0, math.floor(note.y0) - top)
        x1, y1 = min(width, math.ceil(note.x1) - left), min(height, math.ceil(note.y1) - top)
        if note.kind is NoteKind.INFERRED and note.span is not None and x0 < x1 and y0 < y1:
            box = x0, y0, x1, y1
            where = counted_squares(box, answer)
            yield {
                "message": f"{where}: {note.text}",
                "at": note.span.start,
                "box": list(box),
                "ring": _ring(box, lattice),
            }


def _threads(worked: WorkedChart) -> list[list[str]]:
    """Return signs and names of the crosses that a cell may hold."""
    named = [[".", "bare cloth"]]
    for sign, index in crosses_of(worked).items():
        if index:
            named.append([sign, thread_words(worked.design.key[index - 1])])
    return named


def _ring(box: tuple[int, int, int, int], lattice: Lattice) -> list[list[float]]:
    """Return the pixels of the corners of a box, half a cross farther out."""
    x0, y0, x1, y1 = box
    places = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    out = np.array([(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)])
    ring: list[list[float]] = np.round(lattice.pixels(np.array(places) + out), 1).tolist()
    return ring


def _lines(lattice: Lattice) -> tuple[str, str]:
    """Return the lines between crosses as paths of SVG in pixels: all, and each tenth."""
    width, height = lattice.placing.width, lattice.placing.height
    fine, tens = [], []
    for many, length, upright in ((width, height, True), (height, width, False)):
        along = np.unique([*range(0, length, _STEP), length]).astype(np.float64)
        for number in range(many + 1):
            across = np.full_like(along, number)
            places = np.stack([across, along] if upright else [along, across], axis=-1)
            points = " ".join(f"{u:.1f},{v:.1f}" for u, v in lattice.pixels(places).tolist())
            fine.append(f"M{points}")
            if number % _TENS == 0:
                tens.append(f"M{points}")
    return "".join(fine), "".join(tens)
