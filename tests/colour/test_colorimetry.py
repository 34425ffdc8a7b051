"""Colours as arrays, against published values and an independent library."""

import csv
from pathlib import Path

import numpy as np
import pytest
from coloraide import Color
from coloraide.cat import WHITES
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.colour import colorimetry as cm

DATA = Path(__file__).parent.parent / "data"
HEXES = st.integers(0, 0xFFFFFF).map("#{:06x}".format)
LABS = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120))


def rows(name):
    with (DATA / name).open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


def test_ciede2000_by_the_published_table():
    # G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 Color-Difference Formula", Color Research and
    # Application 30(1), 2005, 21-30, table 1; printed to four places.
    table = rows("ciede2000.csv")
    one = np.array([[float(row[each]) for each in ("L1", "a1", "b1")] for row in table])
    other = np.array([[float(row[each]) for each in ("L2", "a2", "b2")] for row in table])
    published = [float(row["dE00"]) for row in table]
    assert len(table) == 34
    assert cm.ciede2000(one, other) == pytest.approx(published, abs=0.00005)
    assert cm.ciede2000(other, one) == pytest.approx(published, abs=0.00005)


@given(LABS, LABS)
def test_ciede2000_as_coloraide_has_it(one, other):
    expected = Color("lab-d65", one).delta_e(Color("lab-d65", other), method="2000")
    assert cm.ciede2000(one, other) == pytest.approx(expected, abs=1e-9)


def test_many_against_many():
    colours = ["#1f3148", "#8a6a49", "#f7f3ea"]
    labs = cm.labs(colours)
    square = cm.ciede2000(labs[:, None], labs[None])
    assert square.shape == (3, 3)
    assert np.allclose(square, square.T)
    assert np.all(np.diag(square) == 0)


@pytest.mark.parametrize("row", rows("srgb_lab_d65.csv"), ids=lambda row: row["hex"])
def test_lab_of_the_srgb_primaries(row):
    # White 0.95047/1/1.08883 (IEC 61966-2-1 matrix; values as public test suites attribute them to
    # B. Lindbloom). 0.02 leaves room for other roundings of the white.
    published = [float(row[each]) for each in ("L_pub", "a_pub", "b_pub")]
    assert cm.labs([row["hex"]])[0] == pytest.approx(published, abs=0.02)


@given(HEXES)
def test_lab_as_coloraide_has_it_and_back(colour):
    lab = cm.labs([colour])[0]
    assert lab == pytest.approx(Color(colour).convert("lab-d65").coords(), abs=1e-6)
    assert cm.hex_of_lab(lab) == colour


@given(st.floats(0, 1))
def test_light_of_a_channel_and_back(channel):
    expected = Color("srgb", [channel] * 3).convert("srgb-linear")[0]
    assert cm.linear(channel) == pytest.approx(expected, abs=1e-7)
    assert cm.encoded(cm.linear(channel)) == pytest.approx(channel, abs=1e-6)


@given(LABS)
def test_lab_measured_under_d50(lab):
    xyz = cm.adapted(cm.xyz_of_lab(lab, cm.D50), cm.D50)
    expected = Color("lab", lab).convert("lab-d65").coords()
    assert cm.lab_of_xyz(xyz) == pytest.approx(expected, abs=1e-5)


@given(LABS, st.sampled_from(["A", "D50", "F2", "E"]))
def test_another_light_by_bradford(lab, light):
    xy = WHITES["2deg"][light]
    white = np.array([xy[0] / xy[1], 1, (1 - xy[0] - xy[1]) / xy[1]])
    xyz = cm.xyz_of_lab(lab)
    expected = Color.chromatic_adaptation(
        xy, WHITES["2deg"]["D65"], xyz.tolist(), method="bradford"
    )
    assert cm.adapted(xyz, white) == pytest.approx(expected, abs=1e-4)
    assert cm.adapted(white, white) == pytest.approx(cm.D65, abs=1e-12)
