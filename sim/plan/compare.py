"""The same job with one or two quantities varied, side by side in a table."""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path

from sim.job.change import changed, digest
from sim.job.key import figure, keys_of, names, old, outward
from sim.job.scene import SECTIONS, Scene
from sim.job.values import file_keys, nearest
from sim.plan.many_cases import Progress, Row, Task, sweep
from sim.plan.odds.verdict import Decision, decide
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.reference.units import KINDS, LISTS, usual_unit
from sim.shop.run import figures
from sim.shop.several_bores import bores

COLUMNS = 360


SECONDS_A_CASE = 0.02  # roughly, for saying how long too many would take


Value = float | int | str | bool


@dataclass(frozen=True)
class Table:
    """Rows of plain values, one a case, in order: the quantities varied first. `varied`: their
    scene keys.
    """

    varied: tuple[str, ...]
    rows: tuple[Row, ...]


def compare(
    scene: Scene,
    vary: Mapping[str, Sequence[Value]],
    *,
    draws: int | None = None,
    nominal: bool = False,
    columns: int = COLUMNS,
    executor: Executor | None = None,
    progress: Progress | None = None,
    resume: Path | None = None,
) -> Table:
    """Every combination of the values of one or two scene keys (`section.key`, as in `changed`),
    each simulated and decided.

    All cases are decided by the same draws of the whole bar; draws: exactly so many. nominal: as
    planned alone, no verdict. columns: of the figures as planned. Of a bar the figures are those of
    its poorest bore, wire and time of all. A case that cannot be laid has its sentence under
    `fault` and no figures. Raises SceneError for what cannot be varied.

    >>> from sim.job.read import load
    >>> table = compare(load("scenes/cleans_up.toml"), {"layer.pitch_mm": [3.3, 4.1]}, columns=90)
    >>> [row["verdict"] for row in table.rows]
    ['not sure enough', 'falls short']
    """
    check_vary(scene, vary)
    cases = [dict(zip(vary, values, strict=True)) for values in itertools.product(*vary.values())]
    mark = digest(scene)
    how = "nominal" if nominal else f"decided {draws}"
    tasks = [
        Task(f"{mark} {columns} {how} {case}", case_row, (scene, case, columns, draws, nominal))
        for case in cases
    ]
    return Table(tuple(vary), tuple(sweep(tasks, executor, progress=progress, resume=resume)))


def case_row(
    scene: Scene, case: Mapping[str, Value], columns: int, draws: int | None, nominal: bool
) -> Row:
    """The row of one case."""
    drawn = () if nominal else columns_of(CaseDrawn)
    row: Row = {**case, "verdict": None, **dict.fromkeys((*columns_of(CasePlanned), *drawn))}
    try:
        varied = changed(scene, case)
        row |= _plain(_planned(varied, columns))
        if not nominal:
            decided = decide(varied, draws=draws)
            row |= {"verdict": decided.verdict, **_plain(_drawn(decided))}
    except SceneError as fault:
        row["fault"] = str(fault)
    return row


def columns_of(kind: type) -> list[str]:
    """Names of the declared figures of a case, in order."""
    return [name for f in keys_of(kind) for name in names(f)]


def _plain(told: CasePlanned | CaseDrawn) -> Row:
    """Declared figures as plain values by their names."""
    return {
        names(f)[0]: value
        if (value := getattr(told, f.name)) is None
        else outward(f.metadata["kind"], value)
        for f in keys_of(type(told))
    }


# fmt: off
# one declaration a line


@dataclass(frozen=True, kw_only=True)
class CasePlanned:
    """A case as planned, lengths mm, stock per side; `fault`: why it cannot be laid."""

    minimum: float = figure("length", "least stock as planned, per side", name="minimum_stock")
    error: float = figure("length", "error of the least stock, from the cells", name="minimum_stock_error")
    poorest: float = figure("length", "with poor tie-in, per side", name="poorest_tie_in_minimum_stock")
    pessimist: float = figure(
        "length", "with poor tie-in, per side", name="pessimist_minimum_stock",
        also=old("poorest_tie_in_minimum_stock_mm"),
    )
    ripple: float = figure("length", "worst ripple, per side", endless=True)
    ripple_clock: float = figure("clock", "worst ripple at", name="ripple_at", endless=True)
    mean_stock: float = figure("length", "mean stock to bore off, per side")
    weld_left: float = figure("length", "least weld left, per side")
    wire_volume: float = figure("number", "wire fed", name="wire_mm3")
    wire: float = figure("mass", "wire")
    arc_time: float = figure("time", "arc on")
    layers: int = figure("integer", "layers")
    fault: str | None = figure("text", "why it cannot be laid")


