"""What stands around the cells: numbers, ends, centre marks, shared strips, links."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.chart.edges import Margins, Window, edges, links, margins, room, window_of
from linenleaf.chart.paginate import paginate

CELL = 4.0


def window(x0, y0, x1, y1, *, of=(100, 80)):
    return Window(*of, x0, y0, x1, y1, own=(x0, y0, x1, y1))


def numbers(made, anchor):
    return [(each.text, each.x, each.y) for each in made.numbers if each.anchor == anchor]


def test_columns_are_numbered_above_and_below_at_the_lines_they_count():
    found = numbers(edges(window(0, 0, 35, 20), CELL), "middle")
    assert [(text, x) for text, x, _ in found[::2]] == [
        ("0", 0),
        ("10", 40),
        ("20", 80),
        ("30", 120),
    ]
    assert [(text, x) for text, x, _ in found[1::2]] == [(text, x) for text, x, _ in found[::2]]
    assert all(y < 0 for *_, y in found[::2])
    assert all(y > 20 * CELL for *_, y in found[1::2])


def test_rows_are_numbered_left_and_right():
    made = edges(window(0, 30, 20, 55), CELL)
    left, right = numbers(made, "end"), numbers(made, "start")
    assert [text for text, *_ in left] == [text for text, *_ in right] == ["30", "40", "50"]
    assert all(x < 0 for _, x, _ in left)
    assert all(x > 20 * CELL for _, x, _ in right)


@pytest.mark.parametrize(("width", "last"), [(101, 100), (105, 105)])
def test_the_last_column_is_counted_where_there_is_room(width, last):
    made = edges(window(90, 0, width, 20, of=(width, 80)), CELL)
    assert numbers(made, "middle")[-1][0] == str(last)
    assert made.ticks.count("M") == 2 * (2 if last == 100 else 3) + 2 * 3
    assert f"M{(last - 90) * 4} -1V-2.2" in made.ticks


@given(st.integers(1, 300), st.integers(1, 300), st.floats(1, 12))
def test_numbers_keep_within_the_margins(width, height, cell):
    around = margins(height)
    made = edges(window(0, 0, width, height, of=(width, height)), cell)
    for each in made.numbers:
        if each.anchor == "end":
            # Figures of Source Sans are half an em wide (its advance of 0 is 0.497 em).
            assert each.x - 0.52 * 2.7 * len(each.text) > -around.side
        if each.anchor == "middle":
            assert -around.end < each.y < height * cell + around.end


@pytest.mark.parametrize(
    ("shown", "heavy", "rules"),
    [
        ((0, 0, 100, 80), 4, 4),
        ((0, 0, 50, 40), 2, 2),
        ((30, 20, 60, 50), 0, 0),
        ((50, 0, 100, 80), 3, 3),
    ],
)
def test_rules_stand_where_the_chart_ends(shown, heavy, rules):
    made = edges(window(*shown), CELL)
    assert made.heavy.count("M") == heavy
    assert made.rule.count("M") == rules


def test_the_grid_runs_out_where_the_chart_goes_on():
    made = edges(window(50, 40, 100, 80), CELL)
    ends = {float(each) for each in re.findall(r"V([-\d.]+)", made.thin)}
    starts = {float(each) for each in re.findall(r"M[\d.]+ ([-\d.]+)V", made.thin)}
    assert ends == {160.0}
    assert starts == {-1.1}


def test_every_line_of_the_grid_is_drawn_once():
    made = edges(window(3, 0, 38, 25), CELL)
    upright = [
        float(x)
        for x in re.findall(r"M([\d.]+) [-\d.]+V", made.thin + made.fives + made.tens + made.heavy)
    ]
    assert sorted(upright) == [each * CELL for each in range(36)]
    tens = [float(x) for x in re.findall(r"M([\d.]+) [-\d.]+V", made.tens)]
    assert tens == [7 * CELL, 17 * CELL, 27 * CELL]


def test_centre_marks_point_at_the_middle_also_between_two_lines():
    odd = edges(window(0, 0, 35, 21, of=(35, 21)), CELL).marks
    assert odd.startswith("M70 -1l")  # 17.5 cells of 4 mm
    assert odd.count("M") == 4
    assert "M-1 42l" in odd  # 10.5 cells
    assert edges(window(0, 0, 30, 20), CELL).marks == ""


def test_bars_mark_shared_strips():
    shared = Window(100, 80, 20, 0, 60, 40, own=(23, 0, 57, 37))
    bars = edges(shared, CELL).bars
    assert bars.count("M") == 6
    assert "M0 -1.7h12v0.55" in bars  # three columns at the left, above
    assert edges(window(0, 0, 100, 80), CELL).bars == ""


def test_links_stand_in_the_middle_of_the_edges():
    pagination = paginate(100, 80, room=(240, 400), cell=4.0)
    assert (pagination.across, pagination.down) == (2, 1)
    first, second = pagination.pages
    (to_right,) = links(first, pagination)
    (to_left,) = links(second, pagination)
    around = margins(80)
    assert (to_right.side, to_right.page) == ("right", 2)
    assert to_right.x == pytest.approx(around.side + first.columns * 4)
    assert to_right.y == pytest.approx(around.end + 160)
    assert (to_left.side, to_left.page, to_left.x) == ("left", 1, around.side)


def test_margins_grow_with_the_number_of_rows():
    assert margins(99).side < margins(160).side < margins(1000).side
    assert room((180, 240), 160) == (180 - 2 * margins(160).side, 240 - 2 * margins(160).end)
    assert margins(160) == Margins(7.29, 4.96)


def test_a_page_becomes_a_window():
    pagination = paginate(100, 80, room=(240, 400), cell=4.0)
    seen = window_of(pagination.pages[1], pagination)
    assert (seen.x0, seen.x1, seen.own) == (47, 100, (50, 0, 100, 80))
    assert seen.ends == (False, True, True, True)
