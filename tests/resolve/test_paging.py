"""What a chart says of its pages."""

from __future__ import annotations

import pytest
from linenleaf.core.paging import Axis, Break, Orientation, Paging
from linenleaf.resolve.read import read

CHART = """linen 2
booklet "Pages"
fabric linen 28 over 2
key
  m  #a03a3a "madder"
chart 3 x 3
  |mmm|
  |mmm|
  |mmm|
"""


def said(folder, *lines):
    path = folder / "pages.linen"
    path.write_text("\n".join([CHART + "pages", *(f"  {each}" for each in lines), ""]))
    design, findings = read(path)
    return design, [
        (each.name, each.span.source.text[each.span.start : each.span.end]) for each in findings
    ]


def test_all_that_can_be_said(tmp_path):
    design, findings = said(
        tmp_path,
        "orientation landscape",
        "overlap 0",
        "break before row 3",
        "break before column 2",
    )
    assert findings == []
    breaks = Break(Axis.ROW, 3), Break(Axis.COLUMN, 2)
    assert design.paging == Paging(Orientation.LANDSCAPE, 0, breaks)


@pytest.mark.parametrize(
    ("lines", "name", "at"),
    [
        (("overlap 2", "overlap 3"), "repeated-line", "overlap 3"),
        (("overlap 21",), "absurd-number", "21"),
        (("break before row 0",), "absurd-number", "0"),
        (("break before row 1.5",), "not-whole", "1.5"),
        (("break before row 2",) * 41, "too-many-of-a-kind", "break before row 2"),
    ],
)
def test_what_cannot_be_is_told_at_its_place(tmp_path, lines, name, at):
    design, findings = said(tmp_path, *lines)
    assert design is None
    assert findings == [(name, at)]


def test_nothing_said_is_nothing_wished_for(tmp_path):
    assert said(tmp_path)[0].paging == Paging()
