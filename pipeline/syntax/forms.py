"""What a whole line of each kind looks like, for whoever is stuck in one."""

from __future__ import annotations

_HEADS = {
    "linen": "linen 1",
    "use": "use letters.linen",
    "booklet": 'booklet "Saltmarsh Bands"',
    "fabric": "fabric linen 32 over 2",
    "range": "range estuary from estuary.csv",
    "key": "key",
    "working": "working",
    "motif": "motif tern 9 x 4",
    "alphabet": "alphabet marking height 7",
    "chart": "chart 60 x 40",
    "note": 'note at 20,14 "Start here."',
    "departure": 'departure 0,30 to 60,36 "Evened out here."',
    "inferred": 'inferred 20,14 to 24,18 "Charted from its mirror image."',
    "kept": 'kept at 20,14 "Left as the maker turned it."',
    "colourway": 'colourway faded "As the old piece looks today"',
    "revision": 'revision "2" 2026-03-14 "Row 44: two crosses put right."',
    "expect": "expect m 120",
}
_LINES = {
    "booklet": {
        "subtitle": 'subtitle "a band sampler"',
        "designer": 'designer "Tern & Teasel"',
        "edition": 'edition "2" 2026-03-14',
        "language": "language en-GB",
        "story": "story story.md",
        "section": 'section "About reeds" reeds.md',
        "cover": "cover cover.png",
        "picture": 'picture shore.jpg "The shore"',
        "original": 'original place "Found in a boat house"',
        "needs": 'needs "A hoop"',
        "rights": 'rights "Copyright 2026 Tern & Teasel."',
        "thanks": 'thanks "To all who stitched the model."',
    },
    "fabric": {
        "colour": 'colour #dccbae "raw flax"',
        "margin": "margin 3 in",
        "also": "also linen 28 over 2, aida 14",
    },
    "range": {"metres": "metres 8", "strands": "strands 6", "put-up": 'put-up "skein"'},
    "key": {"": "m  estuary 417"},
    "working": {
        "needleful": "needleful 45 cm",
        "tail": "tail 5 cm",
        "carry": "carry 12 mm",
        "method": "method rows",
        "reserve": "reserve 10 %",
    },
    "motif": {
        "line": "line lantern 4,3 4,4 6,4",
        "knot": "knot eye 5.5,1.5",
        "bead": "bead drop 1,1",
    },
    "alphabet": {"": "A |..m..|"},
    "chart": {
        "border": "border leaf, corner sprig",
        "text": 'text "TIDE" in marking at 60,60',
        "line": "line lantern 0,0 3,4",
        "knot": "knot eye 3,4",
        "bead": "bead drop 8,8",
        "": "tern at 20,14",
    },
    "colourway": {"": "m  estuary 220"},
}


def form(block: str, word: str) -> str | None:
    """Return a whole line to go by; None where there is none.

    block: the top-level word that the line stands under, or is. word: what the line begins with.
    """
    if word == block:
        return _HEADS.get(word)
    lines = _LINES.get(block, {})
    return lines.get(word, lines.get(""))


def all_forms() -> list[tuple[str, str]]:
    """Return each form with the block that it stands under, or that it is the first line of."""
    inner = [(block, line) for block, lines in _LINES.items() for line in lines.values()]
    return [*_HEADS.items(), *inner]
