"""Guess, then see: what is right comes from laying the job; checked by laying it again another way."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sim.commands.main import main
from sim.job.change import changed
from sim.job.read import load, parse
from sim.plan.odds.verdict import decide
from sim.reference.errors import SceneError
from sim.shop.judge import VERDICTS
from sim.shop.low_spot_causes import AXIS, CLIMBING, END_WEDGE, TOO_FEW, VALLEY
from sim.shop.run import simulate
from sim.teach.exercise import exercise_text, of_scene, read_exercise
from sim.teach.marking import mark, score
from sim.teach.questions import NOWHERE, QUESTIONS, parse_answer
from sim.teach.the_seven import SEVEN, made
from sim.teach.truth import CURES, Truth, truth, with_layers
from tests.conftest import ROOT, SMALL


@pytest.fixture(scope="module")
def laid():
    """The seven as they usually are."""
    return {name: made(name) for name in SEVEN}


def right(told):
    """Every question answered as the job laid says."""
    spot = told.result.stock.spot
    best = told.best_cure if "cure" in told.exercise.questions else None
    value = {
        "verdict": told.decided.verdict,
        "where": (spot.clock, spot.depth) if spot.value < 0 else NOWHERE, "layers": told.needed, "cure": best.name if best else "as it is",
    }  # fmt: skip
    return {name: value.get(name, QUESTIONS[name].value(told)) for name in told.exercise.questions}


@pytest.mark.parametrize("name", SEVEN)
@pytest.mark.parametrize("variation", [0, 1, 7, 123])
def test_every_variation_shows_what_it_is_there_for(name, variation):
    """The engine's own judgement of the job, asked again."""
    told = made(name, variation)
    again = simulate(told.scene)
    if name == "too much metal":
        assert not again.low_spots and told.planned < len(again.layers) - 1
    elif name == "the gauge that lies":
        assert again.layers[-1].gauge[0] < told.scene.bore.final_diameter < again.layers[-1].valley
    else:
        wanted = {
            "pitch too coarse": VALLEY, "end wedge": END_WEDGE, "low side": AXIS, "climbing side": CLIMBING,
            "one layer too few": TOO_FEW,
        }[name]  # fmt: skip
        assert again.low_spots[0].cause == wanted


@pytest.mark.parametrize("name", SEVEN)
def test_right_answers_earn_everything(laid, name):
    told = laid[name]
    assert score(mark(told, right(told))) == 100
    assert told.exercise.questions[0] == "verdict"


def test_variations_differ_and_repeat():
    scenes = [made("climbing side", n).scene for n in (1, 2, 3, 4, 5, 6)]
    assert len({(s.bore.final_diameter, s.bore.length, s.layer[0].turning) for s in scenes}) > 2
    assert {s.layer[0].turning for s in scenes} == {"clockwise", "counter-clockwise"}
    assert made("climbing side", 4).scene == scenes[3]


def test_wrong_answers_earn_less(laid):
    told = laid["climbing side"]
    good = right(told)
    assert score(mark(told, good)) == 100
    away = {**good, "where": (math.pi / 2.0, 40.0)}
    assert mark(told, away)[1].points == 0.0
    assert mark(told, {**good, "where": NOWHERE})[1].points == 0.0
    assert mark(told, {**good, "layers": told.needed + 1})[2].points == 0.5
    assert mark(told, {**good, "layers": 0})[2].points == 0.0
    assert mark(told, {**good, "cure": "as it is"})[3].points == 0.0
    assert mark(told, {**good, "cure": "one more layer"})[3].points == 0.6
    assert mark(told, {**good, "verdict": "cleans up"})[0].points == 0.0


