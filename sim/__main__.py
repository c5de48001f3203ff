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
    top = Parser(prog="bore-buildup", description="Does the weld build-up clean up at the final bore, and where not?")
    commands = top.add_subparsers(dest="command", required=True, metavar="command")
    one = commands.add_parser("simulate", help="judge a scene: exit 0 cleans up, 3 anything less, 2 bad input")
    one.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    one.add_argument("--json", action="store_true", help="the result as JSON on standard output (mm, C, s)")
    one.add_argument("--csv", metavar="DIR", help="also write layers, low spots and stock map as CSV into DIR")
    one.add_argument("--remedies", action="store_true", help="also what would make it clean up, each one simulated")
    four = commands.add_parser("export", help="write the worn part, each layer's metal and the finished bore as closed solids")
    four.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    four.add_argument("--out", metavar="DIR", required=True, help="folder for the files")
    four.add_argument("--format", choices=("stl", "ply", "obj", "3mf"), default="stl")
    four.add_argument("--clock", type=int, default=720, help="facets round the clock (720)")
    four.add_argument("--depth", type=int, default=1000, help="facets along the depth (1000)")
    five = commands.add_parser("describe", help="form of the worn bore: circles, taper, tilt, pre-bore that cleans up")
    five.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    five.add_argument("--json", action="store_true", help="as JSON on standard output (mm)")
    more = commands.add_parser("compare", help="vary one or two quantities and put the cases side by side")
    more.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    more.add_argument("--vary", action="append", required=True, metavar="KEY=VALUES", help="as layer.pitch_mm=3.0:4.2:0.2 or layer.advance=spiral,step")
    more.add_argument("--draws", type=int, default=0, help="so many draws a case, for the probability of clean-up")
    more.add_argument("--resume", metavar="FILE", help="keep what is done here, and go on from it")
    form = more.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="the table as JSON on standard output")
    form.add_argument("--csv", action="store_true", help="the table as CSV on standard output")
    best = commands.add_parser("plan", help="the layers that clean up as surely as asked: exit 0 found, 3 not, 2 bad input")
    best.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    best.add_argument("--by", default="metal", help="what is to be least: metal, time or cost")
    best.add_argument("--json", action="store_true", help="the plan as JSON on standard output (mm, s)")
    best.add_argument("--save", metavar="FILE", help="also write the planned scene")
    read = commands.add_parser("update", help="take readings after a layer and plan the rest again: exit 0 bore it or go on, 3 no plan is sure enough, 2 bad input")
    read.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")
    read.add_argument("readings", help="CSV: depth_mm, oclock, diameter_mm or radius_mm; bore_c, outside_c; touched (crest or valley)")
    read.add_argument("--layer", type=int, help="after which layer (the last one laid)")
    read.add_argument("--taken", default="", help="when, by whom, with what")
    read.add_argument("--json", action="store_true", help="as JSON on standard output (mm, s)")
    read.add_argument("--save", metavar="FILE", help="also write the job with its readings and the rest planned again")
    kept = commands.add_parser("record", help="the job with its readings, planned against come out: exit 0 written or told, 2 bad input")
    kept.add_argument("scene", help="scene file (TOML), the name of a shipped scene, or a record to add to (JSON)")
    kept.add_argument("--out", metavar="FILE", help="write the record (JSON)")
    kept.add_argument("--report", action="store_true", help="tell planned against come out (also when no --out is given)")
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
    from sim.job import SceneError

    try:
        return int(COMMANDS[given.command](given))
    except SceneError as fault:
        print(str(fault), file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        sys.stderr.close()
        return GOOD
    except KeyboardInterrupt:
        print("stopped; nothing was written.", file=sys.stderr)
        return FAULT
    except MemoryError:
        print("the job does not fit into memory; use fewer [grid] columns.", file=sys.stderr)
        return BAD_INPUT
    except Exception as fault:
        print(f"our own fault, not yours: {type(fault).__name__}: {fault}; please keep the scene file and report it.", file=sys.stderr)
        return FAULT


def _simulate(given: argparse.Namespace) -> int:
    from sim import report
    from sim.bar import simulate_bar, worst_verdict
    from sim.kernels import compiled
    from sim.scene import find_scene, load
    from sim.simulate import CLEANS_UP

    scene = load(find_scene(given.scene))
    if not compiled():
        print("first run on this machine: compiling the engine, once (about 15 s) ...", file=sys.stderr, flush=True)
    on_bar = simulate_bar(scene, progress=_Progress())
    result = report.worst_bore(on_bar).result
    advice = None
    if given.remedies:
        from sim.remedy import remedies

        advice = remedies(result)
    if given.csv:
        for path in report.write_csv(result, Path(given.csv)):
            print(f"wrote {path}", file=sys.stderr)
    if given.json:
        print(json.dumps(report.bar_as_json(on_bar, advice), indent=1, allow_nan=False))
    else:
        print(report.bar_note(on_bar, advice), end="")
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


def _export(given: argparse.Namespace) -> int:
    from sim import mesh
    from sim.job import SceneError
    from sim.scene import find_scene, load
    from sim.simulate import simulate
    from sim.solids import solids_of

    for name, value, most in (("--clock", given.clock, 7200), ("--depth", given.depth, 20000)):
        if not 8 <= value <= most:
            raise SceneError(f"{name} = {value}: must be between 8 and {most} facets.")
    if given.clock * given.depth > 20_000_000:
        raise SceneError(f"--clock {given.clock} x --depth {given.depth}: too many facets; at most 20 million cells.")
    result = simulate(load(find_scene(given.scene)), progress=_Progress())
    solids = {}
    for name, solid in solids_of(result, given.clock, given.depth):
        print(f"  {name} ...", file=sys.stderr, flush=True)
        solids[name] = solid
    try:
        written = mesh.export(solids, given.out, given.format)
    except ValueError as fault:
        raise SceneError(str(fault)) from None
    for path in written:
        print(path)
    return GOOD


def _describe(given: argparse.Namespace) -> int:
    from sim import report
    from sim.describe import describe
    from sim.scene import find_scene, load

    scene = load(find_scene(given.scene))
    form = describe(scene)
    if given.json:
        print(json.dumps(report.form_as_json(scene, form), indent=1, allow_nan=False))
    else:
        print(report.form_note(scene, form), end="")
    return GOOD


def _compare(given: argparse.Namespace) -> int:
    from sim import plan_note
    from sim.compare import compare, split_vary
    from sim.scene import find_scene, load

    scene = load(find_scene(given.scene))
    if not 0 <= given.draws <= 100_000:
        raise SystemExit(_refused(f"--draws {given.draws}: must be from 0 to 100000."))
    resume = None if given.resume is None else Path(given.resume)
    table = compare(scene, split_vary(given.vary), draws=given.draws, progress=_Progress().of, resume=resume)
    if given.json:
        print(json.dumps(plan_note.table_json(table), indent=1, allow_nan=False))
    else:
        print(plan_note.table_csv(table) if given.csv else plan_note.table_note(table), end="")
    return GOOD


def _refused(sentence: str) -> int:
    print(sentence, file=sys.stderr)
    return BAD_INPUT


def _plan(given: argparse.Namespace) -> int:
    from sim import plan_note
    from sim.plan import recommend
    from sim.scene import find_scene, load, save
    from sim.simulate import CLEANS_UP

    found = recommend(load(find_scene(given.scene)), given.by, tell=_Progress())
    if given.save and found.winner is not None:
        save(found.winner.scene, Path(given.save))
        print(f"wrote {given.save}", file=sys.stderr)
    if given.json:
        print(json.dumps(plan_note.plan_json(found), indent=1, allow_nan=False))
    else:
        print(plan_note.plan_note(found), end="")
    good = found.winner is not None and plan_note.verdict(found.winner, found.asked) == CLEANS_UP
    return GOOD if good else NOT_CLEAN


def _update(given: argparse.Namespace) -> int:
    from sim import plan_note, update_note
    from sim.card import after_layer_cards
    from sim.scene import find_scene, load, save
    from sim.simulate import CLEANS_UP
    from sim.update import update

    found = update(load(find_scene(given.scene)), _bytes(given.readings), layer=given.layer, taken=given.taken, tell=_Progress())
    job = found.job
    cards = () if found.enough else after_layer_cards(job, only=range(found.layer, len(job.layers) + 1))
    if given.save:
        save(job, Path(given.save))
        print(f"wrote {given.save}", file=sys.stderr)
    if given.json:
        print(json.dumps(update_note.update_json(found, cards), indent=1, allow_nan=False))
    else:
        print(update_note.update_note(found, cards), end="")
    winner = found.plan.winner if found.plan is not None else None
    good = found.enough or (winner is not None and plan_note.verdict(winner, winner.scene.confidence.asked) == CLEANS_UP)
    return GOOD if good else NOT_CLEAN


def _record(given: argparse.Namespace) -> int:
    import dataclasses
    import datetime

    from sim import record, update_note
    from sim.report import VERSION
    from sim.scene import find_scene, load

    path = find_scene(given.scene)
    held = record.read(path) if path.suffix.lower() == ".json" else record.Record(load(path), "")
    finished = _bytes(given.finished).decode("utf-8-sig", "replace") if given.finished else held.finished
    date = given.date or held.date or datetime.date.today().isoformat()
    held = record.noted(dataclasses.replace(held, finished=finished, date=date), given.note)
    came = record.came_out(held)
    if given.out:
        record.write(Path(given.out), record.as_mapping(held, VERSION, update_note.came_json(came)))
        print(f"wrote {given.out}", file=sys.stderr)
    if given.report or not given.out:
        print(update_note.record_note(held, came), end="")
    return GOOD


def _bytes(name: str) -> bytes:
    """The bytes of a file of readings. Raises SceneError."""
    from sim.gauge import LARGEST
    from sim.job import SceneError

    path = Path(name)
    try:
        if path.is_file() and path.stat().st_size > LARGEST:
            raise SceneError(f"{name}: larger than {LARGEST} bytes; give the readings only.")
        return path.read_bytes()
    except OSError as fault:
        raise SceneError(f"{name}: cannot be read ({fault.strerror}); check the name and the permissions.") from None


def _schema(given: argparse.Namespace) -> int:
    from sim import report, scene

    both: dict[str, Any] = {"scene": scene.schema(), "result": report.schema()}
    print(json.dumps(both[given.which] if given.which else both, indent=1))
    return GOOD


def _scenes(_: argparse.Namespace) -> int:
    from sim.scene import load, shipped

    for path in shipped():
        scene = load(path)
        print(f"{path.stem:<28} {scene.job.name}: {scene.job.note}")
    return GOOD


COMMANDS = {"simulate": _simulate, "compare": _compare, "plan": _plan, "update": _update, "record": _record, "export": _export, "describe": _describe, "schema": _schema, "scenes": _scenes}

if __name__ == "__main__":
    sys.exit(main())
