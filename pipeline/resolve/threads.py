"""Thread ranges: CSV files of codes, names and colours."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from ..core.diagnostics import Diagnostic, Diagnostics, Hint, finding, has_errors
from ..core.files import LARGEST_RANGE, beside, read_text
from ..core.key import Thread, ThreadKind
from ..core.source import Source, Span
from ..core.suggest import all_of, did_you_mean, nearest
from ..syntax.cutting import NOTATION, stated
from ..syntax.nodes import Block, RangeHead, WordLine
from ..syntax.phrases import Numeral, Text, Word
from .settings import real, whole
from .threadline import (
    LONGEST_PUT_UP,
    MOST_STRANDS,
    NEEDED,
    NEWER,
    OPTIONAL,
    Defaults,
    Record,
    metres_of,
    not_divided,
    thread_of,
)

MOST_FAULTS = 10  # findings for one range file
MOST_THREADS = 20_000
LONGEST_LINE = 10_000  # characters
KINDS_SINCE = 2  # the version of the notation from which on a range says what its threads are
_LINE = re.compile(r"[^ \t\n][^\n]*")


@dataclass(frozen=True)
class ThreadRange:
    """A thread range as read. whole: whether all of its file could be read."""

    name: str
    threads: Mapping[str, Thread]
    whole: bool
    span: Span | None = field(default=None, compare=False, repr=False)


def resolve_range(
    block: Block, head: RangeHead, root: Path, folder: Path, findings: list[Diagnostic]
) -> ThreadRange:
    """Read the range of a `range` block; root and folder as for `files.beside`."""
    defaults = _defaults(block, findings)
    unread = ThreadRange(head.name.text, {}, False, head.name.span)
    written = head.path.value if isinstance(head.path, Text) else head.path.text
    path, refusals = beside(root, folder, written, head.path.span)
    findings.extend(refusals)
    if path is None:
        return unread
    source, refusals = read_text(
        path, _shown(head.path.span, written), LARGEST_RANGE, head.path.span
    )
    findings.extend(refusals)
    if source is None:
        return unread
    faults: list[Diagnostic] = []
    version = stated(head.name.span.source)
    threads = _read(head.name.text, source, defaults, version, faults)
    findings.extend(faults)
    if not threads and not has_errors(faults):  # a warning alone stops nothing
        findings.append(
            finding("empty-range", "There is no thread in this file.", source.span(0, 0), _THREAD)
        )
    whole_file = bool(threads) and not has_errors(faults)
    return ThreadRange(head.name.text, threads, whole_file, head.name.span)


def read_range(path: Path, name: str) -> tuple[ThreadRange, Diagnostics]:
    """Read a range file that stands by itself, under a name; what it does not say is as usual."""
    source, refusals = read_text(path, str(path), LARGEST_RANGE)
    if source is None:
        return ThreadRange(name, {}, False), refusals
    findings = list(refusals)
    threads = _read(name, source, Defaults(), NOTATION, findings)
    if not threads and not has_errors(findings):
        findings.append(
            finding("empty-range", "There is no thread in this file.", source.span(0, 0), _THREAD)
        )
    whole_file = bool(threads) and not has_errors(findings)
    return ThreadRange(name, threads, whole_file), tuple(findings)


def _shown(blame: Span, written: str) -> str:
    # A file is named as seen from where the user stands, like the chart that names it.
    folder, slash, _ = blame.path.rpartition("/")
    return f"{folder}{slash}{written}"


def _defaults(block: Block, findings: list[Diagnostic]) -> Defaults:
    usual = Defaults()
    metres, strands, put_up, kind = usual.metres, usual.strands, usual.put_up, usual.kind
    lengths: list[WordLine] = []
    several: Numeral | None = None
    for line in block.members:
        if not isinstance(line, WordLine):
            continue
        value, word = line.values[0], line.word.text
        if isinstance(value, Text):
            put_up = value.value or put_up
        elif isinstance(value, Word):
            kind = ThreadKind(value.text)
        elif isinstance(value, Numeral) and word == "strands":
            several = value
            strands = whole(value, "The number of strands", 1, MOST_STRANDS, findings)
        elif isinstance(value, Numeral):
            lengths.append(line)
            if word == "yards":
                metres = metres_of(value, findings) or metres
            else:
                metres = real(value, "The length", 0.1, LONGEST_PUT_UP, findings) or metres
    if len({line.word.text for line in lengths}) > 1:
        findings.append(
            finding(
                "two-lengths",
                "The length is stated in metres and in yards.",
                lengths[-1].span,
                Hint("first given here", lengths[0].span),
                "take one of them out",
            )
        )
    if kind.traits.always and several is not None and (strands or 1) > 1:
        findings.append(not_divided(kind, several.span))
    return Defaults(metres, strands, put_up, kind)


def _records(source: Source, findings: list[Diagnostic]) -> Iterator[Record]:
    for match in _LINE.finditer(source.text):
        line, start = match[0], match.start()
        span = source.span(start, match.end())
        if len(line) > LONGEST_LINE:
            findings.append(
                finding(
                    "line-too-long",
                    f"This line has {len(line):,} characters; at most {LONGEST_LINE:,} are read.",
                    source.span(start, start + 40),
                    "check whether a double quote is left open",
                )
            )
        else:
            try:
                cells = next(csv.reader([line], strict=True, skipinitialspace=True))
            except (csv.Error, StopIteration):
                findings.append(
                    finding(
                        "bad-csv",
                        "This line is not well-formed: a double quote is open or out of place.",
                        span,
                        'a cell with a comma goes in double quotes: `"sand, pale"`',
                    )
                )
            else:
                said = [cell.strip() for cell in cells]
                if any(said):  # a spreadsheet may save empty lines at the end of the table
                    yield Record(said, list(_cell_spans(source, line, start, cells)), span)
        if len(findings) >= MOST_FAULTS:
            findings.append(
                finding(
                    "too-many-findings",
                    "The rest of this file was not read.",
                    span,
                    "correct those that are listed, and check again",
                )
            )
            return


def _cell_spans(source: Source, line: str, start: int, cells: Sequence[str]) -> Iterator[Span]:
    at = 0
    for cell in cells:
        place = line.find(cell.strip(), at)
        if place == -1:  # a cell with doubled quotes is not written as it reads
            yield source.span(start, start + len(line))
            continue
        end = place + len(cell.strip())
        yield source.span(start + place, start + end)
        comma = line.find(",", end)
        at = len(line) if comma == -1 else comma + 1


def _read(
    name: str, source: Source, defaults: Defaults, version: int, findings: list[Diagnostic]
) -> dict[str, Thread]:
    records = _records(source, findings)
    header = next(records, None)
    columns = None if header is None else _columns(header, version, findings)
    if columns is None:
        if not has_errors(findings):
            findings.append(
                finding("empty-range", "This file is empty.", source.span(0, 0), _HEADER)
            )
        return {}
    threads: dict[str, Thread] = {}
    for record in records:
        if len(threads) >= MOST_THREADS:
            findings.append(
                finding(
                    "range-too-long",
                    f"A range has at most {MOST_THREADS:,} threads.",
                    record.span,
                    "keep only the threads that your charts use",
                )
            )
            break
        thread = thread_of(name, record, columns, defaults, findings)
        if thread is None:
            continue
        first = threads.get(thread.code)
        if first is not None:
            findings.append(
                finding(
                    "duplicate-thread",
                    f"The code `{thread.code}` appears twice in this range.",
                    record.spans[columns["code"]],
                    Hint("first given here", first.span),
                    "take one of them out, or give it its own code",
                )
            )
            continue
        threads[thread.code] = thread
    return threads


_HEADER = "the first line names the columns: `code,name,colour` and perhaps `metres,strands,put-up`"
_THREAD = "below the first line comes one line for each thread: `12,sand,#d9c79a`"


def _columns(header: Record, version: int, findings: list[Diagnostic]) -> dict[str, int] | None:
    """Return where each column stands that a version reads, and those that nothing is read of."""
    optional = OPTIONAL if version < KINDS_SINCE else (*OPTIONAL, *NEWER)
    names = [cell.casefold() for cell in header.cells]
    for mark, word in ((";", "semicolons"), ("\t", "tabs")):
        if len(names) == 1 and mark in names[0]:
            findings.append(
                finding(
                    "bad-csv",
                    f"The columns are separated by {word}; commas are needed.",
                    header.span,
                    "choose the comma when saving the sheet as CSV",
                )
            )
            return None
    missing = [column for column in NEEDED if column not in names]
    if missing:
        others = set(names) - set(NEEDED)
        guesses = [(column, nearest(column, others, 1)) for column in missing]
        findings.append(
            finding(
                "missing-column",
                f"The column {all_of(missing)} is missing."
                if len(missing) == 1
                else f"The columns {all_of(missing)} are missing.",
                header.span,
                *[f"write `{column}` for `{near[0]}`" for column, near in guesses if near],
                _HEADER,
            )
        )
        return None
    columns: dict[str, int] = {}
    for index, name in enumerate(names):
        if name in columns:
            findings.append(
                finding(
                    "duplicate-column",
                    f"Two columns are called `{name}`.",
                    header.spans[index],
                    "take one of them out, or give it another name",
                )
            )
            return None
        columns[name] = index
        if name and name not in (*NEEDED, *optional):
            advice = did_you_mean(name, optional) or "a column for your own use may stay"
            if name in NEWER:
                columns[f"{name} in `linen {version}`"] = columns.pop(name)
                advice = f"it is read from `linen {KINDS_SINCE}` on"
            findings.append(
                finding(
                    "unknown-column",
                    f"The column `{name[:60]}` is not read.",
                    header.spans[index],
                    advice,
                )
            )
    return columns
