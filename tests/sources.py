"""Chart texts for tests of reading: a sound one that uses every statement, and pieces of it."""

from __future__ import annotations

from pathlib import Path

RANGE = """\
code,name,colour,metres,strands,put-up
12,sand,#d9c79a,8,6,skein
31,wrack,#3f4a2c,8,6,skein
47,"mud, wet",#6B5A4A,,,
58,rope,#8a6d3b,10,4,card
"""

STORY = "# The tide line\n\nFound in a *drawer*. <b>Not markup.</b>\n"

WHOLE = """\
linen 1                       # the notation's version
# every statement once or more

booklet "Saltmarsh \\"Bands\\""
  subtitle "a band sampler <b>in seven colours</b>"
  designer "Tern & Teasel"
  rights   "Copyright 2026 Tern & Teasel. One working copy for your own use."
  thanks   "to the shore"
  language en-GB
  edition  "2" 2026-03-14
  story    story.md
  section  "Reeds" "notes/reeds.md"
  original place "a chest in the boat house"
  original date  "about 1840"
  needs    "a hoop"
  needs    "a pair of scissors"

fabric linen 36 x 34 over 2
  colour #E9DFCB "raw flax"
  margin 3 in
  also   linen 28 over 2, evenweave 10 per cm over 2
  also   aida 14

range shore from shore.csv    # eight metres to the skein
  metres 8
  strands 6
  put-up "skein"

use marks.linen

key
  m      shore 31
  s      shore 12  1 strand   note "work last"
  /      shore 12  half up
  \\      shore 12  half down
  ^      shore 31 three-quarter top-left + shore 12 quarter
  =      shore 31 with shore 12
  +      #aa3344 "madder" upright printed star
  rope   shore 58 back 1 strand
  spar   shore 58 1 strand straight
  eye    shore 47 knot
  drop   #ffcc55 "lamp" bead

working
  needleful 45 cm
  tail 5 cm
  carry 12 mm
  method each
  reserve 15 %

motif boat 5 x 3 over 2 symmetric left-right
  |.m.m.|   # the sails
  # between rows

  |mmmmm|
  |.mmm.|
  line rope 0,0 2.5,1 5,0
  knot eye 2.5,1.5 3,1
  bead drop 1,1

motif tuft 2 x 1
  |s/|

chart 60 x 40 symmetric both
  border tuft, corner boat inset 2 mirrored with s as m
  boat at 10,10
  boat mirrored top-bottom turned half centre at 30,20 replacing
  tuft x 4 by 2 at 3,30 step 5,4 over 1
  tuft bottom-right at 40.5,30 clearing with s as m, / as \\
  text "THE TIDE" "COMES" in marks at 30,4 centred spacing 1 space 2 leading 1 changeable verse
  line spar 0,0 3,4 5,4
  knot eye 3,4
  bead drop 4,5

note at 40.5,30 "Start one thread to the right."
note 3,4 to 10,12 "This corner."
departure 0,30 to 10,36 "The old band loses a repeat."
inferred at 5,5 "Thread lost here."
kept 10,10 to 2,2 "The maker's own corner."

colourway faded "As the old piece looks today"
  s  shore 47
  ^  shore 12 + shore 47

revision "2" 2026-03-14 "Row 44 corrected."
revision "1" "First edition."
expect m 144
expect m 3 in 0,0 to 20,20
"""

LETTERS = "THEIDCOMS"
MARKS = "linen 1\nalphabet marks height 2 spacing 1 space 3\n" + "".join(
    f"  {letter} |m{'m' * number}|\n    |.{'s' * number}|\n"
    for number, letter in enumerate(LETTERS)
)

SMALL = """\
linen 1
fabric linen 32 over 2
range shore from shore.csv
key
  m     shore 31
  s     shore 12
  rope  shore 58 back
chart 6 x 3
  |mm..ss|
  |.mm.s.|
  |......|
  line rope 1,1 2,2.5
"""


def folder_with(folder: Path, chart: str = WHOLE) -> Path:
    """Write a chart and all that it names into a folder; return the chart's path."""
    (folder / "notes").mkdir(parents=True, exist_ok=True)
    (folder / "shore.csv").write_text(RANGE, "utf-8")
    (folder / "story.md").write_text(STORY, "utf-8")
    (folder / "notes" / "reeds.md").write_text("Reeds.\n", "utf-8")
    (folder / "marks.linen").write_text(MARKS, "utf-8")
    path = folder / "chart.linen"
    path.write_text(chart, "utf-8")
    return path
