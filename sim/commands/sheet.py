"""`sheet`: the paper for beside the machine."""

from __future__ import annotations

import argparse
from pathlib import Path

from sim.commands.shared import (
    GOOD,
    NOT_CLEAN,
    Commands,
    Progress,
    scene_argument,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "sheet",
        help="the job sheet, PDF or HTML: exit 0 cleans up, 3 written but it does not, 2 bad input",
    )
    scene_argument(command)
    command.add_argument(
        "--out", metavar="FILE", required=True, help="file to write, ending in .pdf or .html"
    )
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """The paper for beside the machine; returns the exit code."""
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.paper.write import kind_of, write_sheet
    from sim.plan.odds.verdict import decide
    from sim.shop.judge import CLEANS_UP
    from sim.shop.several_bores import simulate_bar

    path = Path(given.out)
    kind_of(path)
    tell = Progress()
    scene = load(find_scene(given.scene))
    on_bar = simulate_bar(scene, progress=tell)
    decided = decide(scene, [one.result for one in on_bar], progress=tell.draws)
    tell.say("settings, cuts, quantities")
    write_sheet(on_bar, decided, path)
    print(path)
    return GOOD if decided.verdict == CLEANS_UP else NOT_CLEAN
