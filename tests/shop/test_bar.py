"""Several bores on one bar: shared axes, and the one straight line that suits them all."""

import math

import numpy as np
import pytest

from sim.job.change import changed, digest
from sim.job.read import load, parse
from sim.job.write import to_text
from sim.reference.errors import SceneError
from sim.set_up.axes_and_areas import axes_of
from sim.shop.as_worn import shape_of
from sim.shop.run import simulate
from sim.shop.several_bores import best_line, bores, simulate_bar
from tests.conftest import SMALL, looks


@pytest.fixture(scope="module")
def lugs():
    return simulate_bar(changed(load("scenes/three_lugs.toml"), {"grid.columns": 180}))


def test_axes_of_every_bore_lie_on_one_line():
    scene = changed(
        load("scenes/three_lugs.toml"),
        {
            "axes.finish_entry_mm": 0.2,
            "axes.finish_entry_at_oclock": 1.0,
            "axes.finish_far_mm": 0.1,
            "axes.finish_far_at_oclock": 8.0,
        },
    )
    points = []
    for _, along, one in bores(scene):
        axis = axes_of(one).finish
        points += [(along, *axis.entry), (along + one.bore.length, *axis.far)]
    points = np.array(points)
    for column in (1, 2):
        line = np.polyval(np.polyfit(points[:, 0], points[:, column], 1), points[:, 0])
        np.testing.assert_allclose(points[:, column], line, atol=1e-9)


def test_first_bore_is_the_scene_alone(lugs):
    alone = simulate(changed(load("scenes/three_lugs.toml"), {"grid.columns": 180}))
    assert lugs[0].result.stock.spot.value == alone.stock.spot.value


def test_best_line_lifts_the_worst_bore_and_keeps_every_zone(lugs):
    axis, least = best_line(lugs)
    now = min(one.result.stock.spot.value for one in lugs)
    assert least > now
    for one in lugs:
        radius = 0.5 * one.result.scene.bore.location_zone
        for z in (one.along, one.along + one.result.scene.bore.length):
            assert math.hypot(*(float(v) for v in axis.at(z))) <= radius + 1e-9


def test_best_line_is_what_a_fresh_run_gives(lugs):
    # The linear programme is first order on the least of each cell; a fresh exact run of the moved
    # bar must agree.
    axis, least = best_line(lugs)
    scene = changed(load("scenes/three_lugs.toml"), {"grid.columns": 180})
    length = scene.bore.length
    change = {}
    for end, z in (("entry", 0.0), ("far", length)):
        x, y = (float(v) for v in axis.at(z))
        change |= {
            f"axes.finish_{end}_mm": math.hypot(x, y),
            f"axes.finish_{end}_at_oclock": math.atan2(x, -y) % (2 * math.pi) * 6 / math.pi,
        }
    again = simulate_bar(changed(scene, change))
    assert min(one.result.stock.spot.value for one in again) == pytest.approx(least, abs=0.02)


FIRST = "depth_mm,oclock,diameter_mm\n" + "".join(
    f"{z},{h},82.6\n" for z in (5, 50, 95) for h in (0, 2, 4)
)
SECOND = FIRST.replace("82.6", "90.0").replace("95,", "75,")


def read_bar(*more):
    """Two lugs with readings in the first, and what is said of the second."""
    text = to_text(load("scenes/readings_cold.toml"), whole=True)
    head, tail = text.split("[readings]")
    rest = tail[tail.index("[pre_bore]") :]
    second = "\n".join(["", "[[bore_on_bar]]", "along_mm = 300", "length_mm = 80", *more, ""])
    return parse(f'{head}[readings]\ntable = """\n{FIRST}"""\n\n{rest}{second}')


def test_a_bore_is_never_given_the_readings_of_another():
    with pytest.raises(SceneError, match=r"\[bore_on_bar 1\] neither readings nor diameter"):
        read_bar()
    with pytest.raises(SceneError, match=r"\[bore_on_bar 1\] both readings and worn sizes"):
        read_bar(f'table = """\n{SECOND}"""', "diameter_mm = 90")
    with pytest.raises(SceneError, match=r"\[bore_on_bar 1\] table: row 2: depth 85"):
        read_bar(f'table = """\n{SECOND.replace("5,0,", "85,0,")}"""')


@pytest.mark.parametrize(
    "own", ["diameter_mm = 90", f'table = """\n{SECOND}"""'], ids=["sizes", "readings"]
)
def test_a_second_bore_is_judged_by_its_own_size(own):
    # Given the first bore's readings the lug worn to 90 mm stood at 82.6: its wall is 3.7 mm
    # farther out.
    scene = read_bar(own)
    (_, _, one), (_, _, two) = bores(scene)
    middle = np.array([1.0]), np.array([40.0])
    assert shape_of(one).radius(*middle)[0] == pytest.approx(41.3, abs=1e-9)
    assert shape_of(two).radius(*middle)[0] == pytest.approx(45.0, abs=1e-9)
    assert to_text(parse(to_text(scene))) == to_text(scene) and digest(
        parse(to_text(scene))
    ) == digest(scene)


