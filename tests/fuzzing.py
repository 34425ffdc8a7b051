"""Harmed charts by the thousand, each led through every stage as a command would lead it.

Every case has a number, and with the seed the number says all about it, so that one case can be
tried again by itself. What is harmed are the demos, the broken charts, the charts of the checks and
the examples of the reference, with the ranges, stories, pictures and files they use.
"""

from __future__ import annotations

import json
import random
import re
import resource
import shutil
import signal
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from linenleaf.booklet.book import bind
from linenleaf.chart.options import Options
from linenleaf.compose.worked import WorkedChart
from linenleaf.count.count import count
from linenleaf.count.size import size
from linenleaf.count.thread import estimate
from linenleaf.flow import Composed, Flow, set_out
from linenleaf.reports.listing import list_findings, plain_findings
from linenleaf.reports.sarif import as_sarif

from .checks.cases import CASES
from .sources import MARKS, RANGE, SMALL, STORY, WHOLE

HERE = Path(__file__).resolve().parent
EXAMPLES = HERE.parent / "examples"
HANG = 10  # seconds of the processor after which a stage is taken to hang
LARGEST = 3 * 2**20  # bytes of a harmed file; more only tries the limit on size again

ODD = (
    *'"|#.,+-/\\%()[]{}<>&;:= \t\r\n',
    *("\x00", "\x1b", "\x85", "\u202e", "\ufeff", "\u0301", "\xa0", "\u2028"),
    *("×", "é", "漢", "😀", "٣", "²", "1/2"),
    *("-1", "0", "0.5", "1.5", "7", "99", "2000", "2001", "999999999999999999999", "1e9", "nan"),
    *("../../etc/passwd", "https://example.org/x", "C:\\x", '""', '"unclosed', "||", "|.|", "|m|"),
    *("#aabbcc", "#aabbc", "x" * 3000, "|" + "m" * 3000 + "|", "a,b,c\n", "\r\n", "\r"),
    *("over 1", "over 3", "mirrored", "turned right", "x 100 by 100", "step 1,1", "replacing"),
    *("half up", "quarter top-left", "back", "knot", "symmetric both", "clearing", "at 0.5,0.5"),
)
NUMBER = re.compile(r"\d+(?:\.\d+)?")
WORD = re.compile(r"[^\s|]+")


@dataclass(frozen=True)
class Base:
    """A folder with a chart. files: by their path in the folder. weight: how often it is taken."""

    name: str
    chart: str
    files: dict[str, bytes]
    weight: float


@dataclass
class Tally:
    """What became of the cases: how far each came, the slowest, and the faults."""

    cases: int = 0
    reached: dict[str, int] = field(default_factory=dict)
    slowest: dict[str, tuple[float, int, str]] = field(default_factory=dict)
    faults: list[tuple[int, str, str]] = field(default_factory=list)

    def lap(self, stage: str, seconds: float, number: int, what: str) -> None:
        """Note how long a stage took."""
        self.reached[stage] = self.reached.get(stage, 0) + 1
        self.slowest[stage] = max(self.slowest.get(stage, (0.0, 0, "")), (seconds, number, what))


class Hangs(BaseException):
    """A stage that does not end. No `except Exception` on the way may swallow it."""


def bases() -> list[Base]:
    """All that is harmed."""
    found = [
        Base(name, f"{name}.linen", _files(EXAMPLES / name), weight)
        for name, weight in (("first-wader", 12), ("saltmarsh-bands", 5), ("flood-tide", 1))
    ]
    broken = _files(HERE / "data" / "broken")
    charts = [name for name in broken if name.endswith(".linen") and "/" not in name]
    found += [Base(f"broken {name}", name, broken, 24 / len(charts)) for name in charts]
    beside = {"estuary.csv": RANGE.replace("31,", "417,").replace("12,", "220,").encode()}
    heads = ('linen 1\nbooklet "Test"\n', "fabric linen 32 over 2\n")
    for name, case in CASES.items():
        for text in (case.speaks, case.silent):
            body = text if text.startswith("linen 1") else heads[0] + text
            body += "" if "\nfabric" in body else heads[1]
            files = {"chart.linen": body.encode(), **(beside if "estuary" in body else {})}
            found.append(Base(f"check {name}", "chart.linen", files, 0.4))
    parts = {
        "shore.csv": RANGE.encode(),
        "story.md": STORY.encode(),
        "notes/reeds.md": b"Reeds.\n",
        "marks.linen": MARKS.encode(),
    }
    for name, text in (("whole", WHOLE), ("small", SMALL)):
        found.append(Base(name, "chart.linen", {**parts, "chart.linen": text.encode()}, 10))
    return found


def _files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.suffix not in {".expected", ".py", ".pdf"}
    }


