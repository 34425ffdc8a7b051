"""Every finding that linenleaf can tell, once: its name, how grave it is, and what it is.

A stage tells one by its name (`diagnostics.finding`); its level follows from here, and so do the
tables of the reference, what review tools are told, and `check --about`. Why each matters, an
example and how it is mended stand under its name in `grammar/checks/`, a page for each topic.
Names do not change from one version to the next.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum
from types import MappingProxyType


class Level(IntEnum):
    """How grave a finding is. Only an error stops a build."""

    ERROR = 0
    WARNING = 1
    HINT = 2

    @property
    def word(self) -> str:
        """The level as it is shown."""
        return self.name.lower()


@dataclass(frozen=True)
class Finding:
    """What can be found.

    name: short, stable, lower case with hyphens, such as `ragged-row`. what: said of it in one
    phrase. topic: the page of the reference on which it stands.
    """

    name: str
    level: Level
    what: str
    topic: str


@dataclass(frozen=True)
class Topic:
    """A page of the reference: its name, its title, and its findings in their order there."""

    name: str
    title: str
    findings: tuple[Finding, ...]


def _topic(name: str, title: str, text: str) -> Topic:
    """Return a topic from lines of `LEVEL name: what`; a line that is set in goes on from above."""
    lines: list[str] = []
    for line in text.strip().splitlines():
        if line.startswith("  "):
            lines[-1] += f" {line.strip()}"
        else:
            lines.append(line)
    findings = []
    for line in lines:
        head, what = line.split(": ", 1)
        level, label = head.split()
        findings.append(Finding(label, Level[level], what, name))
    return Topic(name, title, tuple(findings))


TOPICS: tuple[Topic, ...] = (
    _topic(
        "files",
        "files, and what a chart may name",
        """
ERROR missing-file: a file that is not there
ERROR not-a-file: a folder, or a device, where a file is needed
ERROR cannot-read: a file that may not be read
ERROR file-too-large: a file larger than linenleaf reads
ERROR binary-file: a picture or document where plain text is needed
ERROR not-utf-8: a text that is not saved as UTF-8
ERROR empty-file: a file with nothing in it
ERROR hidden-character: a character that cannot be seen, or that turns the direction of reading
ERROR line-too-long: a line too long to be read
ERROR too-many-lines: a chart with too many lines or words
ERROR too-many-findings: so many findings that the rest are not shown
ERROR missing-file-name: a statement that needs the name of a file and has none
ERROR address-refused: a network address where a file is needed
ERROR outside-folder: a file outside the chart's folder
ERROR bad-path: a backslash in a path
ERROR not-a-picture: a picture that is neither PNG nor JPEG by its content
ERROR damaged-picture: a picture that is incomplete or damaged
ERROR picture-too-large: a picture with too many pixels
WARNING strange-profile: a picture whose colour profile cannot be used
ERROR too-many-pictures: a story with too many pictures
ERROR too-intricate: stories and sections with more in them than can be laid out
ERROR too-many-files: more files than one chart may name
ERROR use-in-a-ring: files that use each other in a circle, or too many levels deep
ERROR unknown-stock: a stock, or a version of one, that linenleaf does not have
ERROR stock-in-two-versions: two versions of one stock in one chart
WARNING empty-story: a story with nothing in it
""",
    ),
    _topic(
        "lines-of-text",
        "the words of a line",
        """
