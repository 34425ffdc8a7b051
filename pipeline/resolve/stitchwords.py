"""What one stitch says of itself: its strokes, what they take, and whether it can be worked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from ..core.counted import Counted, Point, Stands, Stroke
from ..core.diagnostics import Diagnostic, finding
from ..stitches.counted import hole_just_left
from ..syntax.nodes import PhaseLine, StitchHead, StrokeLine, WoundLine
from ..syntax.phrases import Dimensions, Option, Position, StrokeWords, Word
from .settings import number_in, whole

MOST_STROKES = 200  # of one stitch
LARGEST = 40  # threads that one repeat may take, or reach
MOST_WRAPS = 20
_FURTHEST = 80  # threads to the next repeat
_STANDS = {"along": Stands.ROWS, "bars": Stands.BARS, "lines": Stands.LINES}
_STRETCHED = {"reach", "step", "row", "withdrawn"}  # what says threads of the fabric
_PHASES = ("first", "each", "last", "turn", "second")


class StitchReader:
    """Reads what one stitch says of itself."""

    def __init__(
        self, head: StitchHead, options: Mapping[str, Option], findings: list[Diagnostic]
    ) -> None:
        self.head = head
        self.options = options
        self.findings = findings

    def _tell(
        self, name: str, message: str, place: Position | StitchHead | Option, *hints: str
    ) -> None:
        self.findings.append(finding(name, message, place.span, *hints))

    # --- pieces ---

    def place(self, place: Position) -> Point | None:
        """Return where a stroke comes up or goes down: a hole, between whole threads."""
        x, y = (
            whole(number, "A hole of a stitch", -_FURTHEST, _FURTHEST, self.findings)
            for number in (place.x, place.y)
        )
        return None if x is None or y is None else (x, y)

    def bow(self, place: Position) -> Point | None:
        """Return where a bow is held, which may be on a thread."""
        values = [float(number.text[:12]) for number in (place.x, place.y)]
        if any(abs(value) > _FURTHEST for value in values):
            self._tell("outside-reach", "This place is far off the stitch.", place, "put it right")
            return None
        return values[0], values[1]

    def vector(self, word: str, assumed: tuple[int, int]) -> tuple[int, int]:
        """Return the way to another repeat."""
        if word not in self.options:
            return assumed
        place = self.options[word].values[0]
        assert isinstance(place, Position)
        at = self.place(place)
        return assumed if at is None else (int(at[0]), int(at[1]))

    def size(self, word: str, assumed: tuple[int, int], low: int) -> tuple[int, int]:
        """Return a number of threads across and down."""
        if word not in self.options:
            return assumed
        size = self.options[word].values[0]
        assert isinstance(size, Dimensions)
        sides = [
            whole(number, f"The {what} of a stitch", low, LARGEST, self.findings)
            for number, what in ((size.width, "width"), (size.height, "height"))
        ]
        return sides[0] or 0, sides[1] or 0

    # --- strokes ---

    def phases(self, members: Sequence[object]) -> dict[str, tuple[Stroke, ...]]:
        """Return the strokes by the word they stand after."""
        words: dict[str, list[StrokeWords]] = {phase: [] for phase in _PHASES}
        for line in members:
            if isinstance(line, StrokeLine):
                words["each"] += line.strokes
            elif isinstance(line, PhaseLine):
                words[line.word.text] += line.strokes
        many = [stroke for strokes in words.values() for stroke in strokes]
        if len(many) > MOST_STROKES:
            self.findings.append(
                finding(
                    "too-many-of-a-kind",
                    f"A stitch has at most {MOST_STROKES} strokes.",
                    many[MOST_STROKES].span,
                    "make several stitches of it",
                )
            )
            return {}
        return {phase: tuple(self._strokes(each)) for phase, each in words.items()}

    def _strokes(self, words: Sequence[StrokeWords]) -> Iterable[Stroke]:
        for each in words:
            up, down = self.place(each.up), self.place(each.down)
            by = tuple(bow for place in each.by if (bow := self.bow(place)) is not None)
            if up is None or down is None or len(by) < len(each.by):
                continue
            if len({up, *by, down}) == 1:
                self.findings.append(
                    finding(
                        "stroke-of-no-length",
                        "This stroke comes up and goes down in one hole.",
                        each.span,
                        "a loop says with `by` where it is held: `up 0,0 by 2,0 down 0,0`",
                    )
                )
            yield Stroke(up, down, 0, by)

    def wraps(
        self, wound: Sequence[WoundLine], strokes: Mapping[str, tuple[Stroke, ...]]
    ) -> int | None:
        """Return how often the thread of a knot goes round the needle."""
        along = {"lines", "threads"} == self.options.keys()
        if len(wound) > 1 or any(strokes.values()) or (self.options and not along):
            self._tell(
                "stitch-words",
                "A knot is wound in one hole, or along a line: it has one `wound` and no strokes.",
                self.head,
                "write strokes for a stitch between several holes, `wound` alone for a knot, or "
                "`over 4 x 0 on lines` for one that is wound along a line",
            )
            return None
        return whole(wound[0].turns, "The turns of a knot", 1, MOST_WRAPS, self.findings)

    def coil(self, name: str, title: str, wraps: int, built_in: bool) -> Counted | None:
        """Return a knot that is wound along a line, each from one hole to another."""
        before = len(self.findings)
        over = self.size("threads", (0, 0), 0)
        each = (Stroke((0, 0), (over[0], 0)),)
        stitch = Counted(
            name, title, each, over, over, (over[0], 0), (0, 0), Stands.LINES,
            wraps=wraps, built_in=built_in, span=self.head.span,
        )  # fmt: skip
        if len(self.findings) == before:
            self.look(stitch, ())
        return stitch if len(self.findings) == before else None

    # --- the whole ---

    def stitch(
        self, name: str, title: str, strokes: Mapping[str, tuple[Stroke, ...]], built_in: bool
    ) -> Counted | None:
        """Return the stitch, if it says all that it has to say."""
        if "laid" in self.options:
            return self._laid(name, title, strokes, built_in)
        if not strokes.get("each"):
            self._tell(
                "stitch-without-strokes",
                f"The stitch `{name}` has no stroke.",
                self.head,
                "below it stand its strokes in order: `up 0,2 down 2,0`",
                "or `wound 2` for a knot",
            )
            return None
        kinds = [word for word in _STANDS if word in self.options]
        if len(kinds) > 1:
            self._tell(
                "stitch-words",
                "A stitch lies along rows, in bars or on lines, not two of these.",
                self.options[kinds[1]],
                "take one of them out",
            )
            return None
        stands = _STANDS[kinds[0]] if kinds else Stands.ALONE
        if "threads" not in self.options:
            self._tell(
                "stitch-words",
                f"How many threads of the fabric `{name}` takes is not stated.",
                self.head,
                "add `over 2 x 2`, or whatever one repeat takes: threads across, `x`, threads down",
            )
            return None
        before = len(self.findings)
        over = self.size("threads", (0, 0), 0 if stands.on_lines else 1)
        reach = self.size("reach", over, 0)
        step = self.vector("step", (over[0], 0))
        row = self.vector("row", (0, over[1]))
        per = self._per(over, stands)
        journeys = self._journeys(len(strokes["each"]))
        withdrawn = self._withdrawn(over)
        if len(self.findings) > before or journeys is None:
            return None
        return Counted(
            name,
            title,
            strokes["each"],
            over,
            reach,
            step,
            row,
            stands,
            strokes["first"],
            strokes["last"],
            strokes["turn"],
            strokes["second"],
            journeys,
            "pulled" in self.options,
            "keeps" in self.options,
            built_in=built_in,
            withdrawn=withdrawn,
            per_cross=per == "cross",
            per_stretch=per == "stretch",
            span=self.head.span,
        )

    def _laid(
        self, name: str, title: str, strokes: Mapping[str, tuple[Stroke, ...]], built_in: bool
    ) -> Counted | None:
        """Return a stitch whose thread lies along a line, tied by another."""
        others = [word for word in self.options if word not in ("laid", "lines", "threads")]
        only_second = not any(strokes.get(word) for word in ("first", "each", "last", "turn"))
        told = {"lines", "threads"} <= set(self.options)
        if others or not told or not only_second or not strokes.get("second"):
            self._tell(
                "stitch-words",
                "A laid thread lies along the whole of a line and has no strokes of its own.",
                self.options["laid"],
                "write `over 4 x 0 on lines laid`, and below it how the `second` thread ties it: "
                "`second up 2,1 down 2,-1`",
            )
            return None
        over = self.size("threads", (0, 0), 0)
        return Counted(
            name,
            title,
            (Stroke((0, 0), (over[0], 0)),),
            over,
            over,
            (over[0], 0),
            (0, 0),
            Stands.LINES,
            second=strokes["second"],
            laid=True,
            built_in=built_in,
            span=self.head.span,
        )

    def _per(self, over: tuple[int, int], stands: Stands) -> str:
        """Return over what the strokes are stretched, empty for the threads that are stated."""
        option = self.options.get("per")
        if option is None:
            return ""
        word = option.values[0]
        assert isinstance(word, Word)
        lined = stands.on_lines
        if not (lined or (stands.alone and word.text == "cross")):
            self._tell(
                "stitch-words",
                "A stitch for each cross stands in its cell, or on lines; one for each stretch "
                "lies on lines.",
                option,
                f"leave `per {word.text}` out" + ("" if lined else ", or add `on lines`"),
            )
        elif over != ((2, 0) if lined else (2, 2)) or self.options.keys() & _STRETCHED:
            self._tell(
                "stitch-words",
                "What is stretched has its places from 0 to 2, and neither reach, step nor row.",
                option,
                f"write `over {'2 x 0' if lined else '2 x 2'} per {word.text}`",
            )
        return word.text

    def _withdrawn(self, over: tuple[int, int]) -> tuple[float, float, float, float] | None:
        option = self.options.get("withdrawn")
        if option is None:
            return None
        corners = [self.place(each) for each in option.values if isinstance(each, Position)]
        if None in corners:
            return None
        (x0, x1), (y0, y1) = (sorted(each) for each in zip(*filter(None, corners), strict=True))
        whole = all(each == round(each) for each in (x0, y0, x1, y1))
        if not (whole and 0 <= x0 < x1 <= over[0] and 0 <= y0 < y1 <= over[1]):
            self._tell(
                "stitch-words",
                "What is withdrawn has to be whole threads within those that the stitch takes.",
                option,
                "state two corners: for `over 3 x 6` perhaps `withdrawn 0,0 to 3,3`",
            )
            return None
        return x0, y0, x1, y1

    def _journeys(self, strokes: int) -> int | None:
        number = number_in(self.options.get("journeys"))
        if number is None:
            return 1
        journeys = whole(number, "The number of journeys", 1, 12, self.findings)
        if journeys is not None and journeys > strokes and journeys != 2 * strokes:
            self._tell(
                "stitch-words",
                f"{strokes} stroke{'s are' if strokes > 1 else ' is'} worked in as many journeys, "
                f"in fewer, or in {2 * strokes}, with every second repeat on each.",
                self.options["journeys"],
                f"write `journeys {2 * strokes}`",
            )
            return None
        return journeys

    def look(self, stitch: Counted, members: Sequence[object]) -> None:
        """Check whether a stitch can be worked."""
        flat = 0 in stitch.over
        row = stitch.step[0] * stitch.row[1] - stitch.step[1] * stitch.row[0]
        if stitch.step == (0, 0) or (row == 0 and not flat):
            self._tell(
                "endless-repeats",
                f"The repeats of `{stitch.name}` never leave their place.",
                self.options.get("step", self.options.get("row", self.head)),
                "`step` is the way to the next repeat along, `row` that to the next row",
            )
            return
        if stitch.stands.on_lines and (stitch.over[1] or not stitch.over[0]):
            self._tell(
                "stitch-words",
                "A stitch on lines is so many threads long and none high.",
                self.options["threads"],
                f"write `over {max(stitch.over[0], 2)} x 0`; its strokes may lie beside the line",
            )
        if stitch.keeps and stitch.over[0] != stitch.over[1]:
            self._tell(
                "stitch-words",
                "A stitch that keeps its way when it is turned has to be as wide as it is high.",
                self.options["keeps"],
                "leave `keeps` out, or make it square",
            )
        runs = stitch.stands.in_rows or stitch.stands.on_lines
        for word in ("first", "last", "turn"):
            if getattr(stitch, word) and not runs:
                self._tell(
                    "stitch-words",
                    f"Only a stitch along rows or on lines has `{word}`.",
                    self.head,
                    f"add `along rows`, or take `{word}` out",
                )
        self._reaches(stitch, members)
        hole = hole_just_left(stitch)
        if hole is not None:
            self._tell(
                "hole-just-left",
                f"`{stitch.name}` comes up in the hole that the needle has just gone down, first "
                f"at {hole[0]:g},{hole[1]:g}: the stroke before would pull out.",
                self.head,
                "change the order of the strokes, or turn one of them round",
            )

    def _reaches(self, stitch: Counted, members: Sequence[object]) -> None:
        """Tell of strokes outside what the stitch says it reaches."""
        beside = stitch.over[0] if stitch.stands.on_lines else 0
        width, height = stitch.reach
        for line in members:
            for stroke in line.strokes if isinstance(line, StrokeLine | PhaseLine) else ():
                for place in (stroke.up, *stroke.by, stroke.down):
                    x, y = float(place.x.text), float(place.y.text)
                    if not (0 <= x <= width and -beside <= y <= height + beside):
                        self._tell(
                            "outside-reach",
                            f"{x:g},{y:g} lies outside the {width} x {height} threads that "
                            f"`{stitch.name}` reaches.",
                            place,
                            "put the stroke right, or say how far the stitch reaches beyond what "
                            "one repeat takes: `reach 4 x 2`",
                        )
                        return
        runs = stitch.stands.in_rows or stitch.stands.on_lines
        if stitch.reach != stitch.over and not runs:
            self._tell(
                "stitch-words",
                "Only a stitch along rows or on lines reaches beyond what it takes.",
                self.options["reach"],
                "state what it takes with `over`",
            )
        if stitch.stands.in_bars:
            height = stitch.over[1]
            ends = [place for each in stitch.each for place in each.way]
            if any(y not in (0, height) for _, y in ends):
                self._tell(
                    "stitch-words",
                    "The strokes of a stitch in bars run from its upper to its lower edge.",
                    self.head,
                    f"a bar is as long as its signs reach: `up 0,{height} down 0,0`",
                )
