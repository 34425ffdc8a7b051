"""How linenleaf came to this machine, and what to type because of it."""

from __future__ import annotations

import importlib.metadata
import importlib.util
import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Mapping
from pathlib import Path

PROGRAM = "linenleaf"
_PACKAGE = Path(__file__).resolve().parent.parent
# Left by the installers in the environments that they make, each in its own way.
UV_RECEIPT = "uv-receipt.toml"
PIPX_RECEIPT = "pipx_metadata.json"
# Tells git once how charts differ. A driver that is missing or fails would end `git diff` of every
# other file too, so lines are shown then, and git always hears that all is well.
_DRIVER = (
    'f() { linenleaf diff --git "$@" || git diff --no-index --no-ext-diff -- "$2" "$5"; true; }; f'
)
GIT_SETTING = f"git config --global diff.linenleaf.command '{_DRIVER}'"


def to_paste(*words: str) -> str:
    """Return words as one line for the shell, whatever blanks and signs stand in them."""
    return subprocess.list2cmdline(words) if os.name == "nt" else shlex.join(words)


def as_started(*words: str) -> str:
    """Return a line for the shell that starts linenleaf in the way in which it was started now.

    That is by its bare name wherever the shell finds it.
    """
    if shutil.which(PROGRAM) is None:
        started = Path(sys.argv[0])  # with -m it is the whole path of the module
        if started.resolve() == _PACKAGE / "__main__.py":
            return to_paste(sys.executable, "-m", PROGRAM, *words)
        if started.stem == PROGRAM:
            return to_paste(sys.argv[0], *words)
    return to_paste(PROGRAM, *words)


def to_add(extra: str, environment: Path = Path(sys.prefix)) -> str:
    """Return a line for the shell that adds what an extra asks for to where linenleaf runs.

    extra: a name under optional-dependencies. environment: the folder that Python runs in.
    """
    wanted = _asked_for(extra)
    if (environment / UV_RECEIPT).is_file():
        tool = tomllib.loads((environment / UV_RECEIPT).read_text("utf-8"))["tool"]
        own, *others = sorted(tool["requirements"], key=lambda each: each["name"] != PROGRAM)
        added = [f"--with={each}" for each in (*(_as_given(other) for other in others), *wanted)]
        editable = ("--editable",) if "editable" in own else ()
        return to_paste("uv", "tool", "install", *added, *editable, _as_given(own))
    if (environment / PIPX_RECEIPT).is_file():
        return to_paste("pipx", "inject", environment.name, *wanted)
    if importlib.util.find_spec("pip") is None:
        return to_paste("uv", "pip", "install", "--python", sys.executable, *wanted)
    return to_paste(sys.executable, "-m", "pip", "install", *wanted)


def _asked_for(extra: str) -> tuple[str, ...]:
    """Return the requirements of an extra, as what is installed says of itself."""
    asked = importlib.metadata.requires(PROGRAM) or ()
    parts = (each.partition(";") for each in asked)
    return tuple(
        name.strip() for name, _, when in parts if re.search(rf"extra == .{extra}\b", when)
    )


def _as_given(requirement: Mapping[str, str]) -> str:
    """Return one requirement of uv's receipt as it can be given to uv again."""
    for place in ("editable", "directory", "path", "url"):
        if place in requirement:
            return requirement[place]
    if "git" in requirement:
        return f"git+{requirement['git']}"
    return requirement["name"] + requirement.get("specifier", "")
