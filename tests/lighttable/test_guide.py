"""The guide on photographs: its pictures are current, and what it shows is read."""

from __future__ import annotations

import re
from pathlib import Path

from linenleaf.core.source import Source
from linenleaf.importing.statement import laid
from linenleaf.syntax.parse import parse
from PIL import Image

from tests.guide_photographs import FOLDER, NAMES, drawn_from

GUIDE = FOLDER.parent / "photographs.md"


def test_its_pictures_are_current_and_small():
    page = GUIDE.read_text("utf-8")
    assert {path.stem for path in FOLDER.iterdir()} == set(NAMES)
    for name in NAMES:
        path = FOLDER / f"{name}.jpg"
        with Image.open(path) as picture:
            assert picture.info["comment"] == drawn_from().encode(), (
                "draw anew: python -m tests.manual_pictures"
            )
        assert path.stat().st_size < 256 * 1024
        assert f"(photographs/{name}.jpg)" in page


def test_its_chart_is_read_and_its_links_lead_somewhere():
    page = GUIDE.read_text("utf-8")
    [chart] = re.findall(r"^```linen\n(.*?)^```", page, re.M | re.S)
    source = Source("old-letters.linen", chart)
    assert parse(source)[1] == ()
    [there] = laid(source)
    assert (there.shows, len(there.corners), len(there.landmarks)) == ("chart", 4, 1)
    for link, part in re.findall(r"\]\(([^)#]*)#?([^)]*)\)", page):
        target: Path = GUIDE.parent / link if link else GUIDE
        assert target.exists(), link
        if part:
            headings = re.findall(r"^#+ (.*)$", target.read_text("utf-8"), re.M)
            slugs = {re.sub(r"[^\w -]", "", each.lower()).replace(" ", "-") for each in headings}
            assert part in slugs, part
