"""The style of elements as such: a shorter sheet than WeasyPrint's, with the same pages."""

import shutil
from pathlib import Path

import pytest
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Options
from linenleaf.flow import follow
from linenleaf.pdf import renderer as pdf
from weasyprint import HTML

EXAMPLES = Path(__file__).resolve().parent.parent.parent / "examples"
# All that a story may hold.
STORY = """\
# A *tale* of **reeds**

One line\\
and the next, with `marks`, [a link](https://example.org) and ~~what was struck out~~.

> A verse,
>
> > and one in it.

1. first
   1. in the first
      - and a list
        - in a list
          - in a list
2. second

***

    stitches as they stand

```
and again
```

| sand | mud |
| --- | ---: |
| 1 | 2 |

## Heads

### of

#### all

##### kinds

###### there are
"""


@pytest.fixture(params=["first-wader", "flood-tide"])
def worked(request, tmp_path):
    place = Path(shutil.copytree(EXAMPLES / request.param, tmp_path / request.param))
    (place / "story.md").write_text(STORY, "utf-8")
    return follow(place / f"{request.param}.linen").worked


def test_it_is_the_style_that_all_of_html_has(worked, monkeypatch):
    ours, _ = bind(worked, Options())
    for name in ("_ua_stylesheets", "_ua_counter_style"):
        monkeypatch.setattr(pdf._Page, name, getattr(HTML, name))
    assert ours == bind(worked, Options())[0]
