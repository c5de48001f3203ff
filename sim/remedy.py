"""What would make it clean up, for the stage the job is at: changes to the scene, each one simulated.

Before the arc everything may change; after a layer only what is still to come; after the finish cut a local weld or
the next size. The smallest change that works is found, not stepped to.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim import layup
from sim.finish import stock_cells
from sim.job import AFTER, BEFORE, Scene, SceneError
from sim.scene import changed
from sim.simulate import CLEANS_UP, NOT_PROVEN, Result, least_of, simulate
from sim.units import KINDS, clock_text, oclock
from sim.wall import TURN, Array, one_thread

SEARCH_COLUMNS = 360
SEARCH_MARGIN = 0.004  # mm, for what the coarser clock of a search may miss
CORNERS = 64


@dataclass(frozen=True)
class Remedy:
    """One change that was simulated: scene keys and values, the result it gives, what it costs more.

    extra_wire [mm3], extra_time: arc time [s]; both against the job as it stands.
    """

    words: str
    change: Mapping[str, Any]
    result: Result
    extra_wire: float
    extra_time: float

    @property
    def works(self) -> bool:
        """Cleans up, or would if the bead were measured."""
        return self.result.verdict in (CLEANS_UP, NOT_PROVEN) and self.result.stock.spot.value > 0.0


@dataclass(frozen=True)
class Advice:
    """Remedies, best first, and in words what binds when none works."""

    remedies: tuple[Remedy, ...]
    binds: str


Change = tuple[str, dict[str, Any]]


def remedies(result: Result) -> Advice:
    """Every remedy that fits the stage of the job, simulated; best first (works, then least extra wire, then time).

    Remedies that do not reach a clean-up by themselves are listed after those that do.
    """
    scene = result.scene
    if result.verdict == CLEANS_UP:
        return Advice((), "nothing is needed: it cleans up on the numbers given")
    finders: list[Callable[[Result], Iterator[Change]]]
    if scene.job.stage == BEFORE:
        finders = [closer_pitch, more_layers, closing_turns, step_instead, start_shift, partial_layer, finish_axis, pre_bore, next_size]
    elif scene.job.stage == AFTER:
        finders = [local_weld, next_size]
    else:
        finders = [closer_pitch, more_layers, partial_layer, finish_axis, next_size]
    with ThreadPoolExecutor(2) as pool:
        found = [one for some in pool.map(lambda find: _tried(result, find), finders) for one in some]
    better = [r for r in found if r.works or r.result.stock.spot.value > result.stock.spot.value + 0.02]
    better.sort(key=lambda r: (not r.works, r.extra_wire if r.works else -r.result.stock.spot.value, r.extra_time))
    return Advice(tuple(better), "" if any(r.works for r in better) else _binds(result, better))


def _tried(result: Result, find: Callable[[Result], Iterator[Change]]) -> list[Remedy]:
    """The remedies of one finder, simulated; changes that cannot be done are left out."""
    out = []
    with one_thread():
        for words, change in find(result):
            try:
                after = simulate(changed(result.scene, change))
            except SceneError:
                continue
            if after.weld_left.spot.value < min(0.0, result.weld_left.spot.value - 1e-9):
                words += " (the cut then runs into base metal in places)"
            wire = _total(after, layup.wire_used) - _total(result, layup.wire_used)
            seconds = sum(map(layup.arc_time, after.settings)) - sum(map(layup.arc_time, result.settings))
            out.append(Remedy(words, change, after, wire, seconds))
    return out


def _total(result: Result, of: Callable[..., float]) -> float:
    return sum(of(result.scene, setting) for setting in result.settings)


def _binds(result: Result, found: list[Remedy]) -> str:
    """Why nothing within limits helps."""
    if result.scene.bead is None and result.stock.spot.value > result.scene.cut.minimum_cut:
        return "nothing but a measured bead: lay one on a plate, measure width and height, and put them in [bead]"
    if found:
        best = max(found, key=lambda r: r.result.stock.spot.value)
        return f"no single change cleans it up; the nearest is: {best.words} ({best.result.stock.spot.value:.2f} mm per side)"
    if result.scene.job.stage == AFTER:
        return "a local weld does not reach the spot from here and no larger size is allowed; add next_sizes to [bore]"
    return "no change within limits raises the least stock; more than one thing must change"


# ---- searching ------------------------------------------------------------------------------------------------


def enough(scene: Scene, change: Mapping[str, Any]) -> bool:
    """Tell whether the changed scene leaves the minimum cut by the model and metal everywhere by the pessimist."""
    try:
        least, pessimist = least_of(changed(scene, change), SEARCH_COLUMNS)
    except SceneError:
        return False
    return least >= scene.cut.minimum_cut + SEARCH_MARGIN and pessimist >= SEARCH_MARGIN


def smallest(works: Callable[[float], bool], low: float, high: float, *, step: float) -> float | None:
    """The smallest value between low and high that works, to a multiple of `step`; None when high does not.

    By bisection: what works at a value is taken to work above it.

    >>> smallest(lambda v: v > 0.31, 0.0, 1.0, step=0.05)
    0.35
    """
    n = math.ceil((high - low) / step - 1e-9)
    if n < 1 or not works(low + n * step):
        return None
    bad, good = 0, n
    while good - bad > 1:
        middle = (bad + good) // 2
        if works(low + middle * step):
            good = middle
        else:
            bad = middle
    return round(low + good * step, 9)


def _unit(scene: Scene) -> tuple[str, float]:
    """Suffix and size in mm of the job's length unit."""
    unit = KINDS["length"][1 if scene.job.units == "in" else 0]
    return unit.suffix, unit.factor


