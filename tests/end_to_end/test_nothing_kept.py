"""Each command on a computer that has never run one: nothing is kept from an earlier run.

Those that make a PDF are run so in `test_nothing_left.py`.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

WADER = Path(__file__).resolve().parents[2] / "examples/first-wader"


@pytest.mark.parametrize(
    "words",
    [
        ["picture", "first-wader.linen", "--of", "key", "-o", "{out}.png"],
        ["picture", "first-wader.linen", "--of", "chart", "-o", "{out}.svg"],
        ["picture", "first-wader.linen", "--of", "piece", "-o", "{out}.png"],
        ["diff", "first-wader.linen", "{other}", "-o", "{out}.svg"],
    ],
    ids=" ".join,
)
def test_it_makes_what_it_says(words, tmp_path):
    other = tmp_path / "other.linen"
    text = (WADER / "first-wader.linen").read_text("utf-8")
    other.write_text(text.replace("|.....tttt", "|......ttt"), "utf-8")
    for beside in WADER.iterdir():
        if beside.suffix in {".csv", ".md"}:
            (tmp_path / beside.name).write_bytes(beside.read_bytes())
    filled = [each.format(out=tmp_path / "out", other=other) for each in words]
    done = subprocess.run(
        [sys.executable, "-m", "linenleaf", *filled],
        cwd=WADER,
        env={**os.environ, "XDG_CACHE_HOME": str(tmp_path / "cache")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert "Traceback" not in done.stderr
    assert done.returncode == 0, done.stderr
    assert Path(filled[-1]).stat().st_size > 500
