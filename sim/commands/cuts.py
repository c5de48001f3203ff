"""`cuts`: boring passes within the bar."""

from __future__ import annotations

import argparse

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
        "cuts",
        help="boring passes within the bar: exit 0 nothing to say, 3 look at the warnings, 2 bad "
        "input",
    )
    scene_argument(command)
    command.add_argument(
        "--json", action="store_true", help="the passes as JSON on standard output (mm, s, N, W)"
    )
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Boring passes within the bar; returns the exit code."""
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.machine.boring.passes import boring_cuts
    from sim.shop.several_bores import simulate_bar
    from sim.tell.boring import bar_cuts_json, bar_cuts_note

    scene = load(find_scene(given.scene))
    found = [
        (one.name, boring_cuts(one.result)) for one in simulate_bar(scene, progress=Progress())
    ]
    if given.json:
        print_json(bar_cuts_json(found))
    else:
        print(bar_cuts_note(found), end="")
    return NOT_CLEAN if any(cuts.warnings for _, cuts in found) else GOOD
