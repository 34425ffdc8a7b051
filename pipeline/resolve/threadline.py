"""One line of a thread range: what the thread is, how it looks, and how it is put up."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from ..core.characters import hidden_in_name
from ..core.diagnostics import Diagnostic, finding
from ..core.files import hidden_character
from ..core.ground import MM_PER_INCH
from ..core.key import Thread, ThreadKind
from ..core.source import Span
from ..core.suggest import all_of, did_you_mean
from ..syntax.phrases import Numeral
from .settings import real, whole

LONGEST_PUT_UP = 10_000.0  # metres
MOST_STRANDS = 60  # that a thread divides into
MOST_COLOURS = 24  # of an overdyed thread
LONGEST_NAME = 200  # characters
METRES_PER_YARD = 36 * MM_PER_INCH / 1000  # exact: international yard and pound agreement, 1959
NEEDED = ("code", "name", "colour")
OPTIONAL = ("metres", "strands", "put-up")
NEWER = ("kind", "colours", "yards")  # from `linen 2` on
CODE = re.compile(r"\w[\w.\-]*")
COLOUR = re.compile(r"#[0-9A-Fa-f]{6}")


@dataclass(frozen=True)
class Defaults:
    """What is meant where a line says nothing; strands: None where nothing was said of them."""

    metres: float = 8.0
    strands: int | None = None
    put_up: str = "skein"
    kind: ThreadKind = ThreadKind.STRANDED


@dataclass(frozen=True)
class Record:
    """One line of the file: its cells and their places."""

    cells: list[str]
    spans: list[Span]
    span: Span


def thread_of(
    range_name: str,
    record: Record,
    columns: Mapping[str, int],
    defaults: Defaults,
    findings: list[Diagnostic],
) -> Thread | None:
    """Return the thread of a line; None where anything in it is at fault.

    columns: where each column stands.
    """
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
                f"a colour begins with `#`: write `#{colour}`"
                if COLOUR.fullmatch(f"#{colour}")
                else "a colour is `#` and six characters from 0-9 and a-f: `#e9dfcb`",
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
    kind = _kind(*cell("kind"), defaults.kind, findings)
    colours = _colours(*cell("colours"), kind, findings)
    metres = _metres(cell("metres"), cell("yards"), defaults.metres, findings)
    strands = _strands(*cell("strands"), kind, defaults, findings)
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
        strands,
        put_up or defaults.put_up,
        record.span,
        kind,
        colours,
    )


def metres_of(yards: Numeral, findings: list[Diagnostic]) -> float | None:
    """Return a length in yards as metres."""
    length = real(yards, "The length", 0.1, LONGEST_PUT_UP, findings)
    return None if length is None else length * METRES_PER_YARD


def _kind(written: str, place: Span, default: ThreadKind, findings: list[Diagnostic]) -> ThreadKind:
    if not written:
        return default
    kinds = [kind.value for kind in ThreadKind]
    if written.casefold() in kinds:
        return ThreadKind(written.casefold())
    findings.append(
        finding(
            "unknown-kind",
            f"`{written[:40]}` is not a kind of thread.",
            place,
            did_you_mean(written, kinds) or f"the kinds are {all_of(kinds)}",
        )
    )
    return default


def _colours(
    written: str, place: Span, kind: ThreadKind, findings: list[Diagnostic]
) -> tuple[str, ...]:
    if not (written or kind.traits.many_coloured):
        return ()
    colours = tuple(written.lower().split())
    wrong = next((each for each in colours if not COLOUR.fullmatch(each)), None)
    if wrong is not None:
        findings.append(
            finding(
                "bad-colour",
                f"`{wrong[:60]}` is not a colour.",
                place,
                "colours of one thread stand with a blank between them: `#e9dfcb #b08d5f`",
            )
        )
    elif kind.traits.many_coloured and not 2 <= len(colours) <= MOST_COLOURS:
        findings.append(
            finding(
                "overdyed-colours",
                f"An overdyed thread has 2 to {MOST_COLOURS} colours, not {len(colours)}.",
                place,
                "write them into the column `colours`, as they follow each other along the thread: "
                "`#e9dfcb #b08d5f #8a6a49`",
            )
        )
    elif colours and not kind.traits.many_coloured:
        findings.append(
            finding(
                "overdyed-colours",
                f"A thread that is {kind} has one colour, not {len(colours)} more.",
                place,
                "write `overdyed` into the column `kind`, or take these out",
            )
        )
    return colours


def _metres(
    metres: tuple[str, Span], yards: tuple[str, Span], default: float, findings: list[Diagnostic]
) -> float:
    if metres[0] and yards[0]:
        findings.append(
            finding(
                "two-lengths",
                "The length is stated in metres and in yards.",
                yards[1],
                "take one of them out",
            )
        )
    number = _figure(*yards, findings)
    if number is not None:
        return metres_of(number, findings) or default
    number = _figure(*metres, findings)
    length = number and real(number, "The length", 0.1, LONGEST_PUT_UP, findings)
    return length or default


def _strands(
    written: str, place: Span, kind: ThreadKind, defaults: Defaults, findings: list[Diagnostic]
) -> int:
    usual = kind.traits.strands
    if defaults.strands is not None and (kind is defaults.kind or usual > 1):
        usual = defaults.strands
    number = _figure(written, place, findings)
    if number is None:
        return usual
    strands = whole(number, "The number of strands", 1, MOST_STRANDS, findings) or usual
    if strands > 1 and kind.traits.always:
        findings.append(not_divided(kind, place))
    return strands


def not_divided(kind: ThreadKind, place: Span) -> Diagnostic:
    """Return the finding about strands of what has none."""
    return finding(
        "strands-of-one",
        "A bead has no strands." if kind.traits.bead else f"A {kind} thread has one strand.",
        place,
        "write 1 and, as its length, that of the thread as it is sold",
    )


_FIGURE = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,6})?")


def _figure(written: str, place: Span, findings: list[Diagnostic]) -> Numeral | None:
    if not written:
        return None
    if _FIGURE.fullmatch(written):
        return Numeral(written, span=place)
    findings.append(
        finding(
            "bad-number",
            f"`{written[:40]}` is not a number.",
            place,
            "write figures, with a point before a fraction: `2.5`",
        )
    )
    return None
