"""The table of what strays: every row can be switched off, and every key and column has its row."""

import dataclasses
from dataclasses import replace

import numpy as np
import pytest

from sim.job.change import changed
from sim.job.sections.plan import FromReadings, Spread
from sim.plan.odds.draws import Draw, draw
from sim.plan.odds.spreads import Seen
from sim.plan.odds.spreads_of_job import spreads_of
from sim.plan.odds.strays import BY_NAME, COLUMNS, GROUPS, SEEN, STRAYS
from sim.shop.ready_to_lay import made_ready
from tests.plan.test_scatter import FULL, WAYS

KEYS = [each.name for each in dataclasses.fields(Spread) if each.name != "known"]
VALUES = [  # odd: as it is grown; wide: counted in standard deviations, whatever these are
    each.name
    for each in dataclasses.fields(Draw)
    if each.name not in ("index", "beads", "odd", "wide")
]
CLOCK = np.linspace(0.0, 6.0, 7)
FOUND = FromReadings(
    layers=1, laid=1.02, laid_spread=0.01, area=1.01, area_spread=0.02, tie_in=0.4, pool_run=0.8,
    torch=(0.1, 0.0, 0.1, 0.0), torch_spread=(0.1,) * 4, law=0.02, edge=0.1, width=0.3, gravity=1.1,
)  # fmt: skip
LEFT = tuple(map(tuple, (0.02 * np.eye(SEEN)).tolist()))


def told(drawn):
    """Everything a job is laid with in a draw, as plain values."""
    beads = [(one.q_turn, one.w_turn, one.q_along) for one in drawn.beads]
    values = [np.asarray(getattr(drawn, name)).tolist() for name in VALUES]
    return [
        *values,
        drawn.grown(CLOCK).tolist(),
        *(part.tolist() for bead in beads for part in bead),
    ]


@pytest.mark.parametrize("seen", [None, Seen(FOUND, LEFT)], ids=["as planned", "after readings"])
@pytest.mark.parametrize("name", GROUPS)
def test_every_row_strays_alone_and_not_when_it_is_off(name, seen):
    alone = replace(FULL, crest=0.05, seen=seen)
    for other in GROUPS:
        alone = alone if other == name else alone.without(other)
    first, *more = (told(draw(alone, WAYS, 1, k)) for k in range(4))
    assert all(one != first for one in more)
    first, *more = (told(draw(alone.without(name), WAYS, 1, k)) for k in range(4))
    assert all(one == first for one in more)


@pytest.mark.parametrize("key", KEYS)
def test_every_spread_key_belongs_to_exactly_one_row(small, key):
    # It changes what is drawn; with the row it stands in switched off it changes nothing.
    (row,) = (row for row in STRAYS if key in row.keys)
    scene = changed(small, {"layer.wire_feed_m_per_min": 4.0, "process.tie_in_measured": True})
    other = replace(
        scene, spread=replace(scene.spread, **{key: 0.7 * getattr(scene.spread, key) + 0.1})
    )
    layers = made_ready(scene, 48).settings
    one, two = spreads_of(scene, layers), spreads_of(other, layers)
    assert told(draw(one, WAYS, 1, 3)) != told(draw(two, WAYS, 1, 3))
    assert told(draw(one.without(row.name), WAYS, 1, 3)) == told(
        draw(two.without(row.name), WAYS, 1, 3)
    )


def test_no_key_or_place_stands_twice():
    keys = [key for row in STRAYS for key in row.keys]
    assert sorted(keys) == sorted(KEYS)
    for part in ("normal", "even", "by_turn"):
        taken = [
            place
            for row in STRAYS
            for at in getattr(row, part).values()
            for place in (range(at.start, at.stop) if isinstance(at, slice) else [at])
        ]
        assert sorted(taken) == list(range(len(taken)))  # none twice, none left out
    assert len(BY_NAME) == len(STRAYS)


def test_what_readings_see_is_what_an_update_keeps():
    kept = [each.name for each in dataclasses.fields(FromReadings)]
    spread = [name for name in kept if f"{name}_spread" in kept]
    assert [column.key for column in COLUMNS] == spread
    assert sum(column.count for column in COLUMNS) == SEEN
    drawn = draw(FULL, WAYS, 1, 0)
    for column in COLUMNS:
        if column.drawn:
            assert np.size(getattr(drawn, column.drawn)) == column.count
