"""What a screen, a printer and an archive ask of a PDF, beyond what WeasyPrint does by itself.

Screen: PDF/UA-1 (ISO 14289-1). Printer: PDF/X-4 (ISO 15930-7) with bleed and crop marks. Archive:
PDF/A-3u (ISO 19005-3) with its sources attached, tagged like the one for the screen.

WeasyPrint 70 tags the text of margin boxes as content but leaves it out of the structure tree.
ISO 14289-1, 7.1, has all that is no content marked as an artifact; ISO 32000-1, 14.8.2.2 says how.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import md5, sha256
from importlib.resources import files
from itertools import count
from typing import TYPE_CHECKING, Any
from uuid import NAMESPACE_OID, uuid5

import pydyf

from ..chart.options import Fold, Purpose
from .enclosed import Enclosed
from .folding import impose

if TYPE_CHECKING:
    from .printprofile import PrintProfile


PRINTED = 4  # ISO 32000-1, table 165: the flag of an annotation that is on paper as on the screen


def name_links(pdf: Any, titles: Mapping[str, str]) -> None:
    """Let a link be announced by its title, not by the name of its anchor."""
    for obj in pdf.objects:
        if isinstance(obj, dict) and obj.get("Subtype") == "/Link":
            to = f"#{obj['Dest'].string}" if "Dest" in obj else obj["A"]["URI"].string
            if to in titles:
                obj["Contents"] = pydyf.String(titles[to])


def label_pages(pdf: Any, labels: Mapping[int, str]) -> None:
    """Write the page labels (ISO 32000-1, 12.4.2): numbers, but for the pages named otherwise."""
    numbers = pydyf.Array()
    plain = False
    for page in range(pdf.pages["Count"]):
        if page in labels:
            numbers.extend([page, pydyf.Dictionary({"P": pydyf.String(labels[page])})])
            plain = False
        elif not plain:
            numbers.extend([page, pydyf.Dictionary({"S": "/D", "St": page + 1})])
            plain = True
    pdf.catalog["PageLabels"] = pydyf.Dictionary({"Nums": numbers})


def name_headers(pdf: Any) -> None:
    """Say what the headers of tables head, and let each cell name those above it.

    All headers of ours stand above columns. WeasyPrint lets one that spans several head the first
    of them alone, and 69 names them by where they lie in memory, anew in each run: they are
    numbered. ISO 14289-1, 7.5, and ISO 32000-1, table 349.
    """
    numbers = count(1)
    for obj in pdf.objects:
        if isinstance(obj, dict) and obj.get("S") == "/Table":
            _name_headers(pdf, obj, numbers)


def _name_headers(pdf: Any, table: Any, numbers: Iterator[int]) -> None:
    heads: dict[int, list[Any]] = {}  # the headers met so far above each column
    for row in _below(pdf, table, "/TR"):
        column = 0
        for cell in _kids(pdf, row):
            attributes = cell.setdefault("A", pydyf.Dictionary({"O": "/Table"}))
            span = range(column, column + int(attributes.get("ColSpan", 1)))
            if cell["S"] == "/TH":
                attributes["Scope"] = "/Column"
                cell["ID"] = pydyf.String(f"head {next(numbers)}")
                for at in span:
                    heads.setdefault(at, []).append(cell["ID"])
            else:
                above = {id(head): head for at in span for head in heads.get(at, ())}
                attributes["Headers"] = pydyf.Array(above.values())
            column = span.stop


def print_links(pdf: Any) -> None:
    """Let links count as printed: they are words of the page, with nothing of their own to hide."""
    for obj in pdf.objects:
        if isinstance(obj, dict) and obj.get("Subtype") == "/Link":
            obj.setdefault("F", PRINTED)


def _below(pdf: Any, element: Any, kind: str) -> Iterator[Any]:
    for kid in _kids(pdf, element):
        if kid["S"] == kind:
            yield kid
        else:
            yield from _below(pdf, kid, kind)


def _kids(pdf: Any, element: Any) -> Iterator[Any]:
    """Return the structure elements right below one."""
    for each in element.get("K", ()):
        if isinstance(each, bytes):
            kid = pdf.objects[int(each.split()[0])]
            if "S" in kid:
                yield kid


_FOOT = {"Type": "/Pagination", "Subtype": "/Footer"}


def mark_feet(pdf: Any) -> None:
    """Mark as artifacts what a tagged pydyf PDF has tagged outside its structure tree."""
    if "StructTreeRoot" not in pdf.catalog:
        return
    root = _at(pdf, pdf.catalog["StructTreeRoot"])
    parents = _at(pdf, root["ParentTree"])["Nums"]
    owners = dict(zip(parents[::2], parents[1::2], strict=True))
    linked = _linked(pdf, root["K"])
    for number in pdf.pages["Kids"][::3]:
        page = pdf.objects[number]
        owned = owners.get(page.get("StructParents"))
        if not isinstance(owned, list):
            continue
        loose = {at for at, owner in enumerate(owned) if owner not in linked}
        _mark(_at(pdf, page["Contents"]).stream, loose)
        for at in loose:
            owned[at] = b"null"


def _linked(pdf: Any, kids: Any) -> set[bytes]:
    """Return the references of all structure elements that the tree leads to."""
    references: set[bytes] = set()
    waiting = [kid for kid in kids if isinstance(kid, bytes)]
    while waiting:
        reference = waiting.pop()
        if reference in references:
            continue
        references.add(reference)
        within = _at(pdf, reference).get("K", ())
        waiting.extend(each for each in within if isinstance(each, bytes))
    return references


def _mark(items: list[Any], loose: set[int]) -> None:
    """Turn marked contents of these numbers into artifacts; feet are drawn last."""
    left = set(loose)
    for at in range(len(items) - 1, 1, -1):
        if not left:
            return
        properties = items[at - 1]
        if items[at] == b"BDC" and isinstance(properties, dict) and properties.get("MCID") in left:
            left.discard(properties["MCID"])
            items[at - 2] = "/Artifact"
            items[at - 1] = pydyf.Dictionary(_FOOT)


def _at(pdf: Any, reference: bytes) -> Any:
    return pdf.objects[int(reference.split()[0])]


BLEED = 3.0  # mm beyond the edge that a picture runs on, so that no white shows after cutting
MARKS = 8.0  # mm beyond the edge; crop marks stand in the outer half of it
NO_DATE = "1970-01-01"  # where a PDF has to be dated and no date is known

# The colours of text and rules, which are a little warm, and the greys that one ink can print.
_ONE_INK = {"#1c1c1a": "#000000", "#5b5850": "#595959", "#c9c3b6": "#c4c4c4"}
_POINT = 72 / 25.4
_GREY = re.compile(rb"(\S+) \1 \1 (rg|RG)")
_BLACK = {b"rg": b"g", b"RG": b"G"}
_DOCUMENT_ID = re.compile(rb"xmp\.did:[0-9a-f-]{36}")


@dataclass(frozen=True)
class Said:
    """Words in the language of the booklet, each with `{}` for what is said of.

    outside, inside: the sides of a sheet, by its number. source: a file that is attached, by its
    path.
    """

    outside: str = "Sheet {}, outside"
    inside: str = "Sheet {}, inside"
    source: str = "Source of this booklet: {}"


@dataclass(frozen=True)
class Variant:
    """What one PDF is for.

    stamp: its date as in XMP, empty for none. sources: what is attached to it. profile: how it
    will be printed, for a printer. fold: the sheets that the pages are put on. said: its words.
    backed: whether its last page is a back cover.
    """

    purpose: Purpose = Purpose.SCREEN
    stamp: str = ""
    sources: tuple[Enclosed, ...] = ()
    profile: PrintProfile | None = None
    fold: Fold | None = None
    said: Said = Said()
    backed: bool = False

    @property
    def settings(self) -> dict[str, Any]:
        """WeasyPrint's options; the output intent is added by `finish`."""
        if self.purpose.printed:
            return {"pdf_variant": "pdf/x-4", "output_intent": ""}
        if self.purpose.archived:
            return {"pdf_variant": "pdf/a-3u", "pdf_tags": True, "output_intent": ""}
        if self.fold is not None:
            # On sheets the pages are not in their order: a structure to read by would mislead.
            return {"pdf_identifier": True}
        return {"pdf_variant": "pdf/ua-1"}

    @property
    def linked(self) -> bool:
        """Whether there are links: PDF/X-4 bears no annotations on the printed page."""
        return not self.purpose.printed and self.fold is None

    def prepare(self, document: Any) -> None:
        """Change what was laid out, before it is written."""
        if not self.linked:
            for page in document.pages:
                page.links = []

    def finish(self, pdf: Any) -> None:
        """Change what is about to be written."""
        mark_feet(pdf)
        name_headers(pdf)
        print_links(pdf)
        if self.fold is not None:
            impose(pdf, self.fold, (self.said.outside, self.said.inside), backed=self.backed)
        elif self.purpose.printed:
            _set_boxes(pdf)
            _print_in_black(pdf)
            if self.profile is not None:
                _intend(pdf, "/GTS_PDFX", self.profile)
                _mean_srgb(pdf)
            _identify(pdf)
        elif self.purpose.archived:
            _metadata(pdf).compress = False  # what reads an archive may know no compression
            # Loads numpy, which nothing else that the pages are set with needs.
            from .printprofile import PrintProfile  # noqa: PLC0415

            _intend(pdf, "/GTS_PDFA1", PrintProfile("sRGB", _screen_profile(), 3))
            _attach(pdf, self.sources, self.stamp, self.said.source)


