"""Readings after a layer, and after-layer cards, on a bar of several bores."""

import dataclasses

import numpy as np
import pytest

from sim.job.change import changed, digest
from sim.job.read import parse
from sim.job.write import to_text
from sim.machine.between.card import after_layer_cards, bar_cards
from sim.machine.between.fit import Fit
from sim.machine.between.readings_after import told, with_readings
from sim.machine.between.record import Record, came_out
from sim.plan.odds.draws import Way, draw
from sim.plan.odds.spreads_of_job import spreads_of
from sim.plan.odds.verdict import decide
from sim.reference.errors import SceneError
from sim.set_up.bead import told_factor
from sim.set_up.layers import settings
from sim.shop.several_bores import bores, places
from sim.tell.between import rest_lines, update_json, update_lines
from sim.tell.card import card_lines
from tests.conftest import SMALL
from tests.machine.test_update import places as unread
from tests.machine.test_update import written

LUG = """
[[bore_on_bar]]
name = "worn lug"
along_mm = 100
diameter_mm = 83.8
"""


@pytest.fixture(scope="module")
def lugs():
    return parse(SMALL + LUG)


@pytest.fixture(scope="module")
def laid_more(lugs):
    """The job read in its second lug after layer 1: as much smaller as 8 % more metal leaves it."""
    blank = with_readings(lugs, unread("diameter"), layer=1, bore="worn lug")
    more = dataclasses.replace(
        blank, wire=dataclasses.replace(blank.wire, efficiency=blank.wire.efficiency * 1.08)
    )
    fit = Fit.of(bores(more)[1][2], 100, place=places(more)[1])
    csv = written(fit.sets[0], fit.y[0].mean(axis=0))
    return with_readings(lugs, csv, layer=1, bore="worn lug")


@pytest.fixture(scope="module")
def found(laid_more):
    return told(laid_more, replan=False)


def test_readings_stay_in_the_bore_they_were_taken_in(lugs, found):
    """What all bores share is carried to the first lug, how the layer came out in the other is not."""
    job = found.scene
    assert found.bore == "worn lug" and {row.bore for row in found.rows} == {"worn lug"}
    assert job.update is None and [one.bore for one in job.update_on_bar] == ["worn lug"]
    assert parse(to_text(job)) == job
    (_, _, first), (_, _, read) = bores(job)
    laid, area = found.laid.value, found.area.value
    assert abs(laid - 1.08) < 2.0 * found.laid.spread and 1.0 < area < laid
    assert told_factor(read, 1) == pytest.approx(laid, abs=1e-4)
    assert told_factor(read, 2) == pytest.approx(area, abs=1e-4)
    assert [told_factor(first, k) for k in (1, 2)] == pytest.approx([area, area], abs=1e-4)
    one, other = (
        draw(spreads_of(s, settings(s, 41.5), p), [Way(1.0, 1.0)] * 2, 1, 7)
        for s, p in zip((first, read), places(job), strict=True)
    )
    assert one.shared == other.shared  # the same wire in both
    assert one.size != 0.0 and other.size == 0.0  # the size before is known where it was read


def test_words_name_the_bore(found):
    assert update_lines(found)[0].startswith("Worn lug: 12 of 12 readings used")
    assert update_json(found)["readings"][0]["bore"] == "worn lug"
    record = came_out(Record(found.scene, "2026-11-27"))
    assert [one.bore for one in record.layers] == ["worn lug"]


def test_both_bores_read_are_told_by_themselves(laid_more):
    again = with_readings(laid_more, laid_more.reading_after[0].table, layer=1)
    with pytest.raises(SceneError, match="the same readings after layer 1"):
        with_readings(again, laid_more.reading_after[0].table, layer=1)
    # the first lug began smaller: the sizes of the other are those of far less metal in it
    found = told(again, replan=False)
    first, other = found.each
    assert (first.bore, other.bore) == ("first bore", "worn lug")
    assert first.laid.value < 0.97 and other.laid.value > 1.03
    job = found.scene
    assert job.update is not None and len(job.update_on_bar) == 1
    assert parse(to_text(job)) == job
    assert len(update_json(found)["other_bores"]) == 1


def test_readings_past_the_end_of_their_bore_are_refused(lugs):
    short = changed(lugs, {"bore_on_bar.1.length_mm": 25.0})
    with pytest.raises(SceneError, match=r"outside the bore \(0 to 25 mm\)"):
        with_readings(short, unread("diameter"), layer=1, bore="worn lug")
    with pytest.raises(SceneError, match="bore = 'lug': must be one of first bore, worn lug"):
        with_readings(lugs, unread("diameter"), layer=1, bore="lug")


def test_as_it_is_is_asked_of_all_bores(found):
    as_is = decide(dataclasses.replace(found.scene, layer=tuple(found.scene.layers[:1])), draws=100)
    (line, *_) = rest_lines(dataclasses.replace(found, as_is=as_is))
    assert "all bores of the bar judged together; worn lug cleans up least often" in line
    assert as_is.worst == "worn lug"


def test_cards_of_a_bar_gauge_the_worst_bore_and_judge_all(lugs, monkeypatch):
    """A lug so worn that it never cleans up: no reading of the other lets the job go on."""
    monkeypatch.setattr("sim.machine.between.card.DRAWS", 75)
    worse = changed(lugs, {"bore_on_bar.1.diameter_mm": 86.0, "layer.pitch_mm": 3.0})
    parts = [(n, s, p) for (n, _, s), p in zip(bores(worse), places(worse), strict=True)]
    (card,) = after_layer_cards(worse, only=[1])
    assert card.bore == decide(worse).worst == "worn lug"
    assert "gauge the worn lug, judged for all bores of the bar" in card_lines(card, "mm")[0]
    ((joint,),) = bar_cards(parts, only=[2], of=[0])
    ((by_itself,),) = bar_cards(parts[:1], only=[2])
    assert by_itself.go_on_to is not None and joint.go_on_to is None
    assert joint.expected == pytest.approx(by_itself.expected) and by_itself.bore == ""
    assert np.isfinite(joint.expected).all()
    assert digest(parts[0][1]) == digest(parse(SMALL.replace("3.5\nwire", "3.0\nwire")))
