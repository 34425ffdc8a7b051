"""Counted stitches: those that a chart defines, those of files that it uses, and those shipped."""

from __future__ import annotations

from collections.abc import Iterable

from ..core.counted import Counted, Stands
from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.source import Source
from ..stitches.kinds import NAMED
from ..syntax.nodes import Block, StitchHead, WoundLine
from ..syntax.parse import parse
from .keylines import BEHIND_THREADS, STATED, Stitches, check_name, text_value
from .settings import options_by_word
from .stitchwords import StitchReader

MOST_STITCHES = 100  # of one chart, with those of the files that it uses


def read_shipped(text: str) -> tuple[list[Counted], list[Diagnostic]]:
    """Return the stitches of the text of the shipped file."""
    file, told = parse(Source("stitches.linen", text))
    findings = list(told)
    made = [
        resolve_counted(block, block.head, findings, built_in=True)
        for block in file.blocks
        if isinstance(block.head, StitchHead)
    ]
    return [each for each in made if each is not None], findings


def known_stitches(blocks: Iterable[Block], findings: list[Diagnostic]) -> Stitches:
    """Return what gives all stitches by name."""
    own = stitches_of(blocks, findings)
    return lambda: {**NAMED, **own}


def stitches_of(blocks: Iterable[Block], findings: list[Diagnostic]) -> dict[str, Counted | None]:
    """Return the stitches that blocks define, by name; None for one that is at fault."""
    stitches: dict[str, Counted | None] = {}
    places: dict[str, Block] = {}
    for block in blocks:
        head = block.head
        if not isinstance(head, StitchHead):
            stitches.update((name, None) for each in block.broken[:1] for name in each.words[1:2])
            continue
        name = head.name.text
        if len(places) == MOST_STITCHES:
            findings.append(
                finding(
                    "too-many-of-a-kind",
                    f"A chart has at most {MOST_STITCHES} stitches of its own.",
                    head.name.span,
                    "take out those that the key does not name",
                )
            )
            break
        if name in places or name in NAMED or name in STATED:
            hint = (
                Hint("the first one is here", places[name].span)
                if name in places
                else f"every chart has `{name}` without saying how it is worked"
            )
            findings.append(
                finding(
                    "duplicate-stitch",
                    f"There is a stitch `{name}` already.",
                    head.name.span,
                    hint,
                    f"give this one another name, such as `my-{name}`",
                )
            )
            stitches.setdefault(name, None)
            continue
        places[name] = block
        stitches[name] = resolve_counted(block, head, findings)
    return stitches


def resolve_counted(
    block: Block, head: StitchHead, findings: list[Diagnostic], *, built_in: bool = False
) -> Counted | None:
    """Return the stitch of a `stitch` block, None where it cannot be worked."""
    before = len(findings)
    if not built_in:
        check_name(head.name, findings, BEHIND_THREADS)
    title = text_value(head.title, findings) if head.title is not None else ""
    reader = StitchReader(head, options_by_word(head.options, findings), findings)
    wound = [line for line in block.members if isinstance(line, WoundLine)]
    strokes = reader.phases(block.members)
    if block.broken or len(findings) > before:
        return None
    if wound:
        wraps = reader.wraps(wound, strokes)
        if wraps is None:
            return None
        if "lines" in reader.options:
            return reader.coil(head.name.text, title, wraps, built_in)
        return Counted(
            head.name.text, title, (), (0, 0), (0, 0), (0, 0), (0, 0), Stands.POINTS,
            wraps=wraps, built_in=built_in, span=head.span,
        )  # fmt: skip
    stitch = reader.stitch(head.name.text, title, strokes, built_in)
    if stitch is not None:
        reader.look(stitch, block.members)
    return stitch if len(findings) == before else None
