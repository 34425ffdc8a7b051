"""Running feet are no content: nobody wants to hear the title and the edition on every page.

WeasyPrint 70 tags the text of margin boxes as content but leaves it out of the structure tree.
ISO 14289-1, 7.1, has all that is no content marked as an artifact; ISO 32000-1, 14.8.2.2 says how.
"""

from __future__ import annotations

from typing import Any

import pydyf

_FOOT = {"Type": "/Pagination", "Subtype": "/Footer"}


def mark_feet(pdf: Any) -> None:
    """Mark as artifacts what a tagged pydyf PDF has tagged outside its structure tree."""
    if "StructTreeRoot" not in pdf.catalog:
        return
    root = _at(pdf, pdf.catalog["StructTreeRoot"])
    parents = _at(pdf, root["ParentTree"])["Nums"]
    owners = dict(zip(parents[::2], parents[1::2], strict=True))
    linked = _linked(pdf, root["K"])
    for number in pdf.pages["Kids"][::3]:
        page = pdf.objects[number]
        owned = owners.get(page.get("StructParents"))
        if not isinstance(owned, list):
            continue
        loose = {at for at, owner in enumerate(owned) if owner not in linked}
        _mark(_at(pdf, page["Contents"]).stream, loose)
        for at in loose:
            owned[at] = b"null"


def _linked(pdf: Any, kids: Any) -> set[bytes]:
    """Return the references of all structure elements that the tree leads to."""
    found: set[bytes] = set()
    waiting = [each for each in kids if isinstance(each, bytes)]
    while waiting:
        reference = waiting.pop()
        if reference in found:
            continue
        found.add(reference)
        within = _at(pdf, reference).get("K", ())
        waiting.extend(each for each in within if isinstance(each, bytes))
    return found


def _mark(items: list[Any], loose: set[int]) -> None:
    """Turn marked contents of these numbers into artifacts; feet are drawn last."""
    left = set(loose)
    for at in range(len(items) - 1, 1, -1):
        if not left:
            return
        properties = items[at - 1]
        if items[at] == b"BDC" and isinstance(properties, dict) and properties.get("MCID") in left:
            left.discard(properties["MCID"])
            items[at - 2] = "/Artifact"
            items[at - 1] = pydyf.Dictionary(_FOOT)


def _at(pdf: Any, reference: bytes) -> Any:
    return pdf.objects[int(reference.split()[0])]
