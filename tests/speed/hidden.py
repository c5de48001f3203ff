"""A welding process of its own, for the closed loop: none of the engine's code, and laws that
differ from its own.

The wall is a map of radii at equal clock columns and depths. A bead is a circular arc over the
chord between its two contact points, added to what is there (nothing is melted away), its height
such that its volume is conserved on the samples. Gravity, tie-in, hump and taper follow other
curves than the engine's. What is drawn for one job stays hidden.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numba
import numpy as np

TURN = 2.0 * math.pi
STEP = 0.1  # mm along the depth
COLUMNS = 72
STEP_OVER = math.radians(25.0)


@dataclass(frozen=True)
class Hidden:
    """What nobody sees: factors on volume (one a layer), width, gravity; tie_in; pool run [mm];
    axes; noise seed.
    """

    volume: np.ndarray
    width: float
    tie_in: float
    gravity: float
    lean: float
    pool_run: float
    finish: np.ndarray
    height_turn: float
    height_along: float
    width_turn: float
    size: float
    seed: int


def draw_hidden(rng: np.random.Generator, layers: int = 12) -> Hidden:
    """A process within the spreads the planner is told of; their shapes differ from the planner's."""
    common = rng.normal(0.0, 0.03)
    return Hidden(
        volume=1.0 + common + rng.normal(0.0, 0.017, layers),
        width=1.0,
        tie_in=rng.uniform(0.0, 1.0),
        gravity=rng.uniform(0.17, 0.31),
        lean=rng.uniform(-0.03, 0.03),
        pool_run=rng.uniform(0.0, 2.0),
        finish=rng.normal(0.0, 0.06, 4),
        height_turn=rng.uniform(0.025, 0.055),
        height_along=rng.uniform(0.025, 0.055),
        width_turn=rng.uniform(0.035, 0.065),
        size=rng.normal(0.0, 0.015),
        seed=int(rng.integers(1 << 31)),
    )


def way(layer: dict[str, float]) -> tuple[np.ndarray, np.ndarray]:
    """Angle turned [rad] and depth [mm] at the corners of a layer's way, from the machine's
    settings alone.
    """
    first, last, pitch = layer["start_depth_mm"], layer["end_depth_mm"], layer["pitch_mm"]
    sign = 1.0 if last >= first else -1.0
    run = abs(last - first)
    if layer["advance"] == "spiral":
        a, b = layer["closing_turns_start"] * TURN, layer["closing_turns_end"] * TURN
        phi = [0.0, a, a + run / pitch * TURN, a + run / pitch * TURN + b]
        return np.array(phi), np.array([first, first, last, last])
    phi_, depth = [0.0], [first]
    count = math.ceil(run / pitch - 1e-6)
    for k in range(1, count + 1):
        to = last if k == count else first + sign * k * pitch
        phi_ += [k * TURN, k * TURN + STEP_OVER]
        depth += [depth[-1], to]
    return np.array([*phi_, (count + 1) * TURN + (STEP_OVER if count else 0.0)]), np.array(
        [*depth, last]
    )


def wire_fed(layers: list[dict[str, float]], wire_diameter: float) -> float:
    """Wire [mm3] fed over all turns: feed times time."""
    total = 0.0
    for layer in layers:
        turns = way(layer)[0][-1] / TURN
        seconds = turns * layer["seconds_per_turn"]
        total += (
            math.pi
            / 4.0
            * wire_diameter**2
            * layer["wire_feed_m_per_min"]
            * 1000.0
            / 60.0
            * seconds
        )
    return total


