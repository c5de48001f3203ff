"""What a record says: planned against measured, as JSON and in words."""

from __future__ import annotations

from typing import Any

from sim.machine.between.card import Card
from sim.machine.between.record import Came, LayerRead, Record
from sim.reference.cautions import CAUTION
from sim.reference.sizes_in_words import Say
from sim.tell.between import contradictory_lines, percent, reading_json
from sim.tell.remarks import lines


def came_json(came: Came) -> dict[str, Any]:
    """Planned against measured as plain values."""
    say = Say("mm" if came.update is None else came.update.scene.job.units)
    contradictory = () if came.update is None else came.update.contradictory
    return {
        "layers": [
            {
                "layer": one.layer,
                **({"bore": one.bore} if one.bore else {}),
                "kind": one.kind,
                "touched": one.touched,
                "readings": one.rows,
                "planned_mm": one.planned,
                "read_mm": one.read,
                **_card_json(_card(came, one), one),
                "metal_over_planned": one.metal.value,
                "metal_spread": one.metal.spread,
            }
            for one in came.layers
        ],
        "finished_diameter_mm": None if came.finished is None else list(came.finished),
        "limits_diameter_mm": list(came.limits),
        "within_limits": came.in_limits,
        "contradictory": [reading_json(row) for row in contradictory],
        "offered": dict(came.offered.changes),
        "offered_because": lines(came.offered.why, say),
    }


def _card_json(card: Card | None, one: LayerRead) -> dict[str, Any]:
    """What the card of a layer expected, and what it says at what was read."""
    if card is None:
        return {}
    return {"card_expected_mm": list(card.expected), "card_says": _rule(card, one.read)}


def record_note(record: Record, came: Came) -> str:
    """Planned against measured, layer by layer, and what is offered for the next job."""
    scene, say = record.scene, Say(record.scene.job.units)
    parts = [
        scene.job.name or "Unnamed job",
        f"Record of {record.date}" if record.date else "Record",
        *([record.notes] if record.notes else []),
        "",
        "Planned against measured, mean of the readings after each layer:"
        if came.layers
        else "No readings after a layer are in the job: nothing to compare.",
        *(_layer_line(one, _card(came, one), say) for one in came.layers),
        *_finished_lines(came, say),
        *([f"- {line}" for line in contradictory_lines(came.update)] if came.update else []),
        *_offered_lines(came, say),
    ]
    return "\n".join([*parts, "", CAUTION]) + "\n"


def _card(came: Came, one: LayerRead) -> Card | None:
    """The card that the mean of these readings belongs to: of crests, on diameter."""
    if one.kind != "diameter" or one.touched != "crest":
        return None
    return next(
        (card for card in came.cards if (card.layer, card.bore) == (one.layer, one.bore)), None
    )


def _layer_line(one: LayerRead, card: Card | None, say: Say) -> str:
    where = "on diameter" if one.kind == "diameter" else "radius"
    expected = (
        f"expected there {say.size(one.planned, 3)}"
        if card is None
        else f"the card expects {say.size(card.expected[0])} to {say.size(card.expected[1])}"
    )
    said = "" if card is None else f", by the card: {_rule(card, one.read)}"
    return (
        f"- {f'{one.bore}, ' if one.bore else ''}layer {one.layer}, {one.touched}s, {one.rows} "
        f"readings: {expected}, read {say.size(one.read, 3)} {where}{said}; metal of the layer "
        f"{percent(one.metal)} of planned."
    )


def _rule(card: Card, read: float) -> str:
    """What a card says to do at a reading [mm]."""
    return next(band.do for band in card.bands if read <= band.most)


def _finished_lines(came: Came, say: Say) -> list[str]:
    if came.finished is None:
        return []
    low, high = came.finished
    kept = "within" if came.in_limits else "NOT within"
    return [
        "",
        f"Finished bore {say.size(low, 3)} to {say.size(high, 3)} on diameter: {kept} "
        f"{say.size(came.limits[0], 3)} to {say.size(came.limits[1], 3)}.",
    ]


def _offered_lines(came: Came, say: Say) -> list[str]:
    if came.offered.why:
        return [
            "",
            "Offered for the next job with this wire and bead; nothing was changed:",
            *(f"- {line}" for line in lines(came.offered.why, say)),
            *(f"- {key} = {value}" for key, value in came.offered.changes.items()),
        ]
    kept = "The shop's bead values hold within what these readings can tell: no change suggested."
    return ["", kept] if came.layers else []
