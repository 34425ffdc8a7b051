"""Thread ranges: CSV files of codes, names and colours."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from ..core.characters import hidden_in_name
from ..core.diagnostics import Diagnostic, Diagnostics, Hint, finding, has_errors
from ..core.files import LARGEST_RANGE, beside, hidden_character, read_text
from ..core.key import Thread
from ..core.source import Source, Span
from ..core.suggest import all_of, did_you_mean
from ..syntax.nodes import Block, RangeHead, WordLine
from ..syntax.phrases import Numeral, Text
from .settings import real, whole

LONGEST_PUT_UP = 10_000.0  # metres
MOST_STRANDS = 60  # that a thread divides into
MOST_FAULTS = 10  # findings for one range file
MOST_THREADS = 20_000
LONGEST_LINE = 10_000  # characters
LONGEST_NAME = 200  # characters
NEEDED = ("code", "name", "colour")
OPTIONAL = ("metres", "strands", "put-up")
CODE = re.compile(r"\w[\w.\-]*")
_LINE = re.compile(r"[^ \t\n][^\n]*")
COLOUR = re.compile(r"#[0-9A-Fa-f]{6}")


@dataclass(frozen=True)
class ThreadRange:
    """A thread range as read. whole: whether all of its file could be read."""

    name: str
    threads: Mapping[str, Thread]
    whole: bool
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class _Defaults:
    metres: float = 8.0
    strands: int = 6
    put_up: str = "skein"


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
    threads = _read(head.name.text, source, defaults, faults)
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
    threads = _read(name, source, _Defaults(), findings)
    if not threads and not has_errors(findings):
        findings.append(
            finding("empty-range", "There is no thread in this file.", source.span(0, 0), _THREAD)
        )
    return ThreadRange(name, threads, bool(threads) and not has_errors(findings)), tuple(findings)


def _shown(blame: Span, written: str) -> str:
    # A file is named as seen from where the user stands, like the chart that names it.
    folder, slash, _ = blame.path.rpartition("/")
    return f"{folder}{slash}{written}"


def _defaults(block: Block, findings: list[Diagnostic]) -> _Defaults:
    metres, strands, put_up = 8.0, 6, "skein"
    for line in block.members:
        if not isinstance(line, WordLine):
            continue
        value = line.values[0]
        if isinstance(value, Text):
            put_up = value.value or put_up
        elif line.word.text == "metres" and isinstance(value, Numeral):
            metres = real(value, "The length", 0.1, LONGEST_PUT_UP, findings) or metres
        elif isinstance(value, Numeral):
            strands = whole(value, "The number of strands", 1, MOST_STRANDS, findings) or strands
    return _Defaults(metres, strands, put_up)


@dataclass(frozen=True)
class _Record:
    """One line of the file: its cells and their places."""

    cells: list[str]
    spans: list[Span]
    span: Span


def _records(source: Source, findings: list[Diagnostic]) -> Iterator[_Record]:
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
                spans = list(_cell_spans(source, line, start, cells))
                yield _Record([cell.strip() for cell in cells], spans, span)
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
    name: str, source: Source, defaults: _Defaults, findings: list[Diagnostic]
) -> dict[str, Thread]:
    records = _records(source, findings)
    header = next(records, None)
    columns = None if header is None else _columns(header, findings)
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
        thread = _thread(name, record, columns, defaults, findings)
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


def _columns(header: _Record, findings: list[Diagnostic]) -> dict[str, int] | None:
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
        guesses = [did_you_mean(column, set(names) - set(NEEDED)) for column in missing]
        findings.append(
            finding(
                "missing-column",
                f"The column {all_of(missing)} is missing."
                if len(missing) == 1
                else f"The columns {all_of(missing)} are missing.",
                header.span,
                *[f"`{c}`: {g}" for c, g in zip(missing, guesses, strict=True) if g],
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
        if name and name not in NEEDED + OPTIONAL:
            findings.append(
                finding(
                    "unknown-column",
                    f"The column `{name[:60]}` is not read.",
                    header.spans[index],
                    did_you_mean(name, OPTIONAL) or "a column for your own use may stay",
                )
            )
    return columns


def _thread(
    range_name: str,
    record: _Record,
    columns: Mapping[str, int],
    defaults: _Defaults,
    findings: list[Diagnostic],
) -> Thread | None:
    before = len(findings)
    width = 1 + max(columns[column] for column in NEEDED)
    if len(record.cells) < width:
        findings.append(
            finding(
                "short-line",
                f"This line has {len(record.cells)} cells; {width} are needed.",
                record.span,
                "cells are separated by commas; the first line says which is which",
            )
        )
        return None
    if len(record.cells) > len(columns):
        findings.append(
            finding(
                "long-line",
                f"This line has {len(record.cells)} cells for {len(columns)} columns.",
                record.span,
                'a cell with a comma goes in double quotes: `"sand, pale"`',
            )
        )
        return None

    def cell(column: str) -> tuple[str, Span]:
        index = columns.get(column, len(record.cells))
        if index >= len(record.cells):
            return "", record.span
        return record.cells[index], record.spans[index]

    code, place = cell("code")
    if not CODE.fullmatch(code) or len(code) > LONGEST_NAME:
        findings.append(
            finding(
                "bad-code",
                f"`{code[:60]}` is not a thread code." if code else "The thread code is missing.",
                place,
                "a code is made of letters, figures, `.`, `_` and `-`",
            )
        )
    colour, place = cell("colour")
    if not COLOUR.fullmatch(colour):
        findings.append(
            finding(
                "bad-colour",
                f"`{colour[:60]}` is not a colour." if colour else "The colour is missing.",
                place,
                "a colour is `#` and six characters from 0-9 and a-f: `#e9dfcb`",
            )
        )
    title, place = cell("name")
    if hidden := hidden_in_name(title):
        findings.append(hidden_character(hidden, place))
    if len(title) > LONGEST_NAME:
        findings.append(
            finding(
                "text-too-long",
                f"A name has at most {LONGEST_NAME} characters.",
                place,
                "shorten it",
            )
        )
    metres = _figure(*cell("metres"), defaults.metres, 0.1, LONGEST_PUT_UP, findings)
    strands = _figure(*cell("strands"), float(defaults.strands), 1, MOST_STRANDS, findings, True)
    put_up, place = cell("put-up")
    if len(put_up) > LONGEST_NAME:
        findings.append(
            finding(
                "text-too-long",
                f"A name has at most {LONGEST_NAME} characters.",
                place,
                "shorten it",
            )
        )
    if len(findings) > before:
        return None
    return Thread(
        range_name,
        code,
        title or code,
        colour.lower(),
        metres,
        int(strands),
        put_up or defaults.put_up,
        record.span,
    )


_FIGURE = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,6})?")


def _figure(
    written: str,
    place: Span,
    default: float,
    low: float,
    high: float,
    findings: list[Diagnostic],
    is_whole: bool = False,
) -> float:
    if not written:
        return default
    if not _FIGURE.fullmatch(written):
        findings.append(
            finding(
                "bad-number",
                f"`{written[:40]}` is not a number.",
                place,
                "write figures, with a point before a fraction: `2.5`",
            )
        )
        return default
    number = Numeral(written, span=place)
    if is_whole:
        return whole(number, "The number of strands", int(low), int(high), findings) or default
    return real(number, "The length", low, high, findings) or default
