"""The program as a process of its own: `linenleaf`, or `python -m linenleaf`."""

import atexit
import gc

from .cli import main


def run() -> None:
    """Carry out one command and end.

    The search for circular garbage is off: it would walk a million living objects again and again,
    and once more at the end, to find what the end of the process gives back anyway. Commands that
    stay switch it on (see `cli`).
    """
    gc.disable()
    atexit.register(gc.freeze)
    main(prog_name="linenleaf")


if __name__ == "__main__":
    run()
