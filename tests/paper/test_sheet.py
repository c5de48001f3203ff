"""The job sheet: pages looked at as pictures, words compared with the result, same bytes twice,
black and white.
"""

import dataclasses
import hashlib
import itertools
import math
import re
import subprocess
import sys
from dataclasses import replace
from functools import cache
from html import unescape

import numpy as np
import pypdfium2
import pytest

from sim.commands.main import main
from sim.job.files import shipped
from sim.job.read import load, parse
from sim.machine.between.card import cards_of
from sim.paper.blocks import Table, in_both
from sim.paper.html import sheet_html
from sim.paper.job_sheet import sheets
from sim.paper.page_2 import second_page
from sim.paper.pdf import sheet_pdf
from sim.paper.pen import PAPER, Face
from sim.paper.stock_drawings import judged_cells, map_drawing
from sim.paper.work import work_of
from sim.paper.write import kind_of
from sim.pictures.charts.drawn import section_of
from sim.pictures.colours import BLACK_LEFT, NEUTRAL, STOCK_SOME, rgb
from sim.plan.odds.verdict import decide
from sim.reference.errors import SceneError
from sim.reference.sizes_in_words import Say
from sim.shop.run import simulate
from sim.shop.several_bores import simulate_bar
from sim.tell.card import band_words
from sim.tell.layer_sheet_json import STAMP, rpm_words
from sim.tell.verdict import headline, least_words, verdict_lines
from tests.conftest import ROOT, SMALL

SCENES = [path.stem for path in shipped()]
ONE_BORE = [name for name in SCENES if not load(ROOT / "scenes" / f"{name}.toml").bore_on_bar]
FILLED = """
[steel]
name = "S355J2"
[procedure]
number = "WP-17 (invented)"
[electrical]
voltage_v = 18.5
current_a = 130
[hold_points]
cracks_checked = true
cavity_vented = true
work_lead_at_bore = true
load_blocked = true
"""


@cache
def bar(name):
    return simulate_bar(load(ROOT / "scenes" / f"{name}.toml"))


@cache
def told(name):
    return sheets(bar(name), decided(name))


def decided(name):
    return decide(load(ROOT / "scenes" / f"{name}.toml"), [one.result for one in bar(name)])


@cache
def cards(name):
    return cards_of(bar(name))[0]


@cache
def pdf(name):
    return sheet_pdf(told(name))


def told_of(scene):
    return sheets(simulate_bar(scene), decide(scene))


def text_of(data):
    document = pypdfium2.PdfDocument(data)
    text = " ".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    return plain(text)


def plain(text):
    return re.sub(r"\s+", " ", text)


def html_text(made):
    body = re.sub(r"<style>.*?</style>|<title>.*?</title>", "", made, flags=re.S)
    return plain(unescape(re.sub(r"<[^>]+>", " ", body)))


def pictures(data, scale=1.0, grey=False):
    document = pypdfium2.PdfDocument(data)
    out = [
        np.asarray(page.render(scale=scale).to_pil().convert("L" if grey else "RGB")).astype(float)
        for page in document
    ]
    document.close()
    return out


@pytest.mark.parametrize("name", SCENES)
def test_every_scene_makes_a_sheet_of_one_to_three_pages_a_bore(name):
    document = pypdfium2.PdfDocument(pdf(name))
    bores = len(bar(name))
    assert bores <= len(document) <= 3 * bores
    for page in document:
        page.close()
    document.close()


@pytest.mark.parametrize("name", SCENES)
def test_no_page_is_blank_and_no_ink_runs_off_it(name):
    for picture in pictures(pdf(name)):
        dark = picture.min(axis=2) < 140
        assert 0.01 < dark.mean() < 0.5
        body = picture[60:-40]
        assert (body.min(axis=2) < 140).any(axis=1).mean() > 0.25  # not a title and a foot alone
        margin = 20  # points of paper that stay white: what a printer cannot print
        for strip in (dark[:, :margin], dark[:, -margin:], dark[:8], dark[-8:]):
            assert not strip.any()


