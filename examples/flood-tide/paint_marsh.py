"""A salt marsh at flood tide, painted from nothing but numbers.

`paint` gives a picture of one point a cross. Places are in heights of the picture: y runs from
0 at the top to 1 at the bottom, x from 0 to width / height. The ground (sky, water, saltings) is
painted in soft colours; what stands before it (sea wall, smack, birds, reeds) is laid on in flat
ones, and `firm` tells where, so that the smoothing of the ground leaves thin things alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

HORIZON = 0.43
SUN_Y, SUN_SIZE = 0.352, 0.046
SHORE = 0.635  # where the saltings begin


@dataclass
class Scene:
    """The picture so far: colour (height, width, 3) in 0..1, and where it is firm."""

    x: np.ndarray
    y: np.ndarray
    colour: np.ndarray
    firm: np.ndarray
    dry: np.ndarray
    lines: list[list[tuple[float, float]]]  # rigging to back stitch, in crosses
    lamp: list[tuple[float, float]]  # a bead, in crosses
    rng: np.random.Generator
    width: int  # of the whole picture, in crosses
    height: int

    @property
    def cell(self) -> float:
        return 1 / self.height

    @property
    def aspect(self) -> float:
        return self.width / self.height

    @property
    def sun(self) -> float:
        return 0.66 * self.aspect

    def corner(self, x: float, y: float) -> tuple[float, float]:
        """Return the hole nearest to a place, in crosses."""
        return round(x / self.cell), round(y / self.cell)

    def window(self, left: float, right: float, top: float) -> Scene:
        """Return the part between two upright lines and below a level one; it shares its points."""
        columns = slice(max(0, int(left / self.cell)), max(0, int(right / self.cell) + 1))
        part = (slice(max(0, int(top / self.cell)), None), columns)
        views = (each[part] for each in (self.x, self.y, self.colour, self.firm, self.dry))
        return Scene(*views, self.lines, self.lamp, self.rng, self.width, self.height)

    def soft(self, where: np.ndarray, colour: np.ndarray | str) -> None:
        """Mix a colour in, where: 0..1."""
        tone = rgb(colour) if isinstance(colour, str) else colour
        self.colour += (tone - self.colour) * where[..., None]

    def lay(self, where: np.ndarray, colour: np.ndarray | str) -> None:
        """Lay a flat colour where a mask holds."""
        tone = rgb(colour) if isinstance(colour, str) else colour[where]
        self.colour[where] = tone
        self.firm |= where


def paint(width: int, height: int, seed: int) -> Scene:
    """Paint the whole scene, one point a cross."""
    x = ((np.arange(width) + 0.5) / height)[None, :] * np.ones((height, 1))
    y = ((np.arange(height) + 0.5) / height)[:, None] * np.ones((1, width))
    colour = np.zeros((height, width, 3))
    firm = np.zeros((height, width), dtype=bool)
    scene = Scene(
        x, y, colour, firm, firm.copy(), [], [], np.random.default_rng(seed), width, height
    )
    sky(scene)
    water(scene)
    sea_wall(scene)
    saltings(scene)
    smack(scene)
    birds(scene)
    reeds(scene)
    return scene


# --- tools -------------------------------------------------------------------------------------


def rgb(text: str) -> np.ndarray:
    """Return `#rrggbb` as three shares."""
    return np.array([int(text[at : at + 2], 16) for at in (1, 3, 5)]) / 255


def step(low: float, high: float, value: np.ndarray) -> np.ndarray:
    """Rise smoothly from 0 at low to 1 at high."""
    share = np.clip((value - low) / (high - low), 0, 1)
    return share * share * (3 - 2 * share)


def ramp(stops: list[tuple[float, str]], value: np.ndarray) -> np.ndarray:
    """Return colours along stops."""
    at = [place for place, _ in stops]
    tones = np.array([rgb(tone) for _, tone in stops])
    return np.stack([np.interp(value, at, tones[:, channel]) for channel in range(3)], axis=-1)


def noise(rng: np.random.Generator, x: np.ndarray, y: np.ndarray, octaves: int = 4) -> np.ndarray:
    """Return smooth random values about 0..1, one hill to a unit of x and y."""
    total, weight, size = np.zeros(np.broadcast(x, y).shape), 1.0, 0.0
    for octave in range(octaves):
        table = rng.random((64, 64))
        total += weight * _smooth(table, x * 2**octave + 7.3 * octave, y * 2**octave + 3.1 * octave)
        size += weight
        weight *= 0.5
    return total / size


def _smooth(table: np.ndarray, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    left, top = np.floor(x).astype(int), np.floor(y).astype(int)
    u, v = x - left, y - top
    u, v = u * u * (3 - 2 * u), v * v * (3 - 2 * v)
    x0, x1, y0, y1 = left % 64, (left + 1) % 64, top % 64, (top + 1) % 64
    upper = table[y0, x0] * (1 - u) + table[y0, x1] * u
    lower = table[y1, x0] * (1 - u) + table[y1, x1] * u
    return upper * (1 - v) + lower * v


def inside(scene: Scene, corners: list[tuple[float, float]]) -> np.ndarray:
    """Tell which points lie in a polygon (even-odd rule)."""
    result = np.zeros(scene.x.shape, dtype=bool)
    for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True):
        if y0 == y1:
            continue
        crosses = (scene.y < y0) != (scene.y < y1)
        result ^= crosses & (scene.x < x0 + (scene.y - y0) * (x1 - x0) / (y1 - y0))
    return result


def near(scene: Scene, start: tuple[float, float], end: tuple[float, float]) -> np.ndarray:
    """Return the distance of every point from a straight stretch."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    share = ((scene.x - start[0]) * dx + (scene.y - start[1]) * dy) / (dx * dx + dy * dy)
    share = np.clip(share, 0, 1)
    return np.hypot(scene.x - start[0] - share * dx, scene.y - start[1] - share * dy)


