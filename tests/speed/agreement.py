"""One verdict everywhere: `python -m tests.speed.agreement [jobs] [first]`, from the top of the
project; prints as it goes.

Every shipped scene, then so many random jobs (200), each asked at every place that speaks of it:
simulate, chance, compare at its own value, the sheet's stamp, the page's heading, the record read
back, the plan saved and simulated again, every remedy applied and simulated again, readings after a
layer. Exit 1 when any place says something else.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import numpy as np

from sim.job.change import changed
from sim.job.files import shipped
from sim.job.read import load
from sim.job.scene import Scene
from sim.plan.odds.verdict import decide
from sim.reference.errors import SceneError
from tests.agreement import differ, few, read_again
from tests.speed.closed_loop import job


def random_job(number: int) -> Scene:
    """Job `number`, the same each time: a few layers of any pitch, now and then another bore on the
    bar, a hole, a bead that nobody measured.
    """
    rng = np.random.default_rng((2026, number))
    scene = few(job(number).scene)
    width, build = scene.bead.width, scene.worn.diameter - scene.bore.final_diameter
    keys = {
        "layer.pitch_mm": round(float(rng.uniform(0.45, 0.8)) * width, 2),
        "layer.repeat": max(1, round(0.5 * build / 1.4 + float(rng.uniform(-0.4, 1.6)))),
        "layer.advance": str(rng.choice(["spiral", "step"])),
    }
    if rng.random() < 0.25:
        keys |= {
            "bore_on_bar.1.along_mm": 2.0 * scene.bore.length,
            "bore_on_bar.1.eccentric_mm": round(float(rng.uniform(0.0, 1.0)), 2),
        }
    if rng.random() < 0.2:
        keys |= {
            "oil_hole.1.at_oclock": float(rng.integers(1, 12)),
            "oil_hole.1.depth_mm": 0.5 * scene.bore.length,
            "oil_hole.1.diameter_mm": 6.0,
            "oil_hole.1.clear_mm": 3.0,
        }
    if rng.random() < 0.15:
        keys |= {"confidence.asked": 0.6}
    return changed(scene, keys)


def main() -> int:
    """Ask of every job; exit 1 where any place says something else."""
    count, first = (
        (int(v) for v in (*sys.argv[1:3], "200", "0")[:2])
        if len(sys.argv) > 2
        else (
            int(sys.argv[1]) if len(sys.argv) > 1 else 200,
            0,
        )
    )
    jobs = [(path.stem, lambda path=path: few(load(path))) for path in shipped()]
    jobs += [(f"random {k}", lambda k=k: random_job(k)) for k in range(first, first + count)]
    verdicts, wrong = Counter[str](), 0
    with tempfile.TemporaryDirectory() as place:
        for name, made in jobs:
            began, scene = time.monotonic(), made()
            try:
                verdict = decide(scene).verdict
                said = [*differ(scene, Path(place)), *_read(scene, Path(place))]
            except SceneError as fault:
                verdict, said = f"refused: {fault}", []
            verdicts[verdict.split(":")[0]] += 1
            wrong += bool(said)
            print(f"{name:<22} {verdict:<16} {time.monotonic() - began:5.1f} s", flush=True)
            for line in said:
                print(f"    {line}", flush=True)
    print(f"{len(jobs)} jobs, {wrong} of which are spoken of in two ways; {dict(verdicts)}")
    return 1 if wrong else 0


def _read(scene: Scene, place: Path) -> list[str]:
    """The same job read after its first layer, where there is one to read after."""
    fresh = scene.job.layers_done == 0 and scene.job.stage == "before the arc"
    return list(read_again(scene, place)) if fresh and len(scene.layers) > 1 else []


if __name__ == "__main__":
    sys.exit(main())
