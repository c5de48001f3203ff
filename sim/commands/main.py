"""The command line: `bore-buildup` or `python -m sim`."""

from __future__ import annotations

import pkgutil
import sys
from collections.abc import Sequence
from importlib import import_module
from types import ModuleType

import sim.commands
from sim.commands.shared import BAD_INPUT, FAULT, GOOD, Parser
from sim.reference.version import VERSION

BESIDE = ("main", "shared")  # files of this folder that are no command


def commands() -> list[ModuleType]:
    """Every other file of this folder is a command: `add(commands)` declares it, `run(given)` does it."""
    names = sorted(module.name for module in pkgutil.iter_modules(sim.commands.__path__))
    return [import_module(f"sim.commands.{name}") for name in names if name not in BESIDE]


def parser() -> Parser:
    """The commands and their options."""
    top = Parser(
        prog="bore-buildup",
        description="Does the weld build-up clean up at the final bore, and where not?",
    )
    top.add_argument("--version", action="version", version=f"%(prog)s {VERSION}")
    below = top.add_subparsers(dest="command", required=True, metavar="command")
    for command in commands():
        command.add(below)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code and lets no traceback out."""
    given = parser().parse_args(arguments)
    from sim.reference.errors import SceneError

    try:
        return int(given.run(given))
    except SceneError as fault:
        print(str(fault), file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        sys.stderr.close()
        return GOOD
    except KeyboardInterrupt:
        kept = getattr(given, "resume", None)
        print(
            f"stopped; what was done is kept in {kept}, the same command goes on from it."
            if kept
            else "stopped.",
            file=sys.stderr,
        )
        return FAULT
    except MemoryError:
        print("the job does not fit into memory; use fewer [grid] columns.", file=sys.stderr)
        return BAD_INPUT
    except Exception as fault:
        print(
            f"our own fault, not yours: {type(fault).__name__}: {fault}; please keep the "
            "scene file and report it.",
            file=sys.stderr,
        )
        return FAULT
