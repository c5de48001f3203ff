"""Heat and steel: the edges, the orders and the refusals; named published values are
rows of `sim.evidence`.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.laws.cooling import cooling_time
from sim.laws.interpass import Ring
from sim.laws.preheat import minimum_preheat, preheat_by_cet
from sim.laws.steel_composition import Composition, outside_cet
from sim.laws.weld_positions import QUALIFIES, in_group, main_positions, positions, way_at
from sim.reference.arrays import TURN


@given(heat=st.floats(0.1, 5.0), preheat=st.floats(-20.0, 300.0))
def test_both_flows_meet_at_the_transition_thickness(heat, preheat):
    # At the transition thickness the two formulas of EN 1011-2 Annex D are equal by definition.
    at = cooling_time(heat, preheat, None).transition
    thin = cooling_time(heat, preheat, at * (1.0 - 1e-9))
    thick = cooling_time(heat, preheat, at * (1.0 + 1e-9))
    assert (thin.flow, thick.flow) == ("2-D", "3-D")
    assert thin.time == pytest.approx(thick.time, rel=1e-6)


@given(heat=st.floats(0.1, 5.0), thickness=st.floats(3.0, 100.0), preheat=st.floats(0.0, 300.0))
def test_thinner_and_warmer_cool_slower(heat, thickness, preheat):
    one = cooling_time(heat, preheat, thickness).time
    assert cooling_time(heat, preheat, 0.9 * thickness).time >= one * (1.0 - 1e-12)
    assert cooling_time(heat, preheat + 50.0, thickness).time > one


@pytest.mark.parametrize(
    ("heat", "preheat"), [(0.0, 20.0), (-1.0, 20.0), (1.0, 500.0), (math.nan, 20.0)]
)
def test_cooling_time_refuses_what_it_cannot(heat, preheat):
    with pytest.raises(ValueError, match="must be"):
        cooling_time(heat, preheat, None)


@given(
    add=st.sampled_from(
        ["silicon", "manganese", "chromium", "molybdenum", "vanadium", "nickel", "copper", "boron"]
    )
)
def test_no_element_lowers_a_carbon_equivalent(add):
    plain, rich = (
        Composition(carbon=0.2, manganese=1.0),
        Composition(**{"carbon": 0.2, "manganese": 1.0, add: 1.5 if add != "boron" else 0.01}),
    )
    assert rich.ce >= plain.ce and rich.cet >= plain.cet and rich.pcm >= plain.pcm


@pytest.mark.parametrize(
    "held", [{"carbon": -0.1}, {"carbon": math.nan}, {"carbon": 0.2, "nickel": 120.0}]
)
def test_a_composition_that_is_none_is_refused(held):
    with pytest.raises(ValueError, match="every element"):
        Composition(**held)


def test_steels_the_preheat_formula_was_not_made_for_are_named():
    assert outside_cet(Composition(carbon=0.18, manganese=1.4)) == ()
    named = outside_cet(Composition(carbon=0.45, manganese=0.7, chromium=1.6))
    assert [one["name"] for one in named] == ["carbon", "chromium"]


def test_preheat_rises_with_carbon_hydrogen_and_thickness_and_falls_with_heat():
    told = [
        preheat_by_cet(*case).temperature
        for case in (
            (0.3, 25.0, 5.0, 1.0),
            (0.35, 25.0, 5.0, 1.0),
            (0.3, 40.0, 5.0, 1.0),
            (0.3, 25.0, 10.0, 1.0),
        )
    ]
    assert all(value > told[0] for value in told[1:])
    assert preheat_by_cet(0.3, 25.0, 5.0, 2.0).temperature < told[0]


@pytest.mark.parametrize(("category", "thickness"), [("D", 20.0), ("", 20.0), ("B", 2.9)])
def test_the_table_has_no_other_category_nor_thin_sheet(category, thickness):
    with pytest.raises(ValueError, match="the table has"):
        minimum_preheat(category, thickness)


def test_a_ring_that_cannot_cool_or_warm_that_far_never_does():
    ring = Ring(mass=10.0, area=0.1, specific_heat=500.0, film=20.0, air=20.0)
    assert ring.wait(100.0, 20.0) == math.inf
    assert ring.wait(100.0, 150.0) == 0.0
    assert ring.time_to(20.0, 100.0, 300.0) == math.inf  # 100 W hold it 50 C above the air
    assert ring.time_to(320.0, 100.0, 300.0) == 0.0


@given(inclination=st.floats(-math.pi / 2, math.pi / 2), turning=st.sampled_from([1, -1]))
def test_positions_fill_the_clock_once_and_turn_over_with_the_turning(inclination, turning):
    found = positions(inclination, turning)
    spans = [(p.end - p.start) % TURN or TURN for p in found]
    assert sum(spans) == pytest.approx(TURN, abs=1e-6)
    middle = [(p.start + 0.5 * span) % TURN for p, span in zip(found, spans, strict=True)]
    other = {"vertical up": "vertical down", "vertical down": "vertical up"}
    for p, clock in zip(found, middle, strict=True):
        assert way_at(clock, inclination, turning) == p.way
        assert way_at(clock, inclination, -turning) == other.get(p.way, p.way)


def test_names_on_a_procedure_are_taken_apart():
    assert main_positions("") == set()
    assert main_positions("pa; 3G up,4g") == {"PA", "PF", "PE"}
    assert main_positions("PK") == {"PA", "PE", "PF", "PG"}
    assert {name for held in QUALIFIES.values() for name in held} == {"PA", "PC", "PE", "PF", "PG"}
    with pytest.raises(ValueError, match="'PX': not a weld position"):
        main_positions("PA, PX")


def test_steel_groups():
    assert in_group("1.2", "1.1, 1.2") and in_group("1.2", "1") and in_group(" 1.2 ", "2; 1")
    assert not in_group("1.3", "1.1, 1.2") and not in_group("11", "1") and not in_group("2.1", "")