ERROR missing-version: a first line that does not give the version of the notation
ERROR newer-notation: a chart that needs a newer linenleaf
ERROR unknown-version: a version of the notation that does not exist
ERROR repeated-version: a version that is given again below the first line
ERROR unknown-word: a word that cannot begin a block, or a line of its block
ERROR misspelt-word: a word that looks misspelt
ERROR wrong-word: a word in the place of another
ERROR too-many-words: words after the end of a statement
ERROR line-stops-early: a line that is not complete
ERROR stray-line: a line below a statement that is complete in itself
ERROR repeated-line: a line that its block already has
ERROR repeated-option: something given twice in one line
ERROR second-block: a block that a chart has only once, begun again
ERROR reserved-name: a word of the notation used as a name
ERROR bad-name: something that cannot be a name
ERROR name-too-long: a name of more than 60 characters
ERROR missing-quotes: a text without double quotes
ERROR wrong-quotes: a text in curly or single quotes
ERROR unclosed-text: a text without its closing quote
ERROR bad-escape: a backslash in a text that is not before a quote or another backslash
ERROR text-too-long: a text or the name of a thread that is too long to print
ERROR empty-text: a text or note that says nothing
ERROR bad-number: a number that is not written in figures as the notation has them
ERROR not-whole: a number with a fraction where a whole one is needed
ERROR absurd-number: a number outside what is possible
ERROR bad-position: a position that is not two numbers with a comma between
ERROR bad-size: a size that is not two numbers with `x` between
ERROR bad-colour: a colour that is not # and six hexadecimal digits
ERROR bad-date: a date that is not in the calendar, or not year-month-day
ERROR bad-language: a language that is not a language tag
ERROR missing-at: a note at one place without `at` before it
ERROR missing-title: a booklet without a title
ERROR too-many-of-a-kind: more statements of one kind than a chart can have
""",
    ),
    _topic(
        "photographs",
        "photographs",
        """
ERROR incomplete-photograph: a photograph of which it is not said what it shows, or where
ERROR part-uneven: a part in a photograph that does not begin and end between whole crosses
ERROR part-outside: a part in a photograph that does not lie in the chart
ERROR corners-outside: a corner outside the photograph
ERROR corners-crossed: corners in another order than round the part
ERROR corners-in-line: corners of which three lie in a line
ERROR landmark-outside: a landmark outside the part that the photograph shows
ERROR landmark-off: a landmark far from where the corners have it
ERROR too-small-to-read: crosses of fewer than 5 pixels
WARNING small-crosses: crosses of fewer than 6 pixels
ERROR part-too-small: a part too small to be followed
ERROR part-too-large: a part too large for one photograph
WARNING blurred: a photograph whose edges are too soft for the weave to be seen
WARNING glare: a photograph with burnt out or black places
WARNING faded: a photograph whose threads hardly differ from the cloth
ERROR no-crosses: a photograph in which no crosses can be followed
WARNING no-visible-weave: bare cloth whose weave cannot be seen
WARNING covered-cloth: a piece with hardly any bare cloth
WARNING slipped: crosses that could not be followed everywhere
WARNING band-off: a whole band that lies a row or column off in the photograph
WARNING block-off: a block of cells that lies a row or column off in the photograph
WARNING figure-off: a figure of one thread that lies a row or column off in the photograph
WARNING cells-off: some crosses that lie a row or column off in the photograph
WARNING missing-cross: a cross of the chart that the photograph does not show
WARNING extra-cross: a cross in the photograph that the chart does not have
WARNING wrong-thread: a cross that is of another thread in the photograph
HINT faded-alike: threads that cannot be told apart in the photograph
HINT more-differ: further differences, less sure than those told
HINT told-apart: differences where the chart itself says that it is not as the piece
""",
    ),
    _topic(
        "rows",
        "rows",
        """
ERROR unclosed-row: a row without its closing bar
ERROR bar-in-row: a bar inside a row
ERROR words-after-row: words after the closing bar of a row
ERROR stray-row: a row where there can be none
ERROR blank-in-row: a blank in a row, where bare fabric is a point
ERROR ragged-row: a row wider or narrower than its grid
ERROR width-differs: rows that all differ in width from the size given
ERROR row-count: more or fewer rows than the size gives
ERROR row-too-long: a row wider than any chart
ERROR too-many-crosses: a grid with too many crosses
ERROR empty-row: a letter whose rows have no width
""",
    ),
    _topic(
        "once",
        "what must be there, and what can be there only once",
        """
ERROR missing-fabric: a chart without a fabric
ERROR missing-key: a chart without a key
ERROR chart-cut-short: a chart with nothing on it, whose lines stand below a motif drawn after it
ERROR missing-chart: a file without a chart
ERROR duplicate-range: a thread range with a name already in use
ERROR duplicate-motif: a motif with a name already in use
ERROR duplicate-alphabet: an alphabet with a name already in use
ERROR duplicate-letter: a letter that is charted twice
ERROR duplicate-colourway: a colourway with a name already in use
ERROR duplicate-symbol: a symbol with two lines in the key, or changed twice in a colourway
""",
    ),
    _topic(
        "fabric",
        "fabric and working",
        """
