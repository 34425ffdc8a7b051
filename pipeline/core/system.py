"""Libraries of the system that Python packages need: what to say where one is missing."""

from __future__ import annotations

INSTALL = "On Debian or Ubuntu: sudo apt-get install"
PAGES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
SUBSETTER = "libharfbuzz-subset0"
PIXELS = "libcairo2"


class MissingLibrary(Exception):
    """A library of the system is not installed; str() says which and what to do.

    what: what cannot be done without it. packages: of Debian, that hold it.
    """

    def __init__(self, what: str, packages: str) -> None:
        super().__init__(f"{what} {INSTALL} {packages}")
        self.what, self.packages = what, packages

    def __reduce__(self) -> tuple[type[MissingLibrary], tuple[str, str]]:
        """Let it be sent from one process to another."""
        return type(self), (self.what, self.packages)
