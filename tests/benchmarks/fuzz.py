"""Lead harmed charts through every stage: no traceback, no hang, no heap of memory.

    python -m tests.benchmarks.fuzz                      20,000 cases, seed 1847
    python -m tests.benchmarks.fuzz --many 500 --seed 3
    python -m tests.benchmarks.fuzz --only 1234 --keep folder

Prints how many came how far, the slowest case of each stage in seconds of the processor, the most
memory held, and every fault with its number. Exit status 1 when there are faults, when a stage but
building takes more than 2 s, or when more than 500 MiB are held.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from ..fuzzing import Walk, case, cases, keep, peak

MOST_SECONDS, MOST_MEMORY = 2.0, 500.0  # MiB
SAID_EVERY = 1000


def main() -> None:
    """Run, print the figures, and leave with 1 where something is amiss."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--many", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1847)
    parser.add_argument("--build", type=int, default=20, help="build one of so many sound charts")
    parser.add_argument("--only", type=int, help="the number of one case")
    parser.add_argument("--keep", type=Path, help="with --only: write the case into this folder")
    asked = parser.parse_args()
    if asked.keep is not None and asked.only is not None:
        keep(asked.only, asked.seed, asked.keep)
    with tempfile.TemporaryDirectory() as made:
        walk = Walk(Path(made), asked.build)
        started = time.time()
        chosen = (
            cases(asked.many, asked.seed)
            if asked.only is None
            else [(asked.only, *case(asked.only, asked.seed))]
        )
        for each in chosen:
            walk.go(*each)
            if walk.tally.cases % SAID_EVERY == 0:
                faults = len(walk.tally.faults)
                print(f"{walk.tally.cases}: {faults} faults, {peak():.0f} MiB", flush=True)
    tally = walk.tally
    print(f"{tally.cases} cases, seed {asked.seed}, {time.time() - started:.0f} s")
    slow = False
    for stage, (seconds, number, what) in tally.slowest.items():
        slow |= stage != "build" and seconds > MOST_SECONDS
        print(f"  {stage:17}{tally.reached[stage]:6}   slowest {seconds:6.2f} s: {number} ({what})")
    print(f"  most memory held: {peak():.0f} MiB")
    told: Counter[str] = Counter()
    for number, what, fault in tally.faults:
        told[fault] += 1
        if told[fault] == 1:
            print(f"  FAULT {number} in {what}: {fault}")
    print(f"  {len(tally.faults)} faults of {len(told)} kinds")
    if tally.faults or slow or peak() > MOST_MEMORY:
        sys.exit(1)


if __name__ == "__main__":
    main()
