"""What setuptools has to be told beyond pyproject.toml: it calls these two commands itself."""

from __future__ import annotations

import re
from pathlib import Path

from setuptools.command.egg_info import egg_info
from setuptools.command.sdist import sdist

# What the tests, the checks and the demos need beside the package.
FOLDERS = ("tests", "examples", ".ci")
FILES = ("DEVELOPERS.md", ".requirements.lock", ".gitignore")
MADE = ("*.py[cod]", "examples/*/*.pdf", "tests/output/*")  # by running, as .gitignore tells

PICTURE = re.compile(r"!\[([^\]]+)\]\((?![a-z]+:)([^)\s]+)\)")
LINK = re.compile(r"\[([^\]]+)\]\((?![a-z]+:|#)([^)\s]+)\)")
WHERE = """
Files named here are in the source distribution. Those in `grammar/` are installed with linenleaf;
the end of `linenleaf --help` tells where.
"""


def for_an_index(readme: str) -> str:
    """Return the README for a page that has none of our files beside it.

    A link to a file becomes its words and the name of the file, and so does a picture.
    """

    def named(link: re.Match[str]) -> str:
        words, file = link.groups()
        return f"`{file}`" if words == file else f"{words} (`{file}`)"

    return LINK.sub(named, PICTURE.sub(r"[\1](\2)", readme)).rstrip() + "\n" + WHERE


class Metadata(egg_info):
    """The metadata, with a description that holds no link into this folder."""

    def run(self) -> None:
        """Write the metadata."""
        readme = Path("README.md").read_text("utf-8")
        self.distribution.metadata.long_description = for_an_index(readme)
        super().run()


class Sources(sdist):
    """The source distribution, whole: with tests, demos and what they need."""

    def make_distribution(self) -> None:
        """Write the archive."""
        for folder in FOLDERS:
            self.filelist.graft(folder)
        self.filelist.extend(FILES)
        for pattern in MADE:
            self.filelist.global_exclude(pattern)
            self.filelist.exclude(pattern)
        super().make_distribution()
