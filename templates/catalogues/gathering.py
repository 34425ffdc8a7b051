"""Gathers the fixed words of booklets from templates and modules, and updates catalogues.

Only who changes words needs this, and the tests; booklets are built without it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from typing import Any

from babel.messages import Catalog
from babel.messages.extract import extract
from babel.messages.pofile import read_po, write_po
from linenleaf.grammar import shipped_stitches

# Spoken by the program itself, in English.
_OTHERS = ("watch", "new/")
_KEYWORDS: dict[str, Any] = {
    "_": None,
    "gettext": None,
    "ngettext": (1, 2),
    "pgettext": ((1, "c"), 2),
}
_MESSAGES: dict[str, Any] = {**_KEYWORDS, "message": None, "to_say": None, "to_count": (1, 2)}
_JINJA = {"newstyle_gettext": "true", "silent": "false", "trim_blocks": "true"}
_WIDTH = 100
_TITLE = re.compile(r'^stitch \S+ "(.*?)"', re.MULTILINE)  # of a stitch of the shipped file


def gathered() -> Catalog:
    """Return all messages, in English, with the files that they stand in."""
    found = Catalog(charset="utf-8")
    for place, message, notes, context in _messages():
        found.add(
            message,
            locations=[(place, None)],  # type: ignore[list-item]
            auto_comments=notes,
            context=context,
        )
    return found


def _messages() -> Iterator[tuple[str, Any, list[str], str | None]]:
    templates = Path(str(files("linenleaf.templates")))
    for path in sorted(templates.rglob("*.j2")):
        name = path.relative_to(templates).as_posix()
        if not name.startswith(_OTHERS):
            for _, message, notes, context in _read(path, "jinja2.ext:babel_extract", _JINJA):
                yield f"templates/{name}", message, notes, context
    for title in _TITLE.findall(shipped_stitches()):
        yield "grammar/stitches.linen", title, [], None
    modules = Path(str(files("linenleaf")))
    for path in sorted(modules.rglob("*.py")):
        name = path.relative_to(modules).as_posix()
        if not name.startswith(("templates/", "grammar/")):
            for _, message, notes, context in _read(path, "python", {}):
                yield f"pipeline/{name}", message, notes, context


def _read(path: Path, method: str, options: dict[str, str]) -> Iterator[Any]:
    keywords = _MESSAGES if method == "python" else _KEYWORDS
    with path.open("rb") as opened:
        yield from extract(method, opened, keywords, ("Translators:",), options)


def brought_up_to_date(language: str, written: bytes, found: Catalog) -> tuple[bytes, int]:
    """Return the .po file of a language with the messages found, and how many want translating.

    written: the file as it was; what it says of messages that are still there is kept.
    """
    known = read_po(BytesIO(written), locale=language) if written else Catalog(locale=language)
    header = known.header_comment if written else "# Words of linenleaf booklets."
    fresh = Catalog(locale=language, header_comment=header, charset="utf-8", fuzzy=False)
    if written:
        # Its forms for numbers stay, whatever another Babel knows of the language.
        fresh.mime_headers = [("Plural-Forms", known.plural_forms)]
    missing = 0
    for each in sorted(found, key=_order):
        if not each.id:
            continue
        kept = known.get(each.id, each.context)
        string = kept.string if kept is not None and not kept.fuzzy else ""
        missing += not (all(string) if isinstance(string, tuple) else string)
        places = sorted({(place, None) for place, _ in each.locations})
        fresh.add(
            each.id,
            string or None,
            places,  # type: ignore[arg-type]
            auto_comments=each.auto_comments,
            context=each.context,
        )
    into = BytesIO()
    write_po(into, fresh, width=_WIDTH, omit_header=True, include_lineno=False)
    head = f'{header}\nmsgid ""\nmsgstr ""\n'
    fields = {
        "Language": language,
        "Plural-Forms": fresh.plural_forms,
        "MIME-Version": "1.0",
        "Content-Type": "text/plain; charset=utf-8",
        "Content-Transfer-Encoding": "8bit",
    }
    head += "".join(f'"{name}: {value}\\n"\n' for name, value in fields.items())
    return head.encode() + b"\n" + into.getvalue(), missing


def _order(message: Any) -> tuple[str, str]:
    """By file, and there by words, so that a moved line moves nothing here."""
    first = min((place for place, _ in message.locations), default="")
    return first, message.id[0] if message.pluralizable else message.id
