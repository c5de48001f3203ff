"""Every row of evidence is a test: it holds, or is known not to and said so."""

from itertools import pairwise

import pytest
from streamlit.testing.v1 import AppTest

from sim.commands.main import main
from sim.evidence import sources
from sim.evidence.nothing import UNMEASURED
from sim.evidence.row import KINDS, Row, Source
from sim.evidence.table import ROWS, Evidence, evidence
from sim.tell.evidence import in_one_line
from tests.conftest import ROOT
from tests.laws.test_laws import LAWS

PARTS = {"torch_way", "wall", "circles"}  # of sim/bore


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.law}: {row.quantity}")
def test_row(row: Row) -> None:
    told = row.worked()
    assert len(told.ours) == len(row.published)
    if row.known_miss:
        assert not told.holds, "it holds now: take its known_miss away"
    else:
        assert told.holds, (told.ours, row.published, told.differences, told.allowed)


def test_every_law_has_a_row() -> None:
    assert set(LAWS) <= {row.law for row in ROWS} <= set(LAWS) | PARTS


def test_there_are_rows_and_sources_enough() -> None:
    assert len(ROWS) >= 80 and len({row.source.name for row in ROWS}) >= 30
    assert len({(row.law, row.quantity, row.source.name) for row in ROWS}) == len(ROWS)


def test_every_source_has_a_name_a_kind_and_is_used() -> None:
    named = [one for one in vars(sources).values() if isinstance(one, Source)]
    assert {one.name for one in named} == {row.source.name for row in ROWS}
    for one in named:
        assert one.kind in KINDS and one.where and one.name.lower() != "handbook"


def test_a_row_that_is_wrong_does_not_hold() -> None:
    for row in ROWS:
        told = row.worked()
        off = [f"{v}?" if isinstance(v, str) else v + 3.0 * may + 1e-3 for v, may in zip(told.ours, told.allowed, strict=True)]  # fmt: skip
        assert not type(told)(row, tuple(off)).holds or row.known_miss, row


def test_no_row_gives_back_what_it_was_given() -> None:
    """What is published does not stand in what works ours out, as a number of its own."""
    for row in ROWS:
        given = [one for one in row.ours.__code__.co_consts if isinstance(one, float | int)]
        assert len(row.published) > 3 or not set(row.published) & set(given), row


def test_the_readme_says_how_many_hold_and_what_nobody_measured() -> None:
    line = in_one_line(evidence())
    readme = " ".join((ROOT / "README.md").read_text().split())
    assert line in readme, line


def test_what_nobody_measured_comes_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["evidence"]) == 0
    told = capsys.readouterr().out
    heads = ["Nobody has measured", "Only mathematics stands behind", "Does not hold", "Sources"]
    assert all(told.index(a) < told.index(b) for a, b in pairwise(heads))
    for one in UNMEASURED:
        assert one.what in told
    for row in ROWS:
        assert row.quantity in told and row.source.name in told


def test_the_page_shows_what_nobody_measured_and_every_check() -> None:
    page = AppTest.from_function(_page, default_timeout=120).run()
    assert not page.exception
    told = " ".join(one.value for one in page.markdown)
    assert all(one.what in told for one in UNMEASURED)
    assert len(page.dataframe[0].value) == len(ROWS)
    page.selectbox(key="evidence law").select("gravity").run()
    assert set(page.dataframe[0].value["law"]) == {"gravity"}


def _page() -> None:
    from sim.screens.teach import evidence as screen

    screen.show()


def test_a_check_that_falls_is_told_by_the_exit_code() -> None:
    told = ROWS[-1].worked()
    assert Evidence((told,)).as_known
    assert not Evidence((type(told)(told.row, tuple(v + 1.0 for v in told.ours)),)).as_known