@numba.njit(cache=True)
def lay(
    wall,
    z0,
    step,
    clock,
    phi0,
    phis,
    depths,
    q,
    width,
    q_turn,
    w_turn,
    along,
    along_step,
    tie_in,
    ends,
):
    """Lay a layer on the map `wall` (n_clock, n_depth), in place.

    q, width (n_clock,); phi0 (n_clock,): angle turned at a column's first pass; ends: (hump angle,
    hump, taper angle).
    """
    n, m = wall.shape
    new = np.empty(m)
    for i in range(n):
        phi, turn, seg, before = phi0[i], 0, 0, np.nan
        while phi <= phis[-1] + 1e-12:
            while seg + 2 < len(phis) and phi > phis[seg + 1]:
                seg += 1
            run = phis[seg + 1] - phis[seg]
            zc = depths[seg] + (depths[seg + 1] - depths[seg]) * (
                (phi - phis[seg]) / run if run > 0 else 0.0
            )
            x = phi / along_step
            k = int(x)
            whole = int(phi / TURN)
            volume = q[i] * q_turn[whole] * (along[k] + (x - k) * (along[k + 1] - along[k]))
            if phi < ends[0]:
                volume *= 1.0 + ends[1] * (1.0 - phi / ends[0])
            if phis[-1] - phi < ends[2]:
                volume *= ((phis[-1] - phi) / ends[2]) ** 0.5
            w = width[i] * w_turn[whole]
            a, b = zc - 0.5 * w, zc + 0.5 * w
            if not math.isnan(before):
                d = abs(zc - before)
                if 0.5 * w < d < w:
                    up = tie_in * (d - 0.5 * w) * min(1.0, 2.6 * (1.0 - d / w))
                    if before < zc:
                        a -= up
                    else:
                        b += up
            before = zc
            ja, jb = math.ceil((a - z0) / step), math.floor((b - z0) / step)
            ja, jb = max(ja, 1), min(jb, m - 2)
            if jb - ja < 2:
                phi += TURN
                turn += 1
                continue
            sa, sb = (a - z0) / step - (ja - 1), (b - z0) / step - jb
            ra = wall[i, ja - 1] * (1 - sa) + wall[i, ja] * sa
            rb = wall[i, jb] * (1 - sb) + wall[i, jb + 1] * sb
            half = 0.5 * (b - a)
            low, high = 0.0, 4.0 * half
            for _ in range(40):
                s = 0.5 * (low + high)
                round_ = (half * half + s * s) / (2.0 * s)
                added = 0.0
                for j in range(ja, jb + 1):
                    z = z0 + j * step
                    off = z - 0.5 * (a + b)
                    rise = (
                        s - round_ + math.sqrt(max(round_ * round_ - off * off, 0.0))
                        if s <= half
                        else s * math.sqrt(max(1.0 - (off / half) ** 2, 0.0))
                    )
                    r = ra + (rb - ra) * (z - a) / (b - a) - rise
                    r = min(r, wall[i, j])
                    new[j] = r
                    added += 0.5 * (wall[i, j] ** 2 - r * r) * step
                if added < volume:
                    low = s
                else:
                    high = s
                if high - low < 1e-4:
                    break
            for j in range(ja, jb + 1):
                wall[i, j] = new[j]
            phi += TURN
            turn += 1


@dataclass(frozen=True)
class Part:
    """The bore as it is: final and pre-bore diameter, length, chamfers [mm], inclination [rad],
    minimum cut [mm].

    pocket, pocket_at: a spot torn deeper; black, black_at, black_half: black that the pre-bore left
    to one side: deepest [mm per side] at the entry face, towards which clock, half its width [rad].
    """

    final: float
    pre_bore: float
    length: float
    chamfer: float
    inclination: float
    minimum_cut: float
    wire_diameter: float
    efficiency: float
    pocket: float
    pocket_at: tuple[float, float]
    black: float = 0.0
    black_at: float = 0.0
    black_half: float = 1.0


@dataclass(frozen=True)
class TrueBead:
    """Width of the bead [mm] at the plate's wire feed and travel [mm/min], and how it changes with
    travel.
    """

    width: float
    wire_feed: float
    travel: float
    travel_power: float

    def width_at(self, wire_feed: float, travel: float) -> float:
        """Width [mm] at other settings."""
        return (
            self.width
            * (wire_feed / self.wire_feed) ** 0.5
            * (travel / self.travel) ** self.travel_power
        )


def start(part: Part, hidden: Hidden) -> tuple[np.ndarray, float]:
    """The wall before welding, and the depth of its first sample [mm]."""
    z0 = -16.0
    z = z0 + np.arange(round((part.length + 32.0) / STEP) + 1) * STEP
    clock = (np.arange(COLUMNS) + 0.5) * TURN / COLUMNS
    wall = np.full((COLUMNS, len(z)), 0.5 * part.pre_bore + hidden.size)
    end = math.cos(part.black_half)
    lens = np.clip((np.cos(clock - part.black_at) - end) / (1.0 - end), 0.0, None)
    wall += part.black * lens[:, None] * (1.0 - 0.5 * np.clip(z / part.length, 0.0, 1.0))[None, :]
    at, depth = part.pocket_at
    away = (np.abs((clock - at + math.pi) % TURN - math.pi) * 0.5 * part.pre_bore / 12.0)[:, None]
    along = (np.abs(z - depth) / 12.0)[None, :]
    return wall + part.pocket * np.clip(1.0 - away**2, 0.0, None) * np.clip(
        1.0 - along**2, 0.0, None
    ), z0