@pytest.mark.parametrize("name", ["climbing side", "end wedge", "low side"])
def test_distance_to_the_nearest_black(laid, name):
    """Against every black place of a fine sample of the same wall: geometry, to the step of the
    sample.
    """
    told = laid[name]
    result, length = told.result, told.scene.bore.length
    depth = np.linspace(1.0, length - 1.0, 8000)
    wall = result.layers[-1].wall
    radius = wall.radius(depth)
    (xf, yf) = result.finish.axis.entry
    x, y = (
        radius * np.sin(wall.clock.angle)[:, None] - xf,
        -radius * np.cos(wall.clock.angle)[:, None] - yf,
    )
    i, j = np.nonzero(np.hypot(x, y) > result.finish.radius)
    for clock, at in ((0.0, 40.0), (math.pi, 10.0), (4.5, 70.0), (1.0, 2.0)):
        across = result.finish.radius * (
            np.mod(wall.clock.angle[i] - clock + math.pi, 2 * math.pi) - math.pi
        )
        wanted = np.hypot(across, depth[j] - at).min()
        assert told.away(clock, at) == pytest.approx(wanted, abs=0.6)


def test_layers_as_planned_by_whole_simulations(laid):
    """The fewest layers whose whole geometry, at full fineness, leaves the minimum cut everywhere."""
    for name in ("climbing side", "one layer too few", "too much metal"):
        told = laid[name]
        enough = []
        for n in range(1, told.planned + 1):
            found = simulate(changed(told.scene, {"layer.repeat": n}))
            enough.append(found.stock.spot.value - found.stock_error >= told.scene.cut.minimum_cut)
        assert enough == [False] * (told.planned - 1) + [True]


def test_layers_needed_are_those_the_verdict_asks_for(laid):
    """Drawn at full fineness: what does as planned is not yet a yes, and a guess of it earns half."""
    told = laid["too much metal"]
    verdicts = {
        n: decide(changed(told.scene, {"layer.repeat": n})).verdict
        for n in (told.planned, told.needed)
    }
    assert told.planned < told.needed == 3
    assert verdicts == {told.planned: "not sure enough", told.needed: "cleans up"}
    (marked,) = (
        one
        for one in mark(told, {**right(told), "layers": told.planned})
        if one.question == "layers"
    )
    assert marked.points == 0.5 and "of 100: not sure enough" in marked.why


def test_coarsest_pitch_by_whole_simulations(laid):
    told = laid["pitch too coarse"]
    least = [
        simulate(changed(told.scene, {"layer.pitch_mm": p})).stock.spot.value
        for p in (told.pitch - 0.02, told.pitch + 0.02)
    ]
    assert least[0] >= told.scene.cut.minimum_cut > least[1]


def test_chips_by_weighing_the_wire(laid):
    """Same beads, same turns in every layer: half the layers is half the wire, to what the wall's
    growing adds.
    """
    told = laid["too much metal"]
    assert (told.needed, len(told.result.layers)) == (3, 4)
    assert told.chips == pytest.approx(25.0, abs=4.0)
    # one layer more goes to chips whole
    count = len(told.result.layers) + 1
    more = truth(replace(told.exercise, scene=with_layers(told.scene, count)))
    assert more.chips == pytest.approx(100.0 * (1.0 - told.needed / count), abs=4.0)


def test_cures_are_simulated(laid):
    told = laid["end wedge"]
    by = {one.name: one for one in told.cures}
    closed = simulate(changed(told.scene, {"layer.closing_start": 1, "layer.closing_end": 1}))
    assert by["closing turns"].works and by["closing turns"].least == pytest.approx(
        closed.stock.spot.value, abs=0.03
    )
    assert not by["one more layer"].works and set(by) == set(CURES)


def test_marks_explain_themselves(laid):
    for told in laid.values():
        for one in mark(told, right(told)):
            assert one.why and one.explained.formula and one.explained.inputs and one.found
    why = [
        mark(laid[name], right(laid[name]))[1].why
        for name in ("pitch too coarse", "end wedge", "low side", "climbing side")
    ]
    assert len(set(why)) == 4


