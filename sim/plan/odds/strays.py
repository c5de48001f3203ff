"""What strays: one table, a row a quantity, as it is shown.

A row says which keys of [spread] it has, which places of a draw's stream it is drawn from, which
fields of `Spreads` hold it and what they hold when it does not stray, and what readings after
layers see of it. Names shown, switching off, the columns of an update and what it keeps in
[update] follow from here. A place once given stays: draw k must stay draw k.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from sim.job.scene import Scene
from sim.job.sections.plan import told_keys

METAL, VALLEYS, EDGES, RADII = "any reading", "valleys", "valleys at free edges", "radii all round"
"""What readings must hold for a column to be seen."""


def nothing(_: Any) -> float:
    """No spread; nothing off where it was planned."""
    return 0.0


def by_layer(held: tuple[float, ...]) -> tuple[float, ...]:
    """No spread in any layer."""
    return (0.0,) * len(held)


def nominal_alone(held: tuple[float, float]) -> tuple[float, float]:
    """The nominal value, and no spread about it."""
    return (held[0], 0.0)


def whole(_: Any) -> float:
    """All of what was planned: a factor."""
    return 1.0


@dataclass(frozen=True, kw_only=True)
class Column:
    """What readings after layers see of a quantity, told under `key` of [update].

    seen_by: what must have been read; planned: its value where all comes out as planned; drawn:
    what `Draw` calls it, "" where the walls drawn tell it; off: a draw holds how far off it is;
    count: of values; relative: its spread is drawn as a part of it; within: what [update] may hold.
    """

    key: str
    seen_by: str
    planned: Callable[[Scene], float] = nothing
    drawn: str = ""
    off: bool = False
    count: int = 1
    relative: bool = False
    within: tuple[float, float] = (-math.inf, math.inf)

    def told(self, values: list[Any] | None) -> Any:
        """Its values as they are kept: one alone, more as a tuple; None: it was not seen."""
        if self.count > 1:
            return tuple(values or ())
        return values[0] if values else None


@dataclass(frozen=True, kw_only=True)
class Stray:
    """A quantity that strays: `name` as shown, `keys` of [spread].

    quiet: fields of `Spreads` that hold it, and from what each holds what it holds when nothing
    strays; normal, even: its places among a draw's normal (0, 1) and even 0..1 values; by_turn:
    its place among the normal values of each turn.
    """

    name: str
    keys: tuple[str, ...]
    quiet: Mapping[str, Callable[[Any], Any]]
    normal: Mapping[str, int | slice] = field(default_factory=dict)
    even: Mapping[str, int | slice] = field(default_factory=dict)
    by_turn: Mapping[str, int] = field(default_factory=dict)
    columns: tuple[Column, ...] = ()


STRAYS = (
    Stray(
        name="common cause",
        keys=("common", "shared"),
        quiet={"common": nothing},
        normal={"common": 0},  # and one of each layer's own
        columns=(
            Column(key="laid", seen_by=METAL, planned=whole, relative=True),
            Column(
                key="area", seen_by=METAL, planned=whole, drawn="shared", off=True,
                relative=True,
            ),
        ),
    ),
    Stray(
        name="bead to bead",
        keys=("height",),
        quiet={"height": nothing},
        by_turn={"height": 0},
    ),
    Stray(  # smooth along the bead, from a stream of its own
        name="along the bead",
        keys=("along", "along_length"),
        quiet={"along": nothing},
    ),
    Stray(
        name="bead width",
        keys=("width", "width_law"),
        quiet={"width": nothing, "bead_width": by_layer, "aspect": lambda _: (1.0, 1.0)},
        normal={"width": 1},
        even={"aspect": 1},
        by_turn={"width": 1},
        columns=(Column(key="width", seen_by=VALLEYS, drawn="wide"),),
    ),
    Stray(
        name="tie-in",
        keys=("tie_in",),
        quiet={"tie_in_spread": nothing},
        normal={"tie_in": 2},
        even={"tie_in": 0},
        columns=(Column(key="tie_in", seen_by=VALLEYS, drawn="tie_in", within=(0.0, 1.0)),),
    ),
    Stray(
        name="gravity",
        keys=("gravity",),
        quiet={"gravity": nothing},
        normal={"gravity": 3},
        columns=(Column(key="gravity", seen_by=VALLEYS, planned=whole, drawn="gravity"),),
    ),
    Stray(
        name="pool run",
        keys=("pool_run",),
        quiet={"pool_run": nominal_alone},
        even={"pool_run": 2},
        columns=(
            Column(
                key="pool_run", seen_by=RADII, planned=lambda scene: scene.process.pool_run,
                drawn="pool_run",
            ),
        ),
    ),
    Stray(
        name="depth of fusion",
        keys=("fusion",),
        quiet={"fusion": nominal_alone},
        normal={"fusion": 16},
    ),
    Stray(
        name="axes",
        keys=("pre_bore_axis", "torch_axis", "finish_axis"),
        quiet={"axes": by_layer},
        normal={"axes": slice(4, 16)},
        columns=(Column(key="torch", seen_by=RADII, drawn="torch", count=4),),
    ),
    Stray(
        name="readings",
        keys=("reading", "odd"),
        quiet={"reading": nothing, "odd": nothing},
        normal={"reading": 17},
        even={"odd": slice(3, 8)},
    ),
    Stray(
        name="build-up law",
        keys=("law", "edge", "crest"),
        quiet={"law": nothing, "edge": nothing, "crest": nothing},
        normal={"law": 18, "crest": 19},
        even={"edge": 8},
        columns=(
            Column(key="law", seen_by=VALLEYS, drawn="law"),
            Column(key="edge", seen_by=EDGES, drawn="edge"),
        ),
    ),
)  # fmt: skip


BY_NAME = {row.name: row for row in STRAYS}
GROUPS = tuple(BY_NAME)


def _places(part: str) -> dict[str, Any]:
    return {name: at for row in STRAYS for name, at in getattr(row, part).items()}


def _values(places: Mapping[str, Any]) -> int:
    ends: list[int] = [at.stop if isinstance(at, slice) else at + 1 for at in places.values()]
    return max(ends)


NORMAL, EVEN, BY_TURN = _places("normal"), _places("even"), _places("by_turn")
"""Where each stands among the values of its kind."""


NORMALS, EVENS, BY_TURNS = _values(NORMAL), _values(EVEN), _values(BY_TURN)


COLUMNS = tuple(
    sorted(
        (column for row in STRAYS for column in row.columns),
        key=lambda column: told_keys().index(column.key),
    )
)
"""What readings after layers tell, in the order in which [update] keeps it and its links."""


SEEN = sum(column.count for column in COLUMNS)


def columns(*keys: str) -> list[int]:
    """Where the values told under these keys of [update] stand, in their own order.

    >>> columns("tie_in", "torch")
    [2, 4, 5, 6, 7]
    """
    out: list[int] = []
    at = 0
    for column in COLUMNS:
        if column.key in keys:
            out += range(at, at + column.count)
        at += column.count
    return out


def column(key: str) -> int:
    """Where the one value told under this key stands.

    >>> column("laid"), column("gravity")
    (0, 11)
    """
    (at,) = columns(key)
    return at


def planned(scene: Scene) -> list[float]:
    """What each value told is where all comes out as planned, (SEEN,)."""
    return [column.planned(scene) for column in COLUMNS for _ in range(column.count)]
