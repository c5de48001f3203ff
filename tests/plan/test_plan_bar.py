"""A plan for several bores on one bar: one setting that all of them clean up with."""

import dataclasses

import pytest

from sim.job.read import parse
from sim.job.write import to_text
from sim.plan.odds.verdict import decide
from sim.plan.recommend import recommend
from sim.plan.search.settle import SURE
from sim.tell.plan import plan_json, plan_note
from tests.conftest import SMALL

LUG = """
[[bore_on_bar]]
name = "worn lug"
along_mm = 100
length_mm = 30
eccentric_mm = 1.4
eccentric_at_oclock = 7
[plan]
travel_least_mm_per_min = 440
travel_most_mm_per_min = 440
"""


@pytest.fixture(scope="module")
def planned():
    return recommend(parse(SMALL.replace("length_mm = 40", "length_mm = 30") + LUG), beside=False)


def test_plan_serves_all_bores_with_one_setting(planned):
    """The plan saved and read again is decided as it was promised, all bores together."""
    scene = planned.winner.scene
    assert [one.name for one in scene.bore_on_bar] == ["worn lug"]
    again = decide(parse(to_text(scene)))
    assert again == planned.winner.decided and again.verdict in SURE
    assert len(again.bores) == 2 and planned.bore == "worn lug"


def test_the_first_bore_alone_would_have_been_planned_with_less(planned):
    """By itself the first lug, not worn to one side, takes less wire: with that the other fails."""
    easy = recommend(dataclasses.replace(planned.scene, bore_on_bar=()), beside=False).winner
    assert easy.wire < planned.winner.figures.wire
    both = dataclasses.replace(planned.scene, layer=easy.scene.layer)
    assert decide(both, draws=200).verdict not in SURE


def test_words_and_json_name_the_bore_searched(planned):
    assert "Searched in the worn lug; every bore of the bar is laid so" in plan_note(planned)
    assert plan_json(planned)["searched_in"] == "worn lug"
    # wire of both bores, 30 mm each: more than twice what one layer pass of the shorter span needs
    assert planned.winner.wire > 1.9 * planned.winner.figures.wire
