"""Fills in templates in the language of a booklet."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, partial

from jinja2 import Environment
from linenleaf.templates.environment import ENVIRONMENT
from markupsafe import Markup, escape

from . import trade
from .wording import Wording, wording

_MOST = 8  # languages kept at hand


def fill(language: str, name: str, /, **values: object) -> str:
    """Return a template filled in; language: the tag of its fixed words, figures and dates."""
    return environment(language).get_template(name).render(values)


@lru_cache(_MOST)
def environment(language: str) -> Environment:
    """Return what fills in templates in a language.

    A translation is text like any other: what is markup in it is escaped, and so is what is
    filled into it.
    """
    words = wording(language)
    made = ENVIRONMENT.overlay()
    made.filters = {**ENVIRONMENT.filters, **words.filters(), **_trade(words)}
    said = partial(_gettext, words)
    made.globals = {
        **ENVIRONMENT.globals,
        "_": said,
        "gettext": said,
        "ngettext": partial(_ngettext, words),
        "pgettext": partial(_pgettext, words),
        "wording": words,
    }
    return made


def _gettext(words: Wording, message: str, /, **values: object) -> Markup:
    return escape(words.message(message)) % values


def _ngettext(
    words: Wording, singular: str, plural: str, number: int, /, **values: object
) -> Markup:
    return escape(words.messages(singular, plural, number)) % {"num": number, **values}


def _pgettext(words: Wording, context: str, message: str, /, **values: object) -> Markup:
    return escape(words.message(message, context)) % values


def _trade(words: Wording) -> dict[str, Callable[..., str]]:
    return {
        "stitch": partial(trade.stitch, words),
        "stitch_name": partial(trade.stitch_name, words),
        "fabric": partial(trade.fabric, words),
        "number_word": partial(trade.number_word, words),
        "put_up": partial(trade.put_up, words),
        "sold_as": partial(trade.sold_as, words),
        "thread_kind": partial(trade.thread_kind, words),
        "thread_way": partial(trade.thread_way, words),
        "opening": trade.opening,
    }