def _open_entries(result: Result) -> tuple[int, dict[str, Any]]:
    """Number of the first [[layer]] entry that may still change, and the keys that split it off what is laid."""
    done = result.scene.job.layers_done if result.scene.job.stage != BEFORE else 0
    number = 0
    for plan in result.scene.layer:
        number += 1
        if done < plan.repeat:
            break
        done -= plan.repeat
    else:
        return len(result.scene.layer) + 1, {}
    if done == 0:
        return number, {}
    if number < len(result.scene.layer):
        return number + 1, {}
    start = (plan.start_at + done * plan.shift) % TURN
    split = {f"layer.{number}.repeat": done, f"layer.{number + 1}.repeat": plan.repeat - done}
    return number + 1, split | {f"layer.{number + 1}.start_at_oclock": oclock(start)}


def closer_pitch(result: Result) -> Iterator[Change]:
    """The widest pitch for the layers to come that still cleans up."""
    scene, (suffix, inch) = result.scene, _unit(result.scene)
    first, split = _open_entries(result)
    count = len(scene.layer) + (1 if split else 0)
    if first > count:
        return
    now = result.settings[-1].path.pitch
    step = 0.05 if suffix == "_mm" else 0.002 * inch

    def change(closer: float) -> dict[str, Any]:
        pitch = round(math.floor((now - closer) / step + 1e-6) * step / inch, 6)
        return split | {f"layer.{k}.pitch{suffix}": pitch for k in range(first, count + 1)}

    found = smallest(lambda closer: enough(scene, change(closer)), 0.0, 0.5 * now, step=step)
    if found is not None:
        told = change(found)
        pitch = told[f"layer.{count}.pitch{suffix}"]
        yield f"closer pitch: {pitch:g} {suffix[1:]} instead of {now / inch:.4g} {suffix[1:]}", told


def more_layers(result: Result) -> Iterator[Change]:
    """The fewest further layers like the last that clean up, up to four."""
    scene, last = result.scene, len(result.scene.layer)
    repeat = scene.layer[-1].repeat
    found = smallest(lambda n: enough(scene, {f"layer.{last}.repeat": repeat + round(n)}), 0.0, 4.0, step=1.0)
    n = 1 if found is None else round(found)
    words = "one more layer" if n == 1 else f"{n} more layers"
    yield f"{words} like the last", {f"layer.{last}.repeat": repeat + n}


