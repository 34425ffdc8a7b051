"""The charts that lie in a folder, without leaving it."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

MOST_CHARTS = 1_000  # in a folder and below
MOST_ENTRIES = 100_000  # files and folders looked at
SUFFIX = ".linen"


class CannotList(Exception):
    """What is in a folder cannot be told; str() is a sentence for the user."""


@dataclass(frozen=True)
class Below:
    """What lies in a folder. charts: by path. links: those with the name of a chart."""

    charts: tuple[Path, ...]
    links: tuple[Path, ...]


def charts_below(folder: Path) -> Below:
    """Return all files called `*.linen` in a folder and its folders, in the order of their paths.

    Links are not followed, be it to files or folders; what is hidden (its name begins with a
    point) is left alone.

    Raises:
        CannotList: for too many files, or a folder that cannot be opened.
    """
    charts: list[Path] = []
    links: list[Path] = []
    waiting, seen = [folder], 0
    while waiting:
        try:
            with os.scandir(waiting.pop()) as entries:
                for entry in entries:
                    seen += 1
                    if seen > MOST_ENTRIES:
                        raise CannotList(
                            f"{folder} has more than {MOST_ENTRIES:,} files below it; name a "
                            "smaller folder."
                        )
                    if entry.name.startswith("."):
                        continue
                    if entry.is_dir(follow_symlinks=False):
                        waiting.append(Path(entry.path))
                    elif entry.name.lower().endswith(SUFFIX):
                        (links if entry.is_symlink() else charts).append(Path(entry.path))
        except OSError as reason:
            place = reason.filename or folder
            raise CannotList(
                f"The folder {place} cannot be opened: {(reason.strerror or str(reason)).lower()}."
            ) from reason
    if len(charts) > MOST_CHARTS:
        raise CannotList(
            f"{folder} has {len(charts):,} charts below it; at most {MOST_CHARTS:,} are taken at "
            "once. Name a smaller folder."
        )
    return Below(tuple(sorted(charts)), tuple(sorted(links)))
