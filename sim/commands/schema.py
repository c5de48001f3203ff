"""`schema`: JSON Schema of scene, result and the settings of a layer."""

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
    command = commands.add_parser(
        "schema", help="JSON Schema of the scene file, of the result and of a layer's settings"
    )
    command.add_argument(
        "which", nargs="?", choices=("scene", "result", "layer"), help="only one of them"
    )
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """JSON Schema of scene, result and layer; returns the exit code."""
    from sim.job.write import schema as scene_schema
    from sim.tell.layer_sheet_json import layer_schema
    from sim.tell.result_json import schema as result_schema

    every: dict[str, Any] = {
        "scene": scene_schema(),
        "result": result_schema(),
        "layer": layer_schema(),
    }
    print(json.dumps(every[given.which] if given.which else every, indent=1))
    return GOOD
