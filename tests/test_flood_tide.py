"""The full-cover example: its script makes it again, and it is calm to stitch."""

import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest
from linenleaf.compose.compose import compose
from linenleaf.core.diagnostics import has_errors
from linenleaf.resolve.read import read

FOLDER = Path(__file__).resolve().parent.parent / "examples" / "flood-tide"


@pytest.fixture(scope="module")
def script():
    sys.path.insert(0, str(FOLDER))
    try:
        spec = importlib.util.spec_from_file_location("make_chart", FOLDER / "make_chart.py")
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        yield module
    finally:
        sys.path.remove(str(FOLDER))


@pytest.fixture(scope="module")
def worked():
    design, findings = read(FOLDER / "flood-tide.linen")
    assert design is not None, findings
    chart, more = compose(design)
    assert chart is not None, more
    assert not has_errors((*findings, *more))
    return chart


def test_the_script_makes_the_chart_that_is_kept(script):
    kept = (FOLDER / "flood-tide.linen").read_text("utf-8")
    assert script.make(*script.SIZE, script.THREADS, script.SEED) == kept


def test_every_cross_is_worked_and_the_key_runs_from_light_to_dark(script, worked):
    assert (worked.width, worked.height) == script.SIZE
    assert worked.grid.all()
    crosses = [entry for entry in worked.design.key if entry.is_cell]
    assert 28 <= len(crosses) <= 36
    colours = [entry.parts[0].needle[0].thread.colour for entry in crosses]
    light = script.lab(np.array([script.rgb(each) for each in colours]))[:, 0]
    assert (np.diff(light) <= 0).all()
    assert np.bincount(worked.grid.ravel())[1:].min() >= 20


def test_few_crosses_stand_alone(worked):
    grid = np.pad(worked.grid, 1)
    height, width = worked.grid.shape
    like = sum(
        (grid[1 + dy : 1 + dy + height, 1 + dx : 1 + dx + width] == worked.grid).astype(int)
        for dy in (-1, 0, 1)
        for dx in (-1, 0, 1)
        if dx or dy
    )
    assert (like == 0).mean() < 0.015


@pytest.mark.parametrize(("size", "threads"), [((60, 50), 12), ((60, 80), 30), ((40, 20), 5)])
def test_other_sizes_and_numbers_of_threads(script, tmp_path, size, threads):
    (tmp_path / "shore.csv").write_bytes((FOLDER / "shore.csv").read_bytes())
    (tmp_path / "story.md").write_bytes((FOLDER / "story.md").read_bytes())
    path = tmp_path / "other.linen"
    path.write_text(script.make(*size, threads, 3), encoding="utf-8")
    design, findings = read(path)
    assert design is not None, findings
    chart, more = compose(design)
    assert chart is not None, more
    assert (chart.width, chart.height) == size
    assert len([entry for entry in design.key if entry.is_cell]) <= threads


def test_the_story_is_as_long_as_a_page_holds():
    assert 150 <= len((FOLDER / "story.md").read_text("utf-8").split()) <= 300
