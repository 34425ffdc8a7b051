"""Colourways: other threads for the same key."""

from __future__ import annotations

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.key import Colourway, KeyEntry, Strands, ThreadChange
from ..core.source import Span
from ..core.suggest import did_you_mean
from ..syntax.nodes import Block, ColourwayHead, KeyLine
from .keylines import ReadKey, are_threads, check_name, text_value
from .needles import Basket, needle
from .settings import MOST_FINDINGS


def resolve_colourway(
    block: Block, head: ColourwayHead, key: ReadKey, basket: Basket, findings: list[Diagnostic]
) -> Colourway | None:
    """Return the colourway of a `colourway` block; None when anything in it is at fault."""
    before = len(findings)
    check_name(head.name, findings)
    changes: list[ThreadChange] = []
    first: dict[str, Span] = {}
    for line in block.members:
        if not isinstance(line, KeyLine) or len(findings) >= MOST_FINDINGS:
            continue
        symbol = line.symbol.text
        if symbol in first:
            findings.append(
                finding(
                    "duplicate-symbol",
                    f"`{symbol}` is changed twice in this colourway.",
                    line.symbol.span,
                    Hint("first here", first[symbol]),
                    "take one of them out",
                )
            )
            continue
        first[symbol] = line.symbol.span
        change = _change(line, key, basket, findings)
        if change is not None:
            changes.append(change)
    if not changes and not block.broken and len(findings) == before:
        findings.append(
            finding(
                "empty-colourway",
                f"The colourway `{head.name.text}` changes nothing.",
                head.name.span,
                "below it come lines such as `s  estuary 224`",
            )
        )
    title = text_value(head.title, findings) if head.title else ""
    if len(findings) > before or block.broken:
        return None
    return Colourway(head.name.text, title, tuple(changes), head.span)


def _change(
    line: KeyLine, key: ReadKey, basket: Basket, findings: list[Diagnostic]
) -> ThreadChange | None:
    symbol = line.symbol.text
    if symbol not in key.known:
        guess = did_you_mean(symbol, key.known)
        findings.append(
            finding(
                "unknown-symbol",
                f"The key has no line for `{symbol}`.",
                line.symbol.span,
                guess or "take this line out, or add one for it to the key",
            )
        )
        return None
    entry = key.known[symbol]
    if entry is None:
        return None
    kinds = [kind for part in line.parts for each in part.needles for kind in each.kinds]
    if kinds:
        findings.append(
            finding(
                "kind-in-colourway",
                "A colourway changes threads, not kinds of stitch.",
                kinds[0].span,
                "take this word out",
            )
        )
        return None
    if len(line.parts) != len(entry.parts):
        findings.append(_wrong_parts(line, entry))
        return None
    needles: list[tuple[Strands, ...]] = []
    for words, part in zip(line.parts, entry.parts, strict=True):
        threads = needle(words, basket, 1, findings, part.needle)
        if threads is None or not are_threads(part.kind, threads, words, findings):
            return None
        needles.append(threads)
    return ThreadChange(symbol, tuple(needles), line.span)


def _wrong_parts(line: KeyLine, entry: KeyEntry) -> Diagnostic:
    stitches = len(entry.parts)
    here = len(line.parts)
    return finding(
        "parts-differ",
        f"`{entry.symbol}` has {stitches} stitch{'es' if stitches > 1 else ''} in the key, "
        f"but {here} here.",
        line.span,
        Hint("the key line", entry.span),
        "give a thread for each, joined by `+`",
    )
