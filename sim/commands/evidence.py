"""`evidence`: every check against something outside."""

from __future__ import annotations

import argparse

from sim.commands.shared import (
    GOOD,
    NOT_CLEAN,
    Commands,
    print_json,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "evidence",
        help="every check against something outside, and what nobody has measured: exit 0 as "
        "known, 3 a check fell that held",
    )
    command.add_argument("--json", action="store_true", help="as JSON on standard output")
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Every check worked out; returns the exit code."""
    from sim.evidence.table import evidence
    from sim.tell.evidence import evidence_as_json, evidence_note

    held = evidence()
    if given.json:
        print_json(evidence_as_json(held))
    else:
        print(evidence_note(held), end="")
    return GOOD if held.as_known else NOT_CLEAN
