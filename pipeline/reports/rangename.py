"""A name of the notation made of a file's name."""

from __future__ import annotations

import re
from collections.abc import Collection

from ..syntax.notation import notation

LONGEST_RANGE = 40  # characters


def range_name(stem: str, taken: Collection[str]) -> str:
    """Return a name made of a file's name without its ending: free, and no word of the notation."""
    plain = re.sub(r"[^0-9A-Za-z_-]+", "-", stem).strip("-_")[:LONGEST_RANGE].rstrip("-_")
    if len(plain) < 2 or not plain[0].isalpha():
        plain = f"threads-{plain}".rstrip("-")
    name, number = plain, 2
    while name in taken or name in notation().reserved:
        name, number = f"{plain}-{number}", number + 1
    return name
