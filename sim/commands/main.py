"""The command line: `bore-buildup` or `python -m sim`."""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

GOOD, FAULT, BAD_INPUT, NOT_CLEAN = 0, 1, 2, 3


class Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence and ends with 2."""

    def error(self, message: str) -> NoReturn:
        """One sentence instead of a usage block."""
        print(f"{self.prog}: {message}; see `{self.prog} --help`.", file=sys.stderr)
        raise SystemExit(BAD_INPUT)


def parser() -> Parser:
    """The commands and their options."""
    top = Parser(
        prog="bore-buildup",
        description="Does the weld build-up clean up at the final bore, and where not?",
    )
    commands = top.add_subparsers(dest="command", required=True, metavar="command")
    one = commands.add_parser(
        "simulate", help="judge a scene: exit 0 cleans up, 3 anything less, 2 bad input"
    )
    one.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    one.add_argument(
        "--json", action="store_true", help="the result as JSON on standard output (mm, C, s)"
    )
    one.add_argument(
        "--csv", metavar="DIR", help="also write layers, low spots and stock map as CSV into DIR"
    )
    one.add_argument(
        "--remedies",
        action="store_true",
        help="also what would make it clean up, each one simulated",
    )
    four = commands.add_parser(
        "export",
        help="write the worn part, each layer's metal and the finished bore as closed solids",
    )
    four.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    four.add_argument("--out", metavar="DIR", required=True, help="folder for the files")
    four.add_argument("--format", choices=("stl", "ply", "obj", "3mf"), default="stl")
    four.add_argument("--clock", type=int, default=720, help="facets round the clock (720)")
    four.add_argument("--depth", type=int, default=1000, help="facets along the depth (1000)")
    five = commands.add_parser(
        "describe", help="form of the worn bore: circles, taper, tilt, pre-bore that cleans up"
    )
    five.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    five.add_argument("--json", action="store_true", help="as JSON on standard output (mm)")
    more = commands.add_parser(
        "compare", help="vary one or two quantities and put the cases side by side"
    )
    more.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    more.add_argument(
        "--vary",
        action="append",
        required=True,
        metavar="KEY=VALUES",
        help="as layer.pitch_mm=3.0:4.2:0.2 or layer.advance=spiral,step",
    )
    more.add_argument(
        "--draws", type=int, default=0, help="so many draws a case, for the probability of clean-up"
    )
    more.add_argument("--resume", metavar="FILE", help="keep what is done here, and go on from it")
    form = more.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="the table as JSON on standard output")
    form.add_argument("--csv", action="store_true", help="the table as CSV on standard output")
    odds = commands.add_parser(
        "chance",
        help="how often the job cleans up with everything straying as it may: exit 0 as often as "
        "asked, 3 less, 2 bad input",
    )
    odds.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    odds.add_argument(
        "--draws",
        type=int,
        default=None,
        help="exactly so many draws; left out, it stops when the verdict is plain",
    )
    odds.add_argument("--json", action="store_true", help="as JSON on standard output (mm)")
    best = commands.add_parser(
        "plan", help="the layers that clean up as surely as asked: exit 0 found, 3 not, 2 bad input"
    )
    best.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    best.add_argument("--by", default="metal", help="what is to be least: metal, time or cost")
    best.add_argument(
        "--json", action="store_true", help="the plan as JSON on standard output (mm, s)"
    )
    best.add_argument("--save", metavar="FILE", help="also write the planned scene")
    six = commands.add_parser(
        "exercise", help="guess, then see: ask, hand out or mark an exercise; exit 0, 2 bad input"
    )
    six.add_argument(
        "what",
        nargs="?",
        help="one of the seven, an exercise file, or a scene; left out: list the seven",
    )
    six.add_argument(
        "--variation", type=int, default=0, help="a numbered variation of one of the seven (0)"
    )
    six.add_argument(
        "--questions", metavar="A,B", help="what to ask of a scene, as where,layers,short"
    )
    six.add_argument(
        "--out", metavar="FILE", help="write the exercise to hand out; the answer is not in it"
    )
    six.add_argument(
        "--answer",
        action="append",
        default=[],
        metavar="QUESTION=ANSWER",
        help="as where=9:30@50, layers=2, gauge=79.2; marks it",
    )
    set_up = commands.add_parser(
        "schedule",
        help="settings layer by layer, checked against the procedure: exit 0, 3 outside it, 2 bad "
        "input",
    )
    set_up.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    set_up.add_argument("--json", action="store_true", help="as JSON on standard output (mm, s, C)")
    cuts = commands.add_parser(
        "cuts",
        help="boring passes within the bar: exit 0 nothing to say, 3 look at the warnings, 2 bad "
        "input",
    )
    cuts.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    cuts.add_argument(
        "--json", action="store_true", help="the passes as JSON on standard output (mm, s, N, W)"
    )
    cost = commands.add_parser(
        "estimate",
        help="wire, gas, time and, at your own rates, money: of a scene, or from sizes alone",
    )
    cost.add_argument(
        "scene",
        nargs="?",
        help="scene file (TOML), or the name of a shipped scene; instead of sizes",
    )
    for name, what in (
        ("original", "size when new"),
        ("worst", "largest worn size"),
        ("length", "length of the bore"),
    ):
        cost.add_argument(
            f"--{name}",
            metavar="SIZE",
            help=f'{what}, as 80, 3.15in or "3 1/8 '
            f'in"{", on diameter" if name != "length" else ""}',
        )
    cost.add_argument("--holes", type=int, default=1, help="how many bores alike (1)")
    cost.add_argument(
        "--rates",
        metavar="FILE",
        help="your rates: a TOML with [rates], and [plan] wire_price and hour_price",
    )
    cost.add_argument(
        "--units", choices=("mm", "in"), help="units shown, and meant where a size has none"
    )
    cost.add_argument(
        "--json", action="store_true", help="the estimate as JSON on standard output (g, s, l)"
    )
    paper = commands.add_parser(
        "sheet",
        help="the job sheet, PDF or HTML: exit 0 cleans up, 3 written but it does not, 2 bad input",
    )
    paper.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    paper.add_argument(
        "--out", metavar="FILE", required=True, help="file to write, ending in .pdf or .html"
    )
    read = commands.add_parser(
        "update",
        help="take readings after a layer and plan the rest again: exit 0 bore it or go on, 3 no "
        "plan is sure enough, 2 bad input",
    )
    read.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    read.add_argument(
        "readings",
        help="CSV: depth_mm, oclock, diameter_mm or radius_mm; bore_c, outside_c; touched (crest "
        "or valley)",
    )
    read.add_argument("--layer", type=int, help="after which layer (the last one laid)")
    read.add_argument("--taken", default="", help="when, by whom, with what")
    read.add_argument("--json", action="store_true", help="as JSON on standard output (mm, s)")
    read.add_argument(
        "--save",
        metavar="FILE",
        help="also write the job with its readings and the rest planned again",
    )
    kept = commands.add_parser(
        "record",
        help="the job with its readings, planned against come out: exit 0 written or told, 2 bad "
        "input",
    )
    kept.add_argument(
        "scene", help="scene file (TOML), the name of a shipped scene, or a record to add to (JSON)"
    )
    kept.add_argument("--out", metavar="FILE", help="write the record (JSON)")
    kept.add_argument(
        "--report",
        action="store_true",
        help="tell planned against come out (also when no --out is given)",
    )
    kept.add_argument("--finished", metavar="CSV", help="readings of the finished bore")
    kept.add_argument("--note", default="", help="a note to keep with it")
    kept.add_argument("--date", help="date of the record (today)")
    two = commands.add_parser("schema", help="JSON Schema of the scene file and of the result")
    two.add_argument("which", nargs="?", choices=("scene", "result"), help="only one of them")
    commands.add_parser("scenes", help="list the shipped scenes")
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code and lets no traceback out."""
    given = parser().parse_args(arguments)
    from sim.reference.errors import SceneError

    try:
        return int(COMMANDS[given.command](given))
    except SceneError as fault:
        print(str(fault), file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        sys.stderr.close()
        return GOOD
    except KeyboardInterrupt:
        kept = getattr(given, "resume", None)
        print(
            f"stopped; what was done is kept in {kept}, the same command goes on from it."
            if kept
            else "stopped.",
            file=sys.stderr,
        )
        return FAULT
    except MemoryError:
        print("the job does not fit into memory; use fewer [grid] columns.", file=sys.stderr)
        return BAD_INPUT
    except Exception as fault:
        print(
            f"our own fault, not yours: {type(fault).__name__}: {fault}; please keep the "
            "scene file and report it.",
            file=sys.stderr,
        )
        return FAULT


def _simulate(given: argparse.Namespace) -> int:
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.laws.compiled import compiled
    from sim.shop.judge import CLEANS_UP
    from sim.shop.several_bores import simulate_bar, worst_bore, worst_verdict
    from sim.tell.csv_files import write_csv
    from sim.tell.note import bar_note
    from sim.tell.result_json import bar_as_json

    scene = load(find_scene(given.scene))
    if not compiled():
        print(
            "first run on this machine: compiling the engine, once (about 15 s) ...",
            file=sys.stderr,
            flush=True,
        )
    on_bar = simulate_bar(scene, progress=_Progress())
    result = worst_bore(on_bar).result
    advice = None
    if given.remedies:
        from sim.plan.remedies.advice import remedies

        advice = remedies(result)
    if given.csv:
        for path in write_csv(result, Path(given.csv)):
            print(f"wrote {path}", file=sys.stderr)
    if given.json:
        print(json.dumps(bar_as_json(on_bar, advice), indent=1, allow_nan=False))
    else:
        print(bar_note(on_bar, advice), end="")
    return GOOD if worst_verdict(on_bar) == CLEANS_UP else NOT_CLEAN


class _Progress:
    """Tells on standard error what is going on, once it has taken over a second."""

    def __init__(self) -> None:
        self.began, self.told = time.monotonic(), 0.0

    def __call__(self, what: str) -> None:
        if time.monotonic() - self.began > 1.0:
            print(f"  {what} ...", file=sys.stderr, flush=True)

    def of(self, done: int, whole: int, left: float) -> None:
        """How far a sweep is, every second or so."""
        if time.monotonic() - self.began > self.told + 1.0:
            self.told = time.monotonic() - self.began
            self(f"{done} of {whole}, about {left:.0f} s left")

    def draws(self, done: int, most: int, _: float) -> None:
        """How far draws are that stop as soon as the answer is plain."""
        if time.monotonic() - self.began > self.told + 1.0:
            self.told = time.monotonic() - self.began
            self(f"{done} draws, {most} at most; it stops as soon as the answer is plain")


def _export(given: argparse.Namespace) -> int:
    from sim.bore.solid_files import export
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.pictures.solids_of_job import solids_of
    from sim.reference.errors import SceneError
    from sim.shop.run import simulate

    for name, value, most in (("--clock", given.clock, 7200), ("--depth", given.depth, 20000)):
        if not 8 <= value <= most:
            raise SceneError(f"{name} = {value}: must be between 8 and {most} facets.")
    if given.clock * given.depth > 20_000_000:
        raise SceneError(
            f"--clock {given.clock} x --depth {given.depth}: too many facets; at most 20 "
            "million cells."
        )
    result = simulate(load(find_scene(given.scene)), progress=_Progress())
    solids = {}
    for name, solid in solids_of(result, given.clock, given.depth):
        print(f"  {name} ...", file=sys.stderr, flush=True)
        solids[name] = solid
    try:
        written = export(solids, given.out, given.format)
    except ValueError as fault:
        raise SceneError(str(fault)) from None
    for path in written:
        print(path)
    return GOOD


def _describe(given: argparse.Namespace) -> int:
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.shop.as_worn_form import describe
    from sim.tell.form import form_as_json, form_note

    scene = load(find_scene(given.scene))
    form = describe(scene)
    if given.json:
        print(json.dumps(form_as_json(scene, form), indent=1, allow_nan=False))
    else:
        print(form_note(scene, form), end="")
    return GOOD


def _compare(given: argparse.Namespace) -> int:
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.plan.compare import compare, split_vary
    from sim.tell.chance import table_csv, table_json, table_note

    scene = load(find_scene(given.scene))
    if not 0 <= given.draws <= 100_000:
        return _refused(f"--draws {given.draws}: must be from 0 to 100000.")
    resume = None if given.resume is None else Path(given.resume)
    table = compare(
        scene, split_vary(given.vary), draws=given.draws, progress=_Progress().of, resume=resume
    )
    if given.json:
        print(json.dumps(table_json(table), indent=1, allow_nan=False))
    else:
        print(table_csv(table) if given.csv else table_note(table, scene.job.units), end="")
    return GOOD


def _chance(given: argparse.Namespace) -> int:
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.plan.odds.chance import chance
    from sim.tell.chance import chance_json, chance_note

    if given.draws is not None and not 1 <= given.draws <= 100_000:
        return _refused(f"--draws {given.draws}: must be from 1 to 100000.")
    tell = _Progress()
    found = chance(
        load(find_scene(given.scene)),
        given.draws,
        shares=True,
        progress=tell.draws if given.draws is None else tell.of,
    )
    if given.json:
        print(json.dumps(chance_json(found), indent=1, allow_nan=False))
    else:
        print(chance_note(found), end="")
    return GOOD if found.probability >= found.asked and found.scene.bead is not None else NOT_CLEAN


def _refused(sentence: str) -> int:
    print(sentence, file=sys.stderr)
    return BAD_INPUT


def _plan(given: argparse.Namespace) -> int:
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.job.write import save
    from sim.plan.recommend import recommend
    from sim.shop.judge import CLEANS_UP
    from sim.tell.plan import plan_json, plan_note, verdict

    found = recommend(load(find_scene(given.scene)), given.by, tell=_Progress())
    if given.save and found.winner is not None:
        save(found.winner.scene, Path(given.save))
        print(f"wrote {given.save}", file=sys.stderr)
    if given.json:
        print(json.dumps(plan_json(found), indent=1, allow_nan=False))
    else:
        print(plan_note(found), end="")
    good = found.winner is not None and verdict(found.winner, found.asked) == CLEANS_UP
    return GOOD if good else NOT_CLEAN


def _exercise(given: argparse.Namespace) -> int:
    from sim.job.files import write_whole
    from sim.teach.exercise import exercise_text, job_lines
    from sim.teach.marking import grade, mark, score
    from sim.teach.questions import QUESTIONS, parse_answer
    from sim.teach.the_seven import SEVEN

    if given.what is None:
        for name, kind in SEVEN.items():
            print(f"{name:<22} {kind.task}")
        return GOOD
    told = _exercise_of(given)
    asked, scene = told.exercise, told.scene
    if given.out:
        write_whole(Path(given.out), exercise_text(asked).encode("utf-8"))
        print(f"wrote {given.out}", file=sys.stderr)
        return GOOD
    if not given.answer:
        lines = [
            asked.title,
            asked.task,
            "",
            *(f"- {what}: {value}" for what, value in job_lines(scene)),
            "",
        ]
        print("\n".join([*lines, *(f"{name}: {QUESTIONS[name].asks}" for name in asked.questions)]))
        return GOOD
    pairs = [text.partition("=")[::2] for text in given.answer]
    marks = mark(
        told, {name.strip(): parse_answer(scene, name.strip(), text) for name, text in pairs}
    )
    for one in marks:
        print(
            f"{one.asked}\n  you: {one.given}; laid and looked: {one.found}; "
            f"{100 * one.points:.0f} of 100\n{one.why}\n"
        )
    print(f"Score: {score(marks)} of 100; {grade(score(marks))}.")
    return GOOD


def _exercise_of(given: argparse.Namespace) -> Any:
    """The exercise named: one of the seven, a file of one, or a scene made into one; laid."""
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.teach.exercise import USUAL, of_scene, read_exercise
    from sim.teach.the_seven import SEVEN, made
    from sim.teach.truth import truth

    if given.what in SEVEN:
        return made(given.what, given.variation)
    path = find_scene(given.what)
    data = path.read_bytes() if path.is_file() else b""
    if b"\n[exercise]" in data:
        return truth(read_exercise(data, name=str(path)))
    questions = given.questions.split(",") if given.questions else USUAL
    return truth(of_scene(load(path), questions=questions))


def _schedule(given: argparse.Namespace) -> int:
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.machine.layer_row import OUTSIDE
    from sim.machine.layer_sheet import schedule
    from sim.shop.several_bores import simulate_bar
    from sim.tell.layer_sheet import bar_schedule_note
    from sim.tell.layer_sheet_json import bar_json

    on_bar = simulate_bar(load(find_scene(given.scene)), progress=_Progress())
    told = [(one.name, one.along, schedule(one.result)) for one in on_bar]
    if given.json:
        print(json.dumps(bar_json(told), indent=1, allow_nan=False))
    else:
        print(bar_schedule_note(told), end="")
    return NOT_CLEAN if any(one.verdict == OUTSIDE for _, _, one in told) else GOOD


def _cuts(given: argparse.Namespace) -> int:
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.machine.boring.passes import boring_cuts
    from sim.shop.several_bores import simulate_bar
    from sim.tell.boring import bar_cuts_json, bar_cuts_note

    scene = load(find_scene(given.scene))
    found = [
        (one.name, boring_cuts(one.result)) for one in simulate_bar(scene, progress=_Progress())
    ]
    if given.json:
        print(json.dumps(bar_cuts_json(found), indent=1, allow_nan=False))
    else:
        print(bar_cuts_note(found), end="")
    return NOT_CLEAN if any(cuts.warnings for _, cuts in found) else GOOD


def _estimate(given: argparse.Namespace) -> int:
    from sim.reference.errors import SceneError
    from sim.tell.quantities import estimate_json, estimate_note, quantities_json, quantities_note

    sizes = [given.original, given.worst, given.length]
    if given.scene is not None and any(size is not None for size in sizes):
        raise SceneError("estimate: both a scene and sizes given; keep one of them.")
    if given.scene is not None:
        scene_found = _estimate_of_scene(given)
        told, note = quantities_json(scene_found), quantities_note(scene_found)
    elif None in sizes:
        raise SceneError("estimate: give a scene, or all of --original, --worst and --length.")
    else:
        quick = _estimate_of_sizes(given)
        told, note = estimate_json(quick), estimate_note(quick)
    print(
        json.dumps(told, indent=1, allow_nan=False) if given.json else note,
        end="\n" if given.json else "",
    )
    return GOOD


def _estimate_of_scene(given: argparse.Namespace) -> Any:
    from dataclasses import replace

    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.machine.quantities.takes import bar_quantities, with_rates
    from sim.shop.several_bores import simulate_bar

    scene = load(find_scene(given.scene))
    if given.units:
        scene = replace(scene, job=replace(scene.job, units=given.units))
    if given.rates:
        scene = with_rates(scene, Path(given.rates))
    return bar_quantities(simulate_bar(scene, progress=_Progress()), holes=given.holes)


def _estimate_of_sizes(given: argparse.Namespace) -> Any:
    from sim.job.files import shipped
    from sim.job.read import load
    from sim.machine.quantities.quick import quick_estimate
    from sim.machine.quantities.takes import with_rates
    from sim.reference.errors import SceneError
    from sim.reference.units import KINDS, typed

    units, sizes = given.units or "mm", []
    for name in ("original", "worst", "length"):
        try:
            suffix, number = typed(getattr(given, name), "length", units)
        except ValueError as fault:
            raise SceneError(f"--{name} {fault}.") from None
        sizes.append(next(u for u in KINDS["length"] if u.suffix == suffix).inside(number))
    like = with_rates(load(shipped()[0]), Path(given.rates)) if given.rates else None
    return quick_estimate(sizes[0], sizes[1], sizes[2], given.holes, like=like, units=units)


def _sheet(given: argparse.Namespace) -> int:
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.paper.write import kind_of, write_sheet
    from sim.shop.judge import CLEANS_UP
    from sim.shop.several_bores import simulate_bar, worst_verdict

    path = Path(given.out)
    kind_of(path)
    tell = _Progress()
    on_bar = simulate_bar(load(find_scene(given.scene)), progress=tell)
    tell("settings, cuts, quantities")
    write_sheet(on_bar, path)
    print(path)
    return GOOD if worst_verdict(on_bar) == CLEANS_UP else NOT_CLEAN


def _update(given: argparse.Namespace) -> int:
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.job.write import save
    from sim.machine.between.card import after_layer_cards
    from sim.machine.between.readings_after import update
    from sim.shop.judge import CLEANS_UP
    from sim.tell.between import update_json, update_note
    from sim.tell.plan import verdict

    found = update(
        load(find_scene(given.scene)),
        _bytes(given.readings),
        layer=given.layer,
        taken=given.taken,
        tell=_Progress(),
    )
    job = found.job
    cards = (
        () if found.enough else after_layer_cards(job, only=range(found.layer, len(job.layers) + 1))
    )
    if given.save:
        save(job, Path(given.save))
        print(f"wrote {given.save}", file=sys.stderr)
    if given.json:
        print(json.dumps(update_json(found, cards), indent=1, allow_nan=False))
    else:
        print(update_note(found, cards), end="")
    winner = found.plan.winner if found.plan is not None else None
    good = found.enough or (
        winner is not None and verdict(winner, winner.scene.confidence.asked) == CLEANS_UP
    )
    return GOOD if good else NOT_CLEAN


def _record(given: argparse.Namespace) -> int:
    import dataclasses
    import datetime

    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.machine.between import record
    from sim.machine.between.record import Record, as_mapping, came_out, noted, write
    from sim.tell.between import came_json, record_note
    from sim.tell.result_json import VERSION

    path = find_scene(given.scene)
    held = record.read(path) if path.suffix.lower() == ".json" else Record(load(path), "")
    finished = (
        _bytes(given.finished).decode("utf-8-sig", "replace") if given.finished else held.finished
    )
    date = _date(given.date) or held.date or datetime.date.today().isoformat()
    held = noted(dataclasses.replace(held, finished=finished, date=date), given.note)
    came = came_out(held)
    if given.out:
        write(Path(given.out), as_mapping(held, VERSION, came_json(came)))
        print(f"wrote {given.out}", file=sys.stderr)
    if given.report or not given.out:
        print(record_note(held, came), end="")
    return GOOD


def _date(text: str | None) -> str:
    """A date as given, or nothing. Raises SceneError where the calendar has none such."""
    import datetime

    from sim.reference.errors import SceneError

    try:
        return datetime.date.fromisoformat(text).isoformat() if text else ""
    except ValueError:
        raise SceneError(
            f"--date = '{text}': not a day of the calendar; write it as 2026-11-25."
        ) from None


def _bytes(name: str) -> bytes:
    """The bytes of a file of readings. Raises SceneError."""
    from sim.job.readings_csv import LARGEST
    from sim.reference.errors import SceneError

    path = Path(name)
    try:
        if path.is_file() and path.stat().st_size > LARGEST:
            raise SceneError(f"{name}: larger than {LARGEST} bytes; give the readings only.")
        return path.read_bytes()
    except OSError as fault:
        raise SceneError(
            f"{name}: cannot be read ({fault.strerror}); check the name and the permissions."
        ) from None


def _schema(given: argparse.Namespace) -> int:
    from sim.job.write import schema as scene_schema
    from sim.tell.result_json import schema as result_schema

    both: dict[str, Any] = {"scene": scene_schema(), "result": result_schema()}
    print(json.dumps(both[given.which] if given.which else both, indent=1))
    return GOOD


def _scenes(_: argparse.Namespace) -> int:
    from sim.job.files import shipped
    from sim.job.read import load

    for path in shipped():
        scene = load(path)
        print(f"{path.stem:<28} {scene.job.name}: {scene.job.note}")
    return GOOD


COMMANDS = {
    "simulate": _simulate,
    "compare": _compare,
    "chance": _chance,
    "plan": _plan,
    "update": _update,
    "record": _record,
    "export": _export,
    "describe": _describe,
    "exercise": _exercise,
    "schema": _schema,
    "scenes": _scenes,
    "schedule": _schedule,
    "cuts": _cuts,
    "sheet": _sheet,
    "estimate": _estimate,
}

if __name__ == "__main__":
    sys.exit(main())
