"""Numbers of pages that a finisher puts in the place of one, told in the text of other pages.

A link with the class `folio` to an anchor of theirs shows the number of the page on which this
will be. Until they are there, all their anchors stand on one page (see `document.Apart`): so there
is a counter for each of the later places, every page counts in all of them, and the page that is
replaced counts as many steps as lead to that place.

Counters of pages and target-counter(): CSS Generated Content for Paged Media (W3C draft of 2014).
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from .document import Apart

_LINK = re.compile(r'class="folio" href="#([^"]*)"')


def _asked(markup: str, apart: Apart) -> dict[str, int | None]:
    """Return the anchors whose pages are told: on which of the later pages each is, from 0.

    None for those that are laid out like any other.
    """
    return {name: apart.places.get(name) for name in _LINK.findall(markup)}


def counting(markup: str, apart: Apart) -> str:
    """Return a style by which the renderer finds the numbers, where all pages are laid out."""
    asked = _asked(markup, apart)
    counters = sorted({place for place in asked.values() if place is not None})
    each = "".join(f" folio-{place} 1" for place in counters)
    skip = "".join(f" folio-{place} {place + 1}" for place in counters)
    pages = f"@page {{ counter-increment: page 1{each} }}\n"
    pages += f"@page {apart.page} {{ counter-increment: page {apart.pages}{skip} }}\n"
    counter: dict[int | None, str] = {
        None: "page",
        **{place: f"folio-{place}" for place in counters},
    }
    return pages + _rules(
        {name: f"target-counter(attr(href), {counter[place]})" for name, place in asked.items()}
    )


def stating(markup: str, apart: Apart, first: int, known: Mapping[str, int]) -> str:
    """Return a style that states the numbers.

    first: that of the first of the later pages. known: of the pages of other anchors.
    """
    asked = _asked(markup, apart)
    return _rules(
        {
            name: f'"{known.get(name, 0) if place is None else first + place}"'
            for name, place in asked.items()
        }
    )


def _rules(contents: Mapping[str, str]) -> str:
    return "".join(
        f'.folio[href="#{name}"]::before {{ content: {content} }}\n'
        for name, content in contents.items()
    )
