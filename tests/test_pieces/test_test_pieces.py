"""The shop's own test pieces: what readings planted here give back, and what is refused."""

import math
import tomllib

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from sim.bore.side_by_side import on_flat
from sim.commands.main import main
from sim.job.read import load
from sim.laws.bead_shape import Bead
from sim.laws.gravity import gravity_coefficient
from sim.machine.test_pieces import kept
from sim.machine.test_pieces.clock_test import CLOCK, EIGHT, clock_test, extrapolated
from sim.machine.test_pieces.cut_section import SECTION, against, outline
from sim.machine.test_pieces.pieces import BEAD, PAD, bead_on_plate, five_beads
from sim.machine.test_pieces.table import blank, filled
from sim.paper.test_piece import PIECES, empty_csv, sheet_of
from sim.paper.write import as_file
from sim.reference.errors import SceneError
from sim.shop.run import simulate
from sim.tell.note import note
from sim.tell.where_from import assumptions
from tests.conftest import ROOT, SMALL

BEAD_CSV = """wire_mm,wire_feed_m_per_min,travel_mm_per_min,width_mm,height_mm
1.0,3.5,440,5.1,1.82
,,,4.9,1.78
"""
PAD_CSV = "pitch_mm,oclock,crest_mm,valley_mm\n4.25,,2.10,1.30\n,,2.06,1.26\n"


def clock_csv(c=0.30, turns=3, skip=(), scatter=0.0, turning="clockwise", taller=None):
    """A clock test in a process that follows exp(c climb), with what is asked for on top."""
    rng, lines = np.random.default_rng(1), ["turn,turning,travel_mm_per_min,oclock,width_mm,height_mm"]  # fmt: skip
    way = 1.0 if turning == "clockwise" else -1.0
    for turn in range(1, turns + 1):
        for at in EIGHT:
            climb = -way * math.sin(at * math.pi / 6.0)
            a, b = np.exp(scatter * rng.normal(size=2))
            width, height = 5.0 * math.exp(-c * climb) * a, 1.8 * math.exp(c * climb) * b
            height *= (taller or {}).get(at, 1.0)
            told = "," if at in skip else f"{width:.4f},{height:.4f}"
            lines.append(f"{turn},{turning},440,{at:g},{told}")
    return "\n".join(lines) + "\n"


def clock(text):
    return clock_test(filled(text.encode(), CLOCK, name="clock.csv"))


def section(text):
    return outline(filled(text.encode(), SECTION, name="cut.csv"))


def test_a_bead_on_plate_is_its_mean_and_errs_less_the_more_is_read():
    told = bead_on_plate(filled(BEAD_CSV.encode(), BEAD, name="bead.csv"))
    assert (told.width.value, told.height.value) == pytest.approx((5.0, 1.80))
    more = bead_on_plate(filled((BEAD_CSV + ",,,5.0,1.8\n" * 6).encode(), BEAD, name="bead.csv"))
    assert 0.05 <= more.width.error < told.width.error  # never below a quarter of one reading's 0.2
    assert (told.wire, told.wire_feed * 0.06, told.travel * 60.0) == pytest.approx((1.0, 3.5, 440))


def test_inches_are_read_as_inches():
    text = "pitch_in,oclock,crest_in,valley_in\n0.17,6:00,0.082,0.051\n"
    told = five_beads(filled(text.encode(), PAD, name="pad.csv"))
    assert (told.pitch, told.crest.value, told.at) == pytest.approx((4.318, 2.0828, math.pi))


@pytest.mark.parametrize("turning", ["clockwise", "counter-clockwise"])
def test_a_planted_pull_of_gravity_is_read_back(turning):
    told = clock(clock_csv(c=0.30, turning=turning))
    assert told.read[0] == pytest.approx(0.30, abs=1e-4)
    assert told.missing == () and told.extrapolated == 0.0 and told.said == ()


def test_the_clock_test_is_pooled_by_how_many_were_read_and_never_stands_alone():
    published = gravity_coefficient(440.0 / 60.0)
    found = [clock(clock_csv(turns=n, scatter=0.05)) for n in (1, 3, 9)]
    spreads = [one.pooled[1] for one in found]
    assert spreads[0] > spreads[1] > spreads[2]
    assert all(one.pooled[1] < one.published[1] for one in found)
    ring = 0.10 * published  # what a ring may differ from the next day's: it is left however many
    assert all(one.read[1] >= ring for one in found)
    for one in found:
        assert min(published, one.read[0]) < one.pooled[0] < max(published, one.read[0])
    assert any(remark.what == "fewer than three turns" for remark in found[0].said)