def harmed(base: Base, others: list[Base], rng: random.Random) -> tuple[str, bytes]:
    """One file of a folder, harmed: its name and what now stands in it."""
    names = [name for name in base.files if name != base.chart]
    name = rng.choice(names) if names and rng.random() < 0.22 else base.chart
    data = base.files[name]
    if not name.endswith((".linen", ".csv", ".md")) or rng.random() < 0.06:
        return name, harmed_bytes(data, rng)
    text = data.decode("utf-8", "surrogateescape")
    gentle = rng.random() < 0.5
    for _ in range(1 if gentle else rng.randint(1, 4)):
        text = rng.choice(GENTLE if gentle else HARSH)(text, rng, others)
    return name, text.encode("utf-8", "surrogatepass")[:LARGEST]


def harmed_bytes(data: bytes, rng: random.Random) -> bytes:
    """Bytes with some changed, cut off or put in, or quite other ones."""
    kind = rng.randrange(4)
    if kind == 0:
        return rng.randbytes(rng.randint(0, 400))
    if kind == 1:
        return data[: rng.randint(0, len(data))]
    changed = bytearray(data)
    for _ in range(rng.randint(1, 20)):
        if changed:
            at = rng.randrange(len(changed))
            changed[at : at + (kind == 2)] = rng.randbytes(rng.randint(0, 3))
    return bytes(changed)


Harm = Callable[[str, random.Random, list[Base]], str]


def _other_sign(text: str, rng: random.Random, _: list[Base]) -> str:
    # A sign for another that stands in the text: in a row, most often a sound chart still.
    at = rng.randrange(len(text)) if text else 0
    return text[:at] + (rng.choice(text) if text else "") + text[at + 1 :]


def _other_cell(text: str, rng: random.Random, others: list[Base]) -> str:
    rows = list(re.finditer(r"\|([^|\n]+)\|", text))
    if not rows:
        return _other_sign(text, rng, others)
    at = rng.randrange(*rng.choice(rows).span(1))
    return text[:at] + rng.choice(rng.choice(rows)[1]) + text[at + 1 :]


def _other_number(text: str, rng: random.Random, others: list[Base]) -> str:
    found = list(NUMBER.finditer(text))
    if not found:
        return _other_sign(text, rng, others)
    number = rng.choice(found)
    value = float(number[0]) if len(number[0]) < 9 else 1.0
    near = f"{value + 1:g}", f"{abs(value - 1):g}", f"{value + 0.5:g}", f"{value * 10:g}"
    new = rng.choice([*near, rng.choice(found)[0], "0", "1", "2", "3", "200", "2000"])
    return text[: number.start()] + new + text[number.end() :]


def _lines(change: Callable[[list[str], random.Random], None]) -> Harm:
    def harm(text: str, rng: random.Random, _: list[Base]) -> str:
        lines = text.split("\n")
        change(lines, rng)
        return "\n".join(lines)

    return harm


def _swap(lines: list[str], rng: random.Random) -> None:
    one, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]


def _swap_near(lines: list[str], rng: random.Random) -> None:
    one = rng.randrange(len(lines))
    other = min(len(lines) - 1, one + 1)
    lines[one], lines[other] = lines[other], lines[one]


def _drop(lines: list[str], rng: random.Random) -> None:
    at = rng.randrange(len(lines))
    del lines[at : at + rng.choice([1, 1, 1, 2, 5])]


def _again(lines: list[str], rng: random.Random) -> None:
    at = rng.randrange(len(lines))
    some = lines[at : at + rng.choice([1, 1, 1, 2, 5, 20])]
    lines[at:at] = some * rng.choice([1, 1, 1, 2, 10, 200])


def _word(text: str, rng: random.Random, others: list[Base]) -> str:
    words = list(WORD.finditer(text))
    if not words:
        return _odd(text, rng, others)
    old, new = rng.choice(words), rng.choice(words)[0]
    if rng.random() < 0.3:
        new = old[0][: rng.randint(0, len(old[0]))]
    return text[: old.start()] + new + text[old.end() :]


def _odd(text: str, rng: random.Random, _: list[Base]) -> str:
    at = rng.randint(0, len(text))
    return text[:at] + rng.choice(ODD) + text[at + rng.choice([0, 0, 1, 5, 40]) :]


def _splice(text: str, rng: random.Random, others: list[Base]) -> str:
    base = rng.choice(others)
    name = rng.choice([each for each in base.files if each.endswith((".linen", ".csv", ".md"))])
    lines = text.split("\n")
    theirs = base.files[name].decode("utf-8", "surrogateescape").split("\n")
    at, start = rng.randint(0, len(lines)), rng.randrange(len(theirs))
    lines[at : at + rng.choice([0, 0, 5, len(lines)])] = theirs[start : start + rng.randint(1, 60)]
    return "\n".join(lines)


def _cut(text: str, rng: random.Random, _: list[Base]) -> str:
    at = rng.randint(0, len(text))
    return text[:at] if rng.random() < 0.5 else text[:at] + text[at + rng.randint(0, 40) :]


def _endings(text: str, rng: random.Random, _: list[Base]) -> str:
    return rng.choice(["", "\ufeff"]) + text.replace("\n", rng.choice(["\r\n", "\r", "\n\n", "\n"]))