def noise(rng: np.random.Generator, count: int, spacing: float) -> np.ndarray:
    """Smooth unit noise along a bead: white noise through two running means."""
    width = max(round(6.0 / spacing), 1)
    white = rng.standard_normal(count + 2 * width)
    once = np.convolve(np.ones(width), np.ones(width))
    return np.convolve(white, once / np.sqrt((once**2).sum()), "valid")[:count]


def least_stock(
    part: Part, bead: TrueBead, hidden: Hidden, layers: list[dict[str, float]]
) -> float:
    """Least stock per side [mm] that the hidden process leaves when the machine is set as the
    layers say.
    """
    wall, z0 = start(part, hidden)
    for number, layer in enumerate(layers):
        weld(part, bead, hidden, wall, z0, number, layer)
    return judged(part, hidden, wall, z0)


def weld(
    part: Part,
    bead: TrueBead,
    hidden: Hidden,
    wall: np.ndarray,
    z0: float,
    number: int,
    layer: dict[str, float],
) -> None:
    """Lay one layer (from 0) on the wall, in place."""
    clock = (np.arange(COLUMNS) + 0.5) * TURN / COLUMNS
    flat = math.cos(part.inclination)
    phis, depths = way(layer)
    phis[-1] += 1e-9
    radius = math.sqrt(float((wall[:, 170:-170] ** 2).mean()))
    omega = TURN / layer["seconds_per_turn"]
    rate = (
        part.efficiency
        * hidden.volume[number]
        * math.pi
        / 4.0
        * part.wire_diameter**2
        * layer["wire_feed_m_per_min"]
        * 1000.0
        / 60.0
    )
    q = rate / omega * (1.0 - hidden.pool_run / radius * np.cos(clock) * flat)
    climb = -np.sin(clock) * flat
    width = (
        hidden.width
        * bead.width_at(layer["wire_feed_m_per_min"], layer["travel_mm_per_min"])
        / (
            1.0
            + hidden.gravity * climb
            + 0.5 * (hidden.gravity * climb) ** 2
            + hidden.lean * np.cos(2.0 * clock) * flat
        )
    )
    turns = int(phis[-1] / TURN) + 2
    spacing = 1.5
    beads = [np.random.default_rng((hidden.seed, number, kind)) for kind in range(3)]
    along = 1.0 + hidden.height_along * noise(
        beads[0], int(phis[-1] * radius / spacing) + 4, spacing
    )
    q_turn = 1.0 + hidden.height_turn * beads[1].standard_normal(turns)
    w_turn = 1.0 + hidden.width_turn * beads[2].standard_normal(turns)
    phi0 = (clock - layer["start_clock_h"] * math.pi / 6.0) % TURN
    ends = (9.0 / radius, 0.5, 7.0 / radius)
    lay(
        wall,
        z0,
        STEP,
        clock,
        phi0,
        phis,
        depths,
        q,
        width,
        q_turn,
        w_turn,
        along,
        spacing / radius,
        hidden.tie_in,
        ends,
    )


def gauged(
    wall: np.ndarray,
    z0: float,
    depth: float,
    clock: float,
    *,
    valley: bool = False,
    over: float = 10.0,
    within: tuple[float, float] = (-math.inf, math.inf),
) -> float:
    """What a two-point gauge reads [mm on diameter]: feet that ride on the highest metal within
    `over` [mm], or points that find the deepest."""
    z = z0 + np.arange(wall.shape[1]) * STEP
    near = (
        (np.abs(z - depth) <= 0.5 * over + 1e-9) & (z >= within[0] - 1e-9) & (z <= within[1] + 1e-9)
    )
    total = 0.0
    for angle in (clock, clock + math.pi):
        column = wall[int(angle / TURN * COLUMNS) % COLUMNS, near]
        total += float(column.max() if valley else column.min())
    return total


def judged(part: Part, hidden: Hidden, wall: np.ndarray, z0: float) -> float:
    """Least stock per side [mm] between the chamfers about the finish axis."""
    z = z0 + np.arange(wall.shape[1]) * STEP
    inside = (z >= part.chamfer - 1e-9) & (z <= part.length - part.chamfer + 1e-9)
    clock = ((np.arange(COLUMNS) + 0.5) * TURN / COLUMNS)[:, None]
    share = (z[inside] / part.length)[None, :]
    x = wall[:, inside] * np.sin(clock) - hidden.finish[0] * (1 - share) - hidden.finish[2] * share
    y = -wall[:, inside] * np.cos(clock) - hidden.finish[1] * (1 - share) - hidden.finish[3] * share
    return float(0.5 * part.final - np.hypot(x, y).max())
