"""What was seen or gauged of the pre-bored wall: against bores invented whole, of which the gauge
gets to see a part.
"""

import math

import numpy as np
import pytest

from sim.job import looked
from sim.job.change import changed
from sim.job.looked import open_patches, state
from sim.job.read import parse
from sim.job.write import to_text
from sim.plan.odds.draws import draw
from sim.plan.odds.one_draw import axes_drawn, start_drawn
from sim.plan.odds.spreads_of_job import spreads_of, ways_of
from sim.reference.errors import SceneError
from sim.shop.as_worn import shape_of, worst_unseen
from sim.shop.ready_to_lay import made_ready
from sim.shop.run import simulate
from sim.shop.several_bores import bores
from tests.conftest import SMALL, looks

HOURS = np.arange(0.0, 6.0, 0.5)
CUT, NEW = 41.5, 40.0


def worn(theta, side):
    """An invented worn bore, new at 80 mm: oval, and worn `side` [mm] farther towards 4 o'clock;
    partly outside the cut.
    """
    return (
        NEW
        + 0.5
        + 0.3 * np.cos(theta) ** 2
        + side * np.clip(np.cos(theta - 2.0 * math.pi / 3.0), 0.0, 1.0) ** 2
    )


def told(wall, of="worn", *, look="", more=""):
    """A job with two-point readings of a wall radius(theta), at two depths."""
    rows = "".join(
        f"{z},{h},{wall(h * math.pi / 6) + wall(h * math.pi / 6 + math.pi):.6f}\n"
        for z in (2, 38)
        for h in HOURS
    )
    table = f'[readings]\nof = "{of}"\ntable = """\ndepth_mm,oclock,diameter_mm\n{rows}"""'
    text = SMALL.replace("[worn]\ndiameter_mm = 82.2\nout_of_round_mm = 0.6", table)
    text = text.replace("length_mm = 40", "length_mm = 40\noriginal_diameter_mm = 80", 1)
    return parse(text.replace("diameter_mm = 83.0", f"diameter_mm = 83.0{look}") + more)


BRIGHT = '\nlooked = "bright"'
BLACK = '\nlooked = "black left"'
PATCH = "\n[[pre_bore_black]]\nat_oclock = 4\ndepth_mm = 20\nacross_mm = {}\nlength_mm = 100\n"
THETA = np.linspace(0.0, 2.0 * math.pi, 721)
MIDDLE = np.full(721, 20.0)


def pre_bored(side):
    return lambda theta: np.maximum(worn(np.asarray(theta), side), CUT)


def drawn_walls(scene, count=40, columns=72):
    """Clock [rad] and radius (draws, n_clock) [mm] in the middle of the walls that draws start
    from; axes as set.
    """
    job = made_ready(
        changed(scene, {f"spread.{axis}_axis_mm": 0.0 for axis in ("pre_bore", "torch", "finish")}),
        columns,
    )
    spreads, out = spreads_of(job.scene, job.settings), []
    for k in range(count):
        drawn = draw(spreads, ways_of(job.settings), 3, k)
        wall = start_drawn(job, drawn, axes_drawn(job, drawn), job.read)
        out.append(wall.radius(np.array([20.0]))[:, 0] - drawn.size)
    return job.start.clock.angle, np.array(out)


def test_wear_unseen_after_the_pre_bore_is_at_most_reading_less_pre_bore():
    # By hand: 83.6 read across a bore cut to 83.0 leaves 0.6 mm for one side, 42.1 from the axis;
    # by the size when new
    # it would have been 41.8 + 1.8 = 43.6.
    scene = told(lambda theta: 41.8 + 0.0 * np.asarray(theta), "pre-bored")
    np.testing.assert_allclose(worst_unseen(scene).radius(THETA, MIDDLE), 42.1, atol=1e-9)
    before = told(lambda theta: 41.8 + 0.0 * np.asarray(theta))
    np.testing.assert_allclose(worst_unseen(before).radius(THETA, MIDDLE), 43.6, atol=1e-9)


