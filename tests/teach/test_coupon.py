"""The overlap bench against algebra and against the engine's wall; "derived" means redone here
without its code.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from sim.job.change import changed
from sim.job.read import parse
from sim.reference.errors import SceneError
from sim.teach.bench import (
    CLOSEST,
    FLAT_TOP,
    TANGENT,
    Coupon,
    around_the_clock,
    carried_on,
    closest_of,
    pitches,
    section,
)
from sim.teach.bench_lessons import LESSONS, explain
from tests.bore.test_deposit import RIPPLE, washed
from tests.conftest import SMALL

FLAT = Coupon(beads=5)
BORE = Coupon(beads=5, diameter=83.0)


@pytest.mark.parametrize("column, tie_in", [(0, 0.0), (1, 0.5), (2, 1.0)])
@pytest.mark.parametrize("spacing", RIPPLE)
def test_a_layer_carried_on_has_the_exact_ripple(spacing, column, tie_in):
    """The table derived beside the engine's tests; rounded coarser beyond 0.738."""
    found = (
        carried_on(replace(FLAT, pitch=spacing * FLAT.width, tie_in=tie_in)).ripple / FLAT.height
    )
    assert found == pytest.approx(RIPPLE[spacing][column], abs=5e-4 if spacing <= 0.738 else 4e-3)


@given(st.floats(0.52, 0.99), st.floats(0.0, 1.0))
@settings(max_examples=30, deadline=None)
def test_crest_behind_the_torch_line(spacing, tie_in):
    """w/2 + e - pitch/2 behind, derived; bead 4 of 5 is not yet quite steady where valleys are far
    apart.
    """
    coupon = replace(FLAT, pitch=spacing * FLAT.width, tie_in=tie_in)
    wanted = FLAT.width * (0.5 + washed(spacing, tie_in)) - 0.5 * coupon.pitch
    assert section(coupon).setback == pytest.approx(wanted, abs=0.06)


@pytest.mark.parametrize("spacing", [0.55, 0.7, 0.9, 1.0])
def test_metal_moved_is_the_overlap_of_two_parabolas(spacing):
    """w h (2/3 - x + x^3/3): algebra."""
    found = section(replace(FLAT, pitch=spacing * FLAT.width)).moved
    assert found == pytest.approx(9.0 * (2.0 / 3.0 - spacing + spacing**3 / 3.0), abs=1e-4)


def test_flat_top_pitch():
    """At 2/3 w the mean height is the bead height: equal areas, Suryakumar et al. 2011 (memory)."""
    assert carried_on(replace(FLAT, pitch=FLAT_TOP * FLAT.width)).mean == pytest.approx(
        FLAT.height, abs=1e-5
    )


def test_tangent_pitch():
    """Where the valley under Ding's tangent is as large as the overlap; derived, Ding et al. 2015
    print 0.738 (memory).
    """

    def area(u):
        return u - 4.0 * u**3 / 3.0

    def short(x):
        s = math.sqrt(x * (1.0 - x))
        valley = 2.0 * s * s - (area(x / 2) - area(x - 0.5)) - (area(s - 0.5) + area(x / 2))
        return valley - (2.0 / 3.0 - x + x**3 / 3.0)

    assert pytest.approx(brentq(short, 0.6, 0.95), abs=1e-6) == TANGENT
    assert pytest.approx(0.738, abs=5e-4) == TANGENT


@pytest.mark.parametrize(
    "coupon",
    [
        FLAT,
        BORE,
        replace(BORE, clock=1.5 * math.pi),
        replace(FLAT, pitch=5.6),
        replace(FLAT, beads=2),
    ],
)
def test_what_is_drawn_is_the_engines_wall(coupon):
    """Every point drawn lies on the wall; the highest and lowest points told are those of a fine
    sample of it.
    """
    found = section(coupon)
    for wall in (*found.walls, found.pessimist):
        z, height = found.line(wall)
        assert height == pytest.approx(coupon.radius - wall.radius(z)[0], abs=1e-6)
    z = np.linspace(found.crests[0, 0], found.crests[-1, 0], 200001)
    height = coupon.radius - found.last.radius(z)[0]
    assert found.crest == pytest.approx(height.max(), abs=1e-6)
    assert found.valley == pytest.approx(height.min(), abs=1e-4)
    assert len(found.crests) == coupon.beads and len(found.valleys) == coupon.beads - 1


def test_metal_is_conserved_bead_by_bead():
    """Each wall holds the metal of its beads, q 2 pi each; conservation."""
    found = section(replace(BORE, pool_run=0.0))
    for number, wall in enumerate(found.walls, 1):
        laid = found.before.volume_to(wall, wall.start, wall.end)
        assert laid == pytest.approx(number * BORE.bead.area * 41.5 * 2.0 * math.pi, rel=1e-9)


