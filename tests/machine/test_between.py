"""The screen between the layers, without a browser: readings in, what they say, the cards, the
record.
"""

import dataclasses
import json

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from sim.job.read import parse
from sim.machine.between.fit import Fit
from sim.machine.between.record import Record, as_mapping, parsed
from tests.conftest import SMALL
from tests.machine.test_update import held, written


def screen():
    """The screen by itself, on a job put into the memory of the page."""
    import streamlit as st

    from sim.job.read import parse
    from sim.screens import memory as state
    from sim.screens.machine import between_layers as between
    from tests.conftest import SMALL

    if "scene" not in st.session_state:
        state.put(parse(SMALL))
    between.show(state.on_bar(state.job())[0].result)


@pytest.fixture
def page():
    return AppTest.from_function(screen, default_timeout=240).run()


@pytest.fixture(scope="module")
def readings():
    scene = held(parse(SMALL), "diameter", (1,))
    truth = Fit.of(scene, 10, begin=450)
    values = truth.y[0][4].copy()
    values[5] += 0.9
    return written(truth.sets[0], values)


def give(page, text, layer=1):
    page.text_area(key=f"after pasted {page.session_state['round']}").set_value(text)
    page.number_input(key=f"after layer {page.session_state['round']}").set_value(layer)
    return page.button(key="after take").click().run()


def words(page):
    return "\n".join(
        str(e.value)
        for kind in (page.markdown, page.caption, page.warning, page.text)
        for e in kind
    )


def test_a_job_without_readings_asks_for_them(page):
    assert not page.exception and not page.error
    assert "nothing to compare" in words(page)


def test_readings_go_into_the_job_and_say_what_they_tell(page, readings):
    give(page, readings)
    assert not page.exception and not page.error
    scene = page.session_state["scene"]
    assert len(scene.reading_after) == 1 and scene.update is not None and scene.job.layers_done == 1
    said = words(page)
    assert "Row 7 after layer 1" in said and "it was not used" in said
    assert (
        "Metal laid so far" in said and "a two-point gauge cannot see" in said and "planned" in said
    )
    table = page.dataframe[0].value
    assert len(table) == 12 and int((~np.asarray(table["used"])).sum()) == 1
    page.button(key="after cards").click().run()
    assert (
        not page.exception and "After layer 1 of 2" in words(page) and "on diameter" in words(page)
    )


def test_the_rest_is_planned_and_taken(page, readings):
    give(page, readings)
    page.button(key="after plan").click().run()
    assert not page.exception
    page.button(key="after replan take").click().run()
    scene = page.session_state["scene"]
    assert scene.layers[0] == parse(SMALL).layers[0] and len(scene.reading_after) == 1


def test_bad_readings_are_one_sentence_and_the_job_stays(page):
    give(page, "depth_mm,oclock,diameter_mm\n10,0,99\n20,3,99\n")
    assert len(page.error) == 1 and "this bore can be" in page.error[0].value
    assert page.session_state["scene"] == parse(SMALL)


def test_the_record_offered_for_download_is_read_back():
    held_record = Record(parse(SMALL), "2026-11-25", "Invented.")
    text = json.dumps(as_mapping(held_record, "0", {}))
    assert parsed(text.encode(), name="r") == dataclasses.replace(held_record)