def test_readings_on_a_bar_come_from_files_too(tmp_path):
    scene = read_bar(f'table = """\n{SECOND}"""')
    (tmp_path / "second.csv").write_text(SECOND)
    text = to_text(scene)
    cut = text.index('table = """', text.index("[[bore_on_bar]]"))
    filed = parse(text[:cut] + 'file = "second.csv"\n', beside=tmp_path)
    assert digest(filed) == digest(scene) == digest(parse(to_text(filed, whole=True)))
    again = changed(filed, {"layer.pitch_mm": 3.0})
    assert again.bore_on_bar == filed.bore_on_bar


def test_the_bar_that_radii_are_read_from_runs_on_straight():
    # By hand: 0.2 mm off at 0 and 0.4 mm at 100 mm is 0.8 mm at 300 and 0.96 mm at 380.
    radii = SECOND.replace("diameter_mm", "radius_mm").replace("90.0", "45.0")
    scene = read_bar(f'table = """\n{radii}"""')
    scene = changed(
        scene,
        {
            "readings.bar_entry_mm": 0.2,
            "readings.bar_entry_at_oclock": 3.0,
            "readings.bar_far_mm": 0.4,
            "readings.bar_far_at_oclock": 3.0,
        },
    )
    read = bores(scene)[1][2].readings
    assert (read.bar_entry, read.bar_far) == (pytest.approx(0.8), pytest.approx(0.96))
    assert read.bar_far_at == pytest.approx(math.pi / 2)


# ---- what is in which bore
# -----------------------------------------------------------------------------------------------


def lugs_with(*more):
    """Two lugs, the second 30 mm long, and what more is in the scene file."""
    lug = ["[[bore_on_bar]]", 'name = "short lug"', "along_mm = 100", "length_mm = 30", *more, ""]
    return parse(SMALL + "\n".join(lug))


GOUGE = [
    "[[gouge]]",
    "at_oclock = 6",
    "depth_mm = 20",
    "length_mm = 10",
    "width_mm = 8",
    "deep_mm = 2.0",
]


def test_what_is_cut_into_one_bore_is_in_no_other():
    """2 mm deeper at the floor of the gouge in the bore it names, and nowhere in the other."""
    where = np.array([math.pi]), np.array([20.0])
    plain = [shape_of(one).radius(*where)[0] for _, _, one in bores(lugs_with())]
    named = lugs_with(*GOUGE, 'bore = "short lug"')
    dug = [shape_of(one).radius(*where)[0] for _, _, one in bores(named)]
    assert np.subtract(dug, plain) == pytest.approx([0.0, 2.0])
    bare = lugs_with(*GOUGE)
    dug = [shape_of(one).radius(*where)[0] for _, _, one in bores(bare)]
    assert np.subtract(dug, plain) == pytest.approx([2.0, 0.0])
    for scene in (named, bare):
        assert digest(parse(to_text(scene))) == digest(scene)
    # the whole job laid as it stands is its first bore: the other's gouge is not in it
    assert simulate(named).stock.spot.value == simulate(lugs_with()).stock.spot.value


def test_holes_and_areas_without_a_bore_are_in_the_first_and_it_is_said():
    hole = ["[[oil_hole]]", "at_oclock = 12", "depth_mm = 15", "diameter_mm = 6"]
    area = ["[[no_weld]]", "from_at_oclock = 2", "to_at_oclock = 3", "from_depth_mm = 0"]
    scene = lugs_with(*hole, *area, "to_depth_mm = 9", 'bore = "short lug"')
    first, second = (one for _, _, one in bores(scene))
    assert len(first.oil_hole) == 1 and second.oil_hole == ()
    assert first.no_weld == () and len(second.no_weld) == 1
    for one in simulate_bar(scene):
        (said,) = [line for line in looks(one.result) if "No bore named" in line]
        assert "oil_hole 1" in said and "no_weld" not in said and "first bore" in said
    assert not any(
        "No bore named" in line for one in simulate_bar(lugs_with()) for line in looks(one.result)
    )


def test_a_bore_that_is_not_on_the_bar_is_refused():
    with pytest.raises(
        SceneError, match=r"\[gouge 1\] bore = 'long lug': must be one of first bore, short lug"
    ):
        lugs_with(*GOUGE, 'bore = "long lug"')
    with pytest.raises(
        SceneError, match=r"\[gouge 1\] depth = 40 mm: deeper than the bore is long \(30 mm\)"
    ):
        lugs_with(*[line.replace("= 20", "= 40") for line in GOUGE], 'bore = "short lug"')
    with pytest.raises(SceneError, match="there is no other bore on the bar"):
        parse(SMALL + "\n".join([*GOUGE, 'bore = "short lug"', ""]))
    twice = ["[[bore_on_bar]]", 'name = "short lug"', "along_mm = 200"]
    with pytest.raises(SceneError, match="2 bores of the bar are called so"):
        lugs_with(*twice, *GOUGE, 'bore = "short lug"')


def test_black_of_the_pre_bore_is_in_the_bore_it_names():
    black = [
        "[[pre_bore_black]]",
        "at_oclock = 6",
        "depth_mm = 10",
        "across_mm = 20",
        "deep_mm = 0.4",
    ]
    scene = lugs_with('looked = "black left"', *black, 'bore = "short lug"')
    first, second = (one for _, _, one in bores(scene))
    assert first.pre_bore_black == () and second.pre_bore_black[0].deep == 0.4
    with pytest.raises(SceneError, match="given where none was seen"):
        lugs_with('looked = "black left"', *black)
