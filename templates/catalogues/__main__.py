"""Bring the catalogues up to date with the templates and modules: `python -m` and this package.

With a language (`python -m linenleaf.templates.catalogues da`) a new catalogue is begun.
"""

from __future__ import annotations

import sys
from pathlib import Path

from .gathering import brought_up_to_date, gathered

HERE = Path(__file__).resolve().parent


def main(languages: list[str]) -> None:
    """Rewrite all catalogues, and begin those of languages that have none."""
    found = gathered()
    names = {each.stem for each in HERE.glob("*.po")} | set(languages)
    for language in sorted(names):
        place = HERE / f"{language}.po"
        written = place.read_bytes() if place.exists() else b""
        text, missing = brought_up_to_date(language, written, found)
        place.write_bytes(text)
        print(f"{place.name}: {len(found)} messages, {missing} without a translation")


if __name__ == "__main__":
    main(sys.argv[1:])
