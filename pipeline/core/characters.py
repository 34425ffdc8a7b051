"""Characters that cannot be seen, or that turn the direction of reading: one table for all.

`HIDDEN` are those of general category Cc, Cf, Cs, Zl and Zp, those with one of the properties
Default_Ignorable_Code_Point, Bidi_Control and Noncharacter_Code_Point, and the Braille blank.
Source: Unicode Character Database 17.0, UnicodeData.txt, DerivedCoreProperties.txt, PropList.txt.
Python's own tables lack these properties, and differ from one release of Python to the next.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

_RANGES = (
    "0000-001F 007F-009F 00AD 034F 0600-0605 061C 06DD 070F 0890-0891 08E2 115F-1160 "
    "17B4-17B5 180B-180F 200B-200F 2028-202E 2060-206F 2800 3164 D800-DFFF FDD0-FDEF "
    "FE00-FE0F FEFF FFA0 FFF0-FFFB FFFE-FFFF 110BD 110CD "
    "13430-1343F 1BCA0-1BCA3 1D173-1D17A E0000-E0FFF "
) + " ".join(f"{plane:X}FFFE-{plane:X}FFFF" for plane in range(1, 17))
# All of general category Zs but the space: they look like one, or are wider or narrower.
_BLANKS = "00A0 1680 2000-200A 202F 205F 3000"


def _class(ranges: str) -> str:
    ends = (each.partition("-") for each in ranges.split())
    return "".join(f"\\U{first:0>8}-\\U{last or first:0>8}" for first, _, last in ends)


HIDDEN = re.compile(f"[{_class(_RANGES)}]")
_NOT_IN_NAMES = re.compile(f"[{_class(_RANGES)}{_class(_BLANKS)}]")

_PLAIN = frozenset("\t\n")  # what lays out a text
_MONGOLIAN_SELECTORS = re.compile("[\u180b-\u180d\u180f]")
_VIRAMA = 9  # its canonical combining class
_LOOKED_AT = 16  # characters before a hidden one: no letter bears more marks


def is_hidden(character: str) -> bool:
    """Tell whether a character cannot be seen or steers what stands around it.

    Tabs and line ends are hidden; blanks, such as a space or a no-break space, are not.
    """
    return HIDDEN.fullmatch(character) is not None


def is_visible(character: str) -> bool:
    """Tell whether one character can be seen standing alone, as a symbol must."""
    return (
        len(character) == 1
        and unicodedata.category(character)[0] in "LNPS"
        and not is_hidden(character)
    )


def escaped(text: str, keep: str = "") -> str:
    """Return a text for a terminal: each hidden character stands there as `<U+202E>`.

    keep: hidden characters that stay as they are, such as the line end.
    """
    return HIDDEN.sub(lambda match: match[0] if match[0] in keep else f"<{code(match[0])}>", text)


def code(character: str) -> str:
    """Return the number of a character as Unicode writes it, such as `U+202E`."""
    return f"U+{ord(character):04X}"


def called(character: str) -> str:
    """Return what a character is called, with its number."""
    return f"{unicodedata.name(character, 'control character').lower()} ({code(character)})"


def hidden_in_name(name: str) -> str | None:
    """Return the first character that no name may hold: a hidden one, or a blank but the space."""
    hidden = _NOT_IN_NAMES.search(name)
    return hidden[0] if hidden else None


def hidden_in_text(text: str) -> Iterator[int]:
    """Return where hidden characters stand in a text that has no use for them there.

    Of use are tabs and line ends; the joiner and the non-joiner after a virama (RFC 5892, A.1 and
    A.2) or a letter that is read from the right, as in Arabic; a joiner between pictographs; a
    soft hyphen between two letters; a variation selector after the sign, ideograph or Mongolian
    letter whose form it chooses.
    """
    # Of a long text first the letters that it is made of: the table is long too.
    there = frozenset(HIDDEN.findall("".join(frozenset(text)))) - _PLAIN
    if not there:
        return
    for hidden in re.finditer(f"[{re.escape(''.join(sorted(there)))}]", text):
        at = hidden.start()
        before, after = text[max(0, at - _LOOKED_AT) : at], text[at + 1 : at + 2]
        if not _is_of_use(hidden[0], before, after):
            yield at


def _is_of_use(character: str, before: str, after: str) -> bool:
    base = next((each for each in reversed(before) if not _is_mark(each)), " ")
    last = before[-1:] or " "
    match character:
        case "\N{SOFT HYPHEN}":
            return base.isalpha() and after.isalpha() and not is_hidden(base)
        case "\N{ZERO WIDTH NON-JOINER}" | "\N{ZERO WIDTH JOINER}":
            return (
                unicodedata.combining(last) == _VIRAMA
                or (base.isalpha() and unicodedata.bidirectional(base) in {"AL", "R"})
                or (character == "\N{ZERO WIDTH JOINER}" and _is_pictograph(base, after))
            )
        case _ if _MONGOLIAN_SELECTORS.match(character):
            return "\u1820" <= last <= "\u18aa"
        case _ if "\N{VARIATION SELECTOR-1}" <= character <= "\N{VARIATION SELECTOR-16}":
            return unicodedata.category(last)[0] in "SP"
        case _ if "\N{VARIATION SELECTOR-17}" <= character <= "\N{VARIATION SELECTOR-256}":
            return last.isalpha() and unicodedata.east_asian_width(last) == "W"
        case _:
            return False


def _is_mark(character: str) -> bool:
    return unicodedata.category(character)[0] == "M"  # accents, vowel signs, variation selectors


def _is_pictograph(before: str, after: str) -> bool:
    skin = (
        "\N{EMOJI MODIFIER FITZPATRICK TYPE-1-2}"
        <= before
        <= "\N{EMOJI MODIFIER FITZPATRICK TYPE-6}"
    )
    return (skin or unicodedata.category(before) == "So") and (
        after != "" and unicodedata.category(after) == "So"
    )
