"""`scenes`: the shipped scenes."""

from __future__ import annotations

import argparse

from sim.commands.shared import (
    GOOD,
    Commands,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser("scenes", help="list the shipped scenes")
    command.set_defaults(run=run)


def run(_: argparse.Namespace) -> int:
    """The shipped scenes; returns the exit code."""
    from sim.job.files import shipped
    from sim.job.read import load

    for path in shipped():
        scene = load(path)
        print(f"{path.stem:<28} {scene.job.name}: {scene.job.note}")
    return GOOD
