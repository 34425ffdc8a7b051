"""What the renderer warns of, in plain words."""

from __future__ import annotations

import logging
import re
from collections.abc import Iterable, Iterator

FOREIGN = "The faces of the booklet lack"  # begins what is said of letters set in another face
MOST_LETTERS = 20  # named in a remark
_SUBSETTING = re.compile("HarfBuzz-Subset")  # what WeasyPrint says of it is said in our own words
_NO_FACE = re.compile(r'unsupported by fonts: "(.+)" \(U\+', re.DOTALL)


def in_plain_words(remarks: Iterable[tuple[int, str]]) -> Iterator[tuple[int, str]]:
    """Give what the renderer warns of but for what is told otherwise; level and words."""
    missing: list[str] = []
    for level, words in remarks:
        unknown = _NO_FACE.search(words)
        if unknown:
            missing.append(unknown[1])
        elif not _SUBSETTING.search(words):
            yield level, words
    if missing:
        letters = "".join(dict.fromkeys("".join(missing)))[:MOST_LETTERS]
        yield (
            logging.WARNING,
            f"{FOREIGN} {letters}, and no other face here has them: empty boxes are printed.",
        )


def foreign(strange: list[tuple[str, str]]) -> Iterator[tuple[int, str]]:
    """Tell of letters that no face of the booklet has; another computer may not have them."""
    for family, letters in strange:
        yield (
            logging.WARNING,
            f"{FOREIGN} {letters[:MOST_LETTERS]}: set in {family}, which "
            "another computer may not have.",
        )
