"""The job turn by turn: how soon it is ready, its size, ten sessions at once, and ten while a film
is made.

python -m tests.speed.turns
"""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor

from sim.job.change import changed
from sim.job.read import load
from sim.pictures.process.keeper import turns, viewer
from sim.pictures.turn_by_turn.film import made
from sim.pictures.turn_by_turn.film_shots import film as film_of
from sim.pictures.turn_by_turn.growth import growth
from sim.shop.result import Result
from sim.shop.run import simulate
from tests.speed.page import ROOT

LONG = {
    "bore.length_mm": 900.0,
    "layer.1.repeat": 5,
    "layer.1.pitch_mm": 2.4,
    "bore.far_from_original": True,
    "worn.diameter_mm": 140.0,
    "pre_bore.diameter_mm": 141.0,
}


def ready(result: Result) -> tuple[float, float, int]:
    """Time to hold the growth, time to the page [s], and bytes of the page."""
    start = time.perf_counter()
    grown = growth(result)
    held = time.perf_counter() - start
    shown = turns(grown, wait=60.0)
    return held, time.perf_counter() - start, len(shown.html or "")


def ten(results: list[Result], what: str) -> None:
    """All jobs at once, each in a thread of its own."""
    with ThreadPoolExecutor(len(results)) as sessions:
        times = sorted(whole for _, whole, _ in sessions.map(ready, results))
    print(f"{what}: median {times[len(times) // 2]:.2f} s, slowest {times[-1]:.2f} s", flush=True)


def main() -> None:
    """Print as it goes."""
    base = load(ROOT / "scenes" / "cleans_up.toml")
    viewer().warm()
    start = time.perf_counter()
    first = simulate(base)
    judged = time.perf_counter() - start
    held, whole, size = ready(first)
    print(
        f"reference job: growth {held:.2f} s (judging it {judged:.2f} s), page {whole:.2f} "
        f"s, {size / 1000:.0f} kB",
        flush=True,
    )
    held, whole, size = ready(simulate(changed(base, LONG)))
    print(f"2000 turns: growth {held:.2f} s, page {whole:.2f} s, {size / 1000:.0f} kB", flush=True)
    jobs = [simulate(changed(base, {"layer.pitch_mm": 3.0 + 0.05 * k})) for k in range(10)]
    ten(jobs, "ten different jobs at once")
    ten(jobs, "the same again, pages kept")
    drawn = film_of(first, growth(first))
    begun = time.perf_counter()
    maker = threading.Thread(target=lambda: list(made(drawn)))
    maker.start()
    ten(jobs, "while a film of 60 frames is made")
    maker.join()
    print(f"the film: {time.perf_counter() - begun:.1f} s", flush=True)


if __name__ == "__main__":
    main()
