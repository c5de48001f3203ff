"""The file of the shop's own values: what a test piece told, written beside what others told."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomli_w

from sim.job.files import read_toml
from sim.job.key import outward
from sim.job.read import from_mapping
from sim.job.shop_values import OWN, WHOLE, checked
from sim.job.values import SCHEMA, plain_text
from sim.laws.bead_shape import Bead
from sim.machine.test_pieces.clock_test import ClockTest
from sim.machine.test_pieces.pieces import BeadOnPlate, FiveBeads
from sim.reference.errors import SceneError
from sim.reference.units import oclock
from sim.reference.whole_files import write_whole
from sim.set_up.bead import tie_in_of

ORDER = (OWN, "bead", "pad", "process", "spread")
PIECES = ("bead on plate", "pad", "clock test")

Sections = Mapping[str, Mapping[str, Any]]


def of_bead(told: BeadOnPlate) -> Sections:
    """What of a scene a bead on plate gives."""
    return {
        "bead": {
            "width_mm": told.width.value,
            "height_mm": told.height.value,
            "wire_feed_m_per_min": round(outward("feed", told.wire_feed), 6),
            "travel_mm_per_min": round(outward("speed", told.travel), 6),
            "width_error_mm": told.width.error,
            "height_error_mm": told.height.error,
        },
        OWN: {"wire_diameter_mm": told.wire, "pieces": PIECES[0]},
    }


def of_pad(told: FiveBeads) -> Sections:
    """What of a scene a pad gives; crest less valley errs as both do."""
    pad = {
        "pitch_mm": told.pitch,
        "crest_mm": told.crest.value,
        "valley_mm": told.valley.value,
        "error_mm": round((told.crest.error**2 + told.valley.error**2) ** 0.5, 4),
    }
    if told.at is not None:
        pad["at_oclock"] = round(oclock(told.at), 6)
    return {"pad": pad, OWN: {"pieces": PIECES[1]}}


def of_clock(told: ClockTest) -> Sections:
    """What of a scene a clock test gives."""
    return {
        "process": {"gravity": round(told.pooled[0], 4)},
        "spread": {"gravity": round(told.spread, 4)},
        OWN: {
            "clock_read": told.places,
            "extrapolated": round(told.extrapolated, 4),
            "pieces": PIECES[2],
        },
    }


def keep(path: Path, found: Sections, whose: str) -> None:
    """Write what was found into a file of the shop's own values, beside what is there. Raises
    SceneError.
    """
    held: Sections = {}
    was = None
    if path.exists():
        held, was = checked(read_toml(path), str(path)), path.read_bytes()
    write_whole(path, as_text(merged(held, found, whose, str(path))).encode(), was=was)


def merged(held: Sections, found: Sections, whose: str, name: str) -> Sections:
    """The shop's own values with what was found in them: a piece welded again takes the place of
    the old one. Raises SceneError.
    """
    own = dict(held.get(OWN, {}))
    plain_text(whose, f"{name}: whose", several_lines=False)
    if not (whose or own.get("whose")):
        raise SceneError(f"{name}: whose values are they? Say shop, wire and gas (--whose).")
    wire = found.get(OWN, {}).get("wire_diameter_mm")
    if wire and own.get("wire_diameter_mm") not in (None, wire):
        raise SceneError(
            f"{name}: holds values of {own['wire_diameter_mm']:g} mm wire, this piece is of "
            f"{wire:g} mm; keep another file for this wire."
        )
    pieces = {*str(own.get("pieces", "")).split(", "), *str(found[OWN]["pieces"]).split(", ")}
    out = {section: dict(keys) for section, keys in held.items() if section in ORDER}
    out |= {section: dict(keys) for section, keys in found.items()}
    out[OWN] = {
        **own,
        **found[OWN],
        "whose": whose or own["whose"],
        "pieces": ", ".join(one for one in PIECES if one in pieces),
    }
    return out


def as_text(sections: Sections) -> str:
    """The shop's own values as a TOML file."""
    lines = [
        "# The shop's own values; a job takes them in by [shop_values] file = this file's name"
    ]
    lines.append(f"schema = {SCHEMA}")
    for section in ORDER:
        if section in sections:
            lines += ["", f"[{section}]"]
            lines.append(tomli_w.dumps(sections[section]).rstrip("\n"))
    return "\n".join(lines) + "\n"


def beads_of(path: Path) -> tuple[Bead, float, float, float]:
    """Bead on a flat, pitch [mm], tie-in and depth of fusion [mm] by a file of values. Raises
    SceneError.
    """
    held = checked(read_toml(path), str(path))
    for section, piece in (("bead", PIECES[0]), ("pad", PIECES[1])):
        if section not in held:
            raise SceneError(f"{path}: no [{section}] in it; weld and read the {piece} first.")
    plate = held["bead"]
    layer = {k: v for k, v in plate.items() if k.startswith(("wire_feed", "travel"))}
    scene = from_mapping(
        {
            "schema": SCHEMA,
            "bore": {"final_diameter_mm": 80.0, "length_mm": 100.0},
            "worn": {"diameter_mm": 80.0},
            "wire": {"diameter_mm": held[OWN].get("wire_diameter_mm", 1.0)},
            "layer": [{"pitch_mm": 3.5, **layer}],
            **{section: held[section] for section in WHOLE},
        },
        name=str(path),
    )
    if scene.bead is None or scene.pad is None:
        raise SceneError(f"{path}: [bead] and [pad] are needed.")
    bead = Bead(scene.bead.width, scene.bead.height)
    return bead, scene.pad.pitch, tie_in_of(scene).nominal, scene.process.depth_of_fusion
