"""The shapes that a picture can be asked for in."""

from __future__ import annotations

from enum import StrEnum


class Shape(StrEnum):
    """The shape of a picture. SQUARE: as shops show their wares; WIDE: as screens are, 16 to 9."""

    AS_IS = "as-is"
    SQUARE = "square"
    WIDE = "wide"

    @property
    def ratio(self) -> float | None:
        """Width by height; None for that of what is shown."""
        return {Shape.AS_IS: None, Shape.SQUARE: 1.0, Shape.WIDE: 16 / 9}[self]