def test_missing_clocks_are_used_where_measured_and_said_where_not():
    told = clock(clock_csv(skip=(12.0, 1.5)))
    assert told.read[0] == pytest.approx(0.30, abs=1e-4) and told.places == 18
    # 45 degrees about 12 and about 1:30 are left: 90 of 360
    assert told.extrapolated == pytest.approx(0.25, abs=1e-3)
    assert [remark["clock"] * 6.0 / math.pi for remark in told.said] == pytest.approx([0.0, 1.5])


def test_without_readings_what_the_table_leaves_is_extrapolated():
    # the published table ends 55 degrees either side of 6: 1 - 110/360
    assert extrapolated(np.array([])) == pytest.approx(1.0 - 110.0 / 360.0, abs=1e-3)


def test_a_clock_that_does_not_follow_keeps_the_spread_of_the_published_law():
    told = clock(clock_csv(scatter=0.02, taller={12.0: 1.4}))
    off = [remark for remark in told.said if remark.what == "clock does not follow"]
    assert off and off[0]["clock"] == pytest.approx(0.0) and off[0]["taller"] > 0.1
    assert told.pooled[1] == pytest.approx(told.published[1])


CUT = Bead(5.0, 1.8)
TO_MACHINE = ("To the machine", "Test pieces")


def cut_csv(shift=3.0, mirror=1.0, raise_valleys=0.0):
    x, y = on_flat(CUT, 4.25, 5, tie_in=0.5, fusion=1.5)
    on = np.flatnonzero(y > 1e-6)
    keep = np.linspace(on[0] - 1, on[-1] + 1, 121).astype(int)
    high = np.where(y[keep] > 0.1, np.maximum(y[keep], y[keep] * 0 + raise_valleys), y[keep])
    rows = [f"{mirror * x[k] + shift:.4f},{v:.4f}" for k, v in zip(keep, high, strict=True)]
    return "x_mm,y_mm\n" + "\n".join(rows) + "\n"


@pytest.mark.parametrize("mirror", [1.0, -1.0])
def test_the_engine_s_own_section_lies_on_itself_moved_or_turned_over(mirror):
    found = against(section(cut_csv(7.0, mirror)), CUT, 4.25, 5, tie_in=0.5, fusion=1.5)
    assert found.rms < 0.01 and abs(found.crest) < 0.01 and found.area == pytest.approx(1, abs=0.01)
    assert abs(found.valley) < 0.02


def test_a_section_in_another_unit_is_refused():
    small = section("x_mm,y_mm\n0,0\n0.04,0.05\n0.08,0.07\n0.12,0.05\n0.2,0\n")
    with pytest.raises(SceneError, match="inches are mixed up"):
        against(small, CUT, 4.25, 5, tie_in=0.5, fusion=1.5)


def test_shallower_valleys_are_told():
    found = against(section(cut_csv(raise_valleys=1.5)), CUT, 4.25, 5, tie_in=0.5, fusion=1.5)
    x, y = on_flat(CUT, 4.25, 5, tie_in=0.5, fusion=1.5)
    inner = (x > 8.0) & (x < 18.0)
    assert found.valley == pytest.approx(float(y[inner].min()) - 1.5, abs=0.05)


@pytest.mark.parametrize(
    ("read", "text", "words"),
    [
        (section, "x_mm,y_mm\n0,0\n2,2\n4,0\n", "3 points: at least 5"),
        (section, "x_mm,y_mm\n0,0\n1,2\n3,1\n1,1\n2,2.5\n5,0\n", "crosses itself between rows 3 and"),
        (section, "x_mm,y_mm\n0,2.5\n1,2\n2,1.8\n3,1.5\n4,0\n", "above the crest"),
        (section, "x_mm,y_mm\n0,0\n1,2\n2,1.8\n3,1.5\n4,1\n", "not on the plate"),
        (section, "x_in,y_in\n0,0\n1,2.1\n2,1.8\n3,1.5\n4,0\n", "looks like mm"),
        (clock, clock_csv(skip=EIGHT[1:]), "at least 5"),
        (clock, clock_csv().replace("3,clockwise,440,12", "3,clockwise,500,12"), "travel differs"),
        (clock, clock_csv().replace("clockwise", "left", 1), "must be clockwise or counter"),
        (clock, "turn,turning\n", "no column travel_mm_per_min"),
    ],
)  # fmt: skip
def test_bad_readings_get_one_sentence(read, text, words):
    with pytest.raises(SceneError, match=words) as fault:
        read(text)
    assert "\n" not in str(fault.value)


