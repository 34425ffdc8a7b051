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
from collections import Counter
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from linenleaf.checks.slips.slips import CHECKS
from linenleaf.compose.worked import WorkedChart
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
RULES = {each.name for each in CHECKS}  # on likely slips


@cache
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


@dataclass
class Tally:
    """What was planted, by kind, and how it was named.

    names: how often each rule named what was planted. alarms: findings that name another place.
    """

    planted: Counter[tuple[str, bool, str]] = field(default_factory=Counter)
    names: Counter[str] = field(default_factory=Counter)
    alarms: Counter[str] = field(default_factory=Counter)

    def add(self, other: Tally) -> None:
        """Count what another tally holds as well."""
        self.planted.update(other.planted)
        self.names.update(other.names)
        self.alarms.update(other.alarms)

    def share(self) -> float:
        """Of what has evidence, the share that was named."""
        asked = sum(many for (_, evidence, _), many in self.planted.items() if evidence)
        hits = sum(many for (_, evidence, how), many in self.planted.items() if evidence and how)
        return hits / max(asked, 1)


def try_slips(
    worked: WorkedChart, path: Path, each: int, seed: int, verbose: bool = False
) -> Tally:
    """Plant slips in a chart that was drawn out to a path, and tally what is named."""
    base = follow(path).worked
    assert base is not None
    design = base.design
    tally = Tally()
    for slip in plant(ground_of(worked), each, seed):
        symbol = design.key[slip.symbol - 1].symbol if slip.symbol else "."
        offset = design.chart.row_spans[slip.row].start + slip.column
        path.write_text(put(design.source, offset, symbol), "utf-8")
        findings = follow(path).findings
        how = named(findings, str(path), offset)
        tally.planted[slip.category, slip.evidence, how] += 1
        for finding in findings:
            if named((finding,), str(path), offset):
                tally.names[finding.name] += 1
            elif finding.name in RULES:
                tally.alarms[slip.category] += 1
        if verbose and not how and slip.evidence:
            old = chr(ord(design.source.text[offset]))
            print(f"    missed: {slip.category} at {slip.column},{slip.row}: {old} -> {symbol}")
    path.write_text(design.source.text, "utf-8")
    return tally


def try_written(
    worked: WorkedChart, chart: Path, each: int, seed: int, verbose: bool = False
) -> Tally:
    """Plant slips in the motifs and letters of a copy of a chart's own source; tally them."""
    tally = Tally()
    for slip in plant_written(worked, each, seed):
        path = chart.parent / Path(slip.source.path).name
        path.write_text(put(slip.source, slip.offset, slip.symbol), "utf-8")
        findings = follow(chart).findings
        how = named(findings, str(path), slip.offset)
        tally.planted[slip.category, slip.evidence, how] += 1
        tally.names.update(f.name for f in findings if named((f,), str(path), slip.offset))
        path.write_text(slip.source.text, "utf-8")
        if verbose and not how and slip.evidence:
            print(f"    missed: {slip.category} at {slip.source.position(slip.offset)}")
    return tally


def try_features(
    worked: WorkedChart, path: Path, many: int, seed: int, verbose: bool = False
) -> Tally:
    """Plant parts in another thread, and parts one row off, in a chart drawn out; tally them."""
    base = follow(path).worked
    assert base is not None
    design = base.design
    tally = Tally()
    for feature in plant_features(ground_of(worked), many, seed):
        text, offsets = design.source, []
        for (row, column), index in zip(feature.cells.tolist(), feature.symbols, strict=True):
            symbol = design.key[index - 1].symbol if index else "."
            offsets.append(design.chart.row_spans[row].start + column)
            text = Source(text.path, put(text, offsets[-1], symbol))
        path.write_text(text.text, "utf-8")
        findings = follow(path).findings
        hits = {each.name for each in findings for at in offsets if named((each,), str(path), at)}
        tally.planted[feature.what, True, "exact" if hits else ""] += 1
        tally.names.update(hits)
        if verbose and not hits:
            cells = feature.cells.tolist()
            print(f"    missed: {feature.what} of {len(cells)} cells, {cells[0][::-1]} on")
    path.write_text(design.source.text, "utf-8")
    return tally


def print_tally(categories: tuple[str, ...], tally: Tally, *, strays: bool = False) -> None:
    """Print the table, and which rules spoke. strays: with the alarms that name another place."""
    print_table(categories, tally.planted, tally.alarms if strays else None)
    print(f"  by {dict(tally.names.most_common())}")


def print_table(
    categories: tuple[str, ...],
    tally: Counter[tuple[str, bool, str]],
    alarms: Counter[str] | None = None,
) -> None:
    """Print a line for each kind: how many were planted, had evidence, and were found.

    alarms: findings on slips that name another place, by kind.
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
        worked = demo(SAMPLER).worked
        assert worked is not None
        drawn, written = (folder / SAMPLER / f"{name}.linen" for name in ("drawn-out", SAMPLER))
        asks = asked.each, asked.seed, asked.verbose
        print(f"Slips planted in {SAMPLER}, drawn out, seed {asked.seed}:")
        print_tally(CATEGORIES, try_slips(worked, drawn, *asks), strays=True)
        print("Slips planted in its source as it is written, where a motif stands once:")
        half = asked.each // 2, asked.seed, asked.verbose
        print_tally((*CATEGORIES, ONCE), try_written(worked, written, *half))
        print("Parts of figures that have a twin, in another thread or one row off:")
        print_tally(("thread", "row"), try_features(worked, drawn, *asks))


if __name__ == "__main__":
    main()
