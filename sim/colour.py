"""The colours of every picture: one set for charts, 3-D and sheets, safe for colour-blind eyes.

Zero stock is neutral grey; metal to bore off goes to blue; black left after the cut is near-black with orange
edges and hatching, so that it differs in lightness and pattern as well as in hue. After Okabe and Ito's set for
colour-blind readers (blue, orange, green, vermilion; values from memory).
"""

from __future__ import annotations

BLACK_LEFT = "#1a1413"
BLACK_EDGE = "#e06c00"
THIN = "#f0c27b"
NEUTRAL = "#d9d9d6"
STOCK_SOME = "#7fb0d4"
STOCK_MUCH = "#0b4f86"
FINISH = "#b5330c"
WORN = "#6b6258"
PESSIMIST = "#7a4fa3"
LAYERS = ("#8fb8d0", "#5f9cc0", "#3c7ea9", "#25628d", "#154a70", "#0b3556")


def stock_scale(low: float, high: float) -> list[tuple[float, str]]:
    """Colour scale from `low` to `high` [mm per side] with the neutral grey at zero, as (share, colour).

    >>> stock_scale(-1.0, 1.0)[1]
    (0.5, '#d9d9d6')
    """
    if low >= 0.0:
        return [(0.0, NEUTRAL), (0.4, STOCK_SOME), (1.0, STOCK_MUCH)]
    zero = -low / (high - low)
    return [(0.0, BLACK_LEFT), (zero, NEUTRAL), (zero + 0.4 * (1.0 - zero), STOCK_SOME), (1.0, STOCK_MUCH)]


def layer_colour(number: int) -> str:
    """Colour of layer `number`, from 1."""
    return LAYERS[(number - 1) % len(LAYERS)]