@pytest.mark.parametrize("side", [0.0, 1.2, 1.8])
def test_the_bound_holds_for_a_bore_worn_to_one_side(side):
    scene = told(pre_bored(side), "pre-bored")
    truth = pre_bored(side)(THETA)
    assert (
        worst_unseen(scene).radius(THETA, MIDDLE) >= truth - 0.02
    ).all()  # readings half an hour apart
    if side:  # and it is no idle one: met within a few hundredths where the wear is
        assert worst_unseen(scene).radius(THETA, MIDDLE).max() == pytest.approx(
            truth.max(), abs=0.03
        )


def test_a_wall_gauged_after_the_pre_bore_is_not_bored_again():
    # Gauged 82.96 where 83.0 was set: the wall stands at 41.48, not at 41.5, and it is said.
    scene = told(lambda theta: 41.48 + 0.0 * np.asarray(theta), "pre-bored")
    result = simulate(scene)
    assert result.start.radius(np.array([20.0])).max() == pytest.approx(41.48, abs=1e-9)
    assert any("less than the pre-bore of 83.00 mm" in line for line in looks(result))


def test_bright_all_over_leaves_nothing_unseen():
    # Readings alone: 1.9 mm of wear might be on one side, and the least stock is 0.7 mm less for
    # it.
    open_, bright = told(lambda theta: 40.95 + 0.0 * np.asarray(theta)), None
    bright = told(lambda theta: 40.95 + 0.0 * np.asarray(theta), look=BRIGHT)
    assert state(open_) == "not looked" and state(bright) == "bright"
    assert worst_unseen(open_).radius(THETA, MIDDLE).max() == pytest.approx(41.9, abs=1e-9)
    assert worst_unseen(bright) is None
    one, two = simulate(open_), simulate(bright)
    assert one.unseen < one.stock.spot.value - 0.1 and two.unseen is None
    assert two.stock.spot.value == one.stock.spot.value
    _, walls = drawn_walls(open_)
    assert walls.max() > CUT + 0.1
    _, walls = drawn_walls(bright)
    np.testing.assert_allclose(walls, CUT, atol=2e-3)


def test_readings_that_say_it_cannot_be_bright_are_not_overruled():
    scene = told(lambda theta: 41.8 + 0.0 * np.asarray(theta), look=BRIGHT)
    result = simulate(scene)
    assert result.start.radius(np.array([20.0])).min() == pytest.approx(41.8, abs=1e-6)
    assert any("stands 0.30 mm outside it" in line for line in looks(result))
    _, walls = drawn_walls(scene, 5)
    np.testing.assert_allclose(walls, 41.8, atol=2e-3)


@pytest.mark.parametrize("of", ["worn", "pre-bored"])
def test_black_on_one_side_and_bright_opposite_settle_where_the_wear_is(of):
    # The gauge sees the same on both sides: half of the wear on each, 0.25 mm too little under the
    # black.
    wall = pre_bored(1.8) if of == "pre-bored" else lambda theta: worn(np.asarray(theta), 1.8)
    scene = told(wall, of, look=BLACK, more=PATCH.format(70))
    blind = told(wall, of)
    at, across = np.array([2.0 * math.pi / 3.0]), np.array([20.0])
    truth = float(pre_bored(1.8)(at[0]))
    found = float(np.maximum(shape_of(scene).radius(at, across), CUT)[0])
    unaware = float(np.maximum(shape_of(blind).radius(at, across), CUT)[0])
    assert unaware < truth - 0.2
    if of == "pre-bored":
        assert found == pytest.approx(truth, abs=1e-3)
        assert worst_unseen(scene).radius(at, across)[0] == pytest.approx(truth, abs=1e-3)
    else:
        assert unaware <= found <= truth + 1e-3 <= worst_unseen(scene).radius(at, across)[0] + 2e-3
    opposite = shape_of(scene).radius(at + math.pi, across)[0]
    assert opposite <= CUT + 1e-9
    clock, walls = drawn_walls(scene)
    most = np.maximum(worst_unseen(scene).radius(clock, np.full(clock.shape, 20.0)), CUT)
    assert (walls <= most + 2e-3).all()
    bright = ~looked.look(scene).black(clock, np.full(clock.shape, 20.0))
    assert (
        np.ptp(walls[:, bright], axis=0).max() < 4e-3 and bright.sum() > 40
    )  # no draw strays where it was bright