ERROR unknown-fabric: a kind of fabric that the notation does not know
ERROR missing-over: a fabric without the number of threads that a cross goes over
ERROR bad-fabric: something given as a fabric on the command line that is not one
ERROR too-many-fabrics: more other fabrics than can be listed
ERROR tails-too-long: two tails that use up half of a needleful
""",
    ),
    _topic(
        "threads",
        "threads and their ranges",
        """
ERROR unknown-range: a thread range that is not there
ERROR unknown-thread: a thread that its range does not have
ERROR bad-thread-name: a colour given in the key without a name that can be printed
ERROR two-colours-one-name: one name for two colours
ERROR thread-twice: one thread named twice in one needle
ERROR blend-too-long: more threads in one needle than can be worked together
ERROR bad-csv: a line of a range or sheet that is not well-formed CSV
ERROR missing-column: a range without a column that is needed
ERROR duplicate-column: a range with two columns of the same name
WARNING unknown-column: a column of a range that is not read
ERROR short-line: a line of a range with fewer cells than are needed
ERROR long-line: a line of a range with more cells than columns
ERROR bad-code: a thread code that cannot be one
ERROR duplicate-thread: a code that appears twice in its range
ERROR unknown-kind: a kind of thread that there is not
ERROR overdyed-colours: an overdyed thread without its colours, or several colours of another
ERROR two-lengths: a length stated in metres and in yards
ERROR strands-of-one: several strands of what has one
ERROR bead-for-thread: a bead named where a stitch needs a thread
WARNING not-divided: a thread that does not divide, asked with several strands
WARNING thread-not-used: a `thread` block for a thread that no key line is worked with
ERROR empty-range: a range without threads
ERROR range-too-long: a range with too many threads
""",
    ),
    _topic(
        "stitches",
        "stitches and their strokes",
        """
ERROR stitch-without-strokes: a stitch that does not say how it is worked
ERROR stitch-words: words of a stitch that are missing or do not go together
ERROR stroke-of-no-length: a stroke that comes up and goes down in one hole
ERROR outside-reach: a stroke outside the threads that its stitch reaches
ERROR hole-just-left: a needle that comes up in the hole it has just gone down
ERROR endless-repeats: repeats of a stitch that never leave their place
ERROR duplicate-stitch: a name that a stitch has already
ERROR unknown-stitch: a stitch of the key that neither the chart nor linenleaf has
WARNING pulled-on-blocks: a pulled stitch on a fabric of blocks
WARNING long-float: a thread that lies loose for so long that it would catch
WARNING short-row: a row too short for its stitch
WARNING holes-apart: pulled stitches that touch, but do not share their holes
WARNING direction-changes: stitches of one field that lie in different directions
""",
    ),
    _topic(
        "key-lines",
        "the lines of the key",
        """
ERROR empty-key: a key without lines
ERROR bad-symbol: something that cannot be a symbol
ERROR missing-kind: a word of the key without the kind of stitch that it stands for
ERROR wrong-kind: a line where a cell is needed, a knot where a line is, and the like
ERROR missing-corner: a part stitch that does not say which corner it lies in
ERROR two-crosses-in-a-cell: two full crosses in one cell
ERROR parts-overlap: two stitches of a cell that lie over each other
ERROR too-many-parts: more stitches in a cell than it holds
ERROR key-too-long: a key with too many lines
ERROR unknown-symbol: a symbol for which the key has no line
ERROR empty-colourway: a colourway that changes nothing
ERROR kind-in-colourway: a colourway that gives a kind of stitch
ERROR parts-differ: a colourway with more or fewer stitches in a cell than the key
""",
    ),
    _topic(
        "letters",
        "alphabets and letters",
        """
ERROR missing-height: an alphabet without the height of its letters
ERROR row-without-letter: a row of an alphabet that belongs to no letter
ERROR bad-letter: a letter that is not one visible character
ERROR empty-alphabet: an alphabet without letters
""",
    ),
    _topic(
        "places",
        "where things stand with regard to each other",
        """
