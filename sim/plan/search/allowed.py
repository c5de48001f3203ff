"""Ranges a plan keeps to."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from sim.job.scene import Scene
from sim.laws.arc_heat import arc_energy
from sim.laws.gravity import TRAVEL_KNOWN
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark
from sim.set_up.layers import most_overlap, speeds

ROTATION = Remark("rotation of the machine")
TIP_CLEAR = Remark("contact-tip distance over humps")
SMALLEST_BORE = Remark("smallest bore of the head")


@dataclass(frozen=True)
class Allowed:
    """Within what a plan is sought: ranges (low, high) in mm, mm/s, rad/s; see [plan] and [head]."""

    overlap: tuple[float, float]
    layers_most: int
    travel: tuple[float, float]
    wire_feed: tuple[float, float]
    rotation: tuple[float, float]
    pitch: tuple[float, float]
    tip_clear: float
    smallest_bore: float

    @classmethod
    def of(cls, scene: Scene) -> Allowed:
        """The limits of a scene; without a range of its own, travel stays near the settings
        measured.

        Raises SceneError where a range asked for lies outside the qualified procedure's.
        """
        p, feed, travel = scene.plan, *settings_known(scene)
        return cls(
            overlap=(p.overlap_least, min(p.overlap_most, most_overlap(scene))),
            layers_most=p.layers_most,
            travel=_within(
                "travel",
                _given(p.travel_least, p.travel_most, _near(scene, travel)),
                _travel_qualified(scene),
            ),
            wire_feed=_within(
                "wire feed",
                _given(p.wire_feed_least, p.wire_feed_most, (feed, feed)),
                _feed_qualified(scene),
            ),
            rotation=_given(p.rotation_least, p.rotation_most, _dialled(scene)),
            pitch=_given(p.pitch_least, p.pitch_most, (0.0, math.inf)),
            tip_clear=default("limit.tip_clear"),
            smallest_bore=scene.head.smallest_bore,
        )

    def relaxed(self) -> Iterator[tuple[Remark, Allowed]]:
        """Each limit by itself taken away, with its name.

        Bead overlap not past what is usual anywhere: closer the build-up law says nothing.
        """
        low, high = self.overlap
        wide = (0.0, math.inf)
        closest = max(high, default("plan.overlap_most"))
        yield Remark("most bead overlap"), replace(self, overlap=(low, closest))
        yield Remark("least bead overlap"), replace(self, overlap=(min(low, 0.0), high))
        yield Remark("most layers"), replace(self, layers_most=2 * self.layers_most + 4)
        low, high = self.travel
        yield Remark("travel speed"), replace(self, travel=(0.5 * low, 1.6 * high))
        low, high = self.wire_feed
        yield Remark("wire feed"), replace(self, wire_feed=(0.6 * low, 1.6 * high))
        yield ROTATION, replace(self, rotation=wide)
        yield Remark("feed per turn of the machine"), replace(self, pitch=wide)
        yield TIP_CLEAR, replace(self, tip_clear=-math.inf)
        yield SMALLEST_BORE, replace(self, smallest_bore=0.0)


def _given(
    low: float | None, high: float | None, usual: tuple[float, float]
) -> tuple[float, float]:
    """A range as given; an end left out is the usual one, but no tighter than the end given."""
    if low is None and high is None:
        return usual
    least = min(usual[0], high if high is not None else usual[0]) if low is None else low
    most = max(usual[1], low if low is not None else usual[1]) if high is None else high
    return least, most


def _within(
    what: str, span: tuple[float, float], qualified: tuple[float, float]
) -> tuple[float, float]:
    """The part of a range [mm/s] inside the qualified procedure's. Raises SceneError when there is
    none.
    """
    low, high = max(span[0], qualified[0]), min(span[1], qualified[1])
    if low > high * (1.0 + 1e-9):
        raise SceneError(
            f"plan: {what} {60 * span[0]:.0f} to {60 * span[1]:.0f} mm/min lies outside the "
            f"qualified procedure's {60 * qualified[0]:.0f} to "
            f"{60 * qualified[1]:.0f} mm/min: give a range in [plan] inside it, or measure a "
            "bead there."
        )
    return low, high


def _feed_qualified(scene: Scene) -> tuple[float, float]:
    """Wire feeds [mm/s] inside the qualified procedure."""
    least, most = scene.procedure.wire_feed_least, scene.procedure.wire_feed_most
    return least or 0.0, math.inf if most is None else most


def _travel_qualified(scene: Scene) -> tuple[float, float]:
    """Travel speeds [mm/s] inside the qualified procedure, its heat input and arc energy among them
    where volts and amps are known.
    """
    p, e = scene.procedure, scene.electrical
    slowest, fastest = (
        [p.travel_least or 0.0],
        [math.inf if p.travel_most is None else p.travel_most],
    )
    if e.voltage is not None and e.current is not None:
        for part, least, most in (
            (e.thermal_efficiency, p.heat_input_least, p.heat_input_most),
            (1.0, p.arc_energy_least, p.arc_energy_most),
        ):
            at_one = part * arc_energy(e.voltage, e.current, 1.0)  # kJ/mm at 1 mm/s
            slowest += [at_one / most] if most else []
            fastest += [at_one / least] if least else []
    return max(slowest), min(fastest)


def _dialled(scene: Scene) -> tuple[float, float]:
    """Rotation [rad/s] within the user's dial table; any where there is none."""
    timed = [point.rotation for point in scene.dial if point.rotation is not None]
    return (min(timed), max(timed)) if len(timed) > 1 else (0.0, math.inf)


def settings_known(scene: Scene) -> tuple[float, float]:
    """Wire feed and travel [mm/s] at which the bead is known: the measured plate's, else those of
    the last layer.
    """
    if scene.bead is not None:
        return scene.bead.wire_feed, scene.bead.travel
    plan = scene.layer[-1]
    radius = 0.5 * (scene.pre_bore.diameter if scene.pre_bore else scene.worn.diameter)
    return plan.wire_feed, speeds(plan, radius)[0]


def _near(scene: Scene, travel: float) -> tuple[float, float]:
    """Travel speeds [mm/s] near a known one, and where gravity pulls, not beyond where its pull was
    measured.
    """
    low, high = travel * default("plan.slower"), travel * default("plan.faster")
    if math.cos(scene.bore.inclination) > 1e-6:
        low = max(low, min(travel, TRAVEL_KNOWN[0]))
        high = min(high, max(travel, TRAVEL_KNOWN[1]))
    return low, high