def in_one_ink(style: str) -> str:
    """Return a style sheet with text and rules in greys, which black ink prints alone."""
    for warm, grey in _ONE_INK.items():
        style = style.replace(warm, grey)
    return style


def _set_boxes(pdf: Any) -> None:
    """Let the bleed end where pictures end: WeasyPrint lets it end among the crop marks."""
    bleed = BLEED * _POINT
    for number in pdf.pages["Kids"][::3]:
        page = pdf.objects[number]
        left, top, right, bottom = page["TrimBox"]
        page["BleedBox"] = pydyf.Array([left - bleed, top - bleed, right + bleed, bottom + bleed])


def _print_in_black(pdf: Any) -> None:
    """Set greys in black ink alone: small text in four inks blurs where these do not quite meet."""
    for stream in _streams(pdf):
        stream.stream[:] = [
            _GREY.sub(lambda match: match[1] + b" " + _BLACK[match[2]], each)
            if isinstance(each, bytes) and len(each) < 64
            else each
            for each in stream.stream
        ]


def _screen_profile() -> bytes:
    return files("weasyprint").joinpath("pdf", "sRGB2014.icc").read_bytes()


def _intend(pdf: Any, kind: str, profile: PrintProfile) -> None:
    """Name the device that the colours are meant for (ISO 32000-1, 14.11.5)."""
    stream = pydyf.Stream([profile.data], {"N": profile.channels}, compress=True)
    pdf.add_object(stream)
    intent = {
        "Type": "/OutputIntent",
        "S": kind,
        "OutputConditionIdentifier": pydyf.String(profile.name),
        "Info": pydyf.String(profile.name),
        "DestOutputProfile": stream.reference,
    }
    pdf.catalog["OutputIntents"] = pydyf.Array([pydyf.Dictionary(intent)])


