"""Mutated scenes and readings: none may end in a traceback, a hang, or a "cleans up" that a finer
run denies.
"""

from __future__ import annotations

import random
import re
import time
from collections import Counter

from sim.job.change import changed
from sim.job.files import decoded, shipped
from sim.job.read import load, parse
from sim.job.write import to_text
from sim.reference.errors import SceneError
from sim.shop.run import simulate

FACTORS = (0.0, -1.0, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0, 1e3, 1e9)
NUMBER = re.compile(r"-?\d+\.?\d*")
LONGEST = 60.0


def mutated(data: bytes, rng: random.Random) -> bytes:
    """The file with one to four things changed: a number, a byte, a line, a piece."""
    for _ in range(rng.randint(1, 4)):
        how = rng.random()
        if how < 0.6:
            text = data.decode("utf-8", "replace")
            found = list(NUMBER.finditer(text))
            if found:
                spot = rng.choice(found)
                new = f"{float(spot[0]) * rng.choice(FACTORS):.6g}"
                data = (text[: spot.start()] + new + text[spot.end() :]).encode()
        elif how < 0.75 and data:
            k = rng.randrange(len(data))
            data = data[:k] + bytes([rng.randrange(256)]) + data[k + 1 :]
        else:
            lines = data.split(b"\n")
            k = rng.randrange(len(lines))
            if how < 0.9:
                lines.pop(k)
            else:
                lines.insert(k, rng.choice(lines))
            data = b"\n".join(lines)
    return data


def one(seed: int) -> str:
    """Run one mutated job; what became of it, or an AssertionError that says how to do it again."""
    rng = random.Random(seed)
    path = rng.choice(shipped())
    text = (
        to_text(load(path), whole=True)
        .replace("schema = 1\n", "schema = 1\n[grid]\ncolumns = 96\n", 1)
        .encode()
    )
    began = time.monotonic()
    try:
        scene = parse(decoded(mutated(text, rng), name="m"), name="m")
        result = simulate(scene)
    except SceneError as fault:
        assert str(fault) and "\n" not in str(fault), (seed, str(fault))
        return "refused"
    assert time.monotonic() - began < LONGEST, (seed, "took too long")
    least, cut = result.stock.spot.value - result.stock_error, scene.cut.minimum_cut
    if least < cut:
        return "less than the cut as planned"
    finer = simulate(changed(scene, {"grid.columns": min(4 * scene.grid.columns, 2000)}))
    assert finer.stock.spot.value >= min(least - 1e-6, cut + finer.stock_error), (seed, "denied")
    return "the cut as planned"


def many(first: int, count: int) -> Counter[str]:
    """What became of `count` mutated jobs."""
    return Counter(one(seed) for seed in range(first, first + count))