GENTLE: tuple[Harm, ...] = (
    _other_cell,
    _other_cell,
    _other_number,
    _lines(_swap_near),
    _lines(_drop),
    _lines(_again),
)
HARSH: tuple[Harm, ...] = (
    _other_sign,
    _other_number,
    _lines(_swap),
    _lines(_drop),
    _lines(_again),
    _word,
    _word,
    _odd,
    _odd,
    _splice,
    _cut,
    _endings,
)


def cases(many: int, seed: int) -> Iterator[tuple[int, Base, str, bytes]]:
    """So many harmed folders: number, the folder, the file in it that is harmed, what it holds."""
    for number in range(many):
        yield (number, *case(number, seed))


def case(number: int, seed: int) -> tuple[Base, str, bytes]:
    """One harmed folder by its number."""
    rng = random.Random(f"{seed} {number}")
    (base,) = rng.choices(_BASES, [each.weight for each in _BASES])
    return (base, *harmed(base, _BASES, rng))


_BASES = bases()


class Walk:
    """Leads cases through the stages, and keeps the tally."""

    def __init__(self, folder: Path, built: int = 0) -> None:
        """Take a folder for the files. built: of how many sound charts one is built, 0 for none."""
        self.tally = Tally()
        self._folder = folder
        self._built = built
        self._sound = 0

    def go(self, number: int, base: Base, name: str, data: bytes) -> None:
        """Lead one case as far as it goes."""
        self.tally.cases += 1
        home = self._folder / base.name.replace(" ", "-")
        if not home.exists():
            for each, content in base.files.items():
                (home / each).parent.mkdir(parents=True, exist_ok=True)
                (home / each).write_bytes(content)
        (home / name).write_bytes(data)
        what = f"{base.name}, {name}"
        stage = "read and compose"
        try:
            for stage, work in self._stages(home / base.chart):
                with _Watched():
                    started = time.process_time()
                    work()
                    self.tally.lap(stage, time.process_time() - started, number, what)
        except (Exception, Hangs, RecursionError) as fault:
            self.tally.faults.append((number, f"{stage}: {what}", _where(fault)))
        finally:
            (home / name).write_bytes(base.files[name])

    def _stages(self, chart: Path) -> Iterator[tuple[str, Callable[[], None]]]:
        begun: list[Flow | Composed] = []
        yield "read and compose", lambda: begun.append(set_out(chart))
        found = begun[0]
        if isinstance(found, Composed):
            flows: list[Flow] = []
            yield "check", lambda: flows.append(found.check())
            flow = flows[0]
        else:
            flow = found
        yield "tell", lambda: tell(chart, flow)
        if flow.worked is None:
            assert any(each.level == 0 for each in flow.findings), "refused without an error"
            return
        worked = flow.worked
        yield "count", lambda: count_all(worked)
        self._sound += 1
        if self._built and self._sound % self._built == 0:
            yield "build", lambda: build(worked)


def tell(chart: Path, flow: Flow) -> None:
    """Put the findings into words, JSON and SARIF, and check whether every place is one."""
    assert list_findings(flow.findings, str(chart), flow.silenced)
    json.dumps(plain_findings(str(chart), flow.findings, flow.silenced))
    json.dumps(as_sarif(flow.findings, flow.silenced, version="0", folder=chart.parent, what={}))
    for each in flow.findings:
        if each.span is not None:
            assert 0 <= each.span.start <= each.span.end <= len(each.span.source.text)


def count_all(worked: WorkedChart) -> None:
    """Count the stitches, the sizes and the thread."""
    count(worked)
    for fabric in (worked.design.ground.fabric, *worked.design.ground.also):
        size(worked, fabric)
    estimate(worked, worked.design.ground.fabric)


def build(worked: WorkedChart) -> None:
    """Bind the booklet."""
    bound, findings = bind(worked, Options())
    assert bound is None or bound.data.startswith(b"%PDF-")
    assert bound is not None or findings


class _Watched:
    """Ends what runs longer than it may, where the system has such clocks."""

    def __enter__(self) -> None:
        signal.signal(signal.SIGPROF, _ring)
        signal.setitimer(signal.ITIMER_PROF, HANG)

    def __exit__(self, *_: object) -> None:
        signal.setitimer(signal.ITIMER_PROF, 0)


def _ring(*_: object) -> None:
    raise Hangs(f"more than {HANG} s")


def _where(fault: BaseException) -> str:
    at = fault.__traceback__
    steps = []
    while at is not None:
        steps.append(f"{Path(at.tb_frame.f_code.co_filename).name}:{at.tb_lineno}")
        at = at.tb_next
    return f"{type(fault).__name__}: {str(fault)[:200]} ({' < '.join(reversed(steps[-4:]))})"


def peak() -> float:
    """The most memory that this process ever held, in MiB."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (2**20 if sys.platform == "darwin" else 2**10)


def keep(number: int, seed: int, folder: Path) -> None:
    """Write one case into a folder, to look at it."""
    base, name, data = case(number, seed)
    shutil.rmtree(folder, ignore_errors=True)
    for each, content in {**base.files, name: data}.items():
        (folder / each).parent.mkdir(parents=True, exist_ok=True)
        (folder / each).write_bytes(content)
