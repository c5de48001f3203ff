"""Settings held to the qualified procedure."""

from __future__ import annotations

from sim.job.scene import Scene
from sim.laws.weld_positions import in_group, main_positions
from sim.machine.heat import heats_at
from sim.machine.kept_areas import positions_of
from sim.machine.layer_row import NOT_GIVEN, OUTSIDE, WITHIN, Check, Range
from sim.reference.remarks import Remark
from sim.set_up.layers import Setting


def checks_of(scene: Scene, s: Setting, travels: Range, number: int) -> list[Check]:
    """A layer against every range the procedure may give."""
    p, e, h = scene.procedure, scene.electrical, scene.heat
    heats = heats_at(scene, travels)
    energies = (
        None
        if heats is None
        else (heats[0] / e.thermal_efficiency, heats[1] / e.thermal_efficiency)
    )
    both = Remark("job gives no volts and amps")
    out = [
        _check(
            "wire feed", "feed", (s.wire_feed, s.wire_feed), (p.wire_feed_least, p.wire_feed_most)
        ),
        _check(
            "voltage",
            "voltage",
            _one(e.voltage),
            (p.voltage_least, p.voltage_most),
            Remark("job gives no volts"),
        ),
        _check(
            "current",
            "current",
            _one(e.current),
            (p.current_least, p.current_most),
            Remark("job gives no amps"),
        ),
        _check("travel", "speed", travels, (p.travel_least, p.travel_most)),
        _check(
            "heat input (EN 1011-1)", "energy", heats, (p.heat_input_least, p.heat_input_most), both
        ),
        _check(
            "arc energy (AWS)", "energy", energies, (p.arc_energy_least, p.arc_energy_most), both
        ),
        _check(
            "preheat",
            "temperature",
            _one(h.preheat),
            (p.preheat_least, None),
            Remark("job gives no preheat"),
        ),
    ]
    if number > 1:
        out.append(
            _check(
                "interpass",
                "temperature",
                _one(h.interpass),
                (None, p.interpass_most),
                Remark("job gives no interpass"),
            )
        )
    return [*out, _position_check(scene, s), _group_check(scene)]


def _one(value: float | None) -> Range | None:
    return None if value is None else (value, value)


def _check(
    what: str,
    kind: str,
    run: Range | None,
    allowed: tuple[float | None, float | None],
    missing: Remark | None = None,
) -> Check:
    least, most = allowed
    if least is None and most is None:
        return Check(what, kind, run, allowed, NOT_GIVEN, words=Remark("procedure gives no range"))
    if run is None:
        return Check(what, kind, run, allowed, NOT_GIVEN, words=missing)
    under = 0.0 if least is None else least - run[0]
    over = 0.0 if most is None else run[1] - most
    by = max(under, over)
    slack = 1e-9 * max(abs(run[0]), abs(run[1]), 1.0)
    return Check(
        what,
        kind,
        run,
        allowed,
        OUTSIDE if by > slack else WITHIN,
        by=max(by, 0.0) if by > slack else 0.0,
    )


def _position_check(scene: Scene, s: Setting) -> Check:
    listed = scene.procedure.positions
    if not listed.strip():
        return Check(
            "position",
            "text",
            None,
            (None, None),
            NOT_GIVEN,
            words=Remark("procedure lists no positions"),
        )
    missing = sorted({p.iso for p in positions_of(scene, s)} - main_positions(listed))
    return _text_check("position", not missing, ", ".join(missing), listed)


def _group_check(scene: Scene) -> Check:
    listed, mine = scene.procedure.groups, scene.steel.group
    if not listed.strip() or not mine.strip():
        missing = Remark(
            "procedure lists no steel groups" if not listed.strip() else "job gives no steel group"
        )
        return Check("steel group", "text", None, (None, None), NOT_GIVEN, words=missing)
    return _text_check("steel group", in_group(mine, listed), mine, listed)


def _text_check(what: str, good: bool, missing: str, listed: str) -> Check:
    words = None if good else Remark("not among", missing=missing, listed=listed)
    return Check(what, "text", None, (None, None), WITHIN if good else OUTSIDE, words=words)
