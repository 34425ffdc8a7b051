"""Places in chart texts, marked with `¦` where the cursor stands."""

from __future__ import annotations

from pathlib import Path

from linenleaf.lsp.desk import Desk, examine

from tests.sources import MARKS, WHOLE, folder_with

CURSOR = "¦"

# WHOLE shows every statement but is no sound chart; this one is.
SOUND = """\
linen 1
use marks.linen
fabric linen 32 over 2
  colour #E9DFCB "raw flax"
range shore from shore.csv
key
  m      shore 31
  s      shore 12  1 strand   note "work *last*"
  ^      shore 31 three-quarter top-left + shore 12 quarter
  =      shore 31 with shore 12
  +      #aa3344 "madder" upright
  rope   shore 58 back 1 strand
  eye    shore 47 knot
  drop   #ffcc55 "lamp" bead
motif boat 5 x 3 symmetric left-right
  |.m.m.|
  |m=+=m|
  |.mmm.|
  line rope 0,0 5,0
motif tuft 2 x 1
  |s^|
chart 40 x 30
  boat x 3 at 2,2 step 7,0
  boat at 2,10 with = as s
  tuft at 30,20
  text "THE" in marks at 2,20
  line rope 0,15 4,15
  knot eye 20,15 22,15
  bead drop 24,15
note at 2,20 "The line."
colourway faded
  s  shore 47
expect + 4
"""


def at(marked: str, text: str = SOUND) -> int:
    """The offset of the cursor in a text, given one line or part of it with the cursor in it."""
    before, after = marked.split(CURSOR)
    assert text.count(before + after) == 1, marked
    return text.index(before + after) + len(before)


def desk_with(folder: Path, text: str = SOUND, *, examined: bool = True) -> tuple[Desk, Path]:
    """A desk on which a chart lies open, and its path."""
    path = folder_with(folder, text).resolve()
    desk = Desk()
    desk.put(path, text)
    if examined:
        desk.settle(examine(path, desk.texts()))
    return desk, path


__all__ = ["CURSOR", "MARKS", "SOUND", "WHOLE", "at", "desk_with"]
