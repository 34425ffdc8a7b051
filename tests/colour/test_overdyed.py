"""The colours of overdyed thread run gently one into the next."""

from linenleaf.colour.overdyed import SHADES, dyed, shades, steps_of
from linenleaf.core.key import Strands, Thread, ThreadKind

DYED = Thread(
    "odd", "2", "rosehip", "#804020", kind=ThreadKind.OVERDYED, colours=("#804020", "#c08040")
)
PLAIN = Thread("odd", "1", "hedge", "#5f7a4a")


def test_each_colour_comes_and_the_run_closes():
    run = shades(DYED)
    assert run[::SHADES] == DYED.colours
    assert run[SHADES // 2] == run[-SHADES // 2] == "#a06030"  # half way there, and half way back
    assert shades(PLAIN) == (PLAIN.colour,)


def test_of_a_blend_only_what_is_overdyed_changes():
    blend = Strands(PLAIN, 1), Strands(DYED, 1)
    assert steps_of(blend) == len(shades(DYED))
    assert steps_of(blend[:1]) == 1
    first, second = dyed(blend, SHADES)
    assert first.thread is PLAIN
    assert second.thread.colour == "#c08040"