@dataclass(frozen=True, kw_only=True)
class CaseDrawn:
    """A case drawn: how many of 100 clean up, least stock per side [mm], what stands open."""

    clean_up: float = figure("number", "of 100 clean up", name="clean_up_of_100")
    low: float = figure("number", "of 100 clean up at least", name="clean_up_low")
    high: float = figure("number", "of 100 clean up at most", name="clean_up_high")
    draws: int = figure("integer", "draws made")
    typical: float = figure("length", "in a typical run, per side", name="typical_stock", endless=True)
    bad: float = figure("length", "in a bad run (1 in 20), per side", name="bad_stock", endless=True)
    open: str = figure("text", "what stands open")
    worst_bore: str = figure("text", "the bore that cleans up least often")
    probability: float = figure(
        "number", "part that cleans up", name="probability_of_clean_up", also=old("clean_up_of_100")
    )
    probability_low: float = figure("number", "at least", also=old("clean_up_low"))
    probability_high: float = figure("number", "at most", also=old("clean_up_high"))
    p5: float = figure("length", "in a bad run", name="stock_p5", endless=True, also=old("bad_stock_mm"))


# fmt: on

SHOWN = (
    "clean_up_of_100", "minimum_stock_mm", "typical_stock_mm", "bad_stock_mm",
    "poorest_tie_in_minimum_stock_mm", "ripple_mm", "ripple_at_oclock", "mean_stock_mm",
    "weld_left_mm", "wire_g", "arc_time_s", "layers",
)  # fmt: skip
"""The columns a person is shown, in order."""


_TITLES = {
    name: (f.metadata["meaning"], f.metadata["kind"])
    for kind in (CasePlanned, CaseDrawn)
    for f in keys_of(kind)
    for name in names(f)
    if f.metadata["kind"] in KINDS
}
"""Column -> what it is called, kind of quantity."""


def title(column: str, units: str) -> tuple[str, float]:
    """How a column is called, with its unit in the units shown (mm or in), and the factor from its
    value to that unit.

    A varied quantity keeps the unit it was varied in.

    >>> title("layer.pitch_in", "mm"), title("mean_stock_mm", "mm"), title("arc_time_s", "mm")
    (('layer pitch [in]', 1.0), ('mean stock to bore off, per side [mm]', 1.0), ('arc on [min]', 0.016666666666666666))
    """
    if column not in _TITLES:
        return _varied_title(column), 1.0
    name, kind = _TITLES[column]
    if kind == "time":
        return f"{name} [min]", 1.0 / 60.0
    unit = usual_unit(kind, units)
    if kind == "clock" or not unit.label:
        return f"{name} [o'clock]" if kind == "clock" else name, 1.0
    return f"{name} [{unit.label}]", 1.0 / unit.factor


def _varied_title(key: str) -> str:
    suffixes = {u.suffix: u.label for choices in KINDS.values() for u in choices if u.suffix}
    for suffix in sorted(suffixes, key=len, reverse=True):
        if key.endswith(suffix):
            return (
                f"{key.removesuffix(suffix).replace('.', ' ').replace('_', ' ')} "
                f"[{suffixes[suffix]}]"
            )
    return key.replace(".", " ").replace("_", " ")


def _planned(scene: Scene, columns: int) -> CasePlanned:
    each = [figures(one, columns) for _, _, one in bores(scene)]
    narrowest = min(f.narrowest for f in each)
    if narrowest < scene.head.smallest_bore:
        raise SceneError(
            f"the bore is {narrowest:.1f} mm as it fills: the head needs "
            f"{scene.head.smallest_bore:g} mm."
        )
    f, wire = min(each, key=lambda one: one.minimum), sum(one.wire for one in each)
    return CasePlanned(
        minimum=f.minimum,
        error=f.error,
        poorest=f.poorest_tie_in,
        pessimist=f.poorest_tie_in,
        ripple=f.ripple,
        ripple_clock=f.ripple_clock,
        mean_stock=f.mean_stock,
        weld_left=f.weld_left,
        wire_volume=wire,
        wire=wire * scene.wire.density,
        arc_time=sum(one.arc_time for one in each),
        layers=len(f.settings),
        fault=None,
    )


def _drawn(decided: Decision) -> CaseDrawn:
    """What the draws of a case say; the probabilities and the 5th percentile are told a second time
    under their old names.
    """
    n, least = decided.clean_up_of_100, decided.least_stock
    return CaseDrawn(
        clean_up=n.value,
        low=n.low,
        high=n.high,
        draws=n.draws,
        typical=least.typical,
        bad=least.bad,
        open="; ".join(one.what for one in decided.open),
        worst_bore=decided.worst,
        probability=n.value / 100.0,
        probability_low=n.low / 100.0,
        probability_high=n.high / 100.0,
        p5=least.bad,
    )