ERROR unknown-thing: a name that nothing placed has
ERROR duplicate-thing: a name that another thing has already
ERROR nothing-before: nothing before a line for bare `below`, `above` or `beside` to stand by
ERROR places-disagree: words of one line that put a thing into two places
ERROR ring-of-places: things whose places hang on each other in a ring
ERROR ring-of-motifs: motifs put together from each other in a ring
ERROR motifs-too-deep: motifs in motifs, deeper than they can be
ERROR size-of-grid: rows in a chart or motif that does not say both how wide and how high it is
ERROR fill-remainder: a repeat that does not come out in what it fills; what would fit is named
ERROR no-room-to-fill: a repeat that does not go in even once where it is to fill something
HINT off-middle: something centred that falls between two crosses, without a word which way it goes
""",
    ),
    _topic(
        "placing",
        "placing",
        """
ERROR overlap: stitches on stitches, unless `replacing` or `clearing` says so; pieces off the grid
  and over fewer threads meet others wherever they share a thread crossing
ERROR cut-piece: room cleared through a piece off the grid, which goes whole or not at all
ERROR outside: stitches, lines or knots outside the chart
ERROR between-threads: a position or step that is not a whole number of fabric threads
ERROR turned-stitch: a part stitch whose mirrored or turned form has no line in the key
ERROR border-remainder: a border whose repeat does not divide a side; what would fit nearest is
  named
ERROR strands-of-the-key: a number of `strands` given for crosses as large as those of the
  chart
ERROR border-corner: a corner of a border that is not square, in `linen 1`
ERROR missing-letter: a letter that the alphabet lacks
ERROR text-too-wide: a line of text wider than what it is to be spread over
ERROR chart-size: a chart larger than 2,000 crosses one way
ERROR too-many-copies: more than 200,000 copies, or 100 million cells, placed in all
ERROR too-many-points: more than 50,000 points of lines, knots and beads, placed in all
ERROR too-fine: a chart with pieces off the grid and more than 100 million thread crossings
ERROR unknown-motif: a motif that is not there
ERROR unknown-alphabet: an alphabet that is not there
ERROR missing-place: a placement that does not say where
ERROR missing-alphabet: a text that does not say which alphabet to use
ERROR missing-step: repeats that do not say how far apart they are
ERROR step-without-repeat: a step that does not say how often to repeat
ERROR step-of-nothing: a step of 0 between repeats
ERROR idle-step: a step in a direction in which nothing repeats
ERROR too-many-repeats: more repeats than one line can place
ERROR strands-without-over: a motif that gives strands but not how many threads its crosses go over
ERROR too-few-points: a line with fewer than two points
WARNING swap-without-effect: a symbol that is swapped though nothing placed holds it
""",
    ),
    _topic(
        "symmetry",
        "symmetry that is stated",
        """
ERROR motif-not-symmetric: a motif that breaks the symmetry given for it; the cells are named
ERROR chart-not-symmetric: a chart that breaks the symmetry given for it; the cells are named
""",
    ),
    _topic(
        "lines",
        "lines, knots and beads",
        """
ERROR no-length: a back stitch or straight stitch that begins and ends in one hole
WARNING doubled-line: a line that goes back over its own stitches
HINT shared-line: two lines that share a stitch
WARNING knot-on-knot: two knots or beads in one hole
""",
    ),
    _topic(
        "pieces",
        "off the grid, over one, and in pairs",
        """
WARNING piece-without-note: a piece off the grid or over fewer threads that no note explains
HINT strands-of-the-chart: a piece over fewer threads that takes its strands from the key
HINT off-centre: a motif placed one cross off the mirror image of its twin about the middle of the
  chart
WARNING not-on-this-fabric: a piece that cannot be worked on one of the other fabrics, such as a
  block weave
HINT no-hole-here: a stitch, such as a knot on the edge of a block, for which a fabric has no hole
WARNING no-hole-in-the-middle: a quarter or three-quarter stitch over an odd number of threads
""",
    ),
    _topic(
        "openwork",
        "withdrawn threads",
        """
ERROR nothing-withdrawn: two corners with no thread between them to withdraw
ERROR withdrawn-outside: threads withdrawn outside the chart
ERROR withdrawn-twice: threads that are withdrawn twice
ERROR on-withdrawn: stitches that lie on withdrawn threads
WARNING not-withdrawn: a stitch that ties threads into groups where none are withdrawn
WARNING withdrawn-on-fabric: a fabric from which the threads cannot be withdrawn, such as a block
  weave
