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


def _asked(markup: str, apart: Apart) -> dict[str, int]:
    """Return the anchors whose pages are told: on which of the pages each is, from 0."""
    return {name: apart.places[name] for name in _LINK.findall(markup) if name in apart.places}


def counting(markup: str, apart: Apart) -> str:
    """Return a style by which the renderer finds the numbers, where all pages are laid out."""
    asked = _asked(markup, apart)
    counters = sorted(set(asked.values()))
    each = "".join(f" folio-{place} 1" for place in counters)
    skip = "".join(f" folio-{place} {place + 1}" for place in counters)
    pages = f"@page {{ counter-increment: page 1{each} }}\n"
    pages += f"@page {apart.page} {{ counter-increment: page {apart.pages}{skip} }}\n"
    return pages + _rules(
        {name: f"target-counter(attr(href), folio-{place})" for name, place in asked.items()}
    )


def stating(markup: str, apart: Apart, first: int) -> str:
    """Return a style that states the numbers; first: of the first of the pages."""
    asked = _asked(markup, apart)
    return _rules({name: f'"{first + place}"' for name, place in asked.items()})


def _rules(contents: Mapping[str, str]) -> str:
    return "".join(
        f'.folio[href="#{name}"]::before {{ content: {content} }}\n'
        for name, content in contents.items()
    )
