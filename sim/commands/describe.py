"""`describe`: form of the worn bore."""

from __future__ import annotations

import argparse

from sim.commands.shared import (
    GOOD,
    Commands,
    print_json,
    scene_argument,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "describe", help="form of the worn bore: circles, taper, tilt, pre-bore that cleans up"
    )
    scene_argument(command)
    command.add_argument("--json", action="store_true", help="as JSON on standard output (mm)")
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Form of the worn bore; returns the exit code."""
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.shop.as_worn_form import describe
    from sim.tell.form import form_as_json, form_note

    scene = load(find_scene(given.scene))
    form = describe(scene)
    if given.json:
        print_json(form_as_json(scene, form))
    else:
        print(form_note(scene, form), end="")
    return GOOD
