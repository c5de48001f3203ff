"""`simulate`: judge a scene."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from sim.commands.shared import (
    GOOD,
    NOT_CLEAN,
    Commands,
    Progress,
    print_json,
    scene_argument,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "simulate", help="judge a scene: exit 0 cleans up, 3 anything less, 2 bad input"
    )
    scene_argument(command)
    command.add_argument(
        "--json", action="store_true", help="the result as JSON on standard output (mm, C, s)"
    )
    command.add_argument(
        "--csv", metavar="DIR", help="also write layers, low spots and stock map as CSV into DIR"
    )
    command.add_argument(
        "--remedies",
        action="store_true",
        help="also what would make it clean up, each one simulated and drawn",
    )
    command.add_argument(
        "--nominal",
        action="store_true",
        help="a quick look as planned, nothing drawn: no verdict, exit 3",
    )
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Judge a scene; returns the exit code."""
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.laws.compiled import compiled
    from sim.plan.odds.verdict import decide, worst_bore
    from sim.shop.judge import CLEANS_UP
    from sim.shop.several_bores import simulate_bar
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
    tell = Progress()
    on_bar = simulate_bar(scene, progress=tell)
    decided = (
        None
        if given.nominal
        else decide(scene, [one.result for one in on_bar], progress=tell.draws)
    )
    result = worst_bore(on_bar, decided).result
    advice = None
    if given.remedies:
        from sim.plan.remedies.advice import remedies

        advice = remedies(scene, on_bar)
    if given.csv:
        for path in write_csv(result, Path(given.csv)):
            print(f"wrote {path}", file=sys.stderr)
    if given.json:
        print_json(bar_as_json(on_bar, decided, advice))
    else:
        print(bar_note(on_bar, decided, advice), end="")
    return GOOD if decided is not None and decided.verdict == CLEANS_UP else NOT_CLEAN
