"""What the commands share: exit codes, the scene argument, progress, reading a file, JSON out."""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path
from typing import Any, NoReturn

from sim.reference.remarks import Remark

GOOD, FAULT, BAD_INPUT, NOT_CLEAN = 0, 1, 2, 3


class Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence and ends with 2."""

    def error(self, message: str) -> NoReturn:
        """One sentence instead of a usage block."""
        print(f"{self.prog}: {message}; see `{self.prog} --help`.", file=sys.stderr)
        raise SystemExit(BAD_INPUT)


Commands = Any  # what `add_subparsers` returns: argparse gives it no public name


def scene_argument(command: argparse.ArgumentParser) -> None:
    """The scene a command works on."""
    command.add_argument("scene", help="scene file (TOML), or the name of a shipped scene")


def print_json(told: Any) -> None:
    """JSON on standard output; never a number that is none."""
    print(json.dumps(told, indent=1, allow_nan=False))


def refused(sentence: str) -> int:
    """Say why not; the exit code of bad input."""
    print(sentence, file=sys.stderr)
    return BAD_INPUT


class Progress:
    """Tells on standard error what is going on, once it has taken over a second."""

    def __init__(self) -> None:
        self.began, self.told = time.monotonic(), 0.0

    def __call__(self, what: Remark) -> None:
        """What is going on now."""
        from sim.reference.sizes_in_words import Say
        from sim.tell.remarks import told

        self.say(told(what, Say("mm")))

    def say(self, what: str) -> None:
        """What is going on now, in words."""
        if time.monotonic() - self.began > 1.0:
            print(f"  {what} ...", file=sys.stderr, flush=True)

    def of(self, done: int, whole: int, left: float) -> None:
        """How far a sweep is, every second or so."""
        if time.monotonic() - self.began > self.told + 1.0:
            self.told = time.monotonic() - self.began
            self.say(f"{done} of {whole}, about {left:.0f} s left")

    def draws(self, done: int, most: int, _: float) -> None:
        """How far draws are that stop as soon as the answer is plain."""
        if time.monotonic() - self.began > self.told + 1.0:
            self.told = time.monotonic() - self.began
            self.say(
                f"checking: {done} jobs, {most} at most; it stops as soon as the answer is plain"
            )


def bytes_of(name: str) -> bytes:
    """The bytes of a file of readings. Raises SceneError."""
    from sim.job.readings_csv import LARGEST
    from sim.reference.errors import SceneError

    path = Path(name)
    try:
        if path.is_file() and path.stat().st_size > LARGEST:
            raise SceneError(f"{name}: larger than {LARGEST} bytes; give the readings only.")
        if path.exists() and not path.is_file():
            raise SceneError(f"{name}: not a plain file; give a file of readings.")
        return path.read_bytes()
    except OSError as fault:
        raise SceneError(
            f"{name}: cannot be read ({fault.strerror}); check the name and the permissions."
        ) from None
