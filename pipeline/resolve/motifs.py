"""Motifs: rows with lines and knots of their own, and those put together from other motifs."""

from __future__ import annotations

from ..core.diagnostics import Diagnostic, finding
from ..core.items import Knot, Line, Motif
from ..syntax.cutting import stated as version_of
from ..syntax.nodes import Block, MotifHead, ShapeLine
from ..syntax.phrases import Row
from .keylines import check_name
from .placed import Names, strands_of
from .placing import read_things
from .rows import bare_rows, check_size
from .settings import MOST_OVER, number_in, options_by_word, size_of, symmetry_in, whole


def resolve_motif(block: Block, head: MotifHead, names: Names, findings: list[Diagnostic]) -> Motif:
    """Return the motif of a `motif` block as far as it could be read."""
    check_name(head.name, findings)
    options = options_by_word(head.options, findings)
    size = size_of(head.size, "a motif", findings)
    over_number = number_in(options.get("over"))
    over = whole(over_number, "`over`", 1, MOST_OVER, findings) if over_number else None
    strands = strands_of(options, findings)
    if strands is not None and over_number is None:
        findings.append(
            finding(
                "strands-without-over",
                "This motif gives strands, but not how many threads its crosses go over.",
                options["strands"].span,
                f"add `over 1`, or say `over 1 strands {strands}` where the motif is placed",
            )
        )
    name = head.name.text
    rows = [member for member in block.members if isinstance(member, Row)]
    others = [member for member in block.members if not isinstance(member, Row)]
    composed = not all(isinstance(member, ShapeLine) and not member.options for member in others)
    of_lines = others and not rows and not composed and version_of(head.span.source) > 1
    if of_lines and size is not None and all(size):
        rows = bare_rows(*size, head.size.span)
    if size is not None and not all(size) and not block.members and not block.broken:
        findings.append(
            finding(
                "size-of-grid",
                f"The motif `{name}` holds nothing and states no size.",
                head.size.span,
                f"draw it in rows below `motif {name} 9 x 4`, or place something in it",
            )
        )
    elif size is not None and not block.broken and (rows or not composed):
        check_size(rows, size, head.size, (f"motif {name}", f"motif `{name}`"), findings)
    items, _, layout = read_things(block, names, findings)
    return Motif(
        name,
        *(size or (0, 0)),
        tuple(row.cells for row in rows),
        () if composed else tuple(each for each in items if isinstance(each, Line)),
        () if composed else tuple(each for each in items if isinstance(each, Knot)),
        over,
        strands,
        symmetry_in(options.get("symmetric")),
        tuple(row.span for row in rows),
        head.name.span,
        items if composed else (),
        layout.things() if composed else (),
    )
