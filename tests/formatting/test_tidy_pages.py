"""What the pages about tidying and bringing in show is what the commands do."""

from __future__ import annotations

import re
from pathlib import Path

from click.testing import CliRunner
from linenleaf.cli import main
from linenleaf.commands.bring import MOST
from linenleaf.core.source import Source
from linenleaf.formatting.rulers import Rulers
from linenleaf.formatting.tidy import tidy

HOUSE = Path(__file__).resolve().parent.parent.parent
TIDY = (HOUSE / "grammar" / "tidy.md").read_text("utf-8")
BRING = (HOUSE / "grammar" / "bring.md").read_text("utf-8")


def pieces(page: str, kind: str) -> list[str]:
    return re.findall(rf"^```{kind}\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)


def test_the_untidy_example_becomes_the_tidy_one():
    (untidy,), (tidied, ruled) = pieces(TIDY, "linen untidy"), pieces(TIDY, "linen tidy")
    assert tidy(Source("", untidy))[0] == tidied
    assert tidy(Source("", tidied))[0] == tidied
    assert tidy(Source("", ruled), Rulers.ADDED)[0] == ruled
    assert tidy(Source("", ruled), Rulers.NONE)[0] != ruled


def test_the_sheet_becomes_the_chart_shown(tmp_path):
    (sheet,), (threads,), (chart,) = (pieces(BRING, kind) for kind in ("csv", "csv range", "linen"))
    (tmp_path / "tern.csv").write_text(sheet, "utf-8")
    (tmp_path / "estuary.csv").write_text(threads, "utf-8")
    words = ["bring", str(tmp_path / "tern.csv"), "--range", str(tmp_path / "estuary.csv")]
    ran = CliRunner().invoke(main, [*words, "--means", "x=512"])
    assert ran.exit_code == 0, ran.output
    assert (tmp_path / "tern.linen").read_text("utf-8") == chart


def test_the_pages_name_every_option_and_limit():
    for name, page in (("tidy", TIDY), ("bring", BRING)):
        for option in main.get_command(None, name).params:
            for word in (*option.opts, *option.secondary_opts):
                if word.startswith("--") and word not in ("--help", "--output"):
                    assert word in page, word
    assert f"more than {MOST}\ncolours" in BRING
