"""`update`: readings after a layer."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from sim.commands.shared import (
    GOOD,
    NOT_CLEAN,
    Commands,
    Progress,
    bytes_of,
    print_json,
    scene_argument,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "update",
        help="take readings after a layer and plan the rest again: exit 0 bore it or go on, 3 no "
        "plan is sure enough, 2 bad input",
    )
    scene_argument(command)
    command.add_argument(
        "readings",
        help="CSV: depth_mm, oclock, diameter_mm or radius_mm; bore_c, outside_c; touched (crest "
        "or valley)",
    )
    command.add_argument("--layer", type=int, help="after which layer (the last one laid)")
    command.add_argument(
        "--bore", default="", help="of a bar: name of the bore they were taken in (the first)"
    )
    command.add_argument("--taken", default="", help="when, by whom, with what")
    command.add_argument("--json", action="store_true", help="as JSON on standard output (mm, s)")
    command.add_argument(
        "--save",
        metavar="FILE",
        help="also write the job with its readings and the rest planned again",
    )
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Readings after a layer; returns the exit code."""
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.job.saved import save
    from sim.machine.between.card import after_layer_cards
    from sim.machine.between.readings_after import update
    from sim.shop.judge import CLEANS_UP
    from sim.tell.between import update_json, update_note

    path = find_scene(given.scene)
    was = path.read_bytes() if given.save and path.is_file() else None
    found = update(
        load(path),
        bytes_of(given.readings),
        layer=given.layer,
        taken=given.taken,
        bore=given.bore,
        tell=Progress(),
    )
    job = found.job
    cards = (
        () if found.enough else after_layer_cards(job, only=range(found.layer, len(job.layers) + 1))
    )
    if given.save:
        same = Path(given.save).exists() and path.samefile(given.save)
        save(job, Path(given.save), was=was if same else None)
        print(f"wrote {given.save}", file=sys.stderr)
    if given.json:
        print_json(update_json(found, cards))
    else:
        print(update_note(found, cards), end="")
    winner = found.plan.winner if found.plan is not None else None
    decided = found.as_is if found.enough or winner is None else winner.decided
    return GOOD if decided is not None and decided.verdict == CLEANS_UP else NOT_CLEAN
