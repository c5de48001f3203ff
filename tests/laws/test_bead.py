"""Beads where nobody measured them: what the law holds on to. Published values are rows of
`sim.evidence`.
"""

from sim.laws.gravity import gravity_coefficient


def test_gravity_is_never_below_what_was_measured_at_its_slowest():
    # Common practice: below 400 mm/min the same table falls to .04 at 200, where the pool was too
    # large to trust; 0.20 is held.
    assert gravity_coefficient(200.0 / 60.0) == 0.20 and gravity_coefficient(100.0 / 60.0) == 0.20