@pytest.mark.parametrize(
    "name", ["cleans_up", "low_side", "inch_vertical", "three_lugs", "readings_cold"]
)
def test_words_stay_on_the_paper_and_do_not_lie_on_each_other(name):
    document = pypdfium2.PdfDocument(pdf(name))
    for page in document:
        width, height = page.get_size()
        words = page.get_textpage()
        boxes = [words.get_rect(k) for k in range(words.count_rects())]
        assert len(boxes) > 20
        for left, bottom, right, top in boxes:
            assert left > 20.0 and right < width - 20.0 and bottom > 6.0 and top < height - 6.0
        large = np.array([box for box in boxes if box[3] - box[1] > 7.0])
        for i, one in enumerate(large):
            across = np.minimum(one[2], large[i + 1 :, 2]) - np.maximum(one[0], large[i + 1 :, 0])
            up = np.minimum(one[3], large[i + 1 :, 3]) - np.maximum(one[1], large[i + 1 :, 1])
            assert not ((across > 1.0) & (up > 1.0)).any()
    document.close()


@pytest.mark.parametrize("name", ONE_BORE)
def test_words_are_those_of_the_result(name):
    result = bar(name)[0].result
    work, say, other = (
        work_of(result, decided(name), cards(name)),
        Say(result.scene.job.units),
        Say({"mm": "in", "in": "mm"}[result.scene.job.units]),
    )
    text = text_of(pdf(name))
    first, least, *more = verdict_lines(result, decided(name))
    for line in (first, least, least_words(decided(name).least_stock, other)):
        assert plain(line.removesuffix(".")) in text
    for line in more:
        assert plain(in_both(line)) in text
    for row in work.told.layers:
        assert f"{rpm_words(row.rotation)} rpm" in text and f"{row.turn_time:.1f} s" in text
        for speak in (say, other):
            assert (
                speak.wire(row.wire_feed) in text
                and speak.size(row.pitch) in text
                and speak.size(row.valley) in text
            )
    for card in work.cards:  # one range and one rule, in settings and on the card
        for speak in (say, other):
            span = f"{speak.size(card.expected[0]).split()[0]} to {speak.size(card.expected[1])}"
            assert text.count(plain(span)) >= 2
            assert all(plain(band_words(band, speak)) in text for band in card.bands)
    for one in work.cuts.passes:
        assert say.size(one.size, 3) in text and other.size(one.size, 3) in text
    for missing in work.told.open_points:
        assert missing in text


@pytest.mark.parametrize("name", ["cleans_up", "coarse_pitch", "after_first_layer", "oil_hole"])
def test_every_reading_has_exactly_one_thing_to_do(name):
    for card in cards(name):
        ends = [end for band in card.bands for end in (band.least, band.most)]
        assert ends[0] == -math.inf and ends[-1] == math.inf and ends == sorted(ends)
        assert ends[1:-1:2] == ends[2::2]  # no gap, nothing twice
        assert all(one.do != two.do for one, two in itertools.pairwise(card.bands))


def test_a_foot_over_a_hole_is_no_reading():
    """Round the oil hole the same layers are gauged as without one: a foot in a hole reads nothing."""
    scene = load("scenes/oil_hole.toml")
    plain_bore = dataclasses.replace(scene, oil_hole=(), keyway=())
    for with_hole, without in zip(simulate(scene).layers, simulate(plain_bore).layers, strict=True):
        # as far as the hump of the start beside the hole reaches, 11 mm, no foot stands
        assert with_hole.gauge == pytest.approx(without.gauge, abs=0.005)


def test_what_is_not_filled_in_has_a_blank_to_fill_in():
    work = work_of(bar("cleans_up")[0].result, decided("cleans_up"), cards("cleans_up"))
    table = next(
        block
        for block in second_page(work)
        if isinstance(block, Table) and "Still" in block.head[0]
    )
    named = [row[k].first for row in table.rows for k in (0, 2)]
    assert named == list(work.told.open_points)
    assert all(row[k].first == "" for row in table.rows for k in (1, 3))


@pytest.mark.parametrize("name", ["cleans_up", "low_side", "inch_vertical", "three_lugs"])
def test_html_says_what_the_pdf_says(name):
    made, text = sheet_html(told(name)), text_of(pdf(name))
    number = r"\d+(?:[.:]\d+)?"
    in_pdf, in_html = (set(re.findall(number, one)) for one in (text, html_text(made)))
    assert in_pdf ^ in_html <= {str(k) for k in range(1, 10)}  # page numbers
    for sheet_of in told(name):
        for line in (
            line
            for page in sheet_of.pages
            for block in page
            for line in getattr(block, "lines", ())
        ):
            assert plain(line) in text and plain(line) in html_text(made)
    assert not re.search(r"(src|href)\s*=|url\(|@import|<script", made)


