"""What a person may type into a field."""

import pytest

from sim.reference.units import KINDS, said, typed

GOOD = {
    "1/8 in": ("_in", 0.125), '0.125"': ("_in", 0.125), "5 thou": ("_in", 0.005), "3,2": ("_mm", 3.2), "3.2": ("_mm", 3.2),
    " 3.2 mm ": ("_mm", 3.2), "1 1/8 in": ("_in", 1.125), "80": ("_mm", 80.0), ".5in": ("_in", 0.5), "-0.1": ("_mm", -0.1),
}  # fmt: skip


@pytest.mark.parametrize("text", GOOD)
def test_lengths_as_people_write_them(text):
    assert typed(text, "length", "mm") == GOOD[text]


@pytest.mark.parametrize(
    "text", ["", "abc", "3 cm", "1/0 in", "1,234", "3..2", "1 2", "--3", "3 mm mm"]
)
def test_what_is_no_length_is_refused(text):
    with pytest.raises(ValueError, match="'"):
        typed(text, "length", "mm")


def test_the_pages_unit_is_meant_when_none_is_written():
    assert typed("3.2", "length", "in") == ("_in", 3.2)
    assert typed("440", "speed", "mm") == ("_mm_per_min", 440.0)
    assert typed("17 in/min", "speed", "mm") == ("_in_per_min", 17.0)
    assert typed("9:30", "clock", "mm") == ("_oclock", 9.5)
    assert typed("90", "angle", "in") == ("_deg", 90.0)


@pytest.mark.parametrize(("kind", "suffix", "value", "inside"), [
    ("length", "_in", 1.0, 25.4),  # exact since 1959
    ("speed", "_in_per_min", 17.32, 439.928 / 60.0),
    ("feed", "_m_per_min", 3.5, 3500.0 / 60.0),
    ("feed", "_in_per_min", 137.8, 3500.12 / 60.0),
    ("temperature", "_f", 212.0, 100.0),
    ("temperature", "_f", -40.0, -40.0),
    ("mass", "_lb", 1.0, 453.59237),
    ("cutting speed", "_ft_per_min", 100.0, 508.0),  # NIST SP 811: 1 ft/min = 5.08 mm/s
    ("power", "_hp", 1.0, 745.69987),  # NIST SP 811, horsepower of 550 ft lbf/s
    ("pressure", "_ksi", 36.0, 248.2113),  # NIST SP 811: 1 ksi = 6.894757 MPa; ASTM A36 yields at 36 ksi = 250 MPa
    ("flow", "_l_per_min", 15.0, 250000.0),
    ("flow", "_ft3_per_h", 30.0, 235973.7),  # NIST SP 811: 1 ft3/min = 4.719474e-4 m3/s
    ("density", "_lb_per_in3", 0.2836, 7.85e-3),  # carbon steel in handbook tables
    ("expansion", "_uin_per_in_f", 6.5, 11.7e-6),  # carbon steel in handbook tables
    ("energy", "_kj_per_in", 45.24, 1.7811024),  # AWS form 60 E I/S worked example, 1 in = 25.4 mm
    ("rotation", "_rpm", 60.0, 6.283185307),
    ("shop time", "_min", 2.0, 120.0),
    ("clock", "_oclock", 3.0, 1.570796327),
])  # fmt: skip
def test_what_a_unit_is_worth(kind, suffix, value, inside):
    # Figures of NIST SP 811 are from memory; each also follows from the inch and the pound, which
    # are exact.
    (unit,) = (one for one in KINDS[kind] if one.suffix == suffix)
    assert unit.inside(value) == pytest.approx(inside, rel=2e-4 if kind == "density" else 1e-6)
    assert unit.outside(unit.inside(value)) == pytest.approx(value, rel=1e-12)


def test_heat_input_of_the_worked_example_reads_in_both_units():
    # AWS form 60 E I/S: 325 A, 29 V, 12.5 in/min is 45.24 kJ/in, so 1.781 kJ/mm.
    joules = 60.0 * 325.0 * 29.0 / 12.5 / 1000.0
    assert joules == pytest.approx(45.24, abs=0.01)
    assert (
        said(joules / 25.4, "energy", "in") == "45.24 kJ/in"
        and said(joules / 25.4, "energy", "mm") == "1.78 kJ/mm"
    )
