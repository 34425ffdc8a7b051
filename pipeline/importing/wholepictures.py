"""Pictures are read whole or refused."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from PIL import ImageFile


@contextmanager
def whole_pictures() -> Iterator[None]:
    """Refuse pictures that are cut off, even where another library lets Pillow fill them up."""
    was = ImageFile.LOAD_TRUNCATED_IMAGES
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = was
