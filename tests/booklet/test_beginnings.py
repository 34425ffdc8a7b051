"""Every state that a chart passes through on its way to being one, in every language and form."""

from __future__ import annotations

from itertools import cycle

import pytest
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Fold, Ink, Options, Paper, Purpose
from linenleaf.flow import Composed, set_out
from linenleaf.pdf.document import Printed
from linenleaf.pdf.pressroom import press_here

CELL = '  m  #3f4a2c "wrack"\n'
WORDS = """\
  rope  #8a6d3b "rope" back
  spar  #8a6d3b "rope" straight
  eye   #3a3a3a "mud" knot
  drop  #ffcc55 "lamp" bead
"""
LETTER = "alphabet marking height 3\n  T |mmm|\n    |.m.|\n    |.m.|\n"
LEAF = "motif leaf 2 x 1\n  |m.|\n"
BARE = "motif leaf 2 x 1\n  |..|\n"
OTHER = 'colourway faded "Faded"\n  {} #aabbcc "mist"\n'

STATES = {
    "nothing": (CELL, "chart 12 x 10\n"),
    "bare rows": (CELL, "chart 3 x 2\n  |...|\n  |...|\n"),
    "one bare cell": (CELL, "chart 1 x 1\n"),
    "one cross": (CELL, "chart 1 x 1\n  |m|\n"),
    "unused key lines": (CELL + WORDS, "chart 3 x 1\n  |.m.|\n"),
    "no key line used": (CELL + WORDS, "chart 9 x 8\n"),
    "only beads": (WORDS, "chart 9 x 8\n  bead drop 1,1 2,3\n"),
    "only back stitch": (WORDS, "chart 9 x 8\n  line rope 1,1 3,2 5,3\n"),
    "only a long stitch": (WORDS, "chart 1 x 1\n  line spar 0,0 1,1\n"),
    "only knots": (WORDS, "chart 9 x 8\n  knot eye 1,1\n"),
    "only a text": (CELL + LETTER, 'chart 9 x 8\n  text "TT" in marking at 1,2\n'),
    "only a border": (CELL + LEAF, "chart 12 x 8\n  border leaf\n"),
    "a bare border": (CELL + BARE, "chart 12 x 8\n  border leaf\n"),
    "a motif not placed": (CELL + LEAF, "chart 12 x 8\n"),
    "a bare motif": (CELL + BARE, "chart 12 x 8\n  leaf at 1,1\n"),
    "all cleared": (
        CELL + LEAF + BARE.replace("leaf", "bare"),
        "chart 9 x 8\n  leaf at 1,1\n  bare at 1,1 clearing\n",
    ),
    "only halves": ('  /  #3f4a2c "wrack" half up\n', "chart 3 x 1\n  |//.|\n"),
    "colours of nothing": (CELL, "chart 5 x 5\n" + OTHER.format("m")),
    "colours of beads": (WORDS, "chart 5 x 5\n  bead drop 1,1\n" + OTHER.format("drop")),
    "notes on nothing": (
        CELL,
        'chart 12 x 10\nnote at 1,1 "Look."\ninferred 0,0 to 12,10 "All."\n',
    ),
    "revisions of nothing": (CELL, 'chart 12 x 10\nrevision "1" "First."\n'),
}
FABRICS = ("linen 28 over 2", "aida 14", "evenweave 36 x 34 over 1", "canvas 5 per cm over 1")
FORMS = (
    Options(Paper.A4),
    Options(Paper.A5, Ink.SYMBOLS),
    Options(Paper.LETTER, large=True),
    Options(Paper.A5, fold=Fold.A4),
    Options(Paper.A3, purpose=Purpose.PRINT),
    Options(Paper.HALF_LETTER, Ink.TINTS, purpose=Purpose.ARCHIVE, cell=12),
)
LANGUAGES = ("en-GB", "nl", "de", "fr")


def bound(folder, state, language, fabric, form, press):
    """The booklet of a chart in a state, or what is said of it."""
    key, chart = STATES[state]
    text = f'linen 1\nbooklet "Reed"\n  language {language}\nfabric {fabric}\nkey\n{key}{chart}'

    path = folder / "reed.linen"
    path.write_text(text, "utf-8")
    composed = set_out(path)
    assert isinstance(composed, Composed), [each.message for each in composed.findings]
    sources = (path,) if form.purpose is Purpose.ARCHIVE else ()
    return bind(composed.check().worked, form, sources=sources, press=press)


def filled_in(sheet, progress=None, finisher=None, meanwhile=None):
    """Draws all that the pages show, and sets none of them, which takes most of the time."""
    for address, each in sheet.later.items():
        if each.width:
            assert each.make() is not None, address
    return Printed(sheet.html.encode(), 1, ())


@pytest.mark.parametrize("state", STATES)
def test_a_beginning_fills_the_pages_in_every_language(tmp_path, state):
    # Each language meets another fabric and form than for the state before.
    start = list(STATES).index(state)
    fabrics, forms = cycle(FABRICS), cycle(FORMS)
    for _ in range(start):
        next(fabrics), next(forms)
    for language in LANGUAGES:
        made, _ = bound(tmp_path, state, language, next(fabrics), next(forms), filled_in)
        assert made is not None
        assert f'lang="{language}"' in made.data.decode()


@pytest.mark.parametrize(
    "form", [FORMS[3], FORMS[5]], ids=lambda form: f"{form.paper}-{form.purpose}"
)
def test_a_beginning_is_printed(tmp_path, form):
    made, findings = bound(tmp_path, "nothing", "nl", "aida 14", form, press_here)
    assert made.data.startswith(b"%PDF")
    assert not [each for each in findings if each.name == "layout"]
