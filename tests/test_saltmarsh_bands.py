"""What the story and the notes of the large demo say, held to its chart."""

import re
from pathlib import Path

import numpy as np
import pytest
from linenleaf.compose.compose import compose
from linenleaf.compose.copies import personalise
from linenleaf.core.matter import NoteKind
from linenleaf.core.source import Source
from linenleaf.count.count import count
from linenleaf.diff.changes import Inserted
from linenleaf.diff.compare import compare
from linenleaf.resolve.read import read, read_source

FOLDER = Path(__file__).parent.parent / "examples" / "saltmarsh-bands"
STORY = (FOLDER / "story.md").read_text("utf-8")
NOTES = (FOLDER / "working-notes.md").read_text("utf-8")


@pytest.fixture(scope="module")
def worked():
    design, _ = read(FOLDER / "saltmarsh-bands.linen")
    return compose(design)[0]


def copies(worked, name):
    return [each for each in worked.placed if each.name == name]


def test_the_middle_is_in_the_net_under_the_fish_that_swims_the_other_way(worked):
    assert "in the *herring net* right\nunder the fish that swims the other way" in NOTES
    x, y = worked.width // 2, worked.height // 2
    owners = {worked.placed[at].name for at in worked.owner[y - 1 : y + 1, x - 1 : x + 1].flat}
    assert owners == {"net"}
    (kept,) = (each for each in worked.design.notes if each.kind is NoteKind.KEPT)
    assert kept.x0 <= x <= kept.x1
    assert kept.y1 < y <= kept.y1 + 3


def test_one_herring_of_seven_swims_the_other_way(worked):
    assert "One herring in the net swims against the rest" in STORY
    drawn = [each.grid for each in copies(worked, "herring")]
    other = [at for at, grid in enumerate(drawn) if not np.array_equal(grid, drawn[0])]
    assert len(drawn) == 7
    assert [other, drawn[3].tolist()] == [[3], drawn[0][:, ::-1].tolist()]


def test_there_is_room_for_two_letters_and_a_year(worked):
    assert "there is room for two letters\nand any year" in STORY
    letters = worked.design.alphabets["roman"].letters
    widest = max((each for each in letters if each.isalpha()), key=lambda each: letters[each].width)
    wishes = {"initials": (f"{widest} {widest}",), "year": ("2088",)}
    copy, findings = compose(personalise(worked.design, wishes))
    assert copy is not None
    assert findings == ()


def test_colours_and_small_birds_are_as_many_as_the_story_says(worked):
    assert "five birds so\nsmall" in STORY
    assert len(copies(worked, "sanderling")) == 5
    assert len(count(worked).threads) == 12
    assert "twelve colours" in worked.design.booklet.subtitle


def test_what_is_over_one_thread_and_off_the_grid_is_what_the_story_lists(worked):
    fine = {each.name for each in worked.pieces if each.cell < 1}
    assert fine == {"window-cat", "name-board", "sanderling", "footprint", "crab"}
    assert {each.name for each in worked.pieces if each.cell == 1} == {"far-tern"}
    for each in ("**cat**", "**name board**", "**sanderlings**", "**small crab**", "**near tern**"):
        assert each in STORY
    assert all(each.strands == 1 for each in worked.pieces if each.cell < 1)
    assert "over one thread, with one strand" in NOTES


def test_what_cannot_be_seen_is_marked_and_nothing_is_both(worked):
    # The fourth sail has holes but no thread: inferred, and no departure of ours.
    assert "three sails on the cloth and holes for a fourth" in STORY
    told = [each for each in worked.design.notes if "sail of the mill" in each.text]
    assert [each.kind for each in told] == [NoteKind.INFERRED]


def test_one_more_band_is_one_more_line(worked):
    path = FOLDER / "saltmarsh-bands.linen"
    text = path.read_text("utf-8")
    band = "    lavender filling inset 14\n"
    more = text.replace(band, f"{band}    lavender below gap 3 filling inset 14\n")
    assert len(more.splitlines()) == len(text.splitlines()) + 1
    design, _ = read_source(Source(path.name, more), path)
    longer, findings = compose(design)
    assert findings == ()  # the borders come out too
    assert longer.height == worked.height + 16
    assert np.array_equal(longer.grid[12:77, 14:154], worked.grid[12:77, 14:154])
    assert np.array_equal(longer.grid[80:93, 14:154], worked.grid[64:77, 14:154])
    assert np.array_equal(longer.grid[93:283, 14:154], worked.grid[77:267, 14:154])
    # All remarks are about things further down, and went with them.
    was, now = (sorted((note.text, note.x0, note.y0) for note in each.design.notes)
                for each in (worked, longer))  # fmt: skip
    assert [(text, x, y + 16) for text, x, y in was] == now
    (inserted,) = compare(worked, longer).of(Inserted)
    assert inserted.by == 16
    assert inserted.row == 96  # the head of the heron


def test_threads_and_beads_are_named_as_they_are_printed(worked):
    titles = {each.title for each in worked.design.colourways}
    named = set(re.findall(r"\*(As [^*]+)\*", STORY))
    assert named
    assert named <= titles
    names = {each.name for each in worked.design.threads}
    assert set(re.findall(r"\*((?:lantern|salt white))\*", NOTES)) <= names
    needs = " ".join(worked.design.booklet.needs).lower()
    assert "bead" not in needs  # the booklet lists beads and their needle by itself
    assert "no. 26" not in needs