def test_least_of_the_map_is_the_least_stock():
    for name in ("cleans_up", "low_side", "inch_vertical", "oil_hole"):
        result = bar(name)[0].result
        bore = result.scene.bore
        depth = np.unique(
            [0.0, *np.linspace(bore.chamfer_entry, bore.length - bore.chamfer_far, 41), bore.length]
        )
        cells = judged_cells(result, depth)
        assert np.nanmin(cells) == pytest.approx(result.stock.spot.value, abs=2e-3)
        assert (
            np.isnan(cells[:, 0]).all() and np.isnan(cells[:, -1]).all()
        )  # mouth chamfers are not judged


def test_section_runs_from_face_to_face():
    """A pre-bored cylinder has no knots between the faces; its section is a straight line all the
    same.
    """
    result = bar("cleans_up")[0].result
    depth, stock = section_of(result.start, result, 1.0)
    assert depth[[0, -1]].tolist() == [0.0, result.scene.bore.length]
    assert stock == pytest.approx(0.5 * (80.0 - 83.6), abs=1e-6)


def test_two_processes_make_the_same_bytes(tmp_path):
    sums = []
    for k in range(2):
        for ending in ("pdf", "html"):
            path = tmp_path / f"{k}.{ending}"
            done = subprocess.run(
                [sys.executable, "-m", "sim", "sheet", "low_side", "--out", str(path)],
                cwd=ROOT,
                check=False,
                capture_output=True,
                text=True,
            )
            assert done.returncode == 3, done.stderr
            sums.append(hashlib.sha256(path.read_bytes()).hexdigest())
    assert sums[:2] == sums[2:]


def test_falls_short_thin_and_not_proven_are_stamped():
    for name in ("low_side", "bead_not_measured", "not_sure_yet", "oil_hole"):
        assert plain(headline(decided(name))) in text_of(pdf(name))
    assert decided("bead_not_measured").verdict.upper() in text_of(pdf("bead_not_measured"))
    assert "size only: look for cracks" in text_of(pdf("oil_hole"))
    assert "size only" not in text_of(pdf("not_sure_yet"))


def test_stamp_of_the_settings_goes_when_everything_is_filled_in():
    assert STAMP in text_of(pdf("cleans_up")) and STAMP in html_text(sheet_html(told("cleans_up")))
    filled = told_of(parse(SMALL + FILLED))
    for text in (text_of(sheet_pdf(filled)), html_text(sheet_html(filled))):
        assert STAMP not in text and "Settings to procedure WP-17 (invented), steel S355J2" in text
        assert "18.5 V 130 A" in text
    assert STAMP in text_of(
        sheet_pdf(
            told_of(parse(SMALL + FILLED.replace("cavity_vented = true", "cavity_vented = false")))
        )
    )


def luminance(shade):
    """Relative luminance of WCAG 2."""
    parts = [v / 255.0 for v in rgb(shade)]
    linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_printed_grey_it_still_reads():
    """What stays black against neutral and against its own stripes, measured on the grey picture:
    WCAG 2 asks 3 to 1.
    """
    drawing = map_drawing(bar("low_side")[0].result, 188.0, 50.0)
    black = [s for s in drawing.shapes if isinstance(s, Face) and s.fill == BLACK_LEFT]
    stripes = [s for s in drawing.shapes if isinstance(s, Face) and not s.closed and s.ink == PAPER]
    assert black and len(stripes) > 50
    for other in (NEUTRAL, STOCK_SOME, PAPER):
        assert (luminance(other) + 0.05) / (luminance(BLACK_LEFT) + 0.05) > 3.0
    page = pictures(pdf("low_side"), scale=3.0, grey=True)[0]
    plain_page = pictures(pdf("cleans_up"), scale=3.0, grey=True)[0]
    high, wide = page.shape
    rows = slice(
        int(0.575 * high), int(0.715 * high)
    )  # the map, from 8:30 to 11 o'clock and from 1 to 5
    low, sound = (
        page[rows, int(0.72 * wide) : int(0.83 * wide)],
        page[rows, int(0.25 * wide) : int(0.50 * wide)],
    )
    assert (low < 60).mean() > 3.0 * (sound < 60).mean()
    assert (low < 60).mean() > 0.15 and (
        low > 200
    ).mean() > 0.15  # black, and the white stripes and figures on it
    assert (low < 60).mean() > 3.0 * (
        plain_page[rows, int(0.72 * wide) : int(0.83 * wide)] < 60
    ).mean()


