"""Where the things of a chart stand with regard to each other, as its lines say it."""

from __future__ import annotations

from collections.abc import Collection

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.places import CHART, Bound, Edge, Fill, Sort, Thing
from ..core.suggest import did_you_mean, named
from ..syntax.nodes import (
    BandLine,
    BorderLine,
    LetteringLine,
    Member,
    PlaceLine,
    ShapeLine,
    WithdrawnLine,
)
from ..syntax.phrases import Numeral, Option, Word
from .drafts import ACROSS, Draft, first_words, name_of
from .keylines import check_name
from .settings import LARGEST_SIDE, number_in, options_by_word, real, whole

_ALONG = {"below": Edge.AFTER, "above": Edge.BEFORE, "beside": Edge.AFTER}
_SIDES = {"right": Edge.AFTER, "left": Edge.BEFORE}
_ALIGNED = {"left": Edge.START, "right": Edge.END, "top": Edge.START, "bottom": Edge.END}
_ORIGINS = {
    "middle": Edge.MIDDLE,
    "left": Edge.START,
    "top": Edge.START,
    "right": Edge.END,
    "bottom": Edge.END,
}


class Layout:
    """The things of a chart, and how they hang on each other.

    What is wrong is added to `findings`. lost: the words of lines that could not be read; a name
    that stands among them is not blamed.
    """

    def __init__(self, findings: list[Diagnostic], lost: Collection[str] = ()) -> None:
        """Begin with none."""
        self.findings = findings
        self.lost = frozenset(lost)
        self.drafts: list[Draft] = []
        self._names: dict[str, Draft] = {}
        self._band: int | None = None

    def begin(self, line: Member) -> Draft:
        """Return the thing that a line of the chart places."""
        number = len(self.drafts)
        if isinstance(line, BandLine):
            self._band = number
            draft = Draft(number, Sort.BAND, line.span, None)
            draft.options = options_by_word(line.options, self.findings)
        else:
            sort = Sort.PLACE if isinstance(line, PlaceLine) else Sort.ITEM
            draft = Draft(number, sort, line.span, self._band, before=self._before())
        if isinstance(line, ShapeLine | PlaceLine | WithdrawnLine):
            draft.options = options_by_word(line.options, self.findings)
            draft.is_shape = isinstance(line, ShapeLine)
        draft.is_border = isinstance(line, BorderLine)
        draft.is_text = isinstance(line, LetteringLine)
        draft.name = name_of(line)
        self._note_name(draft)
        self.drafts.append(draft)
        return draft

    def _before(self) -> Draft | None:
        """Return what bare `below` is below: the motif, text or place before it in its band."""
        for draft in reversed(self.drafts):
            if draft.sort is Sort.BAND:
                return draft
            if not draft.is_shape and not draft.is_border and draft.withdrawal is None:
                return draft
        return None

    def _note_name(self, draft: Draft) -> None:
        name = draft.name
        if name is None:
            return
        check_name(name, self.findings)
        if name.text in first_words():
            self.findings.append(
                finding(
                    "reserved-name",
                    f"`{name.text}` is a word of these lines and cannot be a name.",
                    name.span,
                    f"choose another name, such as `my-{name.text}`",
                )
            )
        first = self._names.setdefault(name.text, draft)
        if first is not draft and first.name is not None:
            self.findings.append(
                finding(
                    "duplicate-thing",
                    f"There is a thing named `{name.text}` already.",
                    name.span,
                    Hint("the first stands here", first.name.span),
                    "give one of them another name",
                )
            )

    def number_of(self, word: Word) -> int | None:
        """Return the number of the thing of that name; None where there is none, which is told."""
        draft = self._names.get(word.text)
        if draft is not None:
            return draft.number
        if word.text not in self.lost:
            guess = did_you_mean(word.text, self._names)
            hints = [guess] if guess else []
            if not guess and self._names:
                hints.append(named("name", self._names))
            hints.append("a line gives its thing a name with `named`, such as `named reeds`")
            self.findings.append(
                finding("unknown-thing", f"Nothing is named `{word.text}`.", word.span, *hints[:2])
            )
        return None

    def things(self) -> tuple[Thing, ...]:
        """Return all things, once every line was read."""
        return tuple(self._thing(draft) for draft in self.drafts)

    def _thing(self, draft: Draft) -> Thing:
        if draft.is_border:
            return self._border(draft)
        across, down = self._bounds(draft)
        fill = self._fill(draft)
        if fill is not None:
            across, down = self._where_filled(draft, fill, across, down)
        return Thing(
            draft.sort,
            draft.name.text if draft.name is not None else "",
            draft.first,
            draft.last,
            across,
            down,
            draft.band,
            draft.at,
            draft.size,
            self._gap(draft.options.get("gap")) if draft.sort is Sort.BAND else 0.0,
            fill,
            draft.withdrawal,
            span=draft.span,
        )

    def _border(self, draft: Draft) -> Thing:
        """Return a border: what it runs round, or along the inside of."""
        options = draft.options
        begins = options.get("from")
        if begins is not None and _word(begins) != "middle":
            self._disagree(begins, "A border is mirrored from the middle of each side, or not.")
        round_, within = options.get("round"), options.get("within")
        if round_ is not None and (within or options.get("inset")):
            other = within or options["inset"]
            self._disagree(other, "It runs round the outside of a thing already.")
        target = round_ or within
        ring = None
        if target is not None:
            to = self._target(target)
            edge = Edge.AFTER if target is round_ else Edge.FRAME
            gap = self._gap(target)
            ring = None if to is None else Bound(edge, to, gap, span=target.span)
        name = draft.name.text if draft.name is not None else ""
        first, last = draft.first, draft.last
        return Thing(Sort.ITEM, name, first, last, ring=ring, span=draft.span)

    def _fill(self, draft: Draft) -> Fill | None:
        """Return what a motif fills, None for most."""
        options = draft.options
        if "filling" not in options:
            for word in ("from", "cut", "within", "inset"):
                if word in options and draft.sort is Sort.ITEM:
                    self._disagree(options[word], f"`{word}` goes with `filling`.")
            return None
        ways = draft.fills()
        if "repeat" in options:
            self._disagree(
                options["repeat"], "What fills something is repeated as often as it goes."
            )
        to: int | None = CHART
        if "within" in options:
            to = self._target(options["within"])
        elif ways[1] and draft.band is not None:
            message = "In a band a motif fills the width, or something that is named."
            self._disagree(options["filling"], message)
        begins = options.get("from")
        word = _word(begins) if begins is not None else ""
        origin = [_ORIGINS.get(word)] * 2
        if begins is not None and word != "middle":
            across = word in ACROSS
            if not ways[0 if across else 1]:
                self._disagree(begins, f"It does not fill anything from the {word}.")
            if all(ways):
                origin[1 if across else 0] = Edge.START
        number = number_in(options.get("inset"))
        inset = number and whole(number, "The inset", 0, LARGEST_SIDE, self.findings)
        half = draft.half(across=True), draft.half(across=False)
        cut = "cut" in options
        if cut and begins is None:
            origin = [Edge.START, Edge.START]
        span = options["filling"].span
        ends = origin[0], origin[1]
        return None if to is None else Fill(ways, to, ends, cut, inset or 0, half, span)

    def _where_filled(
        self, draft: Draft, fill: Fill, across: Bound | None, down: Bound | None
    ) -> tuple[Bound | None, Bound | None]:
        """Return how a thing lies along the ways that it does not fill."""
        if draft.options.keys().isdisjoint({"at", "below", "side"}) and fill.to != CHART:
            start = Bound(Edge.START, fill.to, float(fill.inset), span=fill.span)
            across, down = start, start
        return None if fill.ways[0] else across, None if fill.ways[1] else down

    def _bounds(self, draft: Draft) -> tuple[Bound | None, Bound | None]:
        """Return how a thing lies across and down."""
        if draft.sort is Sort.BAND:
            return None, None
        options = draft.options
        tied = options.get("tied")
        if tied is not None:
            to = self._target(tied)
            frame = None if to is None else Bound(Edge.FRAME, to, span=tied.span)
            return frame, frame
        self._check(draft)
        band = None if draft.band is None else Bound(Edge.FRAME, draft.band, span=draft.span)
        below_, side = options.get("below"), options.get("side")
        if below_ is None and side is None:
            return self._alone(draft, band)
        stack = self._stacked(draft, below_) if below_ is not None else None
        next_to = self._next_to(side) if side is not None else None
        if (below_ is not None and stack is None) or (side is not None and next_to is None):
            return None, None
        if stack is not None and below_ is not None and _word(below_) != "beside":
            return next_to or self._in_line(draft, stack.to, across=True), stack
        across = stack or next_to
        assert across is not None
        return across, self._in_line(draft, across.to, across=False)

    def _next_to(self, option: Option) -> Bound | None:
        """Return the bound of `right of` and `left of`."""
        to = self._target(option)
        gap = self._gap(option)
        return None if to is None else Bound(_SIDES[_word(option)], to, gap, span=option.span)

    def _alone(self, draft: Draft, band: Bound | None) -> tuple[Bound | None, Bound | None]:
        """Return how a thing lies that is neither below nor beside another."""
        on = draft.options.get("on")
        if "at" in draft.options:
            return None, band
        if on is not None:
            to = self._target(on)
            if to is None:
                return None, None
            across = self._in_line(draft, to, across=True, otherwise=Edge.MIDDLE)
            if to == CHART and band is not None:
                return across, band
            return across, self._in_line(draft, to, across=False, otherwise=Edge.MIDDLE)
        if draft.options.keys() & {"centred", "aligned"}:  # in a band
            return self._in_line(draft, CHART, across=True), band
        return None, band

    def _stacked(self, draft: Draft, option: Option) -> Bound | None:
        """Return the bound of `below`, `above` or `beside`."""
        words = [value for value in option.values if isinstance(value, Word)]
        edge, gap = _ALONG[words[0].text], self._gap(option)
        if len(words) > 1:
            to = self.number_of(words[1])
            return None if to is None else Bound(edge, to, gap, span=option.span)
        before = draft.before
        if before is None or (before.sort is Sort.BAND and words[0].text != "below"):
            self.findings.append(
                finding(
                    "nothing-before",
                    f"There is no motif or text before this line for it to stand {words[0].text}.",
                    option.span,
                    f"say at which position it stands, or name what it stands {words[0].text}",
                )
            )
            return None
        if before.sort is Sort.BAND:
            return Bound(Edge.START, before.number, gap, span=option.span)
        return Bound(edge, before.number, gap, span=option.span)

    def _in_line(
        self, draft: Draft, to: int, *, across: bool, otherwise: Edge = Edge.START
    ) -> Bound | None:
        """Return how a thing lies along the other way: in line with what it stands by."""
        options = draft.options
        place = options.get("on") or options.get("aligned") or options.get("centred")
        on = options.get("on")
        if on is not None:
            target = self._target(on)
            if target is None:
                return None
            to = target
        span = place.span if place is not None else draft.span
        aligned = options.get("aligned")
        if aligned is not None and (_word(aligned) in ACROSS) == across:
            return Bound(_ALIGNED[_word(aligned)], to, span=span)
        if "centred" in options:
            return Bound(Edge.MIDDLE, to, half=draft.half(across=across), span=span)
        return Bound(otherwise, to, span=span)

    def _target(self, option: Option) -> int | None:
        word = option.values[-1] if isinstance(option.values[-1], Word) else option.values[-2]
        assert isinstance(word, Word)  # a number comes last, behind `gap`
        if option.word == "on" and word.text == "chart":
            return CHART
        return self.number_of(word)

    def _gap(self, option: Option | None) -> float:
        if option is None or not isinstance(option.values[-1], Numeral):
            return 0.0
        number = number_in(option, len(option.values) - 1)
        gap = number and real(number, "A gap", 0, LARGEST_SIDE, self.findings)
        return gap or 0.0

    # --- what does not go together ---

    def _check(self, draft: Draft) -> None:
        """Tell of words that put a thing into two places along one way."""
        options = draft.options
        at, below_, side, on = (options.get(word) for word in ("at", "below", "side", "on"))
        aligned, centred = options.get("aligned"), options.get("centred")
        other = below_ or side or on
        is_beside = below_ is not None and _word(below_) == "beside"
        fills = draft.fills()
        if at is not None and other is not None:
            there = Hint("it stands here", at.span)
            self._disagree(other, "It stands at a position already.", there)
        elif at is not None and not draft.is_text and (aligned or (centred and not any(fills))):
            option = centred or aligned
            assert option is not None
            self._disagree(option, f"`{option.word}` tells how it lies by another thing.")
        elif is_beside and side is not None:
            self._disagree(side, "It is to stand beside two things.")
        elif below_ is not None and side is not None and (aligned or centred or on):
            option = aligned or centred or on
            assert option is not None
            self._disagree(option, "Where it stands is told both across and down already.")
        elif aligned is not None and centred is not None and on is None:
            self._disagree(aligned, "It is to be both centred and aligned.")
        elif aligned is not None and other is not None and other is not on:
            is_across = is_beside or below_ is None  # then it may be aligned down
            if (_word(aligned) in ACROSS) == is_across:
                ways = "top or bottom" if is_across else "left or right"
                where = "beside" if is_across else _word(other)
                self._disagree(aligned, f"What stands {where} a thing is aligned {ways}.")

    def _disagree(self, option: Option, message: str, *hints: Hint) -> None:
        self.findings.append(
            finding(
                "places-disagree",
                message,
                option.span,
                *hints,
                "say one thing across and one down: `below reeds gap 2 centred`",
            )
        )


def _word(option: Option) -> str:
    word = option.values[0]
    assert isinstance(word, Word)  # the grammar has it so
    return word.text
