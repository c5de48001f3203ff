"""The colours of every picture: one set for charts, 3-D and sheets, safe for colour-blind eyes.

Zero stock is neutral light grey; metal to bore off goes to blue; what stays black after the cut is
near-black with orange edges and hatching, so that it differs in lightness and pattern as well as in
hue. Layers next to each other differ in lightness. Chosen by eye; held to WCAG 2 contrast and to a
published simulation of colour-blind vision by the tests.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sim.shop import judge

BLACK_LEFT = "#1a1413"


BLACK_EDGE = "#e06c00"


NOT_JUDGED = "#b9c0c4"


THIN = "#f0c27b"


NEUTRAL = "#d9d9d6"


STOCK_SOME = "#7fb0d4"


STOCK_MUCH = "#1c6cae"


FINISH = "#d6336c"


WORN = "#72695f"


PESSIMIST = "#7a4fa3"


VERDICT_COLOURS = {
    judge.CLEANS_UP: ("#00705a", "#ffffff"),
    judge.NOT_PROVEN: ("#4a6fd0", "#ffffff"),
    judge.NOT_SURE: ("#f2b134", "#1f2328"),
    judge.THIN: ("#c2410c", "#ffffff"),
    judge.FALLS_SHORT: ("#4a0f1c", "#ffffff"),
}
"""Ground and ink of the verdict's word; a sign and the word itself stand beside the colour."""


LAYER_COLOURS = ("#b58a1b", "#41599c", "#5aa08a", "#8c4a32", "#8a9a35", "#6d3f86")


LAYERS = LAYER_COLOURS


THICKNESS = ("#f3efe2", "#a9c5a0", "#3f7f5f")


RIPPLE = ("#efe9ee", "#c79ab5", "#86437a")


KNEE = 0.4
"""Share of the scale above zero at which `STOCK_SOME` stands: small stock is told apart best."""


Stops = list[tuple[float, str]]


@dataclass(frozen=True)
class Surface:
    """What a picture lies on: background, ink and quiet ink for words, faint ink for lines that may
    be overlooked, panel behind words, bare metal.
    """

    background: str
    ink: str
    quiet: str
    faint: str
    panel: str
    metal: str


LIGHT = Surface(
    background="#f4f3f0",
    ink="#1f2328",
    quiet="#565c63",
    faint="#a3a29d",
    panel="#ffffff",
    metal="#b9b4ac",
)


DARK = Surface(
    background="#15181c",
    ink="#eceae5",
    quiet="#a9afb6",
    faint="#5b6269",
    panel="#1e2329",
    metal="#8e8a84",
)


def stock_scale(low: float, high: float) -> Stops:
    """Colour scale from `low` to `high` [mm per side], as (share, colour), neutral at zero and
    black below it.

    The step at zero is sharp: there is no colour between black left and metal to bore off.

    >>> stock_scale(-1.0, 1.0)[1:3]
    [(0.5, '#1a1413'), (0.5, '#d9d9d6')]
    """
    if high <= 0.0:
        return [(0.0, BLACK_LEFT), (1.0, BLACK_LEFT)]
    if low >= 0.0:
        return [(0.0, NEUTRAL), (KNEE, STOCK_SOME), (1.0, STOCK_MUCH)]
    zero = -low / (high - low)
    knee = zero + KNEE * (1.0 - zero)
    return [
        (0.0, BLACK_LEFT),
        (zero, BLACK_LEFT),
        (zero, NEUTRAL),
        (knee, STOCK_SOME),
        (1.0, STOCK_MUCH),
    ]


def even_scale(colours: Sequence[str]) -> Stops:
    """Colours spread evenly from share 0 to 1.

    >>> even_scale(THICKNESS)[1]
    (0.5, '#a9c5a0')
    """
    return [(k / (len(colours) - 1), colour) for k, colour in enumerate(colours)]


def layer_colour(number: int) -> str:
    """Colour of layer `number`, from 1.

    >>> layer_colour(7) == layer_colour(1)
    True
    """
    return LAYER_COLOURS[(number - 1) % len(LAYER_COLOURS)]


def rgb(colour: str) -> tuple[int, int, int]:
    """Red, green and blue, 0..255, of '#rrggbb'.

    >>> rgb("#e06c00")
    (224, 108, 0)
    """
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def mixed(stops: Stops, share: float) -> tuple[int, int, int]:
    """Colour of a scale at a share 0..1, straight between its stops; at a step the later colour
    holds.

    >>> mixed([(0.0, "#000000"), (1.0, "#0000ff")], 0.2)
    (0, 0, 51)
    """
    share = min(max(share, 0.0), 1.0)
    before = [stop for stop in stops if stop[0] <= share][-1]
    after = next((stop for stop in stops if stop[0] > share), before)
    part = 0.0 if after[0] == before[0] else (share - before[0]) / (after[0] - before[0])
    pairs = zip(rgb(before[1]), rgb(after[1]), strict=True)
    red, green, blue = (round(a + part * (b - a)) for a, b in pairs)
    return red, green, blue
