"""Numbers of notes: near what they mean, on bare fabric, apart from each other."""

import math

import numpy as np
from linenleaf.chart.badges import USUAL_RING, badges
from linenleaf.chart.looks import BEAD, HALO
from linenleaf.compose.worked import Piece
from linenleaf.core.matter import Note, NoteKind

CELL = 4.0
VIEW = (0.0, 0.0, 30.0, 20.0)
BARE = np.zeros((20, 30), np.uint16)


def note(x0, y0, x1=None, y1=None):
    return Note(NoteKind.NOTE, x0, y0, x0 if x1 is None else x1, y0 if y1 is None else y1, "")


def placed(*notes, pieces=(), grid=BARE, view=VIEW):
    return badges(list(enumerate(notes, 1)), pieces, grid, view, CELL)


def covers(badge, grid):
    radius = USUAL_RING.radius / CELL
    y, x = np.nonzero(grid)
    near_x = np.clip(badge.x, x, x + 1) - badge.x
    near_y = np.clip(badge.y, y, y + 1) - badge.y
    return bool((np.hypot(near_x, near_y) < radius - 1e-9).any())


def test_a_point_has_a_leader_and_an_area_none():
    point, area = placed(note(4, 5), note(10, 10, 14, 12))
    assert point.tip == (4, 5)
    assert area.tip is None
    assert area.area == (10, 10, 14, 12)


def test_rings_keep_to_bare_fabric():
    grid = BARE.copy()
    grid[:, 5:] = 1
    (badge,) = placed(note(5, 10), grid=grid)
    assert not covers(badge, grid)
    assert badge.x < 5


def test_a_ring_stands_beside_its_area_and_off_small_crosses():
    grid = BARE.copy()
    grid[8:13, :] = 1  # crowded all around, bare only inside the area
    grid[9:12, 10:16] = 0
    fish = Piece("fish", 16.0, 6.0, 0.5, 1, np.ones((4, 8), np.uint16), None)
    (badge,) = placed(note(10, 9, 16, 12), grid=grid, pieces=[fish])
    radius = USUAL_RING.radius / CELL
    for x0, y0, x1, y1 in ((10, 9, 16, 12), (16, 6, 20, 8)):
        near = min(max(badge.x, x0), x1), min(max(badge.y, y0), y1)
        assert math.dist((badge.x, badge.y), near) >= radius


def test_a_ring_keeps_off_the_bead_it_points_at_where_all_is_stitched():
    (badge,) = placed(note(10, 9), grid=BARE + 1)
    assert math.dist((badge.x, badge.y), (10, 9)) >= USUAL_RING.radius / CELL + BEAD + HALO


def test_a_ring_goes_to_bare_fabric_farther_off_and_points_back():
    grid = BARE.copy()
    grid[5:16, 5:20] = 1
    area, point = placed(note(8, 8, 12, 12), note(17, 14), grid=grid)
    for badge, (x0, y0, x1, y1) in ((area, (8, 8, 12, 12)), (point, (17, 14, 17, 14))):
        assert not covers(badge, grid)
        near = min(max(badge.x, x0), x1), min(max(badge.y, y0), y1)
        assert badge.tip == near
        assert 1 < math.dist((badge.x, badge.y), near) < 6


def test_a_ring_keeps_off_lines_and_beads():
    line = np.array([[4.0, 9.0, 6.0, 7.0], [12.0, 2.0, 12.0, 2.0]])
    notes = list(enumerate((note(4, 9), note(11.2, 2.8)), 1))
    one, two = badges(notes, (), BARE, VIEW, CELL, drawn=line)
    radius = USUAL_RING.radius / CELL
    assert abs(one.x + one.y - 13) / math.sqrt(2) >= radius
    assert math.dist((two.x, two.y), (12, 2)) >= radius


def test_rings_keep_apart():
    many = placed(*(note(10, 10) for _ in range(6)))
    radius = USUAL_RING.radius / CELL
    apart = [
        math.dist((one.x, one.y), (two.x, two.y))
        for at, one in enumerate(many)
        for two in many[:at]
    ]
    assert min(apart) >= 1.5 * radius


def test_rings_stay_on_the_page():
    radius = USUAL_RING.radius / CELL
    for badge in placed(note(0, 0), note(30, 20), note(0, 0, 30, 20), note(29.5, 0.5)):
        assert radius <= badge.x <= 30 - radius
        assert radius <= badge.y <= 20 - radius


def test_a_note_on_a_piece_means_the_piece():
    fish = Piece("fish", 6.5, 3.0, 0.5, 1, np.ones((4, 8), np.uint16), None)
    (badge,) = placed(note(7, 4), pieces=[fish])
    assert badge.area == (6.5, 3.0, 10.5, 5.0)


def test_only_what_is_in_view_and_only_so_far():
    touching = note(30, 4, 40, 9)
    found = placed(note(50, 5), note(-5, 2, 4, 8), note(12, 12), touching, note(30, 20))
    assert [badge.number for badge in found] == [2, 3, 5]
    assert found[0].area == (-5, 2, 4, 8)
    assert 0 < found[0].x < 6