def test_an_exercise_from_any_scene_comes_back_the_same(tmp_path):
    for path in sorted((ROOT / "scenes").glob("*.toml")):
        scene = load(path)
        made_of = of_scene(
            scene, title='Try "this" one', task="Look.", questions=("where", "gauge")
        )
        text = exercise_text(made_of)
        back = read_exercise(text.encode(), name="e.toml")
        assert (
            back.questions == ("where", "gauge")
            and back.title == made_of.title
            and back.scene == made_of.scene
        ), path
        assert scene.job.note == "" or scene.job.note not in text  # the note would give it away


def test_the_answer_is_not_in_the_file(laid):
    """No figure of the answer stands in what is handed out."""
    told = laid["climbing side"]
    text = exercise_text(told.exercise)
    spot = told.result.stock.spot
    for figure in (
        f"{spot.value:.2f}",
        f"{abs(spot.value):.2f}",
        f"{told.result.layers[-1].valley:.2f}",
        "climbing",
    ):
        assert figure not in text.lower().replace("4. climbing side", "")


NONSENSE = {
    "no [exercise]": SMALL,
    "unknown key 'answer'": SMALL + '\n[exercise]\nanswer = "9 o\'clock"\n',
    "did you mean where": SMALL + '\n[exercise]\nquestions = ["wheer"]\n',
    "must be a list": SMALL + '\n[exercise]\nquestions = "where"\n',
    "at least one": SMALL + "\n[exercise]\nquestions = []\n",
    "twice": SMALL + '\n[exercise]\nquestions = ["where", "where"]\n',
    "must be text": SMALL + "\n[exercise]\ntitle = 3\n",
    "not valid TOML": SMALL + "\n[exercise\n",
    "after the finish cut": SMALL
    + '\n[job]\nstage = "after the finish cut"\nlayers_done = 2\n[exercise]\ntitle = "x"\n',
    "unknown key 'pich_mm'": SMALL.replace("pitch_mm", "pich_mm") + "\n[exercise]\n",
}


@pytest.mark.parametrize("said", NONSENSE)
def test_nonsense_is_refused_with_one_sentence(said):
    with pytest.raises(SceneError) as caught:
        read_exercise(NONSENSE[said].encode(), name="handed.toml")
    told = str(caught.value)
    assert (
        said.replace("no [exercise]", "no section [exercise]") in told
        and "\n" not in told
        and len(told) < 300
    )


@pytest.mark.parametrize("data", [b"", b"\x89PNG\r\n\x00", b"\xff\xfe", b"schema = 1"])
def test_files_that_are_no_exercise(data):
    with pytest.raises(SceneError):
        read_exercise(data, name="photo.toml")


def test_answers_typed():
    scene = parse(SMALL)
    assert parse_answer(scene, "where", "9:30@20") == pytest.approx((9.5 * math.pi / 6.0, 20.0))
    assert parse_answer(scene, "where", "nowhere") == NOWHERE
    assert parse_answer(scene, "gauge", "3 1/8 in") == pytest.approx(79.375)
    for name, text in (
        ("where", "9:30"),
        ("where", "13@20"),
        ("layers", "two"),
        ("gauge", "wide"),
        ("colour", "red"),
    ):
        with pytest.raises(SceneError):
            parse_answer(scene, name, text)


def test_nonsense_answers_are_refused(laid):
    told = laid["climbing side"]
    good = right(told)
    for name, value in (("where", (0.0, 500.0)), ("layers", 99), ("layers", 1.5), ("cure", "pray")):
        with pytest.raises(SceneError):
            mark(told, {**good, name: value})
    with pytest.raises(SceneError, match="layers is missing"):
        mark(told, {"verdict": "thin", "where": NOWHERE})
    with pytest.raises(SceneError):
        made("end wedgie")
    with pytest.raises(SceneError):
        made("end wedge", -1)


def test_a_job_that_cleans_up():
    told = truth(
        of_scene(load(ROOT / "scenes" / "cleans_up.toml"), questions=("where", "short", "cure"))
    )
    marks = mark(told, {"where": NOWHERE, "short": 0.0, "cure": "as it is"})
    assert [one.points for one in marks] == [1.0, 1.0, 1.0]
    assert mark(told, {"where": (0.0, 10.0), "short": 0.0, "cure": "as it is"})[0].points == 0.0


