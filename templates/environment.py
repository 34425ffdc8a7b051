"""The Jinja environment that fills in the templates.

Whatever a template prints is escaped; a name it does not know is a fault and raises.
"""

from __future__ import annotations

from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from . import text


def number(value: float, places: int = 3) -> str:
    """Return a number as short as it can be written with so many decimal places."""
    short = f"{value:.{places}f}"
    short = short.rstrip("0").rstrip(".") if "." in short else short
    return "0" if short == "-0" else short


def css_text(text: str) -> str:
    """Return a text for the inside of a CSS string, with all but plain letters escaped.

    CSS Syntax Module Level 3, 4.3.7: a backslash, the code point in hexadecimal, a blank.
    """
    plain = text.unescape() if isinstance(text, Markup) else text
    return "".join(
        char if char.isascii() and char.isalnum() else f"\\{ord(char):x} " for char in plain
    )


ENVIRONMENT = Environment(
    loader=FunctionLoader(text),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
    keep_trailing_newline=False,
    extensions=["jinja2.ext.i18n"],
)
ENVIRONMENT.install_null_translations(newstyle=True)  # type: ignore[attr-defined]
ENVIRONMENT.filters["number"] = number
ENVIRONMENT.filters["css_text"] = css_text


def render(name: str, /, **values: Any) -> str:
    """Return a template of this folder that has no fixed words filled in with values."""
    return ENVIRONMENT.get_template(name).render(values)
