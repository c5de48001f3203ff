"""Growth in, self-contained HTML page out: the job laid turn by turn in the browser.

It is the 3-D page (`view_page`) with a player: the script puts each pass's pieces into its sections
as the torch goes round, reads the map of the growing layer from them, and draws the axial section
and the end view from the same pieces. Nothing is fetched while it plays.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.pictures.bore_3d.page import SCRIPTS, Furniture, contents, document
from sim.pictures.turn_by_turn.growth import UNIT, GrownLayer, Growth, Pieces

ASSETS = (
    "turns.html",
    "view.css",
    "turns.css",
    *SCRIPTS,
    "turns_grow.js",
    "turns_draw.js",
    "turns.js",
)


def page(growth: Growth, furniture: Mapping[str, Furniture]) -> str:
    """The whole page, opening as `with_look` says."""
    told, parts = contents(growth.picture, furniture)
    layers = [_layer_told(layer, parts) for layer in growth.layers]
    told["growth"] = {
        "unit": UNIT,
        "clock": [round(float(a), 6) for a in growth.clock],
        "layers": layers,
    }
    told["black"] = "short so far"
    for layer in growth.layers:
        told["said"][layer.stage] = f"Layer {layer.number} of {len(growth.layers)}"
    return document(ASSETS, told, parts)


def _layer_told(layer: GrownLayer, parts: list[bytes]) -> dict[str, Any]:
    """A layer as plain values; its pieces go into `parts`."""
    path = layer.path
    return {
        "number": layer.number,
        "stage": layer.stage,
        "start": path.start_clock,
        "turning": path.turning,
        "rotation": layer.rotation,
        "advance": layer.advance,
        "phi": path.phi.tolist(),
        "depth": path.depth.tolist(),
        "arcs": path.arcs.tolist(),
        "passes": _put(layer.passes, parts),
        "begun": None if layer.begun_on is None else _put(layer.begun_on, parts),
    }


def _put(pieces: Pieces, parts: list[bytes]) -> dict[str, int]:
    parts += [packed_rows(pieces.rows), pieces.count.astype("<u2").tobytes()]
    return {"part": len(parts) - 2, "rows": len(pieces.rows), "groups": len(pieces.count)}


def packed_rows(rows: NDArray[np.int32]) -> bytes:
    """Rows (k, 5) as bytes: differences from row to row, sign folded in, lowest bytes of all first.

    >>> packed_rows(np.array([[5, 0, 0, 0, 0], [4, 0, 0, 0, 0]], dtype=np.int32)).hex()[:20]
    '0a010000000000000000'
    """
    step = np.diff(rows.T, axis=1, prepend=np.int32(0))
    folded = ((step << 1) ^ (step >> 31)).view(np.uint32)
    return b"".join((folded >> 8 * k & 255).astype(np.uint8).tobytes() for k in range(4))
