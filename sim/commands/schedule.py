"""`schedule`: settings layer by layer."""

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
        "schedule",
        help="settings layer by layer, checked against the procedure: exit 0, 3 outside it, 2 bad "
        "input",
    )
    scene_argument(command)
    command.add_argument(
        "--json", action="store_true", help="as JSON on standard output (mm, s, C)"
    )
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Settings layer by layer; returns the exit code."""
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.machine.between.card import cards_of
    from sim.machine.layer_row import OUTSIDE
    from sim.machine.layer_sheet import schedule
    from sim.shop.several_bores import simulate_bar
    from sim.tell.layer_sheet import bar_schedule_note
    from sim.tell.layer_sheet_json import bar_json

    tell = Progress()
    on_bar = simulate_bar(load(find_scene(given.scene)), progress=tell)
    told = [(one.name, one.along, schedule(one.result)) for one in on_bar]
    tell.say("what the gauge may read")
    told = [
        (name, along, one.carded(cards))
        for (name, along, one), cards in zip(told, cards_of(on_bar), strict=True)
    ]
    if given.json:
        print_json(bar_json(told))
    else:
        print(bar_schedule_note(told), end="")
    return NOT_CLEAN if any(one.verdict == OUTSIDE for _, _, one in told) else GOOD