def test_what_a_gauge_foot_reads():
    """5 x 1.8 mm at 3.5 in an 83 mm bore, no gravity: crests 79.22, mean 79.4975, valley 80.05 on
    diameter; derived.
    """
    plain = replace(BORE, gravity=0.0, pool_run=0.0)
    layer, found = carried_on(plain), section(plain)
    assert 83.0 - 2.0 * layer.crest == pytest.approx(79.22, abs=0.005)
    assert 83.0 - 2.0 * layer.mean == pytest.approx(79.49753, abs=1e-5)
    assert 83.0 - 2.0 * layer.valley == pytest.approx(80.05, abs=0.005)
    under = 41.5 - found.last.radius(np.linspace(4.0, 14.0, 100001))[0]
    assert found.foot_height == pytest.approx(under.max(), abs=1e-6)


def test_the_climbing_side_is_worse_and_turning_the_other_way_moves_it():
    """exp(c sin) of the published law: narrower, so wider spaced, so deeper valleys, at 9 clockwise
    and at 3 otherwise.
    """
    clocks = np.arange(12) * math.pi / 6.0
    valley = [layer.valley for layer in around_the_clock(BORE, clocks)]
    other = [layer.valley for layer in around_the_clock(replace(BORE, turning=-1), clocks)]
    assert int(np.argmin(valley)) == 9 and int(np.argmin(other)) == 3
    found = section(replace(BORE, clock=1.5 * math.pi))
    assert (
        found.width == pytest.approx(5.0 * math.exp(-0.23), rel=1e-12)
        and found.coupon.climbing == 1.0
    )


def test_black_under_the_last_cut():
    """Black where the wall is lower than the cut, sampled; none below the deepest valley."""
    found = section(replace(FLAT, cut=1.6))
    z = np.linspace(0.0, found.torch[-1], 400001)
    share = float((1e6 - found.last.radius(z)[0] < 1.6).mean())
    assert share > 0.05 and found.black_width / found.torch[-1] == pytest.approx(share, abs=1e-4)
    assert section(replace(FLAT, cut=found.valley - 1e-6)).black_width == 0.0
    assert section(replace(FLAT, cut=found.valley + 1e-3)).black_width > 0.0


def test_closer_pitch_lifts_the_valley_and_costs_metal():
    layers = pitches(FLAT, np.array([1.0, 0.9, 0.8, 0.7, 0.6]))
    assert (np.diff([one.valley for one in layers]) > 0.0).all() and (
        np.diff([one.mean for one in layers]) > 0.0
    ).all()
    assert layers[0].valley == pytest.approx(0.0, abs=1e-9)


def test_the_pessimist_never_promises_more():
    for spacing in (0.55, 0.7, 0.9):
        found = section(replace(FLAT, pitch=5.0 * spacing))
        assert found.pessimist_valley <= found.valley + 1e-9


def test_a_bore_too_small_is_one_sentence():
    with pytest.raises(
        SceneError, match="the bench: bore = 6 mm on diameter: the beads do not fit"
    ):
        section(Coupon(diameter=6.0, width=5.0, height=2.5, pitch=2.6, gravity=0.0))


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda one: one.title)
def test_every_lesson_shows_what_it_says(lesson):
    """What a lesson promises is asked of the engine's figures."""
    found = section(lesson.coupon)
    assert lesson.holds(found), lesson.title
    assert all(one.inputs and one.source for one in explain(found, "mm"))


def test_formulas_of_the_bench_come_out_as_shown():
    """The closed forms named beside the numbers, worked out here from the numbers shown."""
    told = {one.what: one for one in explain(section(replace(FLAT, beads=5)), "mm")}
    assert told["mean line"].value.startswith("1.76 mm") and "1.714 mm" in told["mean line"].inputs
    assert told["metal moved from overlap to valley"].value == "0.73 mm2 for each pair"
    assert (
        "3.33 mm" in told["flat-top and tangent pitch"].value
        and "3.69 mm" in told["flat-top and tangent pitch"].value
    )


def test_beads_on_top_of_each_other_are_one_sentence():
    with pytest.raises(SceneError, match=r"pitch = 0\.40 of the bead width here: at least 0\.51"):
        section(replace(FLAT, pitch=2.0))


def test_pitches_closer_than_half_are_drawn_where_the_procedure_is_qualified_for_them():
    """By hand: a procedure qualified for 55 % of bead overlap allows a pitch of 0.45 of the width."""
    scene = parse(SMALL)
    qualified = changed(scene, {"procedure.overlap_most": 0.55})
    assert closest_of(None) == closest_of(scene) == CLOSEST
    assert closest_of(qualified) == pytest.approx(0.45)
    assert closest_of(changed(scene, {"procedure.overlap_most": 0.3})) == CLOSEST
    close = Coupon(pitch=0.45 * 5.0, width=5.0)
    with pytest.raises(SceneError, match=r"at least 0\.51"):
        section(close)
    drawn = section(replace(close, closest=closest_of(qualified)))
    assert len(drawn.valleys) >= 1 and drawn.valley < drawn.crest
    with pytest.raises(SceneError, match=r"at least 0\.45"):
        section(replace(close, pitch=2.2, closest=0.45))
