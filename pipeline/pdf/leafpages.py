"""Chart pages as pages of our own, put into the PDF by a finisher in the place of a type case.

A page is described by an SVG of ours (`leaf.svg.j2`), in mm of the paper. What is read of it is
exactly what that template uses, and anything else raises:

    g        transform (translate, rotate by quarters), id for where a link leads; with a role the
             outline leads there too
    g role   WAI-ARIA 1.2: region, heading, paragraph, img with aria-label, each an element of the
             structure of the PDF; aria-hidden for what is no content
    a        href to an id, title; its area is that of the rectangle in it
    image    href of a drawing
    rect     stroke, stroke-width
    text     class, x, y of the top of its line, text-anchor; tspan with class

Structure: ISO 32000-1, 14.7 and 14.8. Links and where they lead: 12.3 and 12.5.6.5.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from xml.etree.ElementTree import Element, fromstring

import pydyf

from ..chart.operators import colour, plain, row
from ..chart.plotted import EmbeddedFont, Plot
from .extents import STILL, Matrix, bounds_of, box_of, extent, then, transform
from .pixels import Pixels
from .typecase import SVG, Phrase, at, cut, needed, pieces, runs, shared_resources

_POINT = 72 / 25.4
_PX = 25.4 / 96  # mm
_ROLES = {"region": "Sect", "group": "Div", "heading": "H2", "paragraph": "P", "img": "Figure"}
_ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}
_FOOT = pydyf.Dictionary({"Type": "/Pagination", "Subtype": "/Footer"})


@dataclass(frozen=True)
class LeafPages:
    """Chart pages: a finisher (see `document.Press`).

    svgs: one for each page. lefts: the same for where it lies left in a bound booklet, if that
    makes a difference. drawings: what the images show, by address. font: of the drawings.
    linked: whether the PDF has links.
    """

    svgs: tuple[str, ...]
    drawings: Mapping[str, Plot | Pixels]
    font: EmbeddedFont
    linked: bool
    lefts: tuple[str, ...] = ()

    def __call__(self, document: Any, pdf: Any) -> None:
        """Put font and pages into a pydyf PDF."""
        self.font.finish(document, pdf)
        if not self.svgs:
            return
        pages = [fromstring(each) for each in self.svgs]
        names = [
            each.attrib["id"]
            for page in pages
            for each in page.iter(f"{SVG}g")
            if "id" in each.attrib and "role" in each.attrib
        ]
        place = next(n for n, page in enumerate(document.pages) if names[0] in page.anchors)
        lefts = [fromstring(each) for each in self.lefts]
        words = needed((*pages, *lefts))
        written = _Written(pdf, place, words, self.drawings, linked=self.linked)
        if lefts:
            # The number of a page is its place, counted from 1; even ones lie left.
            both = enumerate(zip(pages, lefts, strict=True), place)
            pages = [left if number % 2 else right for number, (right, left) in both]
        for page in pages:
            written.add(page)
        written.bind(names)


class _Written:
    """The pages of a PDF that take the place of one.

    What only that one needed is taken away: its objects become those of the new pages.
    """

    def __init__(
        self,
        pdf: Any,
        place: int,
        phrases: tuple[Phrase, ...],
        drawings: Mapping[str, Plot | Pixels],
        *,
        linked: bool,
    ) -> None:
        self.pdf = pdf
        self.linked = linked
        self.place = place
        self.case = pdf.objects[pdf.pages["Kids"][3 * place]]
        content = at(pdf, self.case["Contents"])
        self.rest, self.words = cut(content.stream, phrases)
        self.drawings = drawings
        self.shown: dict[str, str] = {}
        self.known: dict[bytes, bytes] = {
            obj.stream[0]: obj.reference
            for obj in pdf.objects
            if isinstance(obj, pydyf.Stream) and obj.extra.get("Type") == "/XObject"
        }
        self.pages: list[Any] = []
        self.where: dict[str, Any] = {}
        self.spare = [content.number]
        self.parts: list[bytes] = []
        self.document: Any = None
        self.parents: Any = None
        if "StructTreeRoot" in pdf.catalog:
            root = at(pdf, pdf.catalog["StructTreeRoot"])
            self.document = at(pdf, root["K"][0])
            self.parents = at(pdf, root["ParentTree"])["Nums"]
            self.key = max(self.parents[::2]) + 1
            self._clear()

    def _clear(self) -> None:
        """Take away the structure of the page that is replaced; remember where it was."""
        kids, own = self.document["K"], []
        for kid in kids:
            if at(self.pdf, kid).get("Pg") == self.case.reference:
                own.append(kid)
        self.first = kids.index(own[0])
        kids[:] = [kid for kid in kids if kid not in own]
        while own:
            element = at(self.pdf, own.pop())
            self.spare.append(element.number)
            own.extend(each for each in element.get("K", ()) if isinstance(each, bytes))
        pair = 2 * self.parents[::2].index(self.case["StructParents"])
        del self.parents[pair : pair + 2]

    def add(self, svg: Element) -> None:
        """Write a page."""
        case = self.case
        page = self.new(
            pydyf.Dictionary(
                {
                    "Type": "/Page",
                    "Parent": self.pdf.pages.reference,
                    **{name: pydyf.Array(case[name]) for name in case if name.endswith("Box")},
                    "Resources": case["Resources"],
                }
            )
        )
        self.pages.append(page)
        owners = pydyf.Array()
        if self.document is not None:
            page["Tabs"], page["StructParents"] = "/S", self.key
            self.parents.extend([self.key, owners])
            self.key += 1
        content = pydyf.Stream(list(self.rest), compress=True)
        _, top, _, low = (float(each) for each in _trim(case))
        pen = _LeafPen(self, page, content.stream, owners)
        pen.draw(svg, (_POINT, 0, 0, -_POINT, 0, low - top))
        page["Contents"] = self.new(content).reference
        if pen.links:
            page["Annots"] = pydyf.Array(pen.links)

    def bind(self, names: list[str]) -> None:
        """Put the pages in the place of the other; lead links and the outline to them."""
        kids = [part for page in self.pages for part in (page.number, 0, "R")]
        self.pdf.pages["Kids"][3 * self.place : 3 * self.place + 3] = kids
        self.pdf.pages["Count"] += len(self.pages) - 1
        if self.document is not None:
            self.document["K"][self.first : self.first] = self.parts
        entries = [names[0], *names]
        for obj in self.pdf.objects:
            if isinstance(obj, dict) and "Title" in obj and self._leads_here(obj.get("Dest")):
                obj["Dest"] = self.where[entries.pop(0)]
        named = self.pdf.catalog["Names"]["Dests"]["Names"]
        for n in range(0, len(named), 2):
            if self._leads_here(named[n + 1]):
                named[n + 1] = self.where[named[n].string]
        for number in (self.case.number, *self.spare):
            self.pdf.objects[number] = nothing = pydyf.Dictionary()
            nothing.number = number

    def _leads_here(self, to: Any) -> bool:
        return isinstance(to, list) and to[0] == self.case.reference

    def new(self, thing: Any) -> Any:
        """Add an object to the PDF, in the place of one that is not needed any more."""
        if self.spare:
            thing.number = self.spare.pop()
            self.pdf.objects[thing.number] = thing
        else:
            self.pdf.add_object(thing)
        return thing

    def image(self, address: str) -> str:
        """Return what pages call a drawing."""
        if address not in self.shown:
            resources = shared_resources(self.pdf)
            name = self.shown[address] = f"leaf-{len(self.shown)}"
            resources["XObject"][name] = self._form(self.drawings[address], resources)
        return self.shown[address]

    def _form(self, drawing: Plot | Pixels, resources: Any) -> bytes:
        """Return a reference to a drawing, which other pages may have too."""
        form = drawing.get_x_object(False, 1)
        [data] = form.stream
        if data in self.known:
            return self.known[data]
        if "Resources" in form.extra:
            fonts = pydyf.Dictionary({"Font": resources["Font"]})
            form.extra["Resources"] = self.new(fonts).reference
        self.new(form)
        self.known[data] = form.reference
        return self.known[data]


def _trim(page: Any) -> Any:
    return page.get("TrimBox", page["MediaBox"])


class _LeafPen:
    """Writes one page."""

    def __init__(self, written: _Written, page: Any, out: list[Any], owners: list[bytes]) -> None:
        self.written = written
        self.page = page
        self.out = out
        self.owners = owners
        self.links: list[bytes] = []

    def draw(self, svg: Element, matrix: Matrix) -> None:
        # What is left of the other page begins with turning it upside down, and this stays.
        self.out.append(f"q {row(_POINT, 0, 0, _POINT, 0, 0)} cm".encode())
        for child in svg:
            self._run(child, matrix, self.written.document)
        self.out.append(b"Q")

    def _run(self, element: Element, matrix: Matrix, parent: Any) -> None:
        kind = element.tag.removeprefix(SVG)
        match kind:
            case "g":
                self._group(element, matrix, parent)
            case "a":
                self._link(element, matrix, parent)
            case "image":
                self._image(element)
            case "rect":
                self._rectangle(element)
            case "text":
                self._text(element)
            case _:
                raise ValueError(f"a chart page uses the element {kind!r}")

    def _group(self, element: Element, matrix: Matrix, parent: Any) -> None:
        move = transform(element.get("transform", ""))
        inner = then(move, matrix)
        if "id" in element.attrib:
            to = ["/XYZ", inner[4], inner[5], 0]
            self.written.where[element.attrib["id"]] = pydyf.Array([self.page.reference, *to])
        role = element.get("role")
        if move != STILL:
            self.out.append(f"q {row(*move)} cm".encode())
        if element.get("aria-hidden") == "true":
            if parent is not None:
                self.out.extend(["/Artifact", _FOOT, b"BDC"])
            for child in element:
                self._run(child, inner, None)
            if parent is not None:
                self.out.append(b"EMC")
        elif role is None or parent is None:
            for child in element:
                self._run(child, inner, parent)
        else:
            made = self._element(_ROLES[role], parent)
            if role == "img":
                made["Alt"] = pydyf.String(element.attrib["aria-label"])
                box = pydyf.Array(bounds_of(extent(element), inner))
                made["A"] = pydyf.Dictionary({"O": "/Layout", "BBox": box})
            self._marked(element, inner, made, whole=role not in ("region", "group"))
        if move != STILL:
            self.out.append(b"Q")

    def _marked(self, element: Element, matrix: Matrix, made: Any, *, whole: bool) -> None:
        """Draw what is in an element of the structure; whole: it is content and nothing else."""
        if whole:
            number = len(self.owners)
            self.owners.append(made.reference)
            made["K"].append(number)
            self.out.extend([f"/{made['S'][1:]}", pydyf.Dictionary({"MCID": number}), b"BDC"])
        for child in element:
            self._run(child, matrix, None if whole else made)
        if whole:
            self.out.append(b"EMC")

    def _element(self, kind: str, parent: Any) -> Any:
        made = self.written.new(
            pydyf.Dictionary(
                {
                    "Type": "/StructElem",
                    "S": f"/{kind}",
                    "K": pydyf.Array(),
                    "Pg": self.page.reference,
                    "P": parent.reference,
                }
            )
        )
        if parent is self.written.document:
            self.written.parts.append(made.reference)
        else:
            parent["K"].append(made.reference)
        return made

    def _link(self, element: Element, matrix: Matrix, parent: Any) -> None:
        if not self.written.linked:
            for child in element:
                self._run(child, matrix, parent)
            return
        area = pydyf.Array(bounds_of(extent(element), matrix))
        link = self.written.new(
            pydyf.Dictionary(
                {
                    "Type": "/Annot",
                    "Subtype": "/Link",
                    "Rect": area,
                    "BS": pydyf.Dictionary({"W": 0}),
                    "Contents": pydyf.String(element.attrib["title"]),
                    "Dest": pydyf.String(element.attrib["href"].removeprefix("#")),
                }
            )
        )
        self.links.append(link.reference)
        if parent is None:
            for child in element:
                self._run(child, matrix, None)
            return
        made = self._element("Link", parent)
        leads = pydyf.Dictionary(
            {"Type": "/OBJR", "Obj": link.reference, "Pg": self.page.reference}
        )
        made["K"].append(self.written.new(leads).reference)
        link["StructParent"] = self.written.key
        self.written.parents.extend([self.written.key, made.reference])
        self.written.key += 1
        self._marked(element, matrix, made, whole=True)

    def _image(self, element: Element) -> None:
        address = element.attrib["href"]
        drawing = self.written.drawings[address]
        x, y, width, height = box_of(element)
        if isinstance(drawing, Pixels):
            across, down, y = width, -height, y + height
        else:
            across, down = width / drawing.width, height / drawing.height
        name = self.written.image(address)
        self.out.append(
            f"q {_exact(across)} 0 0 {_exact(down)} {row(x, y)} cm /{name} Do Q".encode()
        )

    def _rectangle(self, element: Element) -> None:
        """Draw a frame as what lies between two rectangles: thin strokes are shown too wide."""
        if "stroke" in element.attrib:
            x, y, width, height = box_of(element)
            half = float(element.attrib["stroke-width"]) / 2
            edges = (
                f"{row(x - out, y - out, width + 2 * out, height + 2 * out)} re"
                for out in (half, -half)
            )
            fill = colour(element.attrib["stroke"], ("g", "rg"))
            self.out.append(f"{fill} {' '.join(edges)} f*".encode())

    def _text(self, element: Element) -> None:
        folio = str(self.written.place + len(self.written.pages))
        words = [
            self.written.words[piece]
            for (style, text), number in runs(element)
            for piece in pieces((style, folio if number else text))
        ]
        width = sum(word.width for word in words) * _PX
        x = float(element.attrib["x"]) - width * _ANCHORS[element.get("text-anchor", "start")]
        self.out.append(
            f"q {_PX:.6f} 0 0 {_PX:.6f} {row(x, float(element.attrib['y']))} cm".encode()
        )
        for at_word, each in enumerate(words):
            if at_word:
                self.out.append(f"1 0 0 1 {plain(words[at_word - 1].width)} 0 cm".encode())
            self.out.append(b"q")
            self.out.extend(each.operators)
            self.out.append(b"Q")
        self.out.append(b"Q")


def _exact(value: float) -> str:
    return f"{value:.8f}".rstrip("0").rstrip(".")
