"""The templates: all markup of a booklet, and the Jinja environment that fills it in.

Whatever a template prints is escaped; a name it does not know is a fault and raises.
"""

from __future__ import annotations

from importlib.resources import files
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined


def text(name: str) -> str:
    """Return the text of a file of this folder, by its path below it."""
    return files(__name__).joinpath(name).read_text("utf-8")


def number(value: float, places: int = 3) -> str:
    """Return a number as short as it can be written with so many decimal places."""
    short = f"{value:.{places}f}"
    short = short.rstrip("0").rstrip(".") if "." in short else short
    return "0" if short == "-0" else short


ENVIRONMENT = Environment(
    loader=FunctionLoader(text),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
    keep_trailing_newline=False,
)
ENVIRONMENT.filters["number"] = number


def render(name: str, /, **values: Any) -> str:
    """Return a template of this folder filled in with values."""
    return ENVIRONMENT.get_template(name).render(values)
