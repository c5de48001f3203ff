"""`compare`: one or two quantities varied."""

from __future__ import annotations

import argparse
from pathlib import Path

from sim.commands.shared import (
    GOOD,
    Commands,
    Progress,
    print_json,
    refused,
    scene_argument,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "compare", help="vary one or two quantities and put the cases side by side"
    )
    scene_argument(command)
    command.add_argument(
        "--vary",
        action="append",
        required=True,
        metavar="KEY=VALUES",
        help="as layer.pitch_mm=3.0:4.2:0.2 or layer.advance=spiral,step",
    )
    command.add_argument(
        "--draws",
        type=int,
        default=None,
        help="exactly so many draws a case; left out, each stops when its verdict is plain",
    )
    command.add_argument(
        "--nominal",
        action="store_true",
        help="a quick look at every case as planned, nothing drawn: no verdicts",
    )
    command.add_argument(
        "--resume", metavar="FILE", help="keep what is done here, and go on from it"
    )
    form = command.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="the table as JSON on standard output")
    form.add_argument("--csv", action="store_true", help="the table as CSV on standard output")
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """One or two quantities varied; returns the exit code."""
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.plan.compare import compare, split_vary
    from sim.tell.chance import table_csv, table_json, table_note

    scene = load(find_scene(given.scene))
    if given.draws is not None and not 1 <= given.draws <= 100_000:
        return refused(f"--draws {given.draws}: must be from 1 to 100000; --nominal draws nothing.")
    resume = None if given.resume is None else Path(given.resume)
    table = compare(
        scene,
        split_vary(given.vary),
        draws=given.draws,
        nominal=given.nominal,
        progress=Progress().of,
        resume=resume,
    )
    if given.json:
        print_json(table_json(table))
    else:
        print(table_csv(table) if given.csv else table_note(table, scene.job.units), end="")
    return GOOD
