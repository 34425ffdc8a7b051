"""Whatever stands in a file, reading gives findings with places, never an exception.

`LINENLEAF_FUZZ=20000 pytest tests/test_read_fuzz.py` tries so many sources instead of two
hundred. Each must be read within two seconds.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from linenleaf.compose.compose import compose
from linenleaf.core.diagnostics import Diagnostics, has_errors, render
from linenleaf.core.model import Design
from linenleaf.resolve.read import read

from tests.sources import MARKS, RANGE, SMALL, STORY, WHOLE, folder_with

MANY = int(os.environ.get("LINENLEAF_FUZZ", "30"))
FUZZ = settings(
    max_examples=MANY,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    derandomize=MANY <= 1000,
    database=None,
)

WORDS = sorted({word for line in WHOLE.split("\n") for word in line.split()})
ODD = [
    *WORDS,
    *'"|#.,+-/\\%()[]{}<>&;:\t\r\n ',
    "\x00",
    "\x1b",
    "\u202e",
    "\ufeff",
    "\u0301",
    "\u00a0",
    "×",
    "é",
    "漢",
    "😀",
    "٣",
    "-1",
    "0",
    "0.5",
    "999999999999999999999",
    "1e9",
    "nan",
    "../../etc/passwd",
    "https://example.org/x",
    "C:\\x",
    '""',
    '"unclosed',
    "||",
    "|.|",
    "#aabbcc",
    "#aabbc",
    "x" * 3000,
    "|" + "m" * 3000 + "|",
]


def check(result: tuple[Design | None, Diagnostics]) -> None:
    design, findings = result
    assert (design is None) == has_errors(findings)
    if design is not None:
        compose(design)  # what was read without an error holds together
    for finding in findings:
        text = render(finding)
        assert text
        assert len(text) < 4000
        if finding.span is not None:
            span = finding.span
            assert 0 <= span.start <= span.end <= len(span.source.text)


def mend(draw: st.DrawFn, text: str) -> str:
    """Harm a text in a few places."""
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(text)))
        end = min(len(text), at + draw(st.integers(0, 40)))
        lines = text.split("\n")
        line = draw(st.integers(0, len(lines) - 1))
        other = draw(st.integers(0, len(lines) - 1))
        kind = draw(st.integers(0, 6))
        if kind == 0:
            text = text[:at] + text[end:]
        elif kind == 1:
            text = text[:at] + draw(st.sampled_from(ODD)) + text[at:]
        elif kind == 2:
            text = text[:at] + draw(st.text(max_size=6)) + text[end:]
        elif kind == 3:
            lines[line], lines[other] = lines[other], lines[line]
            text = "\n".join(lines)
        elif kind == 4:
            lines.insert(line, lines[other])
            text = "\n".join(lines)
        elif kind == 5:
            del lines[line]
            text = "\n".join(lines)
        else:
            words = lines[line].split(" ")
            words[draw(st.integers(0, len(words) - 1))] = draw(st.sampled_from(ODD))
            lines[line] = " ".join(words)
            text = "\n".join(lines)
    return text


@st.composite
def harmed(draw: st.DrawFn, text: str) -> bytes:
    return mend(draw, text).encode("utf-8", "surrogatepass")


@pytest.fixture(scope="module")
def bench(tmp_path_factory) -> Callable[..., tuple[Design | None, Diagnostics]]:
    folder = tmp_path_factory.mktemp("fuzz")

    def attempt(name: str, data: bytes) -> tuple[Design | None, Diagnostics]:
        chart = folder_with(folder)
        (folder / name).write_bytes(data)
        return read(chart)

    return attempt


@FUZZ
@given(data=harmed(WHOLE))
def test_a_harmed_chart(bench, data):
    check(bench("chart.linen", data))


@FUZZ
@given(data=harmed(SMALL))
def test_a_harmed_small_chart(bench, data):
    check(bench("chart.linen", data))


@FUZZ
@given(data=st.lists(st.sampled_from(ODD), max_size=60))
def test_words_in_any_order(bench, data):
    check(bench("chart.linen", ("linen 1\n" + " ".join(data)).encode()))


@FUZZ
@given(data=st.binary(max_size=300))
def test_any_bytes(bench, data):
    check(bench("chart.linen", data))


@FUZZ
@given(data=st.one_of(harmed(RANGE), st.binary(max_size=100)))
def test_a_harmed_range(bench, data):
    check(bench("shore.csv", data))


@FUZZ
@given(data=st.one_of(harmed(STORY), harmed("![a](b.png)\n> - # x"), st.binary(max_size=100)))
def test_a_harmed_story(bench, data):
    check(bench("story.md", data))


@FUZZ
@given(data=harmed(MARKS))
def test_a_harmed_file_that_is_used(bench, data):
    check(bench("marks.linen", data))


def test_the_charts_that_are_harmed_are_sound(tmp_path: Path):
    for name, text in (("whole", WHOLE), ("small", SMALL)):
        design, findings = read(folder_with(tmp_path / name, text))
        assert design is not None
        assert findings == ()
