"""Time each stage of one build, and write down the job for the yardstick.

Run as a process of its own:  python stages.py CHART.linen FOLDER [PAPER]
"""

import json
import sys
import time
from pathlib import Path

import numpy as np

FOLDER = Path(sys.argv[2])
seconds: dict[str, float] = {}
at = time.process_time()


def lap(stage: str) -> None:
    """Give the time since the last lap to a stage."""
    global at  # noqa: PLW0603
    now = time.process_time()
    seconds[stage] = seconds.get(stage, 0.0) + now - at
    at = now


from linenleaf.checks import examine  # noqa: E402

lap("import the front stages")
from linenleaf.resolve.read import read  # noqa: E402

design, _ = read(Path(sys.argv[1]))
lap("read")
from linenleaf.compose.compose import compose  # noqa: E402

worked, _ = compose(design)
lap("compose")
examine(worked)
lap("check")
from linenleaf.count.count import count  # noqa: E402
from linenleaf.count.thread import estimate  # noqa: E402

counts = count(worked)
lap("count")
estimate(worked, design.ground.fabric)
lap("thread, one fabric")
from linenleaf.booklet import book  # noqa: E402

lap("import the renderer")
from linenleaf.chart.options import Options, paper_named  # noqa: E402

options = Options(paper_named(sys.argv[3] if len(sys.argv) > 3 else "a4"))

before = [""]


def told(stage: str, _done: int, _of: int) -> None:
    """Close the lap of the stage before."""
    lap(f"bind: {before[0] or 'count, thread, layout'}")
    before[0] = stage


book.bind(worked, options, told)
lap("bind: rest")

from linenleaf.booklet.keylist import short_labels  # noqa: E402
from linenleaf.booklet.planning import plan  # noqa: E402
from linenleaf.chart.font import build_font  # noqa: E402
from linenleaf.chart.symbols import choose  # noqa: E402
from linenleaf.colour.colour import ink_for  # noqa: E402

font = build_font(choose(worked), worked.design.key)
used = [each.index for each in counts.entries]
codes, names = (short_labels(worked.design, used, names=each) for each in (False, True))
whole = sum(seconds.values())
at = time.process_time()
pagination = plan(worked, options, codes, names).pagination
planned = time.process_time() - at  # which `bind` has in it too
cells = worked.design.key
colours = ["#ffffff", *(entry.parts[0].needle[0].thread.colour for entry in cells)]
job = {
    "paper": [210, 297],
    "corner": [12, 22],
    "cell": pagination.cell,
    "colours": [[int(each[i : i + 2], 16) / 255 for i in (1, 3, 5)] for each in colours],
    "characters": [" ", *(entry.symbol if entry.is_cell else " " for entry in cells)],
    "light": [ink_for(each) != "#000000" for each in colours],
    "pages": [[page.x0, page.y0, page.x1, page.y1] for page in pagination.pages],
}
(FOLDER / "pages.json").write_text(json.dumps(job), "utf-8")
np.save(FOLDER / "grid.npy", worked.grid)
(FOLDER / "symbols.ttf").write_bytes(font.data)
said = {"seconds": seconds, "planned": planned / whole, "pages": len(pagination.pages)}
print(json.dumps(said))
