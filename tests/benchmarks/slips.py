"""Plant single wrong crosses in the demo sampler and see how many the checks name.

    python -m tests.benchmarks.slips                 500 slips, seed 1847
    python -m tests.benchmarks.slips --each 20 --seed 3

The sampler is drawn out first: one grid, no motifs, nothing stated, so that a slip stands against
nothing but the chart itself. A cell has evidence where the designer placed the same thing twice,
where the motif is symmetric, or in a field; what the checks can see of that is not asked, and what
a `kept` note lies over has none. `exact`: the finding points at the very cell. `pair`: it names the
cell as one of two of which one must be wrong, which is all that a chart with just one twin can say.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
import time
from collections import Counter
from pathlib import Path

from linenleaf.core.diagnostics import render
from linenleaf.core.findings import Level
from linenleaf.core.source import Source
from linenleaf.flow import Flow, follow

from ..drawn_out import drawn_out
from ..planting import CATEGORIES, ground_of, named, plant, plant_features, put
from ..planting_motifs import ONCE, plant_written

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
DEMOS = ("first-wader", "saltmarsh-bands", "flood-tide")
SAMPLER = "saltmarsh-bands"


def demo(name: str) -> Flow:
    """A demo as it stands."""
    return follow(EXAMPLES / name / f"{name}.linen")


def write_drawn_out(name: str, folder: Path) -> Path:
    """A demo drawn out, beside copies of the files it names."""
    worked = demo(name).worked
    assert worked is not None
    shutil.copytree(EXAMPLES / name, folder / name)
    target = folder / name / "drawn-out.linen"
    target.write_text(drawn_out(worked), "utf-8")
    return target


def clean(folder: Path) -> None:
    """Tell what is found in the demos, where nothing is wrong."""
    for name in DEMOS:
        drawn = write_drawn_out(name, folder)
        for what, flow in (("as it is", demo(name)), ("drawn out", follow(drawn))):
            assert flow.worked is not None
            loud = [each for each in flow.findings if each.level < Level.HINT]
            hints = len(flow.findings) - len(loud)
            print(f"  {name:18}{what:12}{len(loud)} above hint, {hints} hints")
            for each in flow.findings:
                print(f"    {render(each).splitlines()[0]}")


def try_slips(folder: Path, each: int, seed: int, verbose: bool) -> None:
    """Plant slips in the drawn-out sampler and print the share that is named."""
    worked = demo(SAMPLER).worked
    assert worked is not None
    slips = plant(ground_of(worked), each, seed)
    path = folder / SAMPLER / "drawn-out.linen"
    base = follow(path).worked
    assert base is not None
    design = base.design
    tally: Counter[tuple[str, bool, str]] = Counter()
    names: Counter[str] = Counter()
    alarms: Counter[str] = Counter()
    started = time.perf_counter()
    for slip in slips:
        symbol = design.key[slip.symbol - 1].symbol if slip.symbol else "."
        offset = design.chart.row_spans[slip.row].start + slip.column
        path.write_text(put(design.source, offset, symbol), "utf-8")
        findings = follow(path).findings
        how = named(findings, str(path), offset)
        tally[slip.category, slip.evidence, how] += 1
        for finding in findings:
            if named((finding,), str(path), offset):
                names[finding.name] += 1
            elif finding.level < Level.HINT:
                alarms[slip.category] += 1
        if verbose and not how and slip.evidence:
            old = chr(ord(design.source.text[offset]))
            print(f"    missed: {slip.category} at {slip.column},{slip.row}: {old} -> {symbol}")
    path.write_text(design.source.text, "utf-8")
    print_table(CATEGORIES, tally, alarms)
    print(f"  by {dict(names.most_common())}")
    print(f"  {(time.perf_counter() - started) / len(slips):.3f} s a chart, read and checked")


def try_written(folder: Path, each: int, seed: int) -> None:
    """Plant slips in the motifs and letters of the sampler's own source; print the shares."""
    worked = demo(SAMPLER).worked
    assert worked is not None
    chart = folder / SAMPLER / f"{SAMPLER}.linen"
    slips = plant_written(worked, each, seed)
    tally: Counter[tuple[str, bool, str]] = Counter()
    names: Counter[str] = Counter()
    for slip in slips:
        path = folder / SAMPLER / Path(slip.source.path).name
        path.write_text(put(slip.source, slip.offset, slip.symbol), "utf-8")
        findings = follow(chart).findings
        how = named(findings, str(path), slip.offset)
        tally[slip.category, slip.evidence, how] += 1
        names.update(f.name for f in findings if named((f,), str(path), slip.offset))
        path.write_text(slip.source.text, "utf-8")
    print_table((*CATEGORIES, ONCE), tally)
    print(f"  by {dict(names.most_common())}")