def _mean_srgb(pdf: Any) -> None:
    """Say of all colours that they are sRGB, whatever they will be printed with."""
    srgb = pydyf.Stream([_screen_profile()], {"N": 3}, compress=True)
    pdf.add_object(srgb)
    default = pydyf.Array(["/ICCBased", srgb.reference])
    spaces = pydyf.Dictionary({"DefaultRGB": default})
    for resources in _resources(pdf):
        known = resources.get("ColorSpace")
        if known is None:
            resources["ColorSpace"] = spaces
        else:
            pdf.objects[int(known.split()[0])]["DefaultRGB"] = default


def _resources(pdf: Any) -> Iterator[Any]:
    """Return the resources of all pages and drawings."""
    for obj in pdf.objects:
        if isinstance(obj, dict) and "Font" in obj and "Type" not in obj:
            yield obj


def _identify(pdf: Any) -> None:
    """Let the name of the document follow its content; WeasyPrint 70 gives it one at random."""
    metadata = _metadata(pdf)
    digest = sha256()
    for obj in pdf.objects:
        if obj is metadata or obj.free == "f":
            continue
        digest.update(_plain(obj) if isinstance(obj, pydyf.Stream) else obj.data)
    name = f"xmp.did:{uuid5(NAMESPACE_OID, digest.hexdigest())}".encode()
    metadata.stream[:] = [_DOCUMENT_ID.sub(name, each) for each in metadata.stream]