def closing_turns(result: Result) -> Iterator[Change]:
    """One closing turn at either end where a spiral has none."""
    bare = [
        k for k, p in enumerate(result.scene.layer, 1)
        if p.advance == "spiral" and (p.closing_start == 0 or p.closing_end == 0)
    ]  # fmt: skip
    if bare:
        keys = ("closing_start", "closing_end")
        yield "a closing turn at each end of every layer", {f"layer.{k}.{key}": 1 for k in bare for key in keys}


def step_instead(result: Result) -> Iterator[Change]:
    """Full turns with a step between them instead of a spiral."""
    if any(plan.advance == "spiral" for plan in result.scene.layer):
        yield "step instead of spiral: full turns, no wedge", {"layer.advance": "step"}


def start_shift(result: Result) -> Iterator[Change]:
    """The start moved by 90 degrees from layer to layer where it stays."""
    if result.scene.layer[-1].shift == 0.0 and len(result.scene.layers) > 1:
        yield "start clock moved 90 degrees from layer to layer", {"layer.shift_deg": 90.0}


def partial_layer(result: Result) -> Iterator[Change]:
    """A layer over the low spots only, when they take up less than two thirds of the length."""
    if not (result.low_spots or result.thin_spots):
        return
    reach = 1.5 * result.settings[-1].bead.width
    spots = result.thin_spots or _thin(result)
    low = max(min(s.depth_from for s in spots) - reach, layup.layer_ends(result.scene, result.scene.layer[-1], result.settings[-1].bead.width)[0])
    high = min(max(s.depth_to for s in spots) + reach, layup.layer_ends(result.scene, result.scene.layer[-1], result.settings[-1].bead.width)[1])
    for part in _ends_apart(result, low, high, reach):
        words = f"a partial layer from {_say(result, part[0][0])} to {_say(result, part[0][1])} deep" if len(part) == 1 else "partial layers at both ends"
        yield words, _new_layers(result, part)


def _thin(result: Result) -> list[Any]:
    """Everything below the minimum cut, black or thin."""
    from sim.finish import low_spots

    wall = result.layers[-1].wall
    return low_spots(wall, result.finish, result.axes.torch, result.spans, level=result.scene.cut.minimum_cut)


def _ends_apart(result: Result, low: float, high: float, reach: float) -> Iterator[list[tuple[float, float]]]:
    """One range over all the spots, or one at either end where the middle is sound."""
    length = result.scene.bore.length
    if high - low < 0.67 * length:
        yield [(low, high)]
        return
    spots = result.thin_spots or _thin(result)
    near = [s.depth_to for s in spots if s.depth_to < 0.4 * length]
    far = [s.depth_from for s in spots if s.depth_from > 0.6 * length]
    if near and far and len(near) + len(far) == len(spots):
        yield [(low, max(near) + reach), (min(far) - reach, high)]


def _new_layers(result: Result, ranges: list[tuple[float, float]], **more: Any) -> dict[str, Any]:
    """New [[layer]] entries like the last one, over these depths."""
    plan, number, (suffix, inch) = result.scene.layer[-1], len(result.scene.layer), _unit(result.scene)
    start = (plan.start_at + plan.repeat * plan.shift) % TURN
    change: dict[str, Any] = {}
    for k, (low, high) in enumerate(ranges, number + 1):
        first, last = (low, high) if plan.feed == "in" else (high, low)
        change |= {
            f"layer.{k}.repeat": 1,
            f"layer.{k}.start_depth{suffix}": round(first / inch, 4),
            f"layer.{k}.end_depth{suffix}": round(last / inch, 4),
            f"layer.{k}.start_at_oclock": round(oclock(start), 4),
        }
        change |= {f"layer.{k}.{key}": value for key, value in more.items()}
    return change


