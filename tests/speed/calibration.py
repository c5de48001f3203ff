"""Are the draws right? `python -m tests.speed.calibration FILE [jobs a band]`, from the top of the
project; 600 a band when run in full.

Jobs of few turns, laid out to be promised about 90 to 95, 95 to 98 and over 98 of 100 by the draws,
are welded in the hidden process of the closed loop. Counted: what came out against what was
promised, and how many leave more than the typical and the bad figure. Several welds share one job
set up; standard errors are those of the jobs' own shares, so that sharing does not flatter them.
Results are added to FILE as they come: stop it when you like, and go on with the same command.
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np

from sim.bore.wall import one_thread
from sim.job.scene import Scene
from sim.plan.many_cases import Here
from sim.plan.odds.verdict import decide
from sim.plan.search.allowed import Allowed
from sim.plan.search.kinds import METAL, SEARCH_COLUMNS, SEARCHED, Search, kinds
from sim.plan.search.offers import Offer, layers_of
from sim.plan.search.turns import STEP, fewest, gain, turns_range
from sim.reference.errors import SceneError
from sim.shop.run import figures
from tests.speed.closed_loop import SMALL, WIDTH_ERROR, Job, Layers, job
from tests.speed.hidden import draw_hidden, least_stock

BANDS = ((0.90, 0.95), (0.95, 0.98), (0.98, 1.0001))
AIM = ((1.2, 1.75), (1.6, 2.15), (2.05, 2.9))
"""Standard deviations between the cut and the mean of the draws that a job is laid out for."""
DRAWS, FEW, WELDS = 400, 48, 8


def laid_out(one: Job, band: int) -> Scene | None:
    """The job with layers that leave the cut about so many standard deviations of the draws below
    their mean; None where no pitch allowed does.
    """
    rng = np.random.default_rng((2025, one.number, 3))
    aim = rng.uniform(*AIM[band])
    search = Search.of(one.scene, Allowed.of(one.scene), METAL)
    some = kinds(search)
    for pick in rng.permutation(len(some))[:4]:
        kind = some[pick]
        first, last = turns_range(search, kind)

        def spare(count: int, kind: Any = kind) -> float:
            least = search.bench.least(search.planned(kind, count * STEP), SEARCHED[:FEW])
            least = np.nan_to_num(least, nan=-1e3)
            return float(least.mean() - aim * least.std()) - one.part.minimum_cut

        each = gain(search, kind) * STEP
        guess = (first + last) // 2
        try:
            steps = fewest(spare, first, last, guess, each) if first <= last else None
        except SceneError:
            continue
        if steps is not None:
            return search.planned(kind, steps * STEP)
    return None


def welded(one: Job, layers: Layers) -> Iterator[float]:
    """Least stock [mm] that the hidden process leaves, weld after weld: each time another process
    and another true bead behind the one measured.
    """
    for weld in range(WELDS):
        rng = np.random.default_rng((2025, one.number, 4, weld))
        true = replace(
            one.bead,
            width=one.scene.bead.width + rng.normal(0.0, WIDTH_ERROR),
            travel_power=rng.uniform(-0.78, -0.62),
        )
        yield least_stock(one.part, true, draw_hidden(rng), layers)


def row(number: int) -> dict[str, Any]:
    """One job: what was promised, its typical and bad figure, and what came out of its welds."""
    one = job(number, series=2025, **SMALL)
    scene = laid_out(one, number % len(BANDS))
    if scene is None:
        return {"job": number, "promised": None}
    try:
        told = decide(scene, draws=DRAWS, executor=Here())
    except SceneError:  # the head would not pass
        return {"job": number, "promised": None}
    offer = SimpleNamespace(scene=scene, figures=figures(scene, SEARCH_COLUMNS))
    return {
        "job": number,
        "promised": told.clean_up_of_100.value / 100.0,
        "typical": told.least_stock.typical,
        "bad": told.least_stock.bad,
        "spread": float(np.nanstd(told.least)),
        "layers": len(scene.layers),
        "came": [round(v, 4) for v in welded(one, layers_of(cast("Offer", offer)))],
    }


def kept(path: Path) -> list[dict[str, Any]]:
    """Rows in the file; a last line cut short is passed over."""
    if not path.exists():
        return []
    lines = path.read_text(encoding="utf-8").splitlines()
    return [json.loads(line) for line in lines if line.endswith("}")]


def share(parts: list[list[bool]]) -> tuple[float, float]:
    """Share of all welds, and its standard error from job to job, never less than that of as many
    single welds.
    """
    means, welds = np.array([np.mean(one) for one in parts]), sum(map(len, parts))
    p = float(means.mean())
    single = math.sqrt(max(p * (1.0 - p), 0.25 / welds) / welds)
    between = float(means.std(ddof=1)) / math.sqrt(len(means)) if len(means) > 1 else 0.5
    return p, max(single, between)


def main(arguments: list[str]) -> int:
    """Weld what is missing, and print the table; 1 when a mark is not met."""
    path, wanted = Path(arguments[0]), int(arguments[1]) if len(arguments) > 1 else 600
    rows = kept(path)
    while min(map(len, (welds_in(rows, band) for band in BANDS))) < wanted:
        number = 1 + max((one["job"] for one in rows), default=-1)
        with one_thread():
            rows.append(row(number))
        with path.open("a", encoding="utf-8") as out:
            out.write(json.dumps(rows[-1]) + "\n")
    return told(rows)


def welds_in(rows: list[dict[str, Any]], band: tuple[float, float]) -> list[float]:
    """What came out of all welds of the jobs promised within a band."""
    return [v for one in jobs_in(rows, band) for v in one["came"]]


def jobs_in(rows: list[dict[str, Any]], band: tuple[float, float]) -> list[dict[str, Any]]:
    """Jobs promised within a band."""
    return [
        one for one in rows if one["promised"] is not None and band[0] <= one["promised"] < band[1]
    ]


def told(rows: list[dict[str, Any]]) -> int:
    """Print the table; 1 when a mark is not met."""
    good = True
    for band in BANDS:
        jobs = jobs_in(rows, band)
        if len(jobs) < 2:
            continue
        p, error = share([[v >= 0.25 for v in one["came"]] for one in jobs])
        fine = band[0] - 2.0 * error <= p <= band[1] + 2.0 * error
        good &= fine
        promised = np.mean([one["promised"] for one in jobs])
        print(
            f"promised {100 * band[0]:.0f} to {min(100 * band[1], 100):.0f}: {len(jobs)} jobs, "
            f"{sum(len(one['came']) for one in jobs)} welds; promised {100 * promised:.1f}, came "
            f"out {100 * p:.1f} +- {100 * error:.1f} of 100{'' if fine else '  OUTSIDE'}"
        )
    jobs = [one for one in rows if one["promised"] is not None]
    for name, wanted in (("typical", 0.5), ("bad", 0.95)):
        p, error = share([[v > one[name] for v in one["came"]] for one in jobs])
        fine = abs(p - wanted) <= 2.0 * error
        good &= fine
        print(
            f"above the {name} figure: {100 * p:.1f} +- {100 * error:.1f} of 100, "
            f"{100 * wanted:.0f} wanted, {len(jobs)} jobs{'' if fine else '  OUTSIDE'}"
        )
    off = [(np.median(one["came"]) - one["typical"]) / one["spread"] for one in jobs]
    wide = [np.std(one["came"], ddof=1) / one["spread"] for one in jobs]
    print(
        f"median of what came out over the typical figure: {np.mean(off):+.2f} standard deviations "
        f"of the draws; spread of what came out over theirs: {np.sqrt(np.mean(np.square(wide))):.2f}"
    )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