# --- ground ------------------------------------------------------------------------------------


def light(scene: Scene, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return the colour of the open sky at a place."""
    base = ramp(
        [
            (0.00, "#40557f"),
            (0.20, "#5c7499"),
            (0.40, "#8599b4"),
            (0.54, "#b5b3c6"),
            (0.66, "#e4c3bd"),
            (0.80, "#f5cba2"),
            (1.00, "#f5d48c"),
        ],
        y / HORIZON + 0.10 * np.sin(2.6 * x + 0.5),
    )
    away = np.hypot((x - scene.sun) / 1.25, y - SUN_Y)
    rosy = step(0.25, 0.75, np.abs(x - scene.sun)) * step(0.45, 0.95, y / HORIZON)
    base += (rgb("#d39a93") - base) * (0.62 * rosy)[..., None]
    base += (rgb("#f6b56c") - base) * (0.50 * np.exp(-((away / 0.25) ** 2)))[..., None]
    base += (rgb("#fdeec4") - base) * (0.95 * np.exp(-((away / 0.105) ** 2)))[..., None]
    return base


def sky(scene: Scene) -> None:
    """Paint the sky: open light, the sun, two tiers of cloud lit from below."""
    scene.colour[:] = light(scene, scene.x, scene.y)
    x, y = scene.x, scene.y
    high = noise(scene.rng, x * 2.3 - y * 1.8, y * 15 + x * 2.0)
    band = step(0.04, 0.12, y) * (1 - step(0.20, 0.27, y))
    scene.soft(
        0.85 * step(0.52, 0.66, high) * band, ramp([(0, "#98a3b7"), (1, "#dfaaa0")], y / 0.22)
    )

    # The lower bank: lit where it thins out downwards, slate above.
    table = scene.rng.integers(1 << 31)

    def bank(shift: float) -> np.ndarray:
        rng = np.random.default_rng(table)
        lean = 0.10 * np.exp(-(((y - 0.245) / 0.055) ** 2)) + 0.05 * np.cos(3.1 * x + 0.6)
        return noise(rng, x * 2.5 + 0.6, (y + shift) * 9.5 + 0.9 * x) + lean

    here, below = bank(0.0), bank(0.016)
    thick = step(0.565, 0.62, here) * step(0.09, 0.16, y) * (1 - step(0.315, 0.355, y))
    lit = step(-0.01, 0.10, here - below)
    away = np.hypot((x - scene.sun) / 1.3, y - SUN_Y)
    warm = ramp([(0.0, "#fbdd96"), (0.16, "#f3b583"), (0.34, "#dc8a6a"), (0.7, "#b0787e")], away)
    cool = ramp([(0.0, "#c98f8c"), (0.25, "#847397"), (0.6, "#5d6184")], away)
    scene.soft(thick * 0.95, cool + (warm - cool) * lit[..., None])
    # Thin bars across the sun's own height.
    bars = noise(scene.rng, x * 1.9, y * 34, 3)
    scene.soft(
        0.8 * step(0.56, 0.63, bars) * step(0.30, 0.33, y) * (1 - step(0.40, 0.425, y)),
        ramp([(0.0, "#ed9c69"), (0.18, "#dc8a6a"), (0.5, "#a06f80")], away),
    )
    disc = np.hypot(x - scene.sun, y - SUN_Y) < SUN_SIZE
    scene.lay(disc, "#fbf6e8")


def water(scene: Scene) -> None:
    """Paint the flood: the sky turned over, broken by ripples, with the sun's road."""
    x, y = scene.x, scene.y
    depth = np.clip(y - HORIZON, 0, None)
    wave = noise(scene.rng, x * (5 / (1 + 6 * depth)), y * 46, 3) - 0.5
    # Near water shows the high sky, far water the low one.
    mirrored = np.clip(HORIZON * np.exp(-3.4 * depth) + (0.06 + 0.25 * depth) * wave, 0.05, HORIZON)
    shown = light(scene, x + 0.25 * wave * depth, mirrored) * 0.97
    dark = step(0.54, 0.62, noise(scene.rng, x * 2.6, y * 52, 3))
    cool = light(scene, x, np.clip(mirrored - 0.075, 0.05, HORIZON)) * 0.93
    shown = shown + (cool - shown) * dark[..., None]
    scene.soft((y >= HORIZON).astype(float), shown)
    # The sun's road: dashes that lengthen and part as they come nearer.
    spread = 0.022 + 0.36 * depth
    offset = np.abs(x - scene.sun + 0.05 * wave) / spread
    dash = noise(scene.rng, x * (9 / (1 + 5 * depth)), y * 55, 2)
    road = (
        (y >= HORIZON)
        & (y < SHORE + 0.045)
        & (dash > 0.30 + 0.42 * offset**1.4 + 0.16 * step(0.0, 0.4, depth))
    )
    scene.soft(road * 0.95, ramp([(0, "#fbf6e8"), (0.35, "#fdeec4"), (1.0, "#fbdd96")], offset))


def sea_wall(scene: Scene) -> None:
    """Lay the far shore: a low sea wall, a clump of trees, a windpump."""
    x, y, cell = scene.x, scene.y, scene.cell
    rough = noise(scene.rng, x * 22, 0 * y, 2)
    far = HORIZON - 0.006 - 0.006 * noise(scene.rng, x * 9, 0 * y, 2)
    scene.lay((y > far) & (y < HORIZON + 0.5 * cell), "#847397")
    end = 0.47 * scene.aspect
    top = HORIZON - 0.021 * (1 - step(end - 0.22, end, x)) - 0.003 * rough
    wall = (y > top) & (y < HORIZON + 0.008) & (x < end)
    scene.lay(wall, "#455a58")
    scene.lay(wall & (y < top + 1.6 * cell), "#526a5d")
    scene.lay(wall & (y > HORIZON + 0.002), "#34464a")
    # Trees huddled behind the wall.
    for at, tall, wide in ((0.055, 0.036, 0.050), (0.115, 0.027, 0.035), (0.36, 0.022, 0.030)):
        crown = tall * np.sqrt(np.clip(1 - ((x - at) / wide) ** 2, 0, 1)) * (0.75 + 0.4 * rough)
        scene.lay((crown > 0) & (y > HORIZON - 0.016 - crown) & (y < HORIZON - 0.014), "#433a50")
    windpump(scene, 0.235, HORIZON - 0.014)


def windpump(scene: Scene, at: float, foot: float) -> None:
    """Lay a tower mill that drains the marsh, its sails set."""
    cell = scene.cell
    top = foot - 0.088
    tower = inside(
        scene, [(at - 0.020, foot), (at + 0.020, foot), (at + 0.0115, top), (at - 0.0115, top)]
    )
    scene.lay(tower, "#433a50")
    scene.lay(tower & (scene.x > at + 0.003), "#847397")
    cap = (np.hypot((scene.x - at) / 1.15, (scene.y - top) / 1.25) < 0.0135) & (scene.y < top)
    scene.lay(cap, "#433a50")
    hub = (at - 0.001, top - 0.006)
    for turn in range(4):
        angle = np.pi / 2 * turn + 0.62
        tip = (hub[0] + 0.066 * np.cos(angle), hub[1] + 0.066 * np.sin(angle))
        scene.lay(near(scene, hub, tip) < 0.6 * cell, "#433a50")
        across = (np.cos(angle + np.pi / 2), np.sin(angle + np.pi / 2))
        corners = [
            (
                hub[0] + along * np.cos(angle) + aside * across[0],
                hub[1] + along * np.sin(angle) + aside * across[1],
            )
            for along, aside in ((0.020, 0.0), (0.066, 0.0), (0.066, 0.0145), (0.020, 0.0145))
        ]
        scene.lay(inside(scene, corners), "#847397")
        scene.lay(near(scene, corners[2], corners[3]) < 0.5 * cell, "#433a50")
    # The reflection: a broken dark streak.
    streak = (np.abs(scene.x - at) < 0.014) & (scene.y > HORIZON + 0.008)
    streak &= (scene.y < HORIZON + 0.075) & (np.floor(scene.y / (2 * cell)) % 2 == 0)
    scene.soft(streak * 0.5, "#5f5069")


def saltings(scene: Scene) -> None:
    """Paint the marsh in the foreground, and the creek that winds up through it."""
    x, y = scene.x, scene.y
    depth = np.clip(y - HORIZON - 0.08, 1e-3, None)  # as seen from a little height
    u, w = (x - 0.5 * scene.aspect) / depth, 1 / depth
    edge = (
        SHORE
        + 0.075 * (noise(scene.rng, x * 5.5, 0 * y, 3) - 0.5)
        - 0.045 * step(0.55, 1.1, x / scene.aspect)
    )
    creek, bank = creek_field(scene)
    land = (y > edge) & (bank > 1.0)
    mud = ((y > edge - 0.012) & (bank > 0.0)) & ~land & (creek > 0)

    grain = noise(scene.rng, u * 3.2, w * 5.0, 4)
    tufts = noise(scene.rng, u * 9 + 5, w * 10, 3)
    tone = ramp(
        [
            (0.25, "#3e472f"),
            (0.40, "#515a36"),
            (0.52, "#677040"),
            (0.63, "#7f8849"),
            (0.75, "#9ba15c"),
        ],
        grain + 0.55 * (tufts - 0.5) + 0.10 * step(SHORE + 0.2, SHORE, y),
    )
    bloom = step(0.55, 0.60, noise(scene.rng, u * 2.6 + 9, w * 4.2, 3))
    tone += (rgb("#847397") - tone) * (bloom * step(0.46, 0.56, tufts) * 0.95)[..., None]
    tone += (rgb("#a493b4") - tone) * (bloom * step(0.58, 0.63, tufts))[..., None]
    red = step(0.57, 0.61, noise(scene.rng, u * 2.1 + 30, w * 3.4, 3)) * (1 - bloom)
    tone += (rgb("#98452f") - tone) * (red * step(0.50, 0.58, tufts) * 0.85)[..., None]
    # Evening light lies along the far edges of the grass, shade in the near hollows.
    tone += (rgb("#d69c48") - tone) * (0.5 * np.exp(-(((y - edge) / 0.020) ** 2)))[..., None]
    tone = tone * (1.04 - 0.30 * step(0.78, 1.0, y))[..., None]
    scene.soft(land.astype(float), tone)
    scene.dry = land | mud

    slope = np.clip(bank, 0, 1)
    grey = ramp([(0.0, "#c8b18d"), (0.25, "#8f7757"), (0.6, "#594a3e"), (1.0, "#3f352f")], slope)
    scene.lay(mud, grey)
    # Water shines brightest beside dark mud.
    scene.soft(((creek < 0) & (y > edge)) * 0.25 * step(-0.02, 0.0, creek), "#fbf6e8")


def creek_field(scene: Scene) -> tuple[np.ndarray, np.ndarray]:
    """Return how far a point lies outside the water, and how far up the bank, in bank widths."""
    x, y = scene.x, scene.y
    depth = np.clip(y - 0.52, 0.004, None)
    turn = np.log(depth)
    reach = 0.47 * depth
    middle = (0.60 - 0.05 * (y - 0.6)) * scene.aspect + reach * np.sin(5.6 * turn + 4.2)
    half = 0.19 * depth + 0.004
    main = np.abs(x - middle) - half
    branch_from = 0.775
    reach_back = np.clip(y - 0.60, 0, None)
    side = 0.93 * scene.aspect - 0.9 * reach_back + 0.030 * np.sin(40 * np.sqrt(reach_back + 0.01))
    small = np.abs(x - side) - 0.07 * reach_back - 0.002
    small = np.where(y < branch_from + 0.03, small, 1.0)
    rough = 0.010 * (noise(scene.rng, x * 16, y * 26, 2) - 0.5)
    outside = np.minimum(main, small) + rough * (0.3 + 2 * depth)
    return outside, outside / (0.052 * depth + 0.006)


# --- what stands before it ---------------------------------------------------------------------


def smack(scene: Scene) -> None:
    """Lay a fishing smack at her mooring, tan mainsail drying, and her reflection."""
    at, line = 0.375 * scene.aspect, 0.545
    size = 0.215

    def place(px: float, py: float) -> tuple[float, float]:
        return at + size * px, line - size * py

    def turned(shape: list[tuple[float, float]]) -> list[tuple[float, float]]:
        return [place(px + 0.02 * py, -0.62 * py) for px, py in shape]

    hull = [(-0.50, 0.0), (-0.575, 0.150), (-0.36, 0.115), (0.0, 0.105), (0.30, 0.135)]
    hull += [(0.50, 0.190), (0.44, 0.0)]
    main = [(0.02, 0.19), (0.02, 0.80), (-0.30, 1.02), (-0.52, 0.23), (-0.26, 0.165)]
    head = [(0.03, 0.84), (0.03, 1.16), (-0.27, 1.045)]
    fore = [(0.10, 0.23), (0.095, 0.86), (0.46, 0.245)]
    # The reflection sways a little from row to row and parts into strips as it comes nearer.
    ripple = np.arange(scene.height) + 0.5
    sway = np.rint(1.3 * np.sin(1.9 * ripple) * np.sin(0.53 * ripple + 1)) * max(
        1, 0.005 / scene.cell
    )
    below = replace(scene, x=scene.x + (scene.cell * sway)[:, None])
    strip = (scene.y - line) / 0.0105
    whole = (strip % 1) * (1 + 0.10 * strip) < 0.86 + 0.25 * np.cos(scene.x * 38 + 2 * strip)
    broken = (scene.y > line) & ~scene.dry & (whole | (strip < 2.5))
    for shape, tone in ((main, "#98452f"), (fore, "#6f3226"), (head, "#98452f"), (hull, "#2d4a58")):
        scene.lay(inside(below, turned(shape)) & broken, tone)
    mast_below = near(below, place(0.05, 0), place(0.07, -0.70)) < 0.7 * scene.cell
    scene.lay(mast_below & broken, "#594a3e")

    sail = inside(scene, [place(*each) for each in main])
    top = inside(scene, [place(*each) for each in head])
    jib = inside(scene, [place(*each) for each in fore])
    scene.lay(sail, "#c0603f")
    scene.lay(top, "#c0603f")
    scene.lay(jib, "#98452f")
    # Folds: shade towards the leech, light along the mast where the sun comes through.
    fold = (scene.x - at) / size + 0.42 * (line - scene.y) / size
    scene.lay(sail & (fold < -0.13), "#98452f")
    scene.lay(sail & (fold > 0.17), "#dc7f54")
    scene.lay(top & ((scene.x - at) / size < -0.10), "#98452f")
    scene.lay(jib & ((scene.x - at) / size > 0.17), "#c0603f")
    spar = 0.62 * scene.cell
    for start, end in (
        ((0.05, 0.10), (0.05, 1.22)),
        ((-0.01, 0.80), (-0.31, 1.045)),
        ((0.03, 0.185), (-0.55, 0.215)),
        ((0.46, 0.185), (0.86, 0.275)),
    ):
        scene.lay(near(scene, place(*start), place(*end)) < spar, "#3a2c25")
    # The sheer of the hull runs in whole rows, so that her rail is one clean line.
    along = (scene.x - at) / size
    sheer = np.interp(along, *np.array(hull[1:6]).T)
    row = np.floor((scene.y - (line - size * sheer)) / scene.cell)
    body = inside(scene, [place(*each) for each in hull])
    body |= (row >= 0) & (scene.y < line - 0.06 * size) & (along > -0.575) & (along < 0.49)
    thick = max(1, round(0.006 / scene.cell))
    scene.lay(body, "#1f251f")
    scene.lay(body & (row < thick), "#f6e3c8")
    scene.lay(body & (scene.y > line - max(0.03 * size, scene.cell)), "#6f3226")
    rig = (
        ((0.05, 1.20), (0.84, 0.27)),
        ((0.05, 0.98), (-0.16, 0.10)),
        ((0.05, 1.06), (-0.29, 1.03)),
        ((0.05, 0.98), (0.26, 0.115)),
    )
    for ends in rig:
        scene.lines.append([scene.corner(*place(*each)) for each in ends])
    scene.lamp.append(scene.corner(*place(0.43, 0.75)))
    # Her people's small boat astern, and the mooring buoy.
    boat = [(-0.86, 0.0), (-0.90, 0.055), (-0.68, 0.055), (-0.71, 0.0)]
    scene.lay(inside(scene, [place(*each) for each in boat]), "#3a2c25")
    buoy = np.hypot(scene.x - place(0.98, 0)[0], scene.y - line + 0.004) < 1.3 * scene.cell
    scene.lay(buoy, "#c0603f")


POSES = (  # heads to the right; o is the pale underside
    ("..#.....", "..##....", "...oooo#", "..oo...."),
    (".....#..", "...##...", "..ooooo#", ".o......"),
    ("..oooo##", ".oo##...", "...##...", "...#...."),
    ("#.......", ".##.....", "..oooo##", "....#...", "....#..."),
    ("...##...", "..##....", ".ooooo##", "...#...."),
)


def birds(scene: Scene) -> None:
    """Lay a flight of waders that comes in over the water."""
    count = 17
    rows = scene.height
    times = max(1, round(rows / 230))
    for number in range(count):
        share = number / (count - 1)
        pose = POSES[int(scene.rng.integers(len(POSES)))]
        signs = np.array([list(row) for row in pose])
        signs = np.kron(signs == "#", np.ones((times, times))) + 2 * np.kron(
            signs == "o", np.ones((times, times))
        )
        height, width = signs.shape
        left = int((0.09 + 0.56 * share) * scene.aspect * rows)
        lift = 0.225 - 0.165 * share + 0.020 * np.sin(7 * share)
        top = int((lift + (0.020, -0.016, 0.004)[number % 3]) * rows)
        if number == 3 or number == 11:
            continue  # a gap in the skein
        spot = np.zeros(scene.x.shape, dtype=int)
        spot[top : top + height, left : left + width] = signs[:, : spot.shape[1] - left]
        scene.lay(spot == 1, "#433a50")
        scene.lay(spot == 2, "#fbf6e8")


def reeds(scene: Scene) -> None:
    """Lay reeds before everything: stems, blades, and plumes that hold the light."""
    stands = []
    for side, count, reach, height in ((0, 46, 0.30, 0.36), (1, 74, 0.36, 0.53)):
        for number in range(count):
            spread = ((number + scene.rng.random()) / count) ** 1.25
            root = spread * reach if side == 0 else scene.aspect - spread * reach
            tall = height * (1 - 0.60 * spread) * scene.rng.uniform(0.50, 1.0)
            bend = scene.rng.normal(0.045, 0.030) * tall / 0.3
            stands.append((tall, root, bend, scene.rng.random(4)))
    stands.sort(key=lambda each: -each[0])
    for number, (tall, root, bend, dice) in enumerate(stands):
        near_us = number / len(stands)
        dark = ("#2d3427", "#3e472f", "#3e472f")[int(dice[1] * 3)]
        green = ("#515a36", "#677040", "#7f8849")[int(dice[2] * 3)]
        stalk = dark if dice[0] > 0.25 + 0.5 * near_us else green
        part = scene.window(
            root - 0.35 * tall - 0.05, root + 0.65 * tall + 0.12, 0.97 - 1.25 * tall
        )
        rise = np.clip((1.01 - part.y) / tall, 0, None)
        stem = root + bend * rise**2
        half = 0.55 * part.cell + 0.0012 * (1 - np.minimum(rise, 1))
        part.lay((np.abs(part.x - stem) < half) & (rise < 0.97), stalk)
        for leaf in range(2):
            start = 0.12 + 0.30 * leaf + 0.2 * dice[(leaf + 1) % 4]
            way = 1 if (dice[leaf] < 0.62) else -1
            out = np.clip(rise - start, 0, None)
            reach = 0.34 + 0.25 * dice[3 - leaf]
            share = np.clip(out / reach, 0, 1)
            arch = root + bend * start**2 + way * (0.035 * share + 0.050 * share**3) * (tall / 0.3)
            thick = (0.45 * part.cell + 0.0042 * np.sqrt(share) * (1 - share) ** 0.7) * (share > 0)
            blade = (np.abs(part.x - arch) < thick) & (share < 1)
            part.lay(blade, green if leaf == 0 or dice[3] < 0.4 else dark)
        if tall > 0.16 and dice[3] < 0.62:
            plume(part, root, bend, tall, dice)


def plume(scene: Scene, root: float, bend: float, tall: float, dice: np.ndarray) -> None:
    """Lay the feathery head of a reed, hanging to the lee side."""
    long = 0.070 + 0.030 * dice[0]
    along = ((1.01 - scene.y) - 0.93 * tall) / long
    inner = np.clip(along, 0, 1)
    rise = (1.01 - scene.y) / tall
    stem = root + bend * rise**2 + 0.022 * inner**2
    swell = np.sqrt(inner) * (1 - inner) ** 0.8
    feather = 0.0022 * np.sin(along * 26 + 6 * dice[1])
    left = stem - 0.007 * swell - 0.3 * scene.cell
    right = stem + 0.024 * swell + feather * swell + 0.5 * scene.cell
    head = (scene.x > left) & (scene.x < right) & (along > 0) & (along < 1)
    scene.lay(head, "#86603f" if dice[1] < 0.6 else "#6f3226")
    sunward = head & (scene.x > stem + 0.008 * swell)
    scene.lay(sunward, "#bd7d38" if dice[2] < 0.5 else "#ad946d")
