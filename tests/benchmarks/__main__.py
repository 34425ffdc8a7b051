"""All figures that are aimed at, in one table, beside those kept from an earlier run.

    python -m tests.benchmarks            takes some two minutes
    python -m tests.benchmarks --small    smaller charts, for CI: half a minute
    python -m tests.benchmarks --keep     keeps the figures in figures.json for the next comparison

Figures are ratios and differences of whole processes in one run on one machine. Nothing fails on
time; they are read in review. The yardsticks are `reportlab_pages.py` and `typst_pages.py`, which
set the same chart pages and nothing else.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import shutil
import tempfile
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

from .pages import CHARTS
from .processes import ROOT, Run, best, run
from .watch import rebuilds

HERE = Path(__file__).resolve().parent
KEPT = HERE / "figures.json"
MAKER = ROOT / "examples/flood-tide/make_chart.py"
DEMO = ROOT / "examples/saltmarsh-bands/saltmarsh-bands.linen"
FACE = "Linenleaf Symbols"
# What `check` has to load whatever it does, by the names of the libraries.
IMPORTS = "import click, lark, markdown_it, numpy, rich"


@dataclass(frozen=True)
class Figure:
    """One figure: what it is of, its value, and the most that it may be."""

    name: str
    value: float
    aim: float


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--small", action="store_true")
    ask.add_argument("--keep", action="store_true")
    ask.add_argument("--times", type=int, default=4)
    asked = ask.parse_args()
    side, threads, large, many = (150, 20, 300, 30) if asked.small else (300, 30, 1000, 60)
    size = "small" if asked.small else "full"
    with tempfile.TemporaryDirectory() as place:
        small = chart(Path(place) / "small", side, threads)
        big = chart(Path(place) / "large", large, many)
        stages = json.loads(run(HERE / "stages.py", small, small.parent).said)
        figures = [
            *booklets(small, asked.times),
            *growth(small, side, big, large),
            *answers(asked.times),
            Figure("rebuild in watch / build", rebuilds(DEMO, 2 * asked.times), 0.5),
            *planned(stages["planned"], Path(place), small=asked.small),
        ]
    machine = (
        f"{platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, "
        f"Python {platform.python_version()}, "
        + ", ".join(f"{name} {version(name)}" for name in ("weasyprint", "numpy", "reportlab"))
    )
    print(f"full cover {side} x {side} in {threads} threads, {large} x {large} in {many}")
    print(machine)
    show_stages(stages["seconds"])
    kept = json.loads(KEPT.read_text("utf-8")) if KEPT.exists() else {}
    show(figures, kept.get(size, {}).get("figures", {}))
    if asked.keep:
        now = {each.name: round(each.value, 3) for each in figures}
        kept[size] = {"machine": machine, "figures": now}
        KEPT.write_text(json.dumps(kept, indent=1) + "\n", "utf-8")


def chart(folder: Path, side: int, threads: int) -> Path:
    """Make a full-cover chart in a folder of its own."""
    folder.mkdir()
    for beside in ("shore.csv", "story.md"):
        shutil.copy(MAKER.parent / beside, folder)
    made = folder / "cover.linen"
    run(MAKER, "--size", str(side), str(side), "--threads", str(threads), "-o", made)
    return made


def planned(full_cover: float, place: Path, *, small: bool) -> list[Figure]:
    """Return what choosing breaks and filling pages costs of a whole build.

    The dearest is a chart with many threads on small pages: each page has a short key of its own.
    """
    demos = {"full cover": full_cover}
    for demo in (DEMO, ROOT / "examples/garden-wall/garden-wall.linen"):
        demos[demo.stem] = json.loads(run(HERE / "stages.py", demo, place).said)["planned"]
    if not small:
        many = place / "many.linen"
        many.write_text(CHARTS[1].source("en-GB"), "utf-8")
        said = run(HERE / "stages.py", many, place, "half-letter").said
        demos["420 x 560 in 70 threads"] = json.loads(said)["planned"]
    return [Figure(f"breaks and filling / build, {of}", share, 0.1) for of, share in demos.items()]


def booklets(made: Path, times: int) -> list[Figure]:
    """Return the whole booklet against pages drawn by hand and pages set by Typst."""
    at = made.parent
    job, setter = (at / "pages.json", at / "grid.npy"), HERE / "typst_pages.py"
    for way in ("runs", "table"):
        run(setter, "write", *job, at / f"{way}.typ", FACE, way)
    found = best(
        {
            "bare": ("-c", "pass"),
            "renderer": ("-c", "import weasyprint"),
            "by hand": (HERE / "reportlab_pages.py", *job, at / "symbols.ttf", at / "yard.pdf"),
            # Before Typst, which keeps all processors busy: some machines are slow after that.
            "ours": ("-m", "linenleaf", "build", made, "-o", at / "cover.pdf"),
            "runs": (setter, "set", at / "runs.typ", at, at / "runs.pdf"),
            "table": (setter, "set", at / "table.typ", at, at / "table.pdf"),
        },
        times,
    )
    alone = run(
        "-m", "linenleaf", "build", made, environment={"LINENLEAF_ONE_PROCESS": "1"}
    ).seconds
    ours = found["ours"].seconds
    yard = found["by hand"].seconds + found["renderer"].seconds
    print(f"{'whole process':<34}{'seconds':>9}{'cpu':>8}{'MiB':>7}")
    for name, each in found.items():
        print(f"{name:<34}{each.seconds:>9.3f}{each.cpu:>8.2f}{each.memory:>7.0f}")
    print()
    return [
        Figure("booklet / (reportlab by hand + import WeasyPrint)", ours / yard, 1.5),
        Figure("booklet / Typst, a table cell by cell", ours / found["table"].seconds, 1.0),
        Figure("booklet / Typst, runs placed by hand", ours / found["runs"].seconds, 1.0),
        Figure("two processes / one", ours / alone, 1.0),
    ]


def growth(small: Path, side: int, big: Path, large: int) -> list[Figure]:
    """Return what a cross of a large chart takes against one of a small chart."""
    sides = {small: side, big: large}
    taken: dict[Path, Run] = {
        each: run("-m", "linenleaf", "build", each, "-o", each.with_suffix(".pdf"))
        for each in sides
    }
    per_cross = {each: one.seconds / sides[each] ** 2 for each, one in taken.items()}
    size = big.with_suffix(".pdf").stat().st_size
    return [
        Figure("cost of a cross, large / small", per_cross[big] / per_cross[small], 1.2),
        Figure("memory for the large one, GiB", taken[big].memory / 1024, 1.0),
        Figure("bytes a cross of the large one", size / large**2, 12.0),
    ]


def answers(times: int) -> list[Figure]:
    """Return what short answers take beyond Python and what has to be loaded."""
    found = best(
        {
            "bare": ("-c", "pass"),
            "imports": ("-c", IMPORTS),
            "help": ("-m", "linenleaf", "--help"),
            "check": ("-m", "linenleaf", "check", DEMO),
            "count": ("-m", "linenleaf", "count", DEMO),
        },
        times,
    )
    bare, imports = found["bare"].seconds, found["imports"].seconds
    return [
        Figure("check beyond Python and imports, s", found["check"].seconds - imports, 0.5),
        Figure("count beyond Python and imports, s", found["count"].seconds - imports, 0.5),
        Figure("--help beyond Python, s", found["help"].seconds - bare, 0.15),
    ]


def show_stages(seconds: dict[str, float]) -> None:
    total = sum(seconds.values())
    print(f"\n{'stage of one build, in one process':<52}{'cpu s':>8}{'share':>8}")
    for name, each in seconds.items():
        print(f"{name:<52}{each:>8.3f}{each / total:>8.0%}")


def show(figures: list[Figure], kept: dict[str, float]) -> None:
    print(f"\n{'figure':<52}{'now':>8}{'kept':>8}{'aim':>8}")
    for each in figures:
        before = f"{kept[each.name]:.2f}" if each.name in kept else ""
        mark = "" if each.value <= each.aim else "  over"
        print(f"{each.name:<52}{each.value:>8.2f}{before:>8}{each.aim:>8.2f}{mark}")


if __name__ == "__main__":
    main()
