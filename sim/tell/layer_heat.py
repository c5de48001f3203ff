"""Heat of a layer, waiting, steel and preheat in words."""

from __future__ import annotations

import math

from sim.machine.layer_row import LayerSettings, SteelFacts, Warming
from sim.reference.sizes_in_words import Say
from sim.tell.remarks import lines, told


def heat_lines(r: LayerSettings, say: Say) -> list[str]:
    """Heat input, cooling and warming of a layer."""
    if r.heat_input is None or r.arc_energy is None or r.heat_inputs is None:
        return ["- No volts and amps given: no heat input."]
    spread = (
        ""
        if r.round
        else f" ({say.energy(r.heat_inputs[0])} to {say.energy(r.heat_inputs[1])} round the bore)"
    )
    out = [
        f"- At {r.voltage:g} V and {r.current:g} A: heat input {say.energy(r.heat_input)} by "
        f"EN 1011-1{spread}; arc energy {say.energy(r.arc_energy)} (AWS)."
    ]
    if r.cooling_time is not None and r.transition_thickness is not None:
        out.append(
            f"- Cooling {say.temperature(800.0)} to {say.temperature(500.0)} in about "
            f"{r.cooling_time:.1f} s with the part as cold as it may be ({r.cooling_flow} "
            f"flow; 2-D under {say.size(r.transition_thickness, 0)} thick)."
        )
    return [*out, *(f"- {line}" for line in warming_lines(r.warming, say))]


def warming_lines(w: Warming | None, say: Say) -> list[str]:
    """How warm the part gets in a layer, and what to wait; nothing when not known."""
    if w is None:
        return []
    out = [
        f"As a lone ring the part would go from {say.temperature(w.start)} to "
        f"{say.temperature(w.end)} in this layer (an estimate; an arm or plate on it keeps "
        "it cooler)."
    ]
    if w.until is None:
        return [*out, "No interpass temperature given."]
    if w.passes is not None and math.isfinite(w.passes):
        after = (
            "from the first turn on"
            if w.passes < 1.0
            else f"after about {w.passes / 60.0:.0f} min of arc"
        )
        out.append(
            f"That passes the interpass temperature {say.temperature(w.until)} {after}: "
            "measure while welding, stop and let it cool."
        )
    if w.wait > 0.0:
        low, high = (_minutes(v) for v in w.waits)
        out.append(
            f"Before the next layer let it cool to {say.temperature(w.until)}: about "
            f"{_minutes(w.wait)}, {low} to {high}; measure it."
        )
    return out


def _minutes(seconds: float) -> str:
    return f"{seconds / 60.0:.0f} min" if math.isfinite(seconds) else "never"


def steel_lines(s: SteelFacts, say: Say) -> list[str]:
    """Carbon equivalents and preheat: a heading, then what is known and what is missing."""
    out = ["Steel and preheat:"]
    if s.cet is not None:
        out.append(
            f"- Carbon equivalents: CE (IIW) {s.ce:.2f} %, CET {s.cet:.2f} %, Pcm {s.pcm:.2f} %."
        )
    if s.preheat is not None:
        beyond = (
            f" Outside what the formula was made for: {'; '.join(lines(s.preheat_outside, say))}."
            if s.preheat_outside
            else ""
        )
        none = " (none needed by it)" if s.preheat <= 20.0 else ""
        out.append(f"- Preheat by CET (EN 1011-2 C.3): {say.temperature(s.preheat)}{none}.{beyond}")
    if s.preheat_aws is not None:
        out.append(
            "- Least preheat and interpass by AWS D1.1 Table 3.3: "
            f"{say.temperature(s.preheat_aws)}."
        )
    if s.measure_at is not None and s.thickness is not None:
        out.append(
            f"- Measure preheat {say.size(s.measure_at, 0)} from the bore (ISO 13916; "
            f"thickness {say.size(s.thickness, 0)}, {told(s.thickness_known, say)})."
        )
    return [*out, *(f"- {line[:1].upper()}{line[1:]}." for line in lines(s.said, say))]
