"""A result as CSV files."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from pathlib import Path
from typing import IO, Any

import numpy as np

from sim.bore.stock import stock_map
from sim.reference.units import oclock
from sim.reference.whole_files import Writer, write_folder
from sim.shop.result import Result
from sim.tell.result_json import as_json


def write_csv(result: Result, folder: Path) -> list[Path]:
    """Write stock map, layers and low spots as CSV into a folder, an existing one or a new one; they
    belong together. Raises SceneError.
    """
    told = as_json(result)
    return write_folder(
        folder,
        {
            "layers.csv": _writer(_table([_flat(layer) for layer in told["layers"]])),
            "low_spots.csv": _writer(
                _table([_flat(spot) for spot in told["low_spots"] + told["thin_spots"]])
            ),
            "stock_map.csv": _writer(_stock_csv(result)),
        },
    )


def _writer(text: str) -> Writer:
    def write(out: IO[bytes]) -> None:
        out.write(text.encode("utf-8"))

    return write


def _flat(row: Mapping[str, Any]) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for key, value in row.items():
        if isinstance(value, Mapping):
            flat |= {f"{key}_{inner}": v for inner, v in value.items()}
        else:
            flat[key] = value
    return flat


def _table(rows: list[dict[str, Any]]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(
        out, fieldnames=list(rows[0]) if rows else ["nothing"], lineterminator="\n"
    )
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _stock_csv(result: Result, step: float = 0.5) -> str:
    """Stock per side [mm] at every column (rows) and depth (columns)."""
    depth = np.arange(0.0, result.scene.bore.length + 0.5 * step, step)
    stock = stock_map(result.layers[-1].wall, result.finish, result.axes.torch, depth)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["oclock\\depth_mm", *(f"{z:g}" for z in depth)])
    for angle, row in zip(result.start.clock.angle, stock, strict=True):
        writer.writerow([f"{oclock(angle):.4f}", *(f"{v:.4f}" for v in row)])
    return out.getvalue()
