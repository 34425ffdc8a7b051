"""The messages of all templates and modules, gathered once."""

from __future__ import annotations

import pytest
from babel.messages.catalog import Catalog
from linenleaf.templates.catalogues.gathering import gathered


@pytest.fixture(scope="session")
def messages() -> Catalog:
    """Every message that a booklet speaks, in English; never changed."""
    return gathered()
