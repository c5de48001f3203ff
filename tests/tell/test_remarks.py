"""Remarks and their words: every remark the engine makes has its line, and every figure its place."""

import ast
import string

import pytest

from sim.reference.defaults import DEFAULTS
from sim.reference.remarks import Remark
from sim.reference.sizes_in_words import Say
from sim.tell.remarks import WORDS, lines, told
from tests.conftest import BELOW_TELL, ROOT

ENGINE = [p for room in BELOW_TELL for p in (ROOT / "sim" / room).rglob("*.py")]
MM, INCHES = Say("mm"), Say("in")


def made():
    """Every remark as it is made in the engine: what, names of its figures, where."""
    for path in ENGINE:
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Remark":
                what = node.args[0]
                names = [what.body, what.orelse] if isinstance(what, ast.IfExp) else [what]
                for name in names:
                    assert isinstance(name, ast.Constant), f"{path}: {node.lineno}: name it plainly"
                    yield name.value, {k.arg for k in node.keywords}, f"{path.name}:{node.lineno}"


def figures_in(words):
    """Names of the figures in a line, those in the way a figure is said included."""
    for _, name, spec, _ in string.Formatter().parse(words):
        if name is not None:
            yield name.partition(".")[0].partition("[")[0]
            yield from figures_in(spec or "")


@pytest.mark.parametrize(("what", "figures", "where"), list(made()))
def test_every_remark_has_its_line_and_every_figure_its_place(what, figures, where):
    assert set(figures_in(WORDS[what])) == figures, where


def test_no_line_stands_without_a_remark():
    assert set(WORDS) == {what for what, _, _ in made()}


def test_a_size_is_said_in_the_units_of_the_job():
    # 25.4 mm = 1 in exactly; 95 F = 35 C; 1 lb = 453.59237 g
    bend = Remark("bar bends", bend=0.0254, across=0.0508, tolerance=0.0127)
    assert "bends 0.025 mm per side at most, 0.051 mm on diameter" in told(bend, MM)
    assert "bends 0.0010 in per side at most, 0.0020 in on diameter" in told(bend, INCHES)


def test_several_remarks_in_one():
    two = tuple(
        Remark("feed of a pass", kind=k, wished=0.1, feed=0.254) for k in ("rough", "finish")
    )
    assert lines([Remark("bar cannot feed", passes=two)], MM) == [
        "The bar cannot feed, per turn, 0.100 mm (rough; nearest it can: 0.254 mm), "
        "0.100 mm (finish; nearest it can: 0.254 mm)."
    ]


def test_a_default_is_said_with_its_source():
    taken = Remark(
        "taken for the bar",
        name="bar's modulus",
        value=206000.0,
        kind="pressure",
        digits=0,
        known=DEFAULTS["bar.modulus"],
    )
    # 1 ksi = 6.894757 N/mm2
    assert told(taken, INCHES) == "bar's modulus 29878 ksi (published: steel, handbook value)."


def test_remarks_are_plain_values():
    one = Remark("bar bends", layer=2, bend=0.1)
    assert one == Remark("bar bends", layer=2, bend=0.1) and hash(one) == hash(
        Remark("bar bends", layer=2, bend=0.1)
    )
    assert one != Remark("bar bends", layer=1, bend=0.1)
    with pytest.raises(AttributeError):
        one.layer = 3
    with pytest.raises(KeyError):
        told(one, MM)


def test_two_values_are_said_as_from_one_to_the_other():
    # 400 and 640 mm/min in in/min: over 25.4
    run = Remark(
        "gravity run on past its table", travel=300.0 / 60.0, table=(400.0 / 60.0, 640.0 / 60.0)
    )
    assert told(run, MM).endswith("at 300 mm/min is run on past its table (400 to 640 mm/min)")
    assert told(run, INCHES).endswith(
        "at 11.8 in/min is run on past its table (15.7 to 25.2 in/min)"
    )
    warm = Remark("part warm", part=(30.0, 30.0), reference=20.0, error=0.0127, kind="diameter")
    assert "warm (30 C in the bore): readings brought to 20 C are good to 0.013 mm" in told(
        warm, MM
    )
    assert "warm (86 F in the bore): readings brought to 68 F are good to 0.0005 in" in told(
        warm, INCHES
    )


def test_areas_defaults_and_ranges_of_laws_are_said_in_the_units_of_the_job():
    # 1 in2 = 645.16 mm2; 1 kJ/in = 1/25.4 kJ/mm
    bead = Remark("bead may not hold", area=12.9032, most=10.0)
    assert told(bead, MM) == "a bead of 12.9 mm2 may not hold on the climbing side (about 10 mm2)"
    assert "a bead of 0.0200 in2" in told(bead, INCHES) and "(about 0.016 in2)" in told(
        bead, INCHES
    )
    past = Remark("past a law", name="heat input", value=0.26, unit="kJ/mm", made_for=(0.5, 4.0))
    assert told(past, MM) == "heat input 0.26 kJ/mm (made for 0.5 to 4 kJ/mm)"
    assert told(past, INCHES) == "heat input 6.6 kJ/in (made for 12.7 to 102 kJ/in)"
    quick = Remark("not pre-bored", known=DEFAULTS["quick.pre_bore"])
    assert told(quick, MM).endswith("; 0.3 to 1 mm)") and told(quick, INCHES).endswith(
        "; 0.0118 to 0.0394 in)"
    )
