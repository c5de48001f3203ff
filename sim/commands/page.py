"""`page`: open the page on this machine."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys

from sim.commands.shared import BAD_INPUT, GOOD, Commands, refused

HERE = "127.0.0.1"


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser("page", help="open the page in the browser")
    command.add_argument("--port", type=int, default=8501, help="where it is served (8501)")
    command.add_argument(
        "--address", default=HERE, help=f"who can reach it ({HERE}: this machine only)"
    )
    command.add_argument("--no-browser", action="store_true", help="serve it, open no browser")
    command.add_argument(
        "--install-check", action="store_true", help="say what this machine is missing, and end"
    )
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """The page until it is stopped; returns the exit code."""
    if given.install_check:
        return _checked()
    if not 1 <= given.port <= 65535:
        return refused(f"--port {given.port}: must be between 1 and 65535; leave it out for 8501.")
    from sim.reference.shipped import python_path, shipped_folder

    print(f"the page is at http://{given.address}:{given.port} until you press Ctrl-C")
    if given.address != HERE:
        print(
            f"--address {given.address}: everybody who reaches this machine on its network can "
            "open the page and see what is typed into their own visit; there is no password.",
            flush=True,
        )
    folder = shipped_folder()
    told = subprocess.run(
        [
            sys.executable, "-m", "streamlit", "run", str(folder / "app.py"),
            "--server.port", str(given.port),
            "--server.address", given.address,
            "--server.headless", "true" if given.no_browser else "false",
        ],
        cwd=folder,  # its settings lie there
        env={**os.environ, "PYTHONPATH": python_path()},
    )  # fmt: skip
    return GOOD if told.returncode == 0 else BAD_INPUT


def _checked() -> int:
    """What the machine has and lacks, a line each; returns the exit code."""
    from sim.commands.shared import NOT_CLEAN
    from sim.laws.compiled import CACHE, KEPT

    print(f"Python {sys.version.split()[0]}: fine")
    print(
        f"compiled code is kept in {CACHE}: fine"
        if KEPT
        else "compiled code cannot be kept: every start takes 15 s more; let the user write to "
        "~/.cache or set XDG_CACHE_HOME to a folder that can be written"
    )
    why = _no_picture()
    print(f"pictures of the bore: {why or 'fine'}")
    return GOOD if KEPT and not why else NOT_CLEAN


def _no_picture() -> str:
    """Why no picture of the bore can be drawn here; nothing where it can."""
    from sim.job.files import shipped
    from sim.job.read import load
    from sim.pictures.bore_3d.from_result import picture
    from sim.pictures.bore_3d.page import Look
    from sim.pictures.process.keeper import Viewer
    from sim.shop.run import simulate

    viewer = Viewer(wait=60.0)
    try:
        return viewer.still(picture(simulate(load(shipped()[0]))), Look()).reason
    finally:
        viewer.close()
