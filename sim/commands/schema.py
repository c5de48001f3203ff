"""`schema`: JSON Schema of scene and result."""

from __future__ import annotations

import argparse
import json
from typing import Any

from sim.commands.shared import (
    GOOD,
    Commands,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser("schema", help="JSON Schema of the scene file and of the result")
    command.add_argument("which", nargs="?", choices=("scene", "result"), help="only one of them")
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Json schema of scene and result; returns the exit code."""
    from sim.job.write import schema as scene_schema
    from sim.tell.result_json import schema as result_schema

    both: dict[str, Any] = {"scene": scene_schema(), "result": result_schema()}
    print(json.dumps(both[given.which] if given.which else both, indent=1))
    return GOOD
