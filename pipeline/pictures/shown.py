"""The pictures of the stock in the reference: `python -m linenleaf.pictures.shown`.

Each is drawn from a chart of `grammar/shown`, and says in a remark of the JPEG (marker COM) what it
was drawn from, so that a test can tell whether that has changed since.
"""

from __future__ import annotations

import io
from hashlib import sha256
from pathlib import Path

from ..cloth.cloth import paint
from ..compose.compose import compose
from ..compose.worked import WorkedChart
from ..grammar import SHOWN, STOCK
from ..resolve.read import read

WIDTH = 1000  # pixels


def drawn_from(worked: WorkedChart) -> str:
    """Return the checksum of the source of a chart and of what it uses of the stock."""
    design = worked.design
    used = [STOCK / name / f"{version}.linen" for name, version in design.stock]
    texts = (design.source.text.encode(), *(file.read_bytes() for file in used))
    return sha256(b"".join(texts)).hexdigest()


def opened(chart: Path) -> WorkedChart:
    """Return a chart of ours, which is sound."""
    design, findings = read(chart)
    assert design is not None, findings
    worked, findings = compose(design)
    assert worked is not None, findings
    return worked


def draw(worked: WorkedChart) -> bytes:
    """Return the picture of a chart as a JPEG file."""
    file = io.BytesIO()
    image = paint(worked, width=WIDTH).convert("RGB")
    image.save(file, "JPEG", quality=75, optimize=True, comment=drawn_from(worked))
    return file.getvalue()


if __name__ == "__main__":
    for path in SHOWN.glob("*.linen"):
        path.with_suffix(".jpg").write_bytes(draw(opened(path)))
