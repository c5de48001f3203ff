"""What a person may type into a field."""

import pytest

from sim.reference.units import typed

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
