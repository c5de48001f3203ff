"""`record`: planned against come out."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from sim.commands.shared import (
    GOOD,
    Commands,
    bytes_of,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "record",
        help="the job with its readings, planned against measured: exit 0 written or told, 2 bad "
        "input",
    )
    command.add_argument(
        "scene", help="scene file (TOML), the name of a shipped scene, or a record to add to (JSON)"
    )
    command.add_argument("--out", metavar="FILE", help="write the record (JSON)")
    command.add_argument(
        "--report",
        action="store_true",
        help="tell planned against measured (also when no --out is given)",
    )
    command.add_argument("--finished", metavar="CSV", help="readings of the finished bore")
    command.add_argument("--note", default="", help="a note to keep with it")
    command.add_argument("--date", help="date of the record (today)")
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Planned against come out; returns the exit code."""
    import dataclasses
    import datetime

    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.machine.between import record
    from sim.machine.between.record import Record, as_mapping, came_out, noted, write
    from sim.reference.version import VERSION
    from sim.tell.record import came_json, record_note

    path = find_scene(given.scene)
    held = record.read(path) if path.suffix.lower() == ".json" else Record(load(path), "")
    finished = (
        bytes_of(given.finished).decode("utf-8-sig", "replace") if given.finished else held.finished
    )
    date = _date(given.date) or held.date or datetime.date.today().isoformat()
    held = noted(dataclasses.replace(held, finished=finished, date=date), given.note)
    came = came_out(held)
    if given.out:
        write(Path(given.out), as_mapping(held, VERSION, came_json(came)))
        print(f"wrote {given.out}", file=sys.stderr)
    if given.report or not given.out:
        print(record_note(held, came), end="")
    return GOOD


def _date(text: str | None) -> str:
    """A date as given, or nothing. Raises SceneError where the calendar has none such."""
    import datetime

    from sim.reference.errors import SceneError

    try:
        return datetime.date.fromisoformat(text).isoformat() if text else ""
    except ValueError:
        raise SceneError(
            f"--date = '{text}': not a day of the calendar; write it as 2026-11-25."
        ) from None
