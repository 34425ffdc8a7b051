"""Where words that are far too long may be broken.

For every line of a word without an end the renderer looks at all the rest of it, so a word of
60,000 letters takes minutes. A mark without width (U+200B, a break opportunity by UAX 14) every
so many letters keeps that short. No word that anybody reads is as long.
"""

from __future__ import annotations

import re
import unicodedata

LONGEST_WORD = 40  # characters; "Rindfleischetikettierungsüberwachung" has 36
MARK = "\u200b"

_PART = re.compile(r"<[^>]*>|[^<]+")
_WITHIN = re.compile(r"</?(?:a|b|code|em|i|s|small|span|strong|sub|sup)\b")  # a word goes on
# Between signs from U+2E80 on (Chinese, Japanese, Korean) a line may break anyway.
_WORD = re.compile(r"[^\s\u2e80-\U0010ffff]+")
_SIGN = re.compile(r"&[^;&]{1,32};|.", re.DOTALL)


def with_breaks(html: str) -> str:
    """Return markup whose words have a break opportunity every LONGEST_WORD characters."""
    length = 0  # of the word so far

    def broken(word: re.Match[str]) -> str:
        nonlocal length
        if word.start():
            length = 0
        if length + len(word[0]) <= LONGEST_WORD:
            length += len(word[0])
            return word[0]
        pieces: list[str] = []
        for sign in _SIGN.findall(word[0]):
            # Never between a letter and its accents.
            if length >= LONGEST_WORD and not unicodedata.combining(sign[0]):
                pieces.append(MARK)
                length = 0
            length += 1
            pieces.append(sign)
        return "".join(pieces)

    parts: list[str] = []
    for part in _PART.findall(html):
        if part[0] != "<":
            parts.append(_WORD.sub(broken, part))
            if part[-1].isspace():
                length = 0
        else:
            parts.append(part)
            if not _WITHIN.match(part):
                length = 0
    return "".join(parts)
