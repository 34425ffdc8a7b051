"""The fabric and the way of working."""

from __future__ import annotations

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.ground import MM_PER_INCH, Fabric, Ground, Method, Working
from ..core.source import Span
from ..core.suggest import all_of, did_you_mean
from ..syntax.nodes import AlsoLine, Block, ColourLine, FabricHead, MeasureLine, WordLine
from ..syntax.phrases import Cloth, Numeral, Word
from .settings import MOST_OVER, millimetres, real, whole

THREAD_FABRICS = ("linen", "evenweave", "canvas")
BLOCK_FABRICS = ("aida", "blockweave")
COARSEST, FINEST = 2.0, 120.0  # threads or blocks to the inch
WIDEST_MARGIN = 1_000.0  # mm
MOST_FABRICS = 40
LONGEST_NAME = 200
CM_PER_INCH = MM_PER_INCH / 10


def resolve_ground(
    block: Block, head: FabricHead | None, findings: list[Diagnostic]
) -> Ground | None:
    """Return the ground of a `fabric` block; None when anything in it is at fault."""
    before = len(findings)
    fabric = _fabric(head.cloth, findings) if head else None
    default = Ground(Fabric("linen", 1, 1))
    colour, colour_name, margin = default.colour, "", default.margin
    also: list[Fabric] = []
    first: dict[str, Span] = {}
    for line in block.members:
        if isinstance(line, AlsoLine):
            made = [_fabric(cloth, findings) for cloth in line.cloths]
            also.extend(each for each in made if each is not None)
        elif isinstance(line, ColourLine):
            once("colour", line.span, first, findings)
            colour = line.colour.text.lower()
            colour_name = line.name.value if line.name else ""
            if len(colour_name) > LONGEST_NAME and line.name:
                findings.append(
                    finding("text-too-long", "This name is too long.", line.name.span, "shorten it")
                )
        elif isinstance(line, MeasureLine):
            once("margin", line.span, first, findings)
            margin = millimetres(line.measure, "The margin", 0, WIDEST_MARGIN, findings) or 0.0
    if len(also) > MOST_FABRICS:
        findings.append(
            finding(
                "too-many-fabrics",
                f"At most {MOST_FABRICS} other fabrics can be listed.",
                also[MOST_FABRICS].span,
                "keep those that your buyers work on",
            )
        )
    if len(findings) > before or fabric is None:
        return None
    return Ground(fabric, colour, colour_name, margin, tuple(also), block.span)


def once(what: str, span: Span, first: dict[str, Span], findings: list[Diagnostic]) -> None:
    """Tell of a line that stands in its block already; first: where each stood first."""
    if what in first:
        findings.append(
            finding(
                "repeated-line",
                f"`{what}` appears twice in this block.",
                span,
                Hint("first given here", first[what]),
                "take one of them out",
            )
        )
    first.setdefault(what, span)


def _fabric(cloth: Cloth, findings: list[Diagnostic]) -> Fabric | None:
    kind = cloth.kind.text
    block = kind in BLOCK_FABRICS
    if not block and kind not in THREAD_FABRICS:
        kinds = THREAD_FABRICS + BLOCK_FABRICS
        findings.append(
            finding(
                "unknown-fabric",
                f"`{kind[:40]}` is not a kind of fabric.",
                cloth.kind.span,
                did_you_mean(kind, kinds) or f"the kinds are {all_of(kinds)}",
            )
        )
        return None
    factor = CM_PER_INCH if cloth.per_cm else 1.0
    count = _count(cloth.count, factor, findings)
    down = count if cloth.count_down is None else _count(cloth.count_down, factor, findings)
    over: int | None = 1
    if cloth.over is not None:
        over = whole(cloth.over, "`over`", 1, MOST_OVER, findings)
    elif not block:
        findings.append(
            finding(
                "missing-over",
                f"`{kind}` needs the number of threads that a cross goes over.",
                cloth.span,
                f"write `{kind} {cloth.count.text} over 2` for two threads each way",
            )
        )
        return None
    if count is None or down is None or over is None:
        return None
    return Fabric(kind, count, down, over, block, cloth.span, cloth.per_cm)


def _count(number: Numeral, factor: float, findings: list[Diagnostic]) -> float | None:
    value = real(number, "The count", COARSEST / factor, FINEST / factor, findings)
    return None if value is None else value * factor


# --- working -----------------------------------------------------------------------------------

LENGTHS = {
    # word: (what it is called, least mm, most mm)
    "needleful": ("The needleful", 100.0, 3_000.0),
    "tail": ("The tail", 0.0, 300.0),
    "carry": ("The carry", 0.0, 200.0),
    "slip": ("The slip", 0.0, 200.0),
    "float": ("The float", 1.0, 200.0),
}


def tails_too_long(needleful: float, tail: float, place: Span | None) -> Diagnostic:
    """Return the finding about tails that leave too little of a needleful; lengths in mm."""
    return finding(
        "tails-too-long",
        f"Two tails of {tail:g} mm use up half of a needleful of {needleful:g} mm.",
        place,
        "state a longer needleful or shorter tails",
    )


def resolve_working(block: Block, findings: list[Diagnostic]) -> Working | None:
    """Return how the thread is reckoned; None when anything in the block is at fault."""
    before = len(findings)
    lengths: dict[str, float] = {}
    method, reserve, bare = Working().method, Working().reserve, Working().bare
    first: dict[str, Span] = {}
    for line in block.members:
        if isinstance(line, MeasureLine):
            word = line.word.text
            once(word, line.span, first, findings)
            value = millimetres(line.measure, *LENGTHS[word], findings)
            if value is not None:
                lengths[word] = value
        elif isinstance(line, WordLine):
            once(line.word.text, line.span, first, findings)
            given = line.values[0]
            if isinstance(given, Word):
                method = Method(given.text)
            elif isinstance(given, Numeral) and line.word.text == "bare":
                crosses = real(given, "The way behind bare cloth", 0, 40, findings)
                bare = bare if crosses is None else crosses
            elif isinstance(given, Numeral):
                share = real(given, "The reserve", 0, 200, findings)
                reserve = reserve if share is None else share / 100
    default = Working()
    needleful = lengths.get("needleful", default.needleful)
    tail = lengths.get("tail", default.tail)
    if needleful < 4 * tail and len(findings) == before:
        place = first.get("tail") or first.get("needleful") or block.span
        findings.append(tails_too_long(needleful, tail, place))
    if len(findings) > before:
        return None
    return Working(
        needleful,
        tail,
        lengths.get("carry", default.carry),
        lengths.get("slip", default.slip),
        bare,
        method,
        reserve,
        lengths.get("float", default.loose),
        block.span,
    )
