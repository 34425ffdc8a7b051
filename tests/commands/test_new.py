"""The first chart: sound as it is, and never written over anything."""

from datetime import date

import pytest
from linenleaf.commands.new import start
from linenleaf.core.output import CannotWrite
from linenleaf.flow import follow

DAY = date(2026, 3, 14)


def test_the_first_chart_has_no_findings(tmp_path):
    written = start(tmp_path / "reed-border", DAY)
    flow = follow(written[0])
    assert flow.findings == ()
    assert flow.worked is not None
    assert flow.worked.design.booklet.title == "Reed border"
    assert flow.worked.design.booklet.day == DAY


@pytest.mark.parametrize("name", ['Quote" and \\ slash', "two words", "ß ü", "...", "#1"])
def test_any_folder_name_gives_a_sound_chart(tmp_path, name):
    written = start(tmp_path / name, DAY)
    assert follow(written[0]).findings == ()


def test_nothing_is_written_over(tmp_path):
    start(tmp_path, DAY)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    with pytest.raises(CannotWrite, match="already there"):
        start(tmp_path, date(2026, 4, 1))
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before
