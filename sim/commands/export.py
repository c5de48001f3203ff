"""`export`: closed solids of a job."""

from __future__ import annotations

import argparse
import sys

from sim.commands.shared import (
    GOOD,
    Commands,
    Progress,
    scene_argument,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "export",
        help="write the worn part, each layer's metal and the finished bore as closed solids",
    )
    scene_argument(command)
    command.add_argument("--out", metavar="DIR", required=True, help="folder for the files")
    command.add_argument("--format", choices=("stl", "ply", "obj", "3mf"), default="stl")
    command.add_argument("--clock", type=int, default=720, help="facets round the clock (720)")
    command.add_argument("--depth", type=int, default=1000, help="facets along the depth (1000)")
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Closed solids of a job; returns the exit code."""
    from sim.bore.solid_files import export
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.pictures.solids_of_job import solids_of
    from sim.reference.errors import SceneError
    from sim.shop.run import simulate

    for name, value, most in (("--clock", given.clock, 7200), ("--depth", given.depth, 20000)):
        if not 8 <= value <= most:
            raise SceneError(f"{name} = {value}: must be between 8 and {most} facets.")
    if given.clock * given.depth > 20_000_000:
        raise SceneError(
            f"--clock {given.clock} x --depth {given.depth}: too many facets; at most 20 "
            "million cells."
        )
    result = simulate(load(find_scene(given.scene)), progress=Progress())
    solids = {}
    for name, solid in solids_of(result, given.clock, given.depth):
        print(f"  {name} ...", file=sys.stderr, flush=True)
        solids[name] = solid
    try:
        written = export(solids, given.out, given.format)
    except ValueError as fault:
        raise SceneError(str(fault)) from None
    for path in written:
        print(path)
    return GOOD