@pytest.mark.parametrize(
    ("make", "columns", "text", "words"),
    [
        (bead_on_plate, BEAD, BEAD_CSV.replace("5.1,1.82", "0.2,0.07"), "looks like in"),
        (bead_on_plate, BEAD, BEAD_CSV.replace("5.1,1.82", "1.82,5.1"), "swapped"),
        (bead_on_plate, BEAD, BEAD_CSV.replace("1.0,3.5,440", ",3.5,440"), "wire is blank"),
        (five_beads, PAD, PAD_CSV.replace("2.10,1.30", "1.30,2.10"), "above the crest"),
        (five_beads, PAD, PAD_CSV.replace("pitch_mm", "pich_mm"), "not one of this test piece"),
        (five_beads, PAD, "", "empty"),
        (five_beads, PAD, PAD_CSV.splitlines()[0], "a header and no readings"),
        (five_beads, PAD, PAD_CSV.replace("2.10", "nan"), "measure it again"),
    ],
)  # fmt: skip
def test_bad_beads_get_one_sentence(make, columns, text, words):
    with pytest.raises(SceneError, match=words) as fault:
        make(filled(text.encode(), columns, name="t.csv"))
    assert "\n" not in str(fault.value)


@pytest.fixture
def yard(tmp_path, capsys):
    """A file of the shop's own values, made of three test pieces, and a job beside it."""
    for kind, text in (("bead", BEAD_CSV), ("pad", PAD_CSV), ("clock", clock_csv(skip=(12.0,)))):
        (tmp_path / f"{kind}.csv").write_text(text)
        given = ["piece", kind, str(tmp_path / f"{kind}.csv"), "--values", str(tmp_path / "y.toml")]
        assert main([*given, "--whose", "Harbour yard, 82/18"]) == 0
    capsys.readouterr()
    job = SMALL.replace("[grid]", '[shop_values]\nfile = "y.toml"\n[grid]')
    a, b = job.index("[bead]"), job.index("[shop_values]")
    (tmp_path / "job.toml").write_text(job[:a] + job[b:])
    return tmp_path


def test_a_job_rests_on_the_shop_s_own_values_and_says_whose(yard):
    scene = load(yard / "job.toml")
    held = tomllib.loads((yard / "y.toml").read_text())
    assert scene.bead.width == held["bead"]["width_mm"] and scene.pad.crest == pytest.approx(2.08)
    assert scene.process.gravity == held["process"]["gravity"]
    assert scene.spread.gravity == held["spread"]["gravity"] < 0.2
    result = simulate(scene)
    told = note(result)
    assert (
        "Rests on the test pieces of Harbour yard, 82/18: bead on plate, pad, clock test." in told
    )
    assert "69 % of the clock" not in told and "12 % of the clock is still extrapolated" in told
    rows = {row["what"]: row for row in assumptions(result)}
    assert "Harbour yard" in rows["gravity coefficient of bead height"]["source"]
    assert "Harbour yard" in rows["bead width at the plate's settings"]["source"]