def _say(result: Result, depth: float) -> str:
    suffix, inch = _unit(result.scene)
    return f"{depth / inch:.3g} {suffix[1:]}"


def local_weld(result: Result) -> Iterator[Change]:
    """After the finish cut: weld over what stayed black, over part of the clock where that will do, and bore again."""
    if not result.low_spots or result.scene.job.layers_done != len(result.scene.layers):
        return
    reach = 2.0 * result.settings[-1].bead.width
    low, high = min(s.depth_from for s in result.low_spots) - reach, max(s.depth_to for s in result.low_spots) + reach
    ends = layup.layer_ends(result.scene, result.scene.layer[-1], result.settings[-1].bead.width)
    span = (max(low, ends[0]), min(high, ends[1]))
    begin, end = _sector(result, margin=25.0 / result.finish.radius)
    if np.mod(end - begin, TURN) < 0.75 * TURN:
        sector = {"only_from_oclock": round(oclock(begin), 3), "only_to_oclock": round(oclock(end), 3)}
        words = f"local weld from {clock_text(begin)} to {clock_text(end)}, {_say(result, span[0])} to {_say(result, span[1])} deep, and re-bore"
        yield words, _new_layers(result, [span], **sector)
    yield f"weld right round from {_say(result, span[0])} to {_say(result, span[1])} deep, and re-bore", _new_layers(result, [span])


def _sector(result: Result, margin: float) -> tuple[float, float]:
    """The clock range [rad] that holds every low spot, with a margin, going clockwise."""
    n = 720
    marked = np.zeros(n, dtype=bool)
    for spot in result.low_spots:
        width = float(np.mod(spot.clock_to - spot.clock_from, TURN)) or TURN
        k = np.arange(math.floor(spot.clock_from / TURN * n), math.ceil((spot.clock_from + width) / TURN * n) + 1)
        marked[k % n] = True
    columns = np.flatnonzero(marked)
    gap = np.diff(columns, append=columns[0] + n)
    widest = int(np.argmax(gap))
    begin = columns[(widest + 1) % len(columns)] * TURN / n - margin
    end = columns[widest] * TURN / n + margin
    return float(begin % TURN), float(end % TURN)


# ---- the finish axis within its zone ------------------------------------------------------------------------------


def finish_axis(result: Result) -> Iterator[Change]:
    """The finish axis moved and tilted within its location zone so that the least stock is as large as it can be."""
    zone = result.scene.bore.location_zone
    if zone <= 0.0:
        return
    edges = np.linspace(result.scene.bore.chamfer_entry, result.scene.bore.length - result.scene.bore.chamfer_far, 41)
    straight = _about_drawing(result)
    cells = stock_cells(result.layers[-1].wall, straight, result.axes.torch, edges, 72)
    length = result.scene.bore.length
    entry, far, _ = best_axis([Bores(cells, edges, 0.5 * zone, (0.0, length))], length)
    suffix, inch = _unit(result.scene)
    change: dict[str, Any] = {}
    for end, (x, y) in (("entry", entry), ("far", far)):
        change[f"axes.finish_{end}{suffix}"] = round(math.hypot(x, y) / inch, 4)
        change[f"axes.finish_{end}_at_oclock"] = round(oclock(math.atan2(x, -y)), 3)
    places = [
        f"{change[f'axes.finish_{end}{suffix}']:.3g} {suffix[1:]} per side towards "
        f"{clock_text(change[f'axes.finish_{end}_at_oclock'] * math.pi / 6)} at the {end} face"
        for end in ("entry", "far")
    ]
    yield f"finish axis moved within its zone: {places[0]}, {places[1]}", change


def _about_drawing(result: Result) -> Any:
    from sim.form import Axis
    from sim.wear import Bored

    return Bored(Axis.straight(result.scene.bore.length), result.finish.radius)


