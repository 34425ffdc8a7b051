"""Memory that is too small: a sentence and status 2, never a traceback."""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path

import pytest

MIB = 1024 * 1024
EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
BANDS = EXAMPLES / "saltmarsh-bands/saltmarsh-bands.linen"
WADER = EXAMPLES / "first-wader/first-wader.linen"
SHORT = (
    "linenleaf: There is not enough memory for this. Close other programs, or divide the work "
    "into smaller charts.\n"
)
NOISE = 'linen 1\nfabric aida 14\nkey\n  m #3f4a2c "wrack"\nchart 2000 x 1000\n'


def run(*words: str | Path, memory: int, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Carry out a command with so many MiB of address space for each of its processes."""
    return subprocess.run(
        [sys.executable, "-m", "linenleaf", *map(str, words)],
        cwd=cwd,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (memory * MIB,) * 2),
    )


@pytest.mark.parametrize("memory", [100, 200, 265])
def test_too_little_memory_to_begin_with(memory: int, tmp_path: Path) -> None:
    ended = run("check", WADER, memory=memory, cwd=tmp_path)
    assert (ended.returncode, ended.stderr) == (2, SHORT)


def test_a_chart_that_does_not_fit(tmp_path: Path) -> None:
    chart = tmp_path / "wide.linen"
    chart.write_text(NOISE + ("|" + "m." * 1000 + "|\n") * 1000)
    ended = run("check", chart, memory=290, cwd=tmp_path)
    assert (ended.returncode, ended.stderr) == (2, SHORT)


def test_a_booklet_that_does_not_fit(tmp_path: Path) -> None:
    ended = run("build", BANDS, "-o", "a.pdf", memory=290, cwd=tmp_path)
    assert (ended.returncode, ended.stderr) == (2, SHORT)
    assert not list(tmp_path.iterdir())
