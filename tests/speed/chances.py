"""How fast draws, comparisons and plans are: `python -m tests.speed.chances`, from the top of the
project.

Cost of a draw as a ratio to the bare engine in the same run (processor time, one thread); the rest
is wall time on the machine as it is. Exit 1 when a mark is not met.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

from sim.bore.wall import one_thread
from sim.job.change import changed
from sim.job.read import load
from sim.plan.compare import compare
from sim.plan.odds.draws import draw
from sim.plan.odds.one_draw import outcome
from sim.plan.odds.spreads_of_job import spreads_of, ways_of
from sim.plan.odds.verdict import decide
from sim.plan.recommend import recommend
from sim.shop.ready_to_lay import made_ready
from tests.speed.closed_loop import job

REFERENCE = {"layer.repeat": 4, "layer.pitch_mm": 3.5}


def seconds(work: Callable[[], object], clock: Callable[[], float] = time.perf_counter) -> float:
    """What one call takes."""
    began = clock()
    work()
    return clock() - began


def cost_of_a_draw() -> float:
    """A draw made, laid and judged, over the bare engine: the same job laid and judged with nothing
    drawn; least of 5.
    """
    scene = changed(load("scenes/cleans_up.toml"), REFERENCE)
    ready = made_ready(scene, 360)
    spreads, ways = spreads_of(scene, ready.settings), ways_of(ready.settings)
    nothing = draw(spreads.off(), ways, 1, 0)

    def bare() -> None:
        for _ in range(20):
            outcome(ready, nothing)

    def drawn() -> None:
        for k in range(20):
            outcome(ready, draw(spreads, ways, 1, k))

    with one_thread():
        pairs = [
            (seconds(drawn, time.process_time), seconds(bare, time.process_time)) for _ in range(6)
        ][1:]
    return min(a for a, _ in pairs) / min(b for _, b in pairs)


def main() -> int:
    """Measure and print; 1 when a mark is not met."""
    scene = changed(load("scenes/cleans_up.toml"), REFERENCE)
    compare(scene, {"layer.pitch_mm": [3.0]}, nominal=True)
    ratio = cost_of_a_draw()
    print(f"cost of a draw over the bare engine: {ratio:.2f} (at most 1.3)", flush=True)
    found: list[object] = []
    spent = seconds(lambda: found.append(decide(scene, draws=1000)))
    print(
        f"1000 draws of the reference job, 4 layers: {spent:.1f} s (3 s on two idle cores)",
        flush=True,
    )
    pitches = {"layer.pitch_mm": [2.5 + 0.01 * k for k in range(200)]}
    cases = seconds(lambda: compare(load("scenes/cleans_up.toml"), pitches, nominal=True))
    print(f"a comparison of 200 cases: {cases:.1f} s (3 s on two idle cores)", flush=True)
    plans = sorted(seconds(lambda n=n: recommend(job(n).scene)) for n in range(9))  # type: ignore[misc]
    print(
        f"a plan of a closed-loop job: {plans[4]:.1f} s median, {plans[-1]:.1f} s at most of "
        "9 (3 s on two idle cores)",
        flush=True,
    )
    return 0 if ratio <= 1.3 and spent <= 3.0 and cases <= 3.0 and plans[4] <= 3.0 else 1


if __name__ == "__main__":
    sys.exit(main())
