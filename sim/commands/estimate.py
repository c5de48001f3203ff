"""`estimate`: wire, gas, time and money."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from sim.commands.shared import (
    GOOD,
    Commands,
    Progress,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "estimate",
        help="wire, gas, time and, at your own rates, money: of a scene, or from sizes alone",
    )
    command.add_argument(
        "scene",
        nargs="?",
        help="scene file (TOML), or the name of a shipped scene; instead of sizes",
    )
    for name, what in (
        ("original", "size when new"),
        ("worst", "largest worn size"),
        ("length", "length of the bore"),
    ):
        command.add_argument(
            f"--{name}",
            metavar="SIZE",
            help=f'{what}, as 80, 3.15in or "3 1/8 '
            f'in"{", on diameter" if name != "length" else ""}',
        )
    command.add_argument(
        "--far-from-original",
        action="store_true",
        help="sizes more than 15 %% off are right: a small bore worn far",
    )
    command.add_argument("--holes", type=int, default=1, help="how many bores alike (1)")
    command.add_argument(
        "--rates",
        metavar="FILE",
        help="your rates: a TOML with [rates], and [plan] wire_price and hour_price",
    )
    command.add_argument(
        "--units", choices=("mm", "in"), help="units shown, and meant where a size has none"
    )
    command.add_argument(
        "--json", action="store_true", help="the estimate as JSON on standard output (g, s, l)"
    )
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Wire, gas, time and money; returns the exit code."""
    from sim.reference.errors import SceneError
    from sim.tell.quantities import estimate_json, estimate_note, quantities_json, quantities_note

    sizes = [given.original, given.worst, given.length]
    if given.scene is not None and any(size is not None for size in sizes):
        raise SceneError("estimate: both a scene and sizes given; keep one of them.")
    if given.scene is not None:
        scene_found = _estimate_of_scene(given)
        told, note = quantities_json(scene_found), quantities_note(scene_found)
    elif None in sizes:
        raise SceneError("estimate: give a scene, or all of --original, --worst and --length.")
    else:
        quick = _estimate_of_sizes(given)
        told, note = estimate_json(quick), estimate_note(quick)
    print(
        json.dumps(told, indent=1, allow_nan=False) if given.json else note,
        end="\n" if given.json else "",
    )
    return GOOD


def _estimate_of_scene(given: argparse.Namespace) -> Any:
    from dataclasses import replace

    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.machine.quantities.money import with_rates
    from sim.machine.quantities.takes import bar_quantities
    from sim.shop.several_bores import simulate_bar

    scene = load(find_scene(given.scene))
    if given.units:
        scene = replace(scene, job=replace(scene.job, units=given.units))
    if given.rates:
        scene = with_rates(scene, Path(given.rates))
    return bar_quantities(simulate_bar(scene, progress=Progress()), holes=given.holes)


def _estimate_of_sizes(given: argparse.Namespace) -> Any:
    from sim.job.files import shipped
    from sim.job.read import load
    from sim.machine.quantities.money import with_rates
    from sim.machine.quantities.quick import quick_estimate
    from sim.reference.errors import SceneError
    from sim.reference.units import KINDS, typed

    units, sizes = given.units or "mm", []
    for name in ("original", "worst", "length"):
        try:
            suffix, number = typed(getattr(given, name), "length", units)
        except ValueError as fault:
            raise SceneError(f"--{name} {fault}.") from None
        sizes.append(next(u for u in KINDS["length"] if u.suffix == suffix).inside(number))
    like = with_rates(load(shipped()[0]), Path(given.rates)) if given.rates else None
    return quick_estimate(
        sizes[0],
        sizes[1],
        sizes[2],
        given.holes,
        like=like,
        units=units,
        far=given.far_from_original,
    )
