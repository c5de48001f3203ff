"""How fast the engine is: `python -m tests.speed [name ...]`, from the top of the project.

Names: union, bead, proportion, threads, command, fuzz, page; all of them when none is given. Every
figure is a ratio within one run, or the least or the median of several repeats (each line says
which). Exit 1 when one is not met.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path as File
from typing import NamedTuple
from unittest import mock

import numba
import numpy as np

from sim.bore.lay import Conditions, Laid, lay
from sim.bore.torch_way import Path, spiral
from sim.bore.wall import Clock, Wall, one_thread
from sim.laws.bead_shape import Bead
from sim.laws.compiled import compiled
from sim.reference.arrays import TURN
from tests.fuzz.fuzz import many
from tests.speed import solid

COLUMNS, LENGTH, RADIUS, LAYERS, PITCH, BEAD = 720, 100.0, 41.5, 4, 3.5, Bead(5.0, 1.8)
CONDITIONS = Conditions(
    tie_in=0.5, fusion=1.5, gravity=0.23, pool_run=1.0, hump=1.0, hump_length=11.0, taper_length=7.5
)
SCENES = sorted((File(__file__).parents[2] / "scenes").glob("*.toml"))


class Row(NamedTuple):
    """One line of the table."""

    name: str
    figure: str
    allowed: str
    ok: bool


def say(text: str) -> None:
    print(f"  {text}", flush=True)


def start(columns: int, length: float) -> Wall:
    """The round wall before the first layer."""
    return Wall.round(Clock.even(columns), RADIUS, -15.0, length + 15.0)


def way(length: float, number: int = 0, closing: tuple[int, int] = (1, 1)) -> Path:
    """The torch's way in layer `number`."""
    inside = 0.25 * BEAD.width
    return spiral(inside, length - inside, PITCH, closing=closing, start_clock=number * TURN / 4.0)


def seconds(job: Callable[[], object]) -> float:
    """What one call takes."""
    began = time.perf_counter()
    job()
    return time.perf_counter() - began


def build_up(columns: int, length: float) -> tuple[float, int]:
    """Seconds in `lay` over all layers of the job, and beads laid times columns."""
    wall, spent, beads = start(columns, length), 0.0, 0
    for number in range(LAYERS):
        q = BEAD.area * wall.mean_radius(0.0, length)
        began = time.perf_counter()
        laid: Laid = lay(wall, way(length, number), BEAD, q, CONDITIONS)
        spent += time.perf_counter() - began
        beads += int((~np.isnan(laid.under)).sum())
        wall = laid.wall
    return spent, beads


def against_union() -> list[Row]:
    """One layer laid by the engine, against the solid union of the same beads by manifold3d."""
    once, wall = way(LENGTH, closing=(0, 0)), start(COLUMNS, LENGTH)
    solids = solid.turns(once, BEAD, RADIUS, cells=COLUMNS, step=0.1)
    say(
        f"{len(solids)} beads as solids, {sum(s.num_tri() for s in solids)} triangles; their "
        "union ..."
    )
    union = min(seconds(lambda: solid.union(solids)) for _ in range(2))
    engine = min(
        seconds(lambda: lay(wall, once, BEAD, BEAD.area * RADIUS, CONDITIONS)) for _ in range(15)
    )
    say(f"union {union:.2f} s (least of 2), engine {1e3 * engine:.2f} ms (least of 15)")
    ratio = union / engine
    return [
        Row(
            "engine faster than the solid union",
            f"{ratio:.0f} times",
            "at least 1000 times",
            ratio >= 1000.0,
        )
    ]


def per_bead() -> list[Row]:
    """Time per bead and column of the reference job, on one thread."""
    with one_thread():
        runs = [build_up(COLUMNS, LENGTH) for _ in range(15)]
    cost = 1e9 * min(spent for spent, _ in runs) / runs[0][1]
    say(f"{runs[0][1]} beads x columns in {1e3 * min(runs)[0]:.2f} ms (least of 15)")
    return [
        Row("one thread, per bead and column", f"{cost:.0f} ns", "at most 150 ns", cost <= 150.0)
    ]


def slope(name: str, jobs: list[tuple[int, float]]) -> Row:
    """Exponent of time over beads x columns through jobs (columns, length), each the least of 7 on
    one thread.
    """
    size, spent = [], []
    for columns, length in jobs:
        with one_thread():
            runs = [build_up(columns, length) for _ in range(7)]
        size.append(runs[0][1])
        spent.append(min(runs)[0])
        say(
            f"{columns:5d} columns, {length:5.0f} mm: {1e3 * spent[-1]:8.2f} ms, "
            f"{1e9 * spent[-1] / size[-1]:4.0f} ns"
        )
    exponent = float(np.polyfit(np.log(size), np.log(spent), 1)[0])
    return Row(name, f"exponent {exponent:.3f}", "0.9 to 1.1", abs(exponent - 1.0) <= 0.1)


def in_proportion() -> list[Row]:
    """Cost against columns and against turns, over a factor of 100."""
    columns = (72, 228, 720, 2277, 7200)
    return [
        slope("cost over columns, 100 mm", [(n, 100.0) for n in columns]),
        slope("cost over columns, 800 mm", [(n, 800.0) for n in columns]),
        slope("cost over turns, 720 columns", [(COLUMNS, 3.5 * k) for k in (4, 12, 40, 120, 400)]),
    ]


