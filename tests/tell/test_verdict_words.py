"""The words of the verdict: one place makes them, and they are few."""

from __future__ import annotations

import re

import numpy as np
import pytest

from sim.job.files import shipped
from sim.job.read import load
from sim.plan.odds.verdict import (
    ROUND_THE_CLOCK,
    TIE_IN,
    BoreDecided,
    Decision,
    LeastStock,
    OutOf100,
)
from sim.reference.sizes_in_words import Say
from sim.shop.judge import CLEANS_UP, FALLS_SHORT, NO_BEAD, VERDICTS, Open
from sim.shop.several_bores import bores, simulate_bar
from sim.tell.note import WORDS, bar_note
from sim.tell.verdict import MEANS, SIGNS, SIZE_ONLY, decided_lines, headline


def told(verdict, *, value=63.0, least=(1.0, 0.4, -0.2), opened=(), names=("bore",), rests=()):
    """A decision as it might come out, nothing drawn."""
    of = LeastStock(*least)
    alone = tuple(BoreDecided(name, 0.0, verdict, value, of, opened) for name in names)
    return Decision(
        verdict, OutOf100(value, value - 5.0, min(value + 5.0, 100.0), 95.0, 200), of, opened,
        alone, 0, rests, True, np.zeros(1),
    )  # fmt: skip


def test_word_of_100_asked_and_the_three_figures_come_in_one_order():
    first, three, *_ = decided_lines(told("not sure enough"), Say("mm"), 0.25)
    assert first == "NOT SURE ENOUGH: 63 of 100, you asked 95."
    assert three == (
        "Least stock per side, in mm: 1.00 planned, 0.40 in a typical run, -0.20 in a bad one "
        "(1 in 20)."
    )
    inches = decided_lines(told("thin", least=(25.4, 0.0, -2.54)), Say("in"), 0.254)
    assert "in inches: 1.000 planned, 0.000 in a typical run, -0.100 in a bad one" in inches[1]
    assert "0.010 in per side" in inches[2] and not any(" mm" in line for line in inches)


def test_a_bore_that_closes_is_not_given_a_size():
    line = decided_lines(told(FALLS_SHORT, least=(1.0, 0.2, float("nan"))), Say("mm"), 0.25)[1]
    assert "closed in a bad one" in line


@pytest.mark.parametrize("verdict", VERDICTS)
def test_size_only_stands_beside_every_yes_and_beside_nothing_else(verdict):
    lines = decided_lines(told(verdict), Say("mm"), 0.25)
    assert (SIZE_ONLY in lines) == (verdict == CLEANS_UP)
    assert lines[0].startswith(verdict.upper()) and SIGNS[verdict] not in lines[0]
    assert headline(told(verdict)).count("95") == 1


def test_what_stands_open_says_what_closes_it():
    lines = decided_lines(
        told("not proven", opened=(Open(NO_BEAD, "lay a bead", layer=2),)), Say("mm"), 0.25
    )
    assert "Open: bead not measured in layer 2; to close it: lay a bead." in lines


def test_no_two_verdicts_share_a_sign_or_a_meaning():
    assert set(SIGNS) == set(MEANS) == set(VERDICTS)
    assert len(set(SIGNS.values())) == len(set(MEANS.values())) == len(VERDICTS)


@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_a_note_is_short_before_its_tables_and_loses_nothing(path):
    scene = load(path)
    on_bar = simulate_bar(scene)
    decided = told(
        "not proven",
        opened=(Open(NO_BEAD, "lay a bead on a plate, measure its width and height"),),
        names=[name for name, _, _ in bores(scene)],
        rests=(TIE_IN, ROUND_THE_CLOCK),
    )
    text = bar_note(on_bar, decided)
    before = re.split("Stock to bore off|Low spots|Thin spots|bores on one bar", text)[0]
    assert len(before.split()) <= WORDS + 1
    said = text.count("\n- ")
    assert said >= len(on_bar[0].result.warnings)
