"""How each figure of the settings is known."""

from __future__ import annotations

from sim.job.scene import Scene
from sim.machine.layer_row import Schedule, SteelFacts
from sim.reference.defaults import ASSUMED, COMMON, DEFAULTS, DERIVED, MEASURED, PUBLISHED

Basis = list[tuple[str, str]]


def basis(told: Schedule) -> Basis:
    """Every figure of the settings, and how it is known."""
    warm = told.layers[0].heat_input is not None
    return [
        *_of_wall(told.scene),
        *(_of_heat(told.scene) if warm else []),
        *_of_steel(told.scene, told.steel),
    ]


def _of_wall(scene: Scene) -> Basis:
    bead = (
        "bead measured on a plate"
        if scene.bead is not None
        else "bead not measured: its width is assumed"
    )
    wire = (
        MEASURED
        if scene.wire.feed_measured or (scene.bead is not None and scene.bead.wire_time is not None)
        else "as set, not measured"
    )
    usual_tip = scene.head.contact_tip == DEFAULTS["head.contact_tip"].value
    return [
        (
            "rotation, seconds a turn",
            f"{DERIVED}: travel over the mean radius of the bore before the layer; ranges "
            "from the wall as computed",
        ),
        (
            "what the gauge reads after a layer",
            f"{DERIVED}: 9 jobs in 10 of those drawn, allowing for normal shop variation",
        ),
        (
            "bore before and after, valley",
            f"{DERIVED}: conservation of metal, {bead}; never measured inside a bore",
        ),
        ("wire feed", wire),
        (
            "dial marks",
            f"{MEASURED}: the shop's own table, straight between its points"
            if scene.dial
            else "no dial table given",
        ),
        (
            "contact-tip distance and its range",
            f"{COMMON if usual_tip else 'given in the scene'}; "
            f"range {DERIVED} from the wall as computed",
        ),
        ("restart", f"{COMMON}: back by the run-out of the stop"),
        (
            "weld positions",
            f"{PUBLISHED}: slope and rotation ranges of AWS D1.1 and ISO 6947 for groove "
            "welds, on the geometry of the bore",
        ),
    ]


def _of_heat(scene: Scene) -> Basis:
    k = scene.electrical.thermal_efficiency
    outside = (
        "of its outside as given"
        if scene.bore.outside_diameter
        else f"{DEFAULTS['readings.ratio'].value:g} times as wide outside as inside, not given"
    )
    return [
        (
            "arc energy and heat input",
            f"{PUBLISHED}: U I / v, and k = {k:g} of it by EN 1011-1; volts and amps as given",
        ),
        (
            "cooling time t8/5",
            f"{PUBLISHED}: EN 1011-2 Annex D, run on plate, at the preheat given (its "
            "annex counts 0.85 of the arc for gas-metal-arc: 6 % longer); on a bore "
            "wall an estimate",
        ),
        (
            "how warm the part gets, waiting",
            f"{ASSUMED}: the boss as one ring {outside}, at one temperature, losing "
            f"{DEFAULTS['heat.film'].low:g} to {DEFAULTS['heat.film'].high:g} W/(m2 K); "
            "measure, do not count on it",
        ),
    ]


def _of_steel(scene: Scene, steel: SteelFacts) -> Basis:
    out = []
    if steel.cet is not None:
        out.append(
            (
                "carbon equivalents, preheat by CET",
                f"{PUBLISHED}: EN 1011-2 C.2 and C.3 on the analysis given; holds where the "
                "part's CET is 0.03 or more above the weld metal's",
            )
        )
    if steel.preheat_aws is not None:
        out.append(
            (
                "least preheat of AWS D1.1",
                f"{PUBLISHED}: D1.1:2015 Table 3.3, category {scene.steel.aws_category} as given",
            )
        )
    if steel.measure_at is not None:
        out.append(("where to measure preheat", f"{PUBLISHED}: ISO 13916"))
    return out
