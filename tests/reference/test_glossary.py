"""The words of the trade: complete, in order, and used as the tool uses them."""

from __future__ import annotations

import re

from sim.reference.glossary import TERMS, found
from sim.shop.judge import FALLS_SHORT, NOT_PROVEN, NOT_SURE, THIN
from sim.shop.low_spot_causes import AXIS, CLIMBING, END_WEDGE, NO_WELD, VALLEY
from sim.teach.the_seven import SEVEN
from sim.teach.truth import CURES
from tests.conftest import ROOT

NAMES = [one.term for one in TERMS]


def test_the_words_that_must_be_there():
    """The words this project speaks (README, DEVELOPERS) and the verdicts."""
    wanted = {
        "turn", "closing turn", "bead overlap", "no-weld area", "stock per side", "low spot", "tie-in", "thin", "depth of fusion",
        "contact-tip distance", "deposition efficiency", "update from readings", "cleans up", "crest", "valley", "pitch", "ripple",
    }  # fmt: skip
    assert wanted <= set(NAMES)
    assert {FALLS_SHORT, THIN, NOT_SURE, NOT_PROVEN, NO_WELD, END_WEDGE, CLIMBING, VALLEY} <= set(
        NAMES
    )
    assert AXIS == "axis set over" and found("two axes")


def test_in_order_once_each_and_plain():
    assert sorted(NAMES, key=str.lower) == NAMES and len(set(NAMES)) == len(NAMES)
    for one in TERMS:
        assert (
            one.meaning[0].isupper()
            and one.meaning.rstrip().endswith(".")
            and len(one.meaning) < 220
            and one.where
        )


def test_defect_words_are_warned_of_and_not_used():
    """Lap and bare overlap name defects; bare stock says neither per side nor on diameter."""
    by = {one.term: one for one in TERMS}
    assert (
        "lap" in by["turn"].not_called
        and "overlap" in by["bead overlap"].not_called
        and "stock" in by["stock per side"].not_called
    )
    for one in TERMS:
        assert not re.search(r"\blaps?\b", one.meaning)
    for kind in SEVEN.values():
        assert not re.search(r"\blaps?\b|\boverlap\b", kind.task)


def test_where_it_stands_is_there():
    """Scene keys named under `where` are keys the scene knows."""
    from sim.job.key import keys_of
    from sim.job.scene import SECTIONS

    for one in TERMS:
        for section, keys in re.findall(r"\[+(\w+)\]+((?: \w+,?)*)", one.where):
            assert section in SECTIONS, one
            known = {f.name for f in keys_of(SECTIONS[section][0])}
            for key in re.findall(r"\w+", keys):
                assert key in known, (one.term, key)


def test_look_up():
    assert (
        found("wedge")[0].term == "end wedge" and not found("zzz") and len(found("")) == len(TERMS)
    )
    assert "poor tie-in" in [one.term for one in found("tie-in")]


def test_cures_speak_the_same_words():
    text = " ".join(words for words, _ in CURES.values())
    assert "closing turn" in text and "layer" in text and "pitch" in text


def test_no_brand_or_person():
    assert not re.search(
        r"\b(inc|ltd|gmbh|tm)\b", (ROOT / "sim" / "reference" / "glossary.py").read_text().lower()
    )
