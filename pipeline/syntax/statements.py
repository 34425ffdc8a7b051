"""The table of statements: every line that a chart may hold, and every option of a line.

How lines are read, what is offered while they are typed, what is said of them when they are wrong,
their tidy form, the index of the reference and the colours in text editors all follow from here
(see "How to add a statement" in DEVELOPERS.md). What a statement means is told in `resolve`.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import Enum
from functools import cache, cached_property

from ..grammar import pieces
from .forms import Form, form
from .nodes import (
    AlphabetHead,
    AlsoLine,
    BandLine,
    BookletHead,
    BorderLine,
    ChartHead,
    ColourLine,
    ColourwayHead,
    CornersLine,
    DrawnLetterLine,
    ExpectLine,
    FabricHead,
    KeyHead,
    KeyLine,
    LandmarkLine,
    LetteringLine,
    LetterLine,
    MeasureLine,
    MotifHead,
    NoteLine,
    PagesHead,
    PhaseLine,
    PhotographHead,
    PlaceLine,
    PlacementLine,
    RangeHead,
    RevisionLine,
    ShapeLine,
    ShowsLine,
    StitchHead,
    StrokeLine,
    ThreadHead,
    UseLine,
    VersionLine,
    WithdrawnLine,
    WordLine,
    WorkingHead,
    WoundLine,
)


class Body(Enum):
    """What stands below the first line of a statement, and how that is set in the tidy form."""

    NONE = "nothing"  # such statements may stand together; those of one section are aligned
    WORDS = "words"  # a word a line, what follows in a column
    STROKES = "strokes"  # strokes, and a word before those of one part
    KEY = "key"  # a symbol a line, its thread, stitch and note in columns
    LETTERS = "letters"  # rows, each letter before its first row
    GRID = "grid"  # rows, and what is placed


@dataclass(frozen=True)
class Statement:
    """One kind of line.

    name: the word that it begins with, or what it is called where it begins with none (`bare`).
    written: its form, which is what follows the word (see `forms`). node: what it becomes; its
    fields, but for the word and the place, take what the form holds, in order (`values` takes all).
    example: a whole line. under: the blocks in which it stands, empty for a line that begins a
    block or stands alone. lines: what stands below it. section: of the reference, where that has
    another name than the block. since: the version of the notation that brought it.
    """

    name: str
    written: str
    node: type
    example: str
    under: str = ""
    lines: Body = Body.NONE
    section: str = ""
    bare: bool = False
    since: int = 1

    @property
    def word(self) -> str:
        """The word that the line begins with; empty where it begins with none."""
        return "" if self.bare else self.name

    @property
    def blocks(self) -> tuple[str, ...]:
        """The blocks in which it stands."""
        return tuple(self.under.split())

    @property
    def page(self) -> str:
        """The section of the reference that tells of it."""
        return self.section or (self.blocks or (self.name,))[0]

    @property
    def gives_name(self) -> bool:
        """Whether it gives a name to what stands below it, so that there may be several."""
        return not self.under and self.written.partition(" ")[0].endswith("_NAME")

    @property
    def rule(self) -> str:
        """The rule of the grammar that reads the line."""
        name = self.name.replace("-", "_")
        return f"{name}_in_{self.blocks[0]}" if self.under else f"{name}_head"

    @cached_property
    def fields(self) -> tuple[str, ...]:
        """The fields of its node, but for the place."""
        return tuple(field.name for field in fields(self.node) if field.name != "span")

    @cached_property
    def form(self) -> Form:
        """What follows the word."""
        return form(self.written)


@dataclass(frozen=True)
class OptionForm:
    """An option of a line: its name and form, and its word where that is another than its name."""

    name: str
    written: str
    other_word: str = ""
    since: int = 1

    @property
    def word(self) -> str:
        """The word by which nodes know the option."""
        return self.other_word or self.name

    @cached_property
    def form(self) -> Form:
        """The whole option."""
        return form(self.written)


def _note(word: str, example: str) -> Statement:
    return Statement(word, "area STRING", NoteLine, example, section="notes")


# Of what a chart places, and from `linen 2` on a motif too.
_BORDER = (
    'MOTIF_NAME (","? "corner" MOTIF_NAME)?'
    " (inset|mirrored|with|round|within|piece|join|from|named)*"
)
_TEXT = (
    "STRING+ (in|several|point|below|side|aligned|centred|sided|on|spacing|space|leading|over"
    "|strands|cover|with|taking|spread|changeable|named)*"
)
_PLACEMENT = (
    "MOTIF_NAME (at|repeat|step|mirrored|turned|over|strands|cover|with|places|below|side|aligned"
    "|middle|on|filling|within|from|cut|setin|named)*"
)

# In the order in which words that begin a block are offered and listed.
# fmt: off
STATEMENTS = (
    Statement("linen", "NUMBER", VersionLine, "linen 2", section="how-a-file-is-written"),
    Statement("use", "(chart_file|stocked)", UseLine, "use letters.linen"),

    Statement("booklet", "STRING", BookletHead, 'booklet "Saltmarsh Bands"', lines=Body.WORDS),
    Statement("subtitle", "STRING", WordLine, 'subtitle "a band sampler"', "booklet"),
    Statement("designer", "STRING", WordLine, 'designer "Tern & Teasel"', "booklet"),
    Statement("edition", "STRING DATE?", WordLine, 'edition "2" 2026-03-14', "booklet"),
    Statement("language", "LANGUAGE_TAG", WordLine, "language en-GB", "booklet"),
    Statement("story", "prose_file", WordLine, "story story.md", "booklet"),
    Statement("section", "STRING prose_file", WordLine,
              'section "About reeds" reeds.md', "booklet"),
    Statement("cover", "picture_file", WordLine, "cover cover.png", "booklet"),
    Statement("picture", "picture_file STRING?", WordLine,
              'picture shore.jpg "The shore"', "booklet"),
    Statement("original", '("place"|"date"|"size"|"materials"|"keeper") STRING', WordLine,
              'original place "Found in a boat house"', "booklet"),
    Statement("needs", "STRING", WordLine, 'needs "A hoop"', "booklet"),
    Statement("rights", "STRING", WordLine, 'rights "Copyright 2026 Tern & Teasel."', "booklet"),
    Statement("thanks", "STRING", WordLine, 'thanks "To all who stitched the model."', "booklet"),
    Statement("about", "STRING", WordLine, 'about "The tide line in bands."', "booklet", since=2),
    Statement("level", "STRING", WordLine, 'level "For patient beginners"', "booklet", since=2),
    Statement("mark", "picture_file", WordLine, "mark mark.png", "booklet", since=2),
    Statement("address", "STRING", WordLine, 'address "The Boat House, Wend"', "booklet", since=2),
    Statement("errata", "STRING", WordLine, 'errata "www.example.org/errata"', "booklet", since=2),
    Statement("gutter", "length", MeasureLine, "gutter 10 mm", "booklet", since=2),

    Statement("fabric", "cloth", FabricHead, "fabric linen 32 over 2", lines=Body.WORDS),
    Statement("colour", "COLOUR STRING?", ColourLine, 'colour #dccbae "raw flax"', "fabric"),
    Statement("margin", "length", MeasureLine, "margin 3 in", "fabric"),
    Statement("also", "cloths", AlsoLine, "also linen 28 over 2, aida 14", "fabric"),

    Statement("range", 'RANGE_NAME "from" table_file', RangeHead, "range estuary from estuary.csv",
              lines=Body.WORDS),
    Statement("metres", "NUMBER", WordLine, "metres 8", "range"),
    Statement("yards", "NUMBER", WordLine, "yards 8.7", "range", since=2),
    Statement("strands", "NUMBER", WordLine, "strands 6", "range"),
    Statement("put-up", "STRING", WordLine, 'put-up "skein"', "range"),
    Statement("kind", '("stranded"|"flat"|"perle"|"metallic"|"bead"|"overdyed")', WordLine,
              "kind perle", "range", since=2),

    Statement("stitch",
              "STITCH_NAME STRING? (threads|reach|step|row|per|along|bars|lines|journeys|laid"
              "|pulled|keeps|withdrawn)*",
              StitchHead, "stitch eye over 4 x 4 pulled", lines=Body.STROKES, since=2),
    Statement("first", "strokes", PhaseLine, "first up 0,2 down 2,0", "stitch", since=2),
    Statement("each", "strokes", PhaseLine, "each up 0,2 down 4,0", "stitch", since=2),
    Statement("last", "strokes", PhaseLine, "last up 2,2 down 0,0", "stitch", since=2),
    Statement("turn", "strokes", PhaseLine, "turn up 1,1 down 2,2", "stitch", since=2),
    Statement("second", "strokes", PhaseLine, "second up 2,0 down 0,2", "stitch", since=2),
    Statement("wound", "NUMBER", WoundLine, "wound 2", "stitch", since=2),
    Statement("strokes", "strokes", StrokeLine, "up 0,2 down 2,0  up 2,2 down 0,0", "stitch",
              bare=True, since=2),

    Statement("key", "", KeyHead, "key", lines=Body.KEY),
    Statement("stitch", "new_symbol parts (printed|note)*", KeyLine, "m  estuary 417", "key",
              bare=True),

    Statement("working", "", WorkingHead, "working", lines=Body.WORDS),
    Statement("needleful", "length", MeasureLine, "needleful 45 cm", "working thread"),
    Statement("tail", "length", MeasureLine, "tail 5 cm", "working thread"),
    Statement("carry", "length", MeasureLine, "carry 12 mm", "working"),
    Statement("slip", "length", MeasureLine, "slip 50 mm", "working", since=2),
    Statement("bare", 'NUMBER "crosses"', WordLine, "bare 4 crosses", "working", since=2),
    Statement("float", "length", MeasureLine, "float 15 mm", "working", since=2),
    Statement("method", '("rows"|"each")', WordLine, "method rows", "working thread"),
    Statement("reserve", 'NUMBER "%"', WordLine, "reserve 10 %", "working"),

    Statement("thread", "thread", ThreadHead, "thread estuary 512", lines=Body.WORDS, since=2),
    Statement("strands", "NUMBER", WordLine, "strands 1", "thread", since=2),

    Statement("motif", "MOTIF_NAME extent (over|strands|symmetric)*", MotifHead,
              "motif tern 9 x 4", lines=Body.GRID),
    Statement("alphabet", "ALPHABET_NAME (height|spacing|space)*", AlphabetHead,
              "alphabet marking height 7", lines=Body.LETTERS),
    Statement("letter", "(STRING|LETTER) ROW", LetterLine, "A |..m..|", "alphabet", bare=True),
    Statement("drawn", '(STRING|LETTER) NUMBER "wide"', DrawnLetterLine, "A 3 wide", "alphabet",
              bare=True, since=2),
    Statement("line", "symbol POINT+", ShapeLine, "line lantern 0,0 3,4", "alphabet", since=2),
    Statement("knot", "symbol POINT+", ShapeLine, "knot eye 3,4", "alphabet", since=2),
    Statement("bead", "symbol POINT+", ShapeLine, "bead drop 8,8", "alphabet", since=2),

    Statement("chart", "extent symmetric?", ChartHead, "chart 60 x 40", lines=Body.GRID),
    Statement("band", "THING_NAME? (gap)*", BandLine, "band reeds gap 2",
              "chart motif", since=2),
    Statement("place", "THING_NAME size? (below|side|aligned|middle|on|at)*", PlaceLine,
              "place panel 40 x 30 at 10,20", "chart motif", since=2),
    Statement("border", _BORDER, BorderLine, "border leaf, corner sprig", "chart"),
    Statement("border", _BORDER, BorderLine, "border leaf, corner sprig", "motif", since=2),
    Statement("text", _TEXT, LetteringLine, 'text "TIDE" in marking at 60,60', "chart"),
    Statement("text", _TEXT, LetteringLine, 'text "TIDE" in marking at 6,6', "motif", since=2),
    Statement("line", "symbol POINT+ (tied|named)*", ShapeLine, "line lantern 0,0 3,4",
              "chart motif"),
    Statement("knot", "symbol POINT+ (tied|named)*", ShapeLine, "knot eye 3,4", "chart motif"),
    Statement("bead", "symbol POINT+ (tied|named)*", ShapeLine, "bead drop 8,8", "chart motif"),
    Statement("withdrawn", '("rows"|"columns") POINT "to" POINT (tied|named)*', WithdrawnLine,
              "withdrawn rows 0,20 to 60,21.5", "chart", since=2),
    Statement("placement", _PLACEMENT, PlacementLine, "tern at 20,14", "chart", bare=True),
    Statement("placement", _PLACEMENT, PlacementLine, "tern at 2,3", "motif", bare=True, since=2),

    Statement("pages", "", PagesHead, "pages", lines=Body.WORDS, since=2),
    Statement("orientation", '("portrait"|"landscape")', WordLine, "orientation landscape", "pages",
              since=2),
    Statement("overlap", "NUMBER", WordLine, "overlap 2", "pages", since=2),
    Statement("break", '"before" ("row"|"column") NUMBER', WordLine, "break before row 61", "pages",
              since=2),

    _note("note", 'note at 20,14 "Start here."'),
    _note("departure", 'departure 0,30 to 60,36 "Evened out here."'),
    _note("inferred", 'inferred 20,14 to 24,18 "Charted from its mirror image."'),
    _note("kept", 'kept at 20,14 "Left as the maker turned it."'),

    Statement("colourway", "COLOURWAY_NAME STRING?", ColourwayHead,
              'colourway faded "As the old piece looks today"', lines=Body.KEY),
    Statement("change", "symbol parts", KeyLine, "m  estuary 220", "colourway", bare=True),

    Statement("photograph", "picture_file", PhotographHead, "photograph old-band.jpg",
              lines=Body.WORDS, since=2),
    Statement("shows", "shown", ShowsLine, "shows initials", "photograph", since=2),
    Statement("corners", "POINT POINT POINT POINT", CornersLine,
              "corners 212,140 1880,133 1893,402 205,410", "photograph", since=2),
    Statement("landmark", 'POINT "at" POINT', LandmarkLine, "landmark 30,7 at 810,141",
              "photograph", since=2),

    Statement("revision", "STRING DATE? STRING", RevisionLine,
              'revision "2" 2026-03-14 "Row 44: two crosses put right."'),
    Statement("expect", 'symbol NUMBER region?', ExpectLine, "expect m 120"),
)
# fmt: on

# In the order in which the options of a line stand in the tidy form.
OPTIONS = (
    OptionForm("height", '"height" NUMBER'),
    OptionForm("inset", '"inset" NUMBER'),
    OptionForm("repeat", '"x" NUMBER ("by" NUMBER)?'),
    OptionForm("mirrored", '"mirrored" ("left-right"|"top-bottom"|"both")?'),
    OptionForm("turned", '"turned" ("left"|"right"|"half")'),
    OptionForm("several", '"in" ALPHABET_NAME ("," ALPHABET_NAME)+', "in", since=2),
    OptionForm("in", '"in" ALPHABET_NAME'),
    OptionForm("places", '("centre"|CORNER)? "at" POINT POINT+', "at", since=2),
    OptionForm("at", '("centre"|CORNER)? "at" POINT'),
    OptionForm("point", '"at" POINT', "at"),
    OptionForm("below", '("below"|"above"|"beside") THING_NAME? ("gap" NUMBER)?', since=2),
    OptionForm("side", '("right"|"left") "of" THING_NAME ("gap" NUMBER)?', since=2),
    OptionForm("filling", '"filling" ("height"|"area")?', since=2),
    OptionForm("within", '"within" THING_NAME', since=2),
    OptionForm("setin", '"inset" NUMBER', "inset", since=2),
    OptionForm("round", '"round" THING_NAME ("gap" NUMBER)?', since=2),
    OptionForm("piece", '"centre" MOTIF_NAME', since=2),
    OptionForm("join", '"join" MOTIF_NAME', since=2),
    OptionForm("from", '"from" ("middle"|"left"|"right"|"top"|"bottom")', since=2),
    OptionForm("cut", '"cut"', since=2),
    OptionForm("gap", '"gap" NUMBER', since=2),
    OptionForm("aligned", '"aligned" ("left"|"right"|"top"|"bottom")', since=2),
    OptionForm("middle", '"centred" ("left"|"right"|"up"|"down")*', "centred", since=2),
    OptionForm("sided", '"centred" ("left"|"right"|"up"|"down")+', "centred", since=2),
    OptionForm("threads", '"over" size', since=2),
    OptionForm("reach", '"reach" size', since=2),
    OptionForm("step", '"step" POINT'),
    OptionForm("row", '"row" POINT', since=2),
    OptionForm("per", '"per" ("cross"|"stretch")', since=2),
    OptionForm("along", '"along" "rows"', since=2),
    OptionForm("bars", '"in" "bars"', since=2),
    OptionForm("lines", '"on" "lines"', since=2),
    OptionForm("journeys", '"journeys" NUMBER', since=2),
    OptionForm("laid", '"laid"', since=2),
    OptionForm("pulled", '"pulled"', since=2),
    OptionForm("keeps", '"keeps"', since=2),
    OptionForm("withdrawn", '"withdrawn" POINT "to" POINT', since=2),
    OptionForm("centred", '"centred"'),
    OptionForm("on", '"on" ("chart"|THING_NAME)', since=2),
    OptionForm("tied", '"in" THING_NAME', since=2),
    OptionForm("spread", '"spread" NUMBER', since=2),
    OptionForm("spacing", '"spacing" NUMBER'),
    OptionForm("space", '"space" NUMBER'),
    OptionForm("leading", '"leading" NUMBER'),
    OptionForm("over", '"over" NUMBER'),
    OptionForm("strands", '"strands" NUMBER'),
    OptionForm(
        "symmetric", '"symmetric" ("left-right"|"top-bottom"|"both"|"half-turn"|"quarter-turn")'
    ),
    OptionForm("cover", '("replacing"|"clearing")'),
    OptionForm("changeable", '"changeable" CHANGEABLE_NAME'),
    OptionForm("named", '"named" THING_NAME', since=2),
    OptionForm("with", '"with" swaps'),
    OptionForm("taking", '("letters"|"words"|"lines") "in" "turn" swaps', since=2),
    OptionForm("printed", '"printed" PRINTED_NAME'),
    OptionForm("note", '"note" STRING'),
)

ALL: tuple[Statement | OptionForm, ...] = (*STATEMENTS, *OPTIONS)

HEADS = {statement.name: statement for statement in STATEMENTS if not statement.under}


def newer(word: str, version: int) -> int | None:
    """Return the version that brought a word of the notation, where a version has it not yet."""
    if not word or f'"{word}"' in pieces(version):
        return None
    having = [entry.since for entry in ALL if entry.word == word or f'"{word}"' in entry.written]
    return min(having) if having and min(having) > version else None


def below(block: str) -> tuple[Statement, ...]:
    """Return the statements that stand below a word, in the order of the table."""
    return tuple(statement for statement in STATEMENTS if block in statement.blocks)


def example_of(block: str, word: str) -> str | None:
    """Return a whole line to go by; None where there is none.

    block: the word that the line stands under, or is. word: what the line begins with.
    """
    if word == block:
        return HEADS[word].example
    lines = [line for line in below(block) if line.word in ("", word)]
    return next((line.example for line in sorted(lines, key=lambda line: line.bare)), None)


@cache
def statement_of(node: type, block: str, word: str) -> Statement:
    """Return the statement that a node was read from.

    block: the block in which it stands, empty for its first line. word: that it begins with.
    """
    for statement in below(block) if block else HEADS.values():
        if statement.node is node and (not word or statement.word in ("", word)):
            return statement
    raise ValueError(f"no statement makes {node.__name__} of {word!r} in {block!r}")
