"""The colours that a chart file names, so that an editor can show them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..core.source import Span
from ..syntax.nodes import ColourLine, KeyLine
from ..syntax.phrases import ThreadWords
from .outline import Outline


@dataclass(frozen=True)
class Swatch:
    """A colour (#rrggbb), where it is named, and whether it is written out there."""

    colour: str
    span: Span
    written: bool


def swatches(outline: Outline) -> Iterator[Swatch]:
    """Give the colours of a file's threads and of its fabric, in order."""
    for block in outline.file.blocks:
        for line in block.members:
            if isinstance(line, ColourLine):
                yield Swatch(line.colour.text, line.colour.span, True)
            elif isinstance(line, KeyLine):
                for part in line.parts:
                    for needle in part.needles:
                        yield from _swatch(outline, needle.thread)


def _swatch(outline: Outline, words: ThreadWords) -> Iterator[Swatch]:
    if words.colour is not None:
        yield Swatch(words.colour.text, words.colour.span, True)
    elif words.code is not None:
        thread = outline.thread(words)
        if thread is not None:
            yield Swatch(thread.colour, words.code.span, False)
