"""Fonts in a PDF named after what is in them, and what they hold that ours do not.

WeasyPrint names a font after what Pango says of it, which another release of Pango says in other
words; so the same booklet would have other bytes. Only the PDF is looked at (ISO 32000-1, 9.6.4
and 9.9).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from hashlib import sha256
from typing import Any

import pydyf

_CHOSEN = re.compile(rb"/([A-Z]{6}) (\S+) Tf")
_MEANS = re.compile(rb"<[0-9a-f]{4}> <([0-9a-f]+)>")
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def name_fonts(pdf: Any) -> None:
    """Let the six letters before the name of a font, and what pages call it, follow its content."""
    shared = shared_fonts(pdf)
    names: dict[bytes, bytes] = {}
    for name, reference in list(shared.items()):
        font = at(pdf, reference)
        if not isinstance(font["BaseFont"], bytes):
            continue  # ours: named after nothing
        described = list(_described(pdf, font))
        digest = sha256()
        for each in described:
            digest.update(_file(pdf, each))
        base = font["BaseFont"].partition(b"+")[2]
        fresh = _letters(digest.digest() + base)
        font["BaseFont"] = b"/" + fresh + b"+" + base
        for below in font.get("DescendantFonts", ()):
            at(pdf, below)["BaseFont"] = font["BaseFont"]
        for each in described:
            each["FontName"] = font["BaseFont"]
        names[name.encode()] = fresh
        del shared[name]
        shared[fresh.decode()] = reference
    for each in pdf.objects:
        if isinstance(each, pydyf.Stream) and "Filter" not in each.extra:
            each.stream[:] = [
                _CHOSEN.sub(lambda found: b"/%s %s Tf" % (names[found[1]], found[2]), item)
                if isinstance(item, bytes) and item.endswith(b" Tf") and item[1:7] in names
                else item
                for item in each.stream
            ]


def unlike(pdf: Any, family: str) -> Iterator[tuple[str, str]]:
    """Return each font whose family begins otherwise, and the letters that it is used for."""
    for reference in shared_fonts(pdf).values():
        font = at(pdf, reference)
        for each in _described(pdf, font):
            name = each["FontFamily"].string
            if not name.startswith(family):
                lines = b"\n".join(at(pdf, font["ToUnicode"]).stream)
                codes = {bytes.fromhex(code.decode()) for code in _MEANS.findall(lines)}
                yield name, "".join(sorted({code.decode("utf-16-be") for code in codes}))


def shared_fonts(pdf: Any) -> Any:
    """Return the fonts that all pages share: names, and where each font is."""
    return at(pdf, shared_resources(pdf)["Font"])


def shared_resources(pdf: Any) -> Any:
    """Return the resources that all pages share."""
    first = pdf.objects[pdf.pages["Kids"][0]]
    return at(pdf, first["Resources"])


def at(pdf: Any, reference: bytes) -> Any:
    """Return the object that a reference leads to."""
    return pdf.objects[int(reference.split()[0])]


def _described(pdf: Any, font: Any) -> Iterator[Any]:
    for below in font.get("DescendantFonts", ()):
        yield at(pdf, at(pdf, below)["FontDescriptor"])


def _file(pdf: Any, descriptor: Any) -> bytes:
    reference = descriptor.get("FontFile2") or descriptor["FontFile3"]
    return b"".join(at(pdf, reference).stream)


def _letters(data: bytes) -> bytes:
    digest = sha256(data).digest()
    return "".join(_LETTERS[each % 26] for each in digest[:6]).encode()