""",
    ),
    _topic(
        "key",
        "the key and its threads",
        """
WARNING unused-symbol: a key line with which nothing is stitched
WARNING same-stitch: two key lines that hold the same stitch
HINT few-stitches: a thread used for fewer than 5 stitches
HINT last-of-a-skein: a thread of which less than 0.15 of a skein will be left over
""",
    ),
    _topic(
        "colours",
        "threads that look alike",
        """
HINT alike-threads: threads that touch and differ by less than 5 (CIEDE2000), in any colourway
HINT alike-to-some: threads that often touch and, to the colour-blind, differ by less than 3
HINT alike-in-grey: threads that often touch and whose greys and symbols differ little (greys by
  less than 3)
""",
    ),
    _topic(
        "symbols",
        "printed symbols",
        """
ERROR unknown-shape: a request for a printed symbol that does not exist
ERROR shape-wished-twice: two key lines that ask for the same printed symbol
ERROR too-many-symbols: more key lines for cells than there are printed symbols
HINT printed-unused: a request for a printed symbol on a line, knot or bead
WARNING alike-symbols: two printed symbols that look alike and touch
""",
    ),
    _topic(
        "words",
        "what is said about the chart",
        """
ERROR note-outside: a note that lies outside the chart
ERROR break-outside: a page that begins with a row or column that the chart does not have
WARNING idle-colourway: a colourway that changes a symbol in which nothing is stitched
HINT words-in-english: a language in which the booklet has no words of its own, so that they are in
  English
WARNING edition-without-revision: a later edition for which no revision says what changed
ERROR not-as-expected: an expected count that the chart does not hold
HINT never-placed: a motif or alphabet that the chart never uses
HINT idle-remark: a remark that silences nothing, gives no reason or names no finding
""",
    ),
    _topic(
        "slips",
        "likely slips",
        """
WARNING lone-stitch: a lone stitch in a field of another colour that its mirror image lacks
WARNING odd-repeat: one cell that differs from its repeats or mirror images
WARNING odd-twin: two cells that differ, though everything around them matches
WARNING off-by-one: a part of a figure one row or column off from the matching part
HINT other-thread: a part of a figure in another thread than the matching part
WARNING nearly-a-motif: a motif drawn again by hand with one cell different
HINT nearly-symmetric: a motif that would be symmetric but for one cell
HINT speck: a lone cross, or a hole, inside a field of one thread
""",
    ),
    _topic(
        "booklet",
        "the booklet and other outputs",
        """
ERROR no-room: paper on which no chart cell fits beside the key
ERROR wide-gutter: a gutter that leaves no room for the text on this paper
WARNING small-cells: chart cells so small that their symbols are not clear
WARNING layout: something on a page that could not be laid out as it should be
HINT lacking-library: a missing system library, without which the PDF is larger than it need be
WARNING picture-left-out: a picture that cannot be printed and is left out
ERROR bad-epoch: an environment whose SOURCE_DATE_EPOCH is not a number of seconds
HINT no-date: a PDF for a printer without a date
HINT not-in-fours: a stapled booklet whose pages are not a multiple of four
HINT folded: how many sheets a folded booklet takes, and which pages stay blank
WARNING same-edition: two different charts that name the same edition
ERROR not-changeable: new words for lettering that is not marked `changeable` in the chart
ERROR no-such-colourway: a request for a colourway that the chart does not have
""",
    ),
    _topic(
        "bringing",
        "bringing in pictures, sheets and photographs",
        """
ERROR chart-too-large: a picture or sheet with more cells one way than a chart has
ERROR unknown-cell: a cell of a sheet that is neither a colour nor a thread, or is not there
ERROR nothing-to-stitch: a picture, sheet or photograph in which all is bare fabric
WARNING another-size: a counted size that is not the one followed in the photograph
ERROR size-unsure: a photograph in which it cannot be told surely how many crosses there are
ERROR not-drafted: a photograph that is too poor for a first draft
""",
    ),
)

REGISTRY: Mapping[str, Finding] = MappingProxyType(
    {finding.name: finding for topic in TOPICS for finding in topic.findings}
)
