"""The words of a language and how it writes figures and dates, from its catalogue and from CLDR.

The catalogues are gettext's (`templates/catalogues/*.po`), read by Babel, which also has the data
of the Unicode CLDR. What is read once is kept for the next run. English needs neither: its words
stand in the templates.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cache
from importlib.resources import files
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from zlib import crc32

from ..core import cache as kept

SOURCE = "en"  # the language of the templates
_ENDING = ".po"


@dataclass(frozen=True)
class Catalogue:
    """What is known of a language.

    messages: by the English words (see `entry`), those of the language, one for each form of
    number. plural: the C expression of gettext that tells the form for a number `n`. decimal,
    group: marks in figures. day: a pattern for Python's `%` with `d`, `MMMM` and `y`. months:
    their names in it.
    """

    messages: Mapping[str, tuple[str, ...]]
    plural: str
    decimal: str
    group: str
    day: str
    months: tuple[str, ...]


def entry(message: str, context: str) -> str:
    """Return under which name a message stands in a catalogue."""
    return f"{context}\x04{message}" if context else message  # as in gettext's own files


def language_of(tag: str) -> str:
    """Return the language of a tag: `de` of `de-AT` (RFC 5646)."""
    return tag.partition("-")[0].lower()


@cache
def offered() -> tuple[str, ...]:
    """Return the languages that a booklet can speak: English, then the others by their letters."""
    names = (each.name for each in _folder().iterdir())
    languages = sorted(each.removesuffix(_ENDING) for each in names if each.endswith(_ENDING))
    return SOURCE, *languages


def speaks(tag: str) -> bool:
    """Return whether the fixed words of a booklet are there in the language of a tag."""
    return language_of(tag) == SOURCE or language_of(tag) in offered()


@cache
def catalogue(tag: str) -> Catalogue | None:
    """Return what is known of the language of a tag; None for English and where nothing is."""
    language = language_of(tag)
    if language == SOURCE or language not in offered():
        return None
    written = (_folder() / f"{language}{_ENDING}").read_bytes()
    name, origin = f"words-{tag.lower()}"[:40], f"{_reader()} {crc32(written)}"
    data = kept.get(name, origin)
    if data is not None:
        return _opened(data)
    made = read(tag, written)
    kept.put(name, origin, json.dumps(asdict(made)).encode())
    return made


def read(tag: str, written: bytes) -> Catalogue:
    """Return the catalogue that stands in a .po file, with the marks of a language or region."""
    from babel import Locale, UnknownLocaleError  # noqa: PLC0415 - takes its time
    from babel.messages.pofile import read_po  # noqa: PLC0415

    try:
        locale = Locale.parse(tag, sep="-")
    except (UnknownLocaleError, ValueError):
        locale = Locale.parse(language_of(tag))
    entries = read_po(BytesIO(written), locale=language_of(tag))
    messages: dict[str, tuple[str, ...]] = {}
    for each in entries:
        # Of a message with forms for numbers, the id and the string are tuples of them.
        said, forms = (
            (part,) if isinstance(part, str) else tuple(part or ())
            for part in (each.id, each.string)
        )
        if said[0] and not each.fuzzy and forms and all(forms):
            messages[entry(said[0], each.context or "")] = forms
    symbols = locale.number_symbols["latn"]
    return Catalogue(
        messages,
        entries.plural_expr,
        symbols["decimal"],
        # The serif face has no narrow blank; it has the other one that does not break a line.
        symbols["group"].replace("\u202f", "\u00a0"),
        locale.date_formats["long"].format,
        tuple(locale.months["format"]["wide"][each] for each in range(1, 13)),
    )


def _folder() -> Path:
    return Path(str(files("linenleaf.templates"))) / "catalogues"


def _reader() -> str:
    """Return which Babel reads the catalogues; another one may have other data."""
    reader = find_spec("babel")
    if reader is None or reader.origin is None:
        return ""
    seen = Path(reader.origin).stat()
    return f"{reader.origin} {seen.st_mtime_ns} {seen.st_size}"


def _opened(text: bytes) -> Catalogue:
    plain = json.loads(text)
    messages = {said: tuple(forms) for said, forms in plain["messages"].items()}
    return Catalogue(
        messages,
        plain["plural"],
        plain["decimal"],
        plain["group"],
        plain["day"],
        tuple(plain["months"]),
    )