def _plain(stream: Any) -> bytes:
    """Return what a stream holds, before compression."""
    return bytes(pydyf.Stream(stream.stream, stream.extra).data)


def _attach(pdf: Any, sources: tuple[Enclosed, ...], stamp: str, said: str) -> None:
    """Attach the sources (ISO 32000-1, 7.11.4; ISO 19005-3, 6.8)."""
    day = datetime.fromisoformat(stamp or NO_DATE)
    day = day if day.tzinfo else day.replace(tzinfo=UTC)
    when = pydyf.String(day.strftime("D:%Y%m%d%H%M%SZ"))
    names = Counter(each.path.rpartition("/")[2] for each in sources)
    entries = []
    for source in sources:
        plain = source.path.rpartition("/")[2]
        name = plain if names[plain] == 1 else source.path.replace("/", "-")
        checksum = md5(source.data, usedforsecurity=False).hexdigest()
        file = pydyf.Stream(
            [source.data],
            {
                "Type": "/EmbeddedFile",
                "Subtype": "/" + source.media.replace("/", "#2f"),
                "Params": pydyf.Dictionary(
                    {
                        "CheckSum": f"<{checksum}>",
                        "Size": len(source.data),
                        "CreationDate": when,
                        "ModDate": when,
                    }
                ),
            },
            compress=True,
        )
        pdf.add_object(file)
        entry = pydyf.Dictionary(
            {
                "Type": "/Filespec",
                "F": pydyf.String(name),
                "UF": pydyf.String(name),
                "EF": pydyf.Dictionary({"F": file.reference, "UF": file.reference}),
                "Desc": pydyf.String(said.format(source.path)),
                "AFRelationship": "/Source",
            }
        )
        pdf.add_object(entry)
        entries.append((name, entry))
    tree = pydyf.Array()
    for name, entry in sorted(entries, key=lambda each: each[0].encode()):
        tree.extend([pydyf.String(name), entry.reference])
    pdf.catalog.setdefault("Names", pydyf.Dictionary())["EmbeddedFiles"] = pydyf.Dictionary(
        {"Names": tree}
    )
    pdf.catalog["AF"] = pydyf.Array([entry.reference for _, entry in entries])


def _metadata(pdf: Any) -> Any:
    return pdf.objects[int(pdf.catalog["Metadata"].split()[0])]


def _streams(pdf: Any) -> Iterator[Any]:
    """Return the streams that draw: pages and what stands on them, but no images and fonts."""
    foreign = {"Length1", "BitsPerComponent", "N"}  # of fonts, images and colour profiles
    for obj in pdf.objects:
        if isinstance(obj, pydyf.Stream) and not obj.extra.keys() & foreign:
            yield obj
