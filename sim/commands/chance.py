"""`chance`: how often the job cleans up."""

from __future__ import annotations

import argparse

from sim.commands.shared import (
    GOOD,
    NOT_CLEAN,
    Commands,
    Progress,
    print_json,
    refused,
    scene_argument,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "chance",
        help="how often the job cleans up, where it does not, and which spread matters: exit 0 "
        "cleans up, 3 anything less, 2 bad input",
    )
    scene_argument(command)
    command.add_argument(
        "--draws",
        type=int,
        default=None,
        help="exactly so many draws; left out, it stops when the verdict is plain",
    )
    command.add_argument("--json", action="store_true", help="as JSON on standard output (mm)")
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """How often the job cleans up; returns the exit code."""
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.plan.odds.chance import chance
    from sim.shop.judge import CLEANS_UP
    from sim.tell.chance import chance_json, chance_note

    if given.draws is not None and not 1 <= given.draws <= 100_000:
        return refused(f"--draws {given.draws}: must be from 1 to 100000.")
    tell = Progress()
    found = chance(
        load(find_scene(given.scene)),
        given.draws,
        shares=True,
        progress=tell.draws if given.draws is None else tell.of,
    )
    if given.json:
        print_json(chance_json(found))
    else:
        print(chance_note(found), end="")
    return GOOD if found.decided.verdict == CLEANS_UP else NOT_CLEAN
