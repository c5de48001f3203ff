"""`plan`: the layers to lay."""

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
        "plan", help="the layers that clean up as surely as asked: exit 0 found, 3 not, 2 bad input"
    )
    scene_argument(command)
    command.add_argument("--by", default="metal", help="what is to be least: metal, time or cost")
    command.add_argument(
        "--json", action="store_true", help="the plan as JSON on standard output (mm, s)"
    )
    command.add_argument("--save", metavar="FILE", help="also write the planned scene")
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """The layers to lay; returns the exit code."""
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.job.saved import save
    from sim.plan.recommend import recommend
    from sim.shop.judge import CLEANS_UP
    from sim.tell.plan import plan_json, plan_note

    found = recommend(load(find_scene(given.scene)), given.by, tell=Progress())
    if given.save and found.winner is not None:
        save(found.winner.scene, Path(given.save))
        print(f"wrote {given.save}", file=sys.stderr)
    if given.json:
        print_json(plan_json(found))
    else:
        print(plan_note(found), end="")
    decided = found.winner.decided if found.winner is not None else None
    return GOOD if decided is not None and decided.verdict == CLEANS_UP else NOT_CLEAN
