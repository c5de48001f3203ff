"""`piece`: the shop's own test pieces: a sheet to print, a CSV to fill in, and what it tells."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from sim.commands.shared import (
    GOOD,
    Commands,
    bytes_of,
    refused,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "piece", help="test pieces: sheet to print, CSV to fill in, what it tells, values to keep"
    )
    command.add_argument("kind", choices=("bead", "pad", "clock", "section"))
    command.add_argument("csv", nargs="?", help="the CSV filled in")
    command.add_argument("--sheet", metavar="FILE", help="write the sheet to print, .pdf or .html")
    command.add_argument("--blank", metavar="FILE", help="write the empty CSV")
    command.add_argument("--units", choices=("mm", "in"), default="mm", help="of sheet and CSV")
    command.add_argument("--values", metavar="FILE", help="the shop's own values (TOML)")
    command.add_argument("--whose", default="", help="whose values: shop, wire, gas")
    command.add_argument("--beads", type=int, default=5, help="section: how many beads (5)")
    command.add_argument("--drawing", metavar="FILE", help="section: both sections on each other")
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Blanks, or what a test piece tells; returns the exit code."""
    if not (given.csv or given.sheet or given.blank):
        return refused(
            f"piece {given.kind}: nothing to do; give --sheet and --blank, or the CSV filled in."
        )
    _write_blanks(given)
    if given.csv:
        _read(given)
    return GOOD


def _write_blanks(given: argparse.Namespace) -> None:
    from sim.paper.test_piece import empty_csv, sheet_of
    from sim.paper.write import as_file, kind_of
    from sim.reference.whole_files import write_whole

    if given.sheet:
        path = Path(given.sheet)
        write_whole(path, as_file([sheet_of(given.kind, given.units)], kind_of(path)))
        print(path)
    if given.blank:
        write_whole(Path(given.blank), empty_csv(given.kind, given.units).encode())
        print(given.blank)


def _read(given: argparse.Namespace) -> None:
    from sim.machine.test_pieces import clock_test, cut_section, kept, pieces
    from sim.machine.test_pieces.table import filled
    from sim.reference.sizes_in_words import Say
    from sim.tell import test_pieces as words

    say, data, name = Say(given.units), bytes_of(given.csv), given.csv
    if given.kind == "section":
        _section(given, cut_section.outline(filled(data, cut_section.SECTION, name=name)), say)
        return
    found: Any
    if given.kind == "bead":
        found = pieces.bead_on_plate(filled(data, pieces.BEAD, name=name))
        told, sections = words.bead_lines(found, say), kept.of_bead(found)
    elif given.kind == "pad":
        found = pieces.five_beads(filled(data, pieces.PAD, name=name))
        told, sections = words.pad_lines(found, say), kept.of_pad(found)
    else:
        found = clock_test.clock_test(filled(data, clock_test.CLOCK, name=name))
        told, sections = words.clock_lines(found, say), kept.of_clock(found)
    print("\n".join(told))
    if given.values:
        kept.keep(Path(given.values), sections, given.whose)
        print(given.values)


def _section(given: argparse.Namespace, points: Any, say: Any) -> None:
    """A cut section against the engine's, by the shop's own bead and pad."""
    from sim.machine.test_pieces.cut_section import against
    from sim.machine.test_pieces.kept import beads_of
    from sim.paper.test_piece import section_sheet
    from sim.paper.write import as_file, kind_of
    from sim.reference.errors import SceneError
    from sim.reference.whole_files import write_whole
    from sim.tell.test_pieces import section_lines

    if not given.values:
        raise SceneError("piece section: whose beads? Give --values with [bead] and [pad] in it.")
    if not 1 <= given.beads <= 50:
        raise SceneError(f"piece section: --beads {given.beads}: must be from 1 to 50.")
    bead, pitch, tie_in, fusion = beads_of(Path(given.values))
    found = against(points, bead, pitch, given.beads, tie_in=tie_in, fusion=fusion)
    told = section_lines(found, say)
    print("\n".join(told))
    if given.drawing:
        path = Path(given.drawing)
        write_whole(path, as_file([section_sheet(found, told, given.units)], kind_of(path)))
        print(path)