def check_vary(scene: Scene, vary: Mapping[str, Sequence[Value]]) -> None:
    """Refuse what cannot be varied, or would take too long. Raises SceneError with one sentence."""
    if not 1 <= len(vary) <= 2:
        raise SceneError(f"vary: {len(vary)} quantities given: one or two at a time.")
    for key, values in vary.items():
        kind = kind_of(key)
        if kind in ("text", *LISTS):
            raise SceneError(
                f"vary {key}: this is {'text' if kind == 'text' else 'a list'}, not a "
                "quantity; vary a number, a choice or a flag."
            )
        if not values:
            raise SceneError(
                f"vary {key}: no values; give a list such as 3.0,3.4 or a range from:to:step."
            )
        changed(scene, {key: values[0]}, name=f"vary {key}")
    count = math.prod(len(values) for values in vary.values())
    refuse_too_many(count)


def refuse_too_many(count: int) -> None:
    """Refuse a comparison of too many cases, with how long it would take. Raises SceneError."""
    most = int(default("limit.cases"))
    if count > most:
        hours = count * SECONDS_A_CASE / 3600.0
        long = (
            f"{hours:.0f} hours"
            if hours < 72
            else f"{hours / 24:.0f} days"
            if hours < 24 * 36500
            else "more than a century"
        )
        raise SceneError(
            f"vary: {count if count < 10**15 else 'more than 10^15'} cases would take about "
            f"{long}: at most {most}; take a larger step or vary one quantity."
        )


def kind_of(key: str) -> str:
    """Kind of a scene key such as `layer.pitch_mm` or `layer.2.pitch_mm`. Raises SceneError for an
    unknown one.
    """
    section, _, rest = key.partition(".")
    if section not in SECTIONS:
        raise SceneError(f"vary {key}: unknown section '{section}'{nearest(section, SECTIONS)}")
    name = rest.rpartition(".")[2]
    keys = {
        k: f.metadata["kind"]
        for f in dataclasses.fields(SECTIONS[section][0])
        for k in file_keys(f)
    }
    if name not in keys:
        raise SceneError(f"vary {key}: unknown key '{name}' in [{section}]{nearest(name, keys)}")
    return str(keys[name])


def split_vary(given: Sequence[str]) -> dict[str, list[Value]]:
    """Values by scene key, from texts such as `layer.pitch_mm=3.0:4.2:0.2`. Raises SceneError with
    one sentence.
    """
    out: dict[str, list[Value]] = {}
    for one in given:
        key, equals, text = one.partition("=")
        if not equals:
            raise SceneError(f"--vary {one}: write KEY=VALUES, as layer.pitch_mm=3.0:4.2:0.2.")
        if key in out:
            raise SceneError(f"--vary {key}: given twice; put all its values in one list.")
        out[key] = values_of(key, text)
    return out


def values_of(key: str, text: str) -> list[Value]:
    """Values written as `from:to:step` or as a list `a,b,c`. Raises SceneError with one sentence.

    >>> values_of("layer.pitch_mm", "3.0:3.4:0.2"), values_of("layer.advance", "spiral,step")
    ([3.0, 3.2, 3.4], ['spiral', 'step'])
    """
    kind = kind_of(key)
    if kind in ("choice", "text", "flag", *LISTS):
        words = [word.strip() for word in text.split(",") if word.strip()]
        return [
            word == "true" if kind == "flag" and word in ("true", "false") else word
            for word in words
        ]
    if ":" in text and "," not in text:
        return _range(key, text, whole=kind == "integer")
    return [_number(key, part, whole=kind == "integer") for part in text.split(",") if part.strip()]


def _number(key: str, text: str, *, whole: bool) -> Value:
    try:
        value = float(text)
    except ValueError:
        raise SceneError(
            f"vary {key}: '{text.strip()}' is not a number; write numbers such as 3.0,3.4 or "
            "3.0:4.2:0.2."
        ) from None
    if not math.isfinite(value):
        raise SceneError(
            f"vary {key}: '{text.strip()}' is not a finite number; write numbers such as 3.0,3.4."
        )
    return int(value) if whole and value == int(value) else value


def _range(key: str, text: str, *, whole: bool) -> list[Value]:
    """Values from:to:step, both ends included where the step meets them."""
    parts = [float(_number(key, part, whole=False)) for part in text.split(":")]
    if len(parts) != 3:
        raise SceneError(f"vary {key}: '{text}': write a range as from:to:step.")
    first, last, step = parts
    if step == 0.0 or (last - first) * step < 0.0:
        raise SceneError(
            f"vary {key}: '{text}': an empty range; the step must lead from {first:g} to {last:g}."
        )
    count = math.floor(min((last - first) / step, 1e18) + 1e-9) + 1
    refuse_too_many(count)
    values = [round(first + k * step, 10) for k in range(count)]
    return [int(v) if whole and v == int(v) else v for v in values]