@numba.njit(nogil=True)  # type: ignore[untyped-decorator]
def arithmetic(n: int) -> float:
    """Nothing but arithmetic in registers."""
    x = 0.5
    for _ in range(n):
        x = 3.9 * x * (1.0 - x)
    return x


def on_two_threads() -> list[Row]:
    """How a lay of 7200 columns scales from one thread to two, against a loop of pure arithmetic
    beside it.
    """
    if (os.cpu_count() or 1) < 2:
        return [Row("two threads", "one core only", "two cores", False)]
    wall, once, n = start(7200, LENGTH), way(LENGTH), 4_000_000
    welded = lay(wall, once, BEAD, BEAD.area * RADIUS, CONDITIONS).wall
    pool = ThreadPoolExecutor(1)

    def layer() -> None:
        lay(welded, way(LENGTH, 1), BEAD, BEAD.area * 40.0, CONDITIONS)

    def halves() -> None:
        other = pool.submit(arithmetic, n // 2)
        arithmetic(n // 2)
        other.result()

    arithmetic(1)
    scaling: list[tuple[float, float]] = []
    with mock.patch("sim.bore.wall.os.cpu_count", return_value=2):
        for _ in range(300):
            with one_thread():
                alone = seconds(layer)
            loop, both, loop_both = seconds(lambda: arithmetic(n)), seconds(layer), seconds(halves)
            # Where the loop itself does not scale, somebody else has the second core: nothing to
            # learn.
            if loop / loop_both > 1.5:
                scaling.append((alone / both, loop / loop_both))
            if len(scaling) == 15:
                break
    if len(scaling) < 5:
        return [
            Row(
                "two threads, share of pure scaling",
                "not measured: second core busy",
                "at least 0.75",
                False,
            )
        ]
    lays, loops = (statistics.median(one) for one in zip(*scaling, strict=True))
    say(
        f"lay {lays:.2f} times as fast on two threads, pure arithmetic {loops:.2f} (medians "
        f"of {len(scaling)})"
    )
    share = statistics.median(one / other for one, other in scaling)
    return [
        Row("two threads, share of pure scaling", f"{share:.2f}", "at least 0.75", share >= 0.75)
    ]


def whole_command() -> list[Row]:
    """The whole process `python -m sim simulate`, warm: median of 5 after one that is not counted."""
    rows = []
    for scene in SCENES:
        command = [sys.executable, "-m", "sim", "simulate", str(scene)]
        codes: list[int] = []

        def run(command: list[str] = command, codes: list[int] = codes) -> None:
            codes.append(subprocess.run(command, capture_output=True, check=False).returncode)

        spent = statistics.median([seconds(run) for _ in range(6)][1:])
        say(f"{scene.name}: {spent:.2f} s, exit {codes[-1]}")
        ok = spent < 2.0 and set(codes) <= {0, 3}
        rows.append(Row(f"simulate {scene.name}", f"{spent:.2f} s", "under 2 s", ok))
    return rows


def fuzz(count: int = 10_000) -> list[Row]:
    """Mutated scenes and readings: a verdict or a sentence for each, and no clean-up denied by a
    finer run.
    """
    told: Counter[str] = Counter()
    for first in range(0, count, 500):
        told += many(10_000 + first, 500)
        say(f"{first + 500} of {count}: {dict(told)}")
    return [
        Row(
            "fuzz",
            f"{sum(told.values())} jobs, none astray",
            f"{count}",
            sum(told.values()) == count,
        )
    ]


def in_browser() -> list[Row]:
    """The page in Chromium: first page, changes, 3-D views, memory over 300 changes, ten sessions."""
    from tests.speed import page

    return [Row(*row) for row in page.measured(say)]


MEASURES: dict[str, Callable[[], list[Row]]] = {
    "union": against_union,
    "bead": per_bead,
    "proportion": in_proportion,
    "threads": on_two_threads,
    "command": whole_command,
    "fuzz": fuzz,
    "page": in_browser,
}


def main(names: list[str]) -> int:
    """Measure what is named and print the table; 1 when something is too slow, 2 for an unknown
    name.
    """
    unknown = [name for name in names if name not in MEASURES]
    if unknown:
        print(f"no measure {unknown[0]!r}: choose from {', '.join(MEASURES)}", file=sys.stderr)
        return 2
    if not compiled():
        say("compiling the engine first, once")
    build_up(2 * COLUMNS, LENGTH)
    rows: list[Row] = []
    for name in names or list(MEASURES):
        print(f"{name}: {(MEASURES[name].__doc__ or '').splitlines()[0]}", flush=True)
        rows += MEASURES[name]()
    wide = [max(len(str(row[k])) for row in rows) for k in range(3)]
    print()
    for row in rows:
        print(
            "  ".join(str(row[k]).ljust(wide[k]) for k in range(3))
            + ("  ok" if row.ok else "  NOT MET")
        )
    return 0 if all(row.ok for row in rows) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
