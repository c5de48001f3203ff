"""One verdict: every place that speaks of a job, asked of the same job.

Used by the ordinary tests on a few shipped scenes, and by `python -m tests.speed.agreement` on all
of them and on random ones.
"""

from __future__ import annotations

import contextlib
import io
import json
import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sim.commands.main import main
from sim.job.change import changed, digest
from sim.job.read import load
from sim.job.saved import save
from sim.job.scene import Scene
from sim.machine.between import record
from sim.machine.between.readings_after import told, with_readings
from sim.plan.odds.verdict import Decision, decide
from sim.reference.errors import SceneError
from sim.screens.heading import panel
from sim.shop.judge import CLEANS_UP, NOT_PROVEN, VERDICTS
from sim.shop.several_bores import simulate_bar
from sim.tell.verdict import headline


def few(scene: Scene) -> Scene:
    """The job on few clock columns and with few draws: all say the same of it, sooner."""
    return changed(scene, {"grid.columns": 64, "confidence.draws_most": 200})


def run(*words: object) -> tuple[int, str]:
    """A command as somebody types it: exit code and what it printed."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        code = main([str(word) for word in words])
    return code, out.getvalue()


def differ(scene: Scene, folder: Path, *, plans: bool = True) -> Iterator[str]:
    """What says something else of a job than `decide`: nothing, when all agree.

    folder: where files are written; plans: also the plan saved and every remedy applied, each
    simulated again. Raises SceneError for a job that cannot be laid.
    """
    path, on_bar = folder / "job.toml", simulate_bar(scene)
    save(scene, path)
    decided = decide(scene, [one.result for one in on_bar])
    wanted = told_by(decided)
    if digest(load(path)) != digest(scene):
        yield "the job saved: another job"
    for name in ("simulate", "chance"):
        code, out = run(name, path, "--json")
        yield from _said(name, json.loads(out), code, wanted)
    code, out = run("simulate", path)
    if headline(decided) not in out or (code == 0) != (wanted[0] == CLEANS_UP):
        yield f"simulate in words, exit {code}"
    cut = scene.cut.minimum_cut
    _, out = run("compare", path, "--vary", f"cut.minimum_cut_mm={cut!r}", "--json")
    (row,) = json.loads(out)["rows"]
    yield from _said("compare at its own value", row, None, wanted)
    yield from _on_paper(path, folder, headline(decided), wanted[0])
    yield from _recorded(path, folder, scene)
    yield from _on_the_page(on_bar[decided.worst_at].result, decided)
    if plans:
        yield from _planned(path, folder)
        yield from _mended(scene, path)


Told = tuple[str, float, float]
"""Verdict, how many of 100, least stock in a bad run [mm]."""


def told_by(decided: Decision) -> Told:
    """What `decide` says of a job."""
    bad = decided.least_stock.bad
    value = decided.clean_up_of_100.value
    return decided.verdict, round(value, 6), round(bad, 6) if math.isfinite(bad) else -math.inf


def told_in(json_of: dict[str, Any]) -> Told:
    """The same as a command says it in JSON."""
    of_100, least = json_of["clean_up_of_100"], json_of.get("least_stock_mm")
    value = of_100["value"] if isinstance(of_100, dict) else of_100
    bad = json_of["bad_stock_mm"] if least is None else least["bad"]
    return json_of["verdict"], round(value, 6), -math.inf if bad is None else round(bad, 6)


def _said(where: str, told: dict[str, Any], code: int | None, wanted: Told) -> Iterator[str]:
    """Verdict, of 100 and bad run in JSON, and the exit code beside them."""
    if told_in(told) != wanted:
        yield f"{where}: {told_in(told)}, not {wanted}"
    if code is not None and (code == 0) != (wanted[0] == CLEANS_UP):
        yield f"{where}: exit {code} beside {wanted[0]}"


def _on_paper(path: Path, folder: Path, word: str, verdict: str) -> Iterator[str]:
    """The stamp of the sheet of every bore."""
    out = folder / "sheet.html"
    try:
        code, _ = run("sheet", path, "--out", out)
    except SceneError:
        return
    if code == 2:  # a dial that cannot give what is asked: no sheet, so nothing said
        return
    text = out.read_text(encoding="utf-8")
    others = {one.upper() for one in VERDICTS if one != verdict}
    if word not in text or (code == 0) != (verdict == CLEANS_UP):
        yield f"sheet, exit {code}: not stamped {word}"
    if any(re.search(rf"{other}: \d", text) for other in others):
        yield "sheet: stamped with another verdict as well"


def _recorded(path: Path, folder: Path, scene: Scene) -> Iterator[str]:
    """The record read back: the same job, so the same verdict."""
    out = folder / "record.json"
    code, _ = run("record", path, "--out", out, "--date", "2026-11-27")
    if code or digest(record.read(out).scene) != digest(scene):
        yield f"record, exit {code}: another job"


class _Slot:
    """A place on the page that keeps what is shown in it."""

    shown = ""

    def html(self, text: str) -> None:
        """Show."""
        self.shown = text


def _on_the_page(result: Any, decided: Any) -> Iterator[str]:
    slot: Any = _Slot()
    panel(slot, result, decided, old=False)
    if headline(decided) not in slot.shown:
        yield f"page: {slot.shown}"


def _planned(path: Path, folder: Path) -> Iterator[str]:
    """The plan saved and simulated again gives what was promised, with the same exit code."""
    out = folder / "plan.toml"
    out.unlink(missing_ok=True)
    code, text = run("plan", path, "--json", "--save", out)
    if code == 2:
        return
    told = json.loads(text)
    if not told["found"]:
        if code == 0 or out.exists():
            yield f"plan, exit {code}: none found, one saved"
        return
    again, text = run("simulate", out, "--json")
    yield from _said("the plan saved", json.loads(text), again, told_in(told))
    if again != code:
        yield f"plan, exit {code}; the plan saved, exit {again}"


def _mended(scene: Scene, path: Path) -> Iterator[str]:
    """Every remedy applied and simulated again gives what was said of it, and is a yes."""
    _, text = run("simulate", path, "--json", "--remedies")
    told = json.loads(text)
    for one in told["remedies"]:
        then = decide(changed(scene, one["change"]))
        yield from _said(f"remedy {one['change']}", one, None, told_by(then))
        if then.verdict not in (CLEANS_UP, NOT_PROVEN):
            yield f"remedy {one['change']}: {then.verdict}"


def read_again(scene: Scene, folder: Path) -> Iterator[str]:
    """A job read after its first layer: worked out again without a new reading it is the same job;
    what `update` saves is simulated as it said.
    """
    blank = "depth_mm,oclock,diameter_mm\n"
    length = scene.bore.length
    result = simulate_bar(scene)[0].result
    low, high = result.layers[0].gauge
    rows = [
        f"{z * length:.1f},{h},{0.5 * (low + high):.3f}"
        for z in (0.3, 0.5, 0.7)
        for h in (0, 1.5, 3)
    ]
    csv = blank + "\n".join(rows) + "\n"
    held = told(with_readings(scene, csv, layer=1), replan=False).scene
    again = told(held, replan=False).scene
    if digest(held) != digest(again):
        yield "update with no new reading: another job"
    path, file, out = folder / "job.toml", folder / "read.csv", folder / "rest.toml"
    save(scene, path)
    file.write_text(csv, encoding="utf-8")
    out.unlink(missing_ok=True)
    code, text = run("update", path, file, "--layer", 1, "--json", "--save", out)
    update = json.loads(text)
    plan = update["plan"]
    promise = update["as_it_is"] if update["enough"] else plan if plan and plan["found"] else None
    if promise is None:
        if code != 3:
            yield f"update, exit {code}: no plan is sure enough"
        return
    then, text = run("simulate", out, "--json")
    yield from _said("the job after update", json.loads(text), then, told_in(promise))
    if then != code:
        yield f"update, exit {code}; what it saved, exit {then}"