def test_figures_to_set_are_large():
    """At least 12 pt, also with six layers beside each other."""
    six = told_of(
        parse(
            SMALL.replace("repeat = 2", "repeat = 6")
            .replace("final_diameter_mm = 80", "far_from_original = true\nfinal_diameter_mm = 70")
            .replace("columns = 96", "columns = 48")
            .replace("pitch_mm = 3.5", "pitch_mm = 4.4")
        )
    )
    data = sheet_pdf(six)
    document = pypdfium2.PdfDocument(data)
    sizes = {}
    for page in document:
        for item in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT]):
            size = pypdfium2.raw.c_float()
            pypdfium2.raw.FPDFTextObj_GetFontSize(item.raw, size)
            sizes.setdefault(round(size.value, 1), []).append(item)
    assert len(document) <= 4
    document.close()
    assert sum(len(held) for size, held in sizes.items() if size >= 12.0) > 6 * 10


def test_unicode_names_stand_on_the_sheet():
    name = "Vorderachsträger Łódź Ω Мост № 3"
    scene = parse(SMALL)
    made = told_of(replace(scene, job=replace(scene.job, name=name, note='<b>"&" not markup')))
    text = text_of(sheet_pdf(made))
    assert name in text and '<b>"&" not markup' in text
    assert name in html_text(sheet_html(made))


def test_long_and_odd_names_do_not_break_the_page():
    scene = parse(SMALL)
    for name in ("x" * 5000, "a\nb\tc\x07", "橋", ""):
        made = told_of(replace(scene, job=replace(scene.job, name=name, note="note " * 400)))
        assert 1 <= len(pypdfium2.PdfDocument(sheet_pdf(made))) <= 3


def test_every_size_stands_in_both_units():
    for name in ("cleans_up", "inch_vertical"):
        for block in (block for one in told(name) for page in one.pages for block in page):
            for line in getattr(block, "lines", ()):
                if re.search(r", in (mm|inches): ", line):
                    continue  # named once for three figures; the next line has the other unit
                mm, inch = (
                    len(re.findall(r"\d mm\b(?!/)", line)),
                    len(re.findall(r"\d\.\d+ in\b(?!/)", line)),
                )
                assert mm == inch, line
            for cell in (cell for row in getattr(block, "rows", ()) for cell in row):
                if re.search(r"\d (mm|in)\b(?!/)", cell.first):
                    assert re.search(r"\d (mm|in)\b(?!/)", cell.second), cell


def test_sizes_say_on_diameter_or_per_side():
    parts = [block for block in told("cleans_up")[0].pages[1] if isinstance(block, Table)]
    names = [
        f"{row[0].first} {row[0].second}" for table in parts if table.big for row in table.rows
    ]
    assert all("on diameter" in name for name in names if re.match(r"Bore|GAUGE|Deepest", name))
    cuts = next(table for table in parts if table.title.startswith("Boring cuts"))
    assert sum("on diameter" in head for head in cuts.head) == 2 and "cut per side" in cuts.head


def test_what_cannot_be_written_is_one_sentence(tmp_path, capsys):
    (tmp_path / "folder.pdf").mkdir()
    for out in (
        tmp_path / "folder.pdf",
        tmp_path / "nowhere" / "a.pdf",
        tmp_path / "a.docx",
        tmp_path / "a",
    ):
        assert main(["sheet", "cleans_up", "--out", str(out)]) == 2
        said = capsys.readouterr()
        assert said.out == "" and said.err.strip().count("\n") == 0 and str(out) in said.err
        assert "Traceback" not in said.err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["folder.pdf"]
    with pytest.raises(SceneError):
        kind_of(tmp_path / "x.txt")


def test_command_writes_it_and_answers_like_simulate(tmp_path, capsys):
    for name, code in (("oil_hole", 0), ("cleans_up", 0), ("low_side", 3)):
        out = tmp_path / f"{name}.pdf"
        assert main(["sheet", name, "--out", str(out)]) == code
        assert out.read_bytes() == pdf(name)
    capsys.readouterr()


def test_sheet_without_a_bar_that_goes_in():
    scene = parse(SMALL + "\n[boring_bar]\ndiameter_mm = 200\n")
    text = text_of(sheet_pdf(told_of(scene)))
    assert "does not go into the bore" in text