def test_what_a_job_gives_itself_stands_and_a_saved_job_stands_alone(yard, tmp_path):
    from sim.job.change import digest
    from sim.job.saved import save

    scene = load(yard / "job.toml")
    (tmp_path / "away").mkdir()
    save(scene, tmp_path / "away" / "job.toml")
    again = load(tmp_path / "away" / "job.toml")  # no file of values beside it
    assert digest(again) == digest(scene) and again.shop_values.whose == "Harbour yard, 82/18"
    own = (yard / "job.toml").read_text() + "\n[process]\ngravity = 0.25\n"
    (yard / "own.toml").write_text(own)
    assert load(yard / "own.toml").process.gravity == 0.25


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"y.toml"', '"z.toml"', "not found beside the scene"),
        ('"y.toml"', '"../y.toml"', "a plain file name"),
        ("diameter_mm = 1.0", "diameter_mm = 1.2", "take the values of this wire"),
    ],
)
def test_a_job_that_cannot_rest_on_them_says_why(yard, old, new, words):
    text = (yard / "job.toml").read_text()
    assert old in text
    (yard / "job.toml").write_text(text.replace(old, new))
    with pytest.raises(SceneError, match=words) as fault:
        load(yard / "job.toml")
    assert "\n" not in str(fault.value)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("\n[bore]\nlength_mm = 3\n", "only; take it out"),
        ("\n[[layer]]\n", "only; take it out"),
    ],
)
def test_a_file_of_values_holds_nothing_else(yard, more, words):
    (yard / "y.toml").write_text((yard / "y.toml").read_text() + more)
    with pytest.raises(SceneError, match=words):
        load(yard / "job.toml")


def test_another_wire_does_not_go_into_the_same_file(yard, capsys):
    (yard / "b.csv").write_text(BEAD_CSV.replace("1.0,3.5", "1.2,3.5"))
    told = main(["piece", "bead", str(yard / "b.csv"), "--values", str(yard / "y.toml")])
    assert told == 2 and "keep another file for this wire" in capsys.readouterr().err


def test_a_cut_section_is_drawn_on_the_engine_s(yard, capsys):
    (yard / "cut.csv").write_text(cut_csv())
    given = ["piece", "section", str(yard / "cut.csv"), "--values", str(yard / "y.toml")]
    assert main([*given, "--drawing", str(yard / "cut.html")]) == 0
    told, drawn = capsys.readouterr().out, (yard / "cut.html").read_text()
    assert "The engine's section lies" in told and "<svg" in drawn and "as cut" in drawn
    assert main(given[:3]) == 2 and "whose beads?" in capsys.readouterr().err.lower()


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("kind", PIECES)
def test_a_sheet_to_print_is_one_page_and_its_csv_reads_back(kind, units):
    pdfium = pytest.importorskip("pypdfium2")
    page = sheet_of(kind, units)
    assert len(pdfium.PdfDocument(as_file([page], "pdf"))) == 1
    head = empty_csv(kind, units).splitlines()[0].split(",")
    assert all("_in" in h or "_mm" not in h for h in head) if units == "in" else "x_in" not in head
    assert blank(PIECES[kind].columns, units, ()).splitlines()[0].split(",") == head


def test_the_page_tells_a_piece_and_takes_it_into_the_job():
    page = AppTest.from_file(str(ROOT / "app.py"), default_timeout=120)
    page.session_state["part"], page.session_state["tab To the machine"] = TO_MACHINE
    page.run()
    assert not page.exception
    page.file_uploader(key="piece bead").set_value(("bead.csv", BEAD_CSV.encode(), "text/csv"))
    page.run()
    page.text_input(key="piece whose").input("our yard").run()
    page.button(key="piece take").click().run()
    assert not page.exception
    scene = page.session_state["scene"]
    assert scene.bead.width == pytest.approx(5.0) and scene.shop_values.whose == "our yard"


def test_nothing_to_do_is_said(capsys):
    assert main(["piece", "bead"]) == 2
    assert "nothing to do" in capsys.readouterr().err


def test_the_readme_names_the_command():
    assert "bore-buildup piece" in (ROOT / "README.md").read_text()


def test_words_come_back_letter_by_letter_and_what_is_no_text_is_refused(tmp_path):
    found = {"shop_values": {"pieces": "pad"}, "pad": {"pitch_mm": 3.5}}
    for whose in ('Yard "A"', "back\\slash", "Wérft Ø"):
        text = kept.as_text(kept.merged({}, found, whose, "yard.toml"))
        assert tomllib.loads(text)["shop_values"]["whose"] == whose
    with pytest.raises(SceneError, match="must be plain text"):
        kept.merged({}, found, "yard\x7f", "yard.toml")


def test_a_quote_that_never_ends_is_one_sentence():
    with pytest.raises(SceneError, match="not a CSV"):
        filled(b"crest_mm,valley_mm,pitch_mm\n" + b'"' + b"1" * 200000, PAD, name="p.csv")
