"""The style sheets that are the same for every booklet, found without loading the templates.

Their package loads what fills them in, for which the process that sets the pages has no need.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path


def stylesheet(name: str) -> str:
    """Return the text of a style sheet of the templates.

    Raises:
        OSError: when it is not there.
    """
    spec = find_spec("linenleaf.templates")
    places = None if spec is None else spec.submodule_search_locations
    if not places:
        raise FileNotFoundError(name)
    return (Path(places[0]) / name).read_text("utf-8")
