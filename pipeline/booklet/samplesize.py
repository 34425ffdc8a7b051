"""How large the lines of the key are drawn."""

from __future__ import annotations

from ..core.model import KeyEntry

CELL = 4.4  # mm, side of a cell of the key
RUN = 2.6  # cells; length of a line of the key, or of a counted stitch with its sign
INSET = 0.1  # mm around, so that the frame is not cut


def sample_size(entry: KeyEntry) -> tuple[float, float]:
    """Return width and height in mm of the drawing of a line of the key."""
    return cells_across(entry) * CELL + 2 * INSET, CELL + 2 * INSET


def cells_across(entry: KeyEntry) -> float:
    """Return how many cells wide the drawing is."""
    return RUN if entry.is_wide else 1.0
