"""Which words begin a block, and by which rules of the grammar its lines are read."""

from __future__ import annotations

# Each top-level word, the rule of its own line, and the rule of the lines below it.
HEAD_RULES = {
    "linen": "version",
    "use": "use",
    "booklet": "booklet",
    "fabric": "fabric",
    "range": "range",
    "key": "key",
    "working": "working",
    "motif": "motif",
    "alphabet": "alphabet",
    "chart": "chart",
    "note": "note",
    "departure": "note",
    "inferred": "note",
    "kept": "note",
    "colourway": "colourway",
    "revision": "revision",
    "expect": "expect",
}
LINE_RULES = {
    "booklet": "booklet_line",
    "fabric": "fabric_line",
    "range": "range_line",
    "key": "key_line",
    "working": "working_line",
    "motif": "motif_line",
    "alphabet": "letter",
    "chart": "chart_line",
    "colourway": "colourway_line",
}
WITH_ROWS = frozenset({"motif", "alphabet", "chart"})
