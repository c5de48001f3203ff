"""What must be said wherever figures leave the screen: dangers of the work, and what the figures
are.
"""

from __future__ import annotations

CAUTION = (
    "Estimates, not a welding procedure: follow a qualified procedure, local codes and "
    "licensed practice. Hot work and "
    "fire watch; fume extraction; vent hollow parts; work lead at the bore so that no "
    "current passes a bearing; block the "
    "load; mind hot parts and the rotating bar."
)
"""All of it in one breath, for the foot of a page."""


CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "Procedure",
        "These are estimates, not a welding procedure. Follow a qualified procedure, local "
        "codes and licensed practice.",
    ),
    (
        "Load and stored energy",
        "Block the load; let off pressure, springs and raised weights before a pin comes "
        "out: nothing may move.",
    ),
    (
        "Hollow and oily sections",
        "Open, clean and vent closed sections before heat: trapped oil or gas bursts. Drain "
        "and wipe out oil and grease.",
    ),
    (
        "Work lead",
        "Put the work lead on the part at the bore, so that no welding current passes a "
        "bearing, pin, cylinder or wire rope.",
    ),
    (
        "Hot work and fire watch",
        "Clear or cover what burns; permit where the site has one, extinguisher at hand, "
        "fire watch during and after.",
    ),
    (
        "Fume",
        "Extract the fume at the bore: it collects in a hole. Paint, zinc, cadmium and "
        "chromium coatings off first, well past the heat.",
    ),
    (
        "Rotating bar",
        "Nothing loose near the bar: no gloves, sleeves or rags at a turning bar. Stop it "
        "before gauging or brushing.",
    ),
    (
        "Hot parts",
        "The part burns long after the arc is out. Gauge, chip and move it cold, or protected.",
    ),
    (
        "Steel and hydrogen",
        "Have unknown steel identified first. Dry clean wire, preheat where asked, cool "
        "slowly, look for cracks cold.",
    ),
)
"""Title and sentence of each danger, in the order they are met on the job."""