def test_black_that_was_measured_stands_as_deep_and_is_not_open():
    wall = lambda theta: 41.2 + 0.0 * np.asarray(theta)  # noqa: E731
    open_ = told(wall, look=BLACK, more=PATCH.format(20))
    sized = told(wall, look=BLACK, more=PATCH.format(20) + "deep_mm = 0.4\n")
    assert len(open_patches(open_)) == 1 and not open_patches(sized)
    at = np.array([2.0 * math.pi / 3.0]), np.array([20.0])
    assert shape_of(sized).radius(*at)[0] == pytest.approx(41.9, abs=1e-9)
    assert worst_unseen(sized).radius(*at)[0] == pytest.approx(41.9, abs=1e-9)
    assert worst_unseen(open_).radius(*at)[0] == pytest.approx(
        42.4, abs=1e-9
    )  # 82.4 read, 80 when new
    clock, walls = drawn_walls(sized)
    inside = looked.look(sized).black(clock, np.full(clock.shape, 20.0))
    np.testing.assert_allclose(walls[:, inside], 41.9, atol=2e-3)
    np.testing.assert_allclose(walls[:, ~inside], CUT, atol=2e-3)
    black, bright = simulate(sized), simulate(told(wall, look=BRIGHT))
    less = [one.stock.value[one.start.clock.nearest(at[0][0])] for one in (black, bright)]
    assert less[0] < less[1] - 0.2


def test_a_small_patch_is_seen_by_few_columns_and_few_depths():
    small = "\n[[pre_bore_black]]\nat_oclock = 4.3\ndepth_mm = 13.1\nacross_mm = 2\ndeep_mm = 0.9\n"
    scene = told(lambda theta: 41.2 + 0.0 * np.asarray(theta), look=BLACK, more=small)
    job = made_ready(scene, 16)
    drawn = draw(spreads_of(scene, job.settings), ways_of(job.settings), 3, 0)
    for wall in (job.start, start_drawn(job, drawn, axes_drawn(job, drawn), job.read)):
        assert wall.radius(np.linspace(12.5, 13.5, 11)).max() == pytest.approx(CUT + 0.9, abs=0.15)


def test_black_left_and_nobody_says_where_is_as_if_nobody_had_looked():
    wall = lambda theta: 40.95 + 0.0 * np.asarray(theta)  # noqa: E731
    blind, black = told(wall), told(wall, look=BLACK)
    assert looked.look(black) is None
    assert simulate(black).unseen == simulate(blind).unseen


def test_what_was_seen_of_one_bore_says_nothing_of_another_on_its_bar():
    more = (
        "\n[[bore_on_bar]]\nalong_mm = 200\ndiameter_mm = 82\n\n[[bore_on_bar]]\nalong_mm = "
        '400\ndiameter_mm = 82\nlooked = "bright"\n'
    )
    scene = told(
        lambda theta: 41.0 + 0.0 * np.asarray(theta), look=BLACK, more=PATCH.format(20) + more
    )
    seen = [(state(one), len(one.pre_bore_black)) for _, _, one in bores(scene)]
    assert seen == [("black left", 1), ("not looked", 0), ("bright", 0)]


def test_a_pre_bore_that_is_done_is_not_free():
    from sim.plan.recommend import _with_pre_bore
    from sim.plan.remedies.axis_and_sizes import pre_bore

    wall = lambda theta: 40.95 + 0.0 * np.asarray(theta)  # noqa: E731
    scene = changed(told(wall, look=BRIGHT), {"plan.pre_bore_free": True})
    assert _with_pre_bore(scene) == scene
    assert list(pre_bore(simulate(scene))) == []


def test_contradictions_are_refused_in_a_sentence():
    wall = lambda theta: 41.0 + 0.0 * np.asarray(theta)  # noqa: E731
    with pytest.raises(SceneError, match=r"pre_bore_black\]\] given where none was seen"):
        told(wall, more=PATCH.format(20))
    text = to_text(told(wall, "pre-bored"))
    with pytest.raises(SceneError, match=r'of = "pre-bored": no \[pre_bore\] is given'):
        parse(
            text.replace("[pre_bore]", "[wrong]")
            .replace("[wrong]", "[cut]")
            .replace("diameter_mm = 83.0 ", "minimum_cut_mm = 0.3 ")
        )
    again = told(wall, look=BLACK, more=PATCH.format(20))
    assert parse(to_text(again)) == again