@dataclass(frozen=True)
class Bores:
    """What an axis is sought for: least stock per side [mm] about the drawing axis in cells (n_clock, n_depth), equal
    clock cells from 12 o'clock and depth cells `edges` [mm]; zone: radius of the location zone [mm]; faces: depths [mm]
    of the two faces.
    """

    cells: Array
    edges: Array
    zone: float
    faces: tuple[float, float]


def best_axis(bores: Sequence[Bores], length: float) -> tuple[tuple[float, float], tuple[float, float], float]:
    """Offsets (x, y) [mm] at depth 0 and at `length` that make the least stock of all bores largest, and that least.

    A linear programme: stock rises by the move along each clock direction (first order); the axis stays within each
    bore's zone at both its faces, the disc taken as a polygon of 64 sides inside it.
    """
    from scipy.optimize import linprog

    rows, limits = [], []
    corner = np.arange(CORNERS) * TURN / CORNERS
    disc = np.stack([np.cos(corner), np.sin(corner)], axis=1)
    for bore in bores:
        n_clock, n_depth = bore.cells.shape
        angle = np.repeat((np.arange(n_clock) + 0.5) * TURN / n_clock, n_depth)
        z = np.tile(0.5 * (bore.edges[1:] + bore.edges[:-1]) / length, n_clock)
        sin, cos = np.sin(angle), np.cos(angle)
        stock = np.stack([-(1 - z) * sin, (1 - z) * cos, -z * sin, z * cos, np.ones(len(z))], axis=1)
        usable = np.isfinite(bore.cells.ravel())
        rows.append(stock[usable])
        limits.append(bore.cells.ravel()[usable])
        for face in bore.faces:
            share = face / length
            rows.append(np.hstack([(1 - share) * disc, share * disc, np.zeros((CORNERS, 1))]))
            limits.append(np.full(CORNERS, bore.zone * math.cos(math.pi / CORNERS)))
    answer = linprog(
        [0.0, 0.0, 0.0, 0.0, -1.0],
        A_ub=np.vstack(rows),
        b_ub=np.concatenate(limits),
        bounds=[(None, None)] * 5,
        method="highs",
    )
    x = answer.x
    return (float(x[0]), float(x[1])), (float(x[2]), float(x[3])), float(x[4])


def pre_bore(result: Result) -> Iterator[Change]:
    """The largest smaller pre-bore that cleans up and still leaves weld everywhere under the finished surface."""
    scene, (suffix, inch) = result.scene, _unit(result.scene)
    if scene.pre_bore is None:
        return
    step, now = (0.1 if suffix == "_mm" else 0.004 * inch), scene.pre_bore.diameter
    least = max(scene.worn.diameter, scene.bore.final_diameter + 2.0 * scene.cut.minimum_cut)

    def change(less: float) -> dict[str, Any]:
        return {f"pre_bore.diameter{suffix}": round((now - less) / inch, 6)}

    found = smallest(lambda less: enough(scene, change(less)), 0.0, max(now - least, 0.0), step=step)
    if found is not None:
        yield f"pre-bore {(now - found) / inch:g} {suffix[1:]} on diameter instead of {now / inch:g}", change(found)


def next_size(result: Result) -> Iterator[Change]:
    """The smallest of the user's own larger sizes that cleans up."""
    scene, (suffix, inch) = result.scene, _unit(result.scene)
    for size in sorted(s for s in scene.bore.next_sizes if s > scene.bore.final_diameter):
        change: dict[str, Any] = {f"bore.final_diameter{suffix}": round(size / inch, 9)}
        for limit in ("lower_limit", "upper_limit"):
            held = getattr(scene.bore, limit)
            if held is not None:
                change[f"bore.{limit}{suffix}"] = round((held + size - scene.bore.final_diameter) / inch, 9)
        if enough(scene, change):
            yield f"the next size: {size / inch:g} {suffix[1:]} on diameter", change
            return