def try_features(folder: Path, many: int, seed: int) -> None:
    """Plant parts in another thread, and parts one row off, and print the share that is named."""
    worked = demo(SAMPLER).worked
    assert worked is not None
    path = folder / SAMPLER / "drawn-out.linen"
    base = follow(path).worked
    assert base is not None
    design = base.design
    tally: Counter[tuple[str, str]] = Counter()
    for feature in plant_features(ground_of(worked), many, seed):
        text, offsets = design.source, []
        for (row, column), index in zip(feature.cells.tolist(), feature.symbols, strict=True):
            symbol = design.key[index - 1].symbol if index else "."
            offsets.append(design.chart.row_spans[row].start + column)
            text = Source(text.path, put(text, offsets[-1], symbol))
        path.write_text(text.text, "utf-8")
        findings = follow(path).findings
        hits = {each.name for each in findings for at in offsets if named((each,), str(path), at)}
        tally[feature.what, min(hits, default="")] += 1
    path.write_text(design.source.text, "utf-8")
    for what in ("thread", "row"):
        found = {name: n for (which, name), n in tally.items() if which == what and name}
        planted = sum(n for (which, _), n in tally.items() if which == what)
        share = sum(found.values()) / planted
        print(f"    {what:18}{planted:5}  found {share:6.1%}   by {found}")


def print_table(
    categories: tuple[str, ...],
    tally: Counter[tuple[str, bool, str]],
    alarms: Counter[str] | None = None,
) -> None:
    """Print a line for each kind: how many were planted, had evidence, and were found.

    alarms: findings above hint that name another place, by kind.
    """
    head = "    kind            planted  evidence  found   share   exact   pair   without evidence"
    print(f"{head}   false alarms" if alarms is not None else head)
    total: Counter[tuple[bool, str]] = Counter()
    for name in (*categories, ""):
        found = {
            (evidence, how): tally[name, evidence, how] if name else total[evidence, how]
            for evidence in (True, False)
            for how in ("exact", "pair", "")
        }
        if name:
            total.update(found)
        seen, unseen = (sum(found[e, how] for how in ("exact", "pair", "")) for e in (True, False))
        hits, others = (found[e, "exact"] + found[e, "pair"] for e in (True, False))
        share = f"{hits / seen:6.1%}" if seen else "     -"
        line = (
            f"    {name or 'all':16}{seen + unseen:7}{seen:10}{hits:7}  {share}"
            f"{found[True, 'exact']:8}{found[True, 'pair']:7}{f'{others} of {unseen}':>19}"
        )
        if alarms is not None:
            line += f"{alarms[name] if name else alarms.total():15}"
        print(line)


def main() -> None:
    """Print the shares and the false alarms."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=100, help="slips of each of the five kinds")
    parser.add_argument("--seed", type=int, default=1847)
    parser.add_argument("--verbose", action="store_true", help="name those that are missed")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        print("Findings in the clean demos:")
        clean(folder)
        print(f"Slips planted in {SAMPLER}, drawn out, seed {asked.seed}:")
        try_slips(folder, asked.each, asked.seed, asked.verbose)
        print("Slips planted in its source as it is written, where a motif stands once:")
        try_written(folder, asked.each // 2, asked.seed)
        print("Parts of figures that have a twin, in another thread or one row off:")
        try_features(folder, asked.each, asked.seed)


if __name__ == "__main__":
    main()