def test_the_verdict_is_marked_by_the_verdict_and_a_false_yes_earns_nothing():
    short = truth(of_scene(load(ROOT / "scenes" / "not_sure_yet.toml"), questions=("verdict",)))
    yes = truth(of_scene(load(ROOT / "scenes" / "cleans_up.toml"), questions=("verdict",)))
    assert short.decided.verdict == "not sure enough" and yes.decided.verdict == "cleans up"
    points = {one: mark(short, {"verdict": one})[0].points for one in VERDICTS}
    assert points == {
        "cleans up": 0.0, "not proven": 0.5, "not sure enough": 1.0, "thin": 0.5, "falls short": 0.0,
    }  # fmt: skip
    assert mark(yes, {"verdict": "cleans up"})[0].points == 1.0
    near = replace_verdict(short, "not proven")
    assert mark(near, {"verdict": "cleans up"})[0].points == 0.0  # next to it, and still nothing


def replace_verdict(told, verdict):
    """The same exercise with another verdict found."""
    other = Truth(told.exercise, told.result)
    other.__dict__["decided"] = replace(told.decided, verdict=verdict)
    return other


def test_a_blank_answer_is_asked_for_and_earns_no_look(laid):
    told = laid["end wedge"]
    with pytest.raises(SceneError, match="where is blank"):
        mark(told, {**dict.fromkeys(told.exercise.questions, 1), "verdict": "thin", "where": None})


def test_titles_give_nothing_away():
    causes = ("wedge", "valley", "coarse", "low side", "climb", "too few", "too much", "lies to")
    assert not any(cause in one.title.lower() for one in SEVEN.values() for cause in causes)


def test_inches_change_no_mark(laid):
    """The same answer on a page in inches earns the same."""
    told = laid["low side"]
    scene = replace(told.scene, job=replace(told.scene.job, units="in"))
    inches = Truth(replace(told.exercise, scene=scene), replace(told.result, scene=scene))
    answer = {"verdict": "thin", "where": (1.0, 20.0), "short": 0.3, "cure": "one more layer"}
    assert [one.points for one in mark(told, answer)] == [
        one.points for one in mark(inches, answer)
    ]
    assert " in " in mark(inches, answer)[2].found + " "


def test_command_line_hands_out_and_marks(tmp_path, capsys):
    assert main(["exercise"]) == 0
    listed = capsys.readouterr().out
    assert all(f"{number}. " in listed for number in range(1, 8))
    assert not any(name in listed for name in SEVEN)  # what is to be found out is not told
    assert main(["exercise", "2", "--variation", "3"]) == 0
    assert "cure: Which change does as planned" in capsys.readouterr().out
    path = str(tmp_path / "handed.toml")
    assert main(["exercise", "low_side", "--questions", "where,layers", "--out", path]) == 0
    capsys.readouterr()
    assert main(["exercise", path, "--answer", "where=9:30@20", "--answer", "layers=3"]) == 0
    said = capsys.readouterr().out
    told = truth(read_exercise((tmp_path / "handed.toml").read_bytes(), name="handed.toml"))
    wanted = score(mark(told, {"where": (9.5 * math.pi / 6.0, 20.0), "layers": 3}))
    assert f"Score: {wanted} of 100" in said


@pytest.mark.parametrize(
    "arguments",
    [
        ["end wedgie"],
        ["end wedge", "--variation", "-1"],
        ["low_side", "--answer", "where=9"],
        ["low_side", "--answer", "layers"],
        ["low_side", "--questions", "when"],
    ],
)
def test_command_line_refuses_with_one_sentence(arguments, capsys):
    assert main(["exercise", *arguments]) == 2
    told = capsys.readouterr()
    assert told.out == "" and told.err.strip().count("\n") == 0 and "Traceback" not in told.err
