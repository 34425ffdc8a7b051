"""What differs between a chart and its photographs, as plain data for JSON."""

from __future__ import annotations

from ..core.key import KeyEntry
from ..photograph.differences import Difference
from .answers import Answer
from .telling import sentence


def plain_answer(answer: Answer) -> dict[str, object]:
    """Return what became of one photograph; cells count from 0 at the chart's top left corner."""
    showing, held = answer.showing, answer.held
    told = [
        {"name": told.limit.word, "message": told.message, "advice": told.advice}
        for told in answer.told
    ]
    return {
        "file": showing.path,
        "shows": [showing.x0, showing.y0, showing.x1, showing.y1],
        "told": told,
        "compared": 0 if held is None else int(held.compared.sum()),
        "differences": [] if held is None else [_plain(each, answer) for each in held.differences],
    }


def _plain(difference: Difference, answer: Answer) -> dict[str, object]:
    left, top = answer.part.left, answer.part.top
    return {
        "kind": difference.kind.value,
        "message": sentence(difference, answer),
        "cells": [[x + left, y + top] for x, y in difference.cells.tolist()],
        "chart": _symbol(difference.expected, answer.part.threads),
        "photograph": _symbol(difference.seen, answer.part.threads),
        "step": list(difference.step),
        "evidence": round(difference.evidence, 2),
        "sureness": round(difference.sureness, 3),
        "apart": difference.apart,
    }


def _symbol(number: int, threads: tuple[KeyEntry, ...]) -> str | None:
    return threads[number - 1].symbol if number else None
