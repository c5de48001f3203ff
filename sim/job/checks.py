"""What only the whole job can tell: checks across sections."""

from __future__ import annotations

from sim.job import dials
from sim.job.dials import tables
from sim.job.looked import read_after, state
from sim.job.on_bar import PLACED, length_of, number_of
from sim.job.plausible import check_sizes
from sim.job.readings_csv import read
from sim.job.scene import Scene
from sim.job.sections.bore import BLACK_LEFT, Bore
from sim.job.sections.machine import BoringBar
from sim.job.sections.plan import FromReadings
from sim.job.sections.weld import LayerPlan
from sim.job.values import as_written
from sim.laws.hole_limits import hole_limits
from sim.laws.weld_positions import main_positions
from sim.reference.errors import SceneError


def final_limits(bore: Bore) -> tuple[float, float]:
    """Lower and upper limit of size [mm] of the finished bore: given, by ISO 286 code, or the
    nominal size.

    >>> final_limits(Bore(final_diameter=80.0, length=100.0, hole_code="H7"))
    (80.0, 80.03)
    """
    if bore.hole_code:
        return hole_limits(bore.hole_code, bore.final_diameter)
    low = bore.final_diameter if bore.lower_limit is None else bore.lower_limit
    high = max(low, bore.final_diameter) if bore.upper_limit is None else bore.upper_limit
    return low, high


def check(scene: Scene, *, name: str = "scene") -> None:
    """What only the whole job can tell is wrong. Raises SceneError with one sentence."""
    _check_limits(scene.bore, name)
    _check_bores_named(scene, name)
    _check_bore(scene, name)
    _check_worn(scene, name)
    _check_areas(scene, name)
    _check_bead(scene, name)
    for number, plan in enumerate(scene.layer, 1):
        _check_layer(plan, scene.bore.length, f"{name}: [layer {number}]")
    check_sizes(scene, name)
    _check_look(scene, name)
    _check_plan(scene, name)
    _check_shop(scene, name)
    _check_bar(scene, name)
    _check_readings_after(scene, name)


def _check_limits(bore: Bore, name: str) -> None:
    """Hole code against limits, and limits against the final diameter."""
    if bore.hole_code:
        if bore.lower_limit is not None or bore.upper_limit is not None:
            raise SceneError(f"{name}: [bore] both hole_code and limits given; keep one of them.")
        try:
            hole_limits(bore.hole_code, bore.final_diameter)
        except ValueError as fault:
            raise SceneError(
                f"{name}: [bore] hole_code = {as_written(bore.hole_code)}: {fault}"
            ) from None
    low, high = final_limits(bore)
    if high < low:
        raise SceneError(
            f"{name}: [bore] upper_limit = {high:.4f} mm: less than the lower limit "
            f"{low:.4f} mm; swap them."
        )
    if abs(low - bore.final_diameter) > 5.0 or abs(high - bore.final_diameter) > 5.0:
        raise SceneError(
            f"{name}: [bore] limits {low:.3f}..{high:.3f} mm: more than 5 mm from "
            f"final_diameter {bore.final_diameter:.3f} mm; give limits of size, not "
            "deviations."
        )


def _check_bores_named(scene: Scene, name: str) -> None:
    """Bores named by what is in them: each is on the bar."""
    for section in (*PLACED, "update_on_bar"):
        for k, one in enumerate(getattr(scene, section), 1):
            number_of(scene, one.bore, f"{name}: [{section} {k}]")


def _length_there(scene: Scene, bore: str) -> float:
    """Length [mm] of the bore of this name."""
    return length_of(scene, number_of(scene, bore, "scene:"))


def _check_bore(scene: Scene, name: str) -> None:
    """Chamfers against the length, the outside of the boss against the bore."""
    bore = scene.bore
    if bore.chamfer_entry + bore.chamfer_far >= bore.length:
        raise SceneError(
            f"{name}: [bore] chamfers of {bore.chamfer_entry:g} and {bore.chamfer_far:g} mm "
            f"leave nothing of the length {bore.length:g} mm; make them shorter."
        )
    if bore.outside_diameter is not None and bore.outside_diameter <= max(
        scene.worn.diameter, bore.final_diameter
    ):
        raise SceneError(
            f"{name}: [bore] outside_diameter = {bore.outside_diameter:g} mm: not larger "
            "than the bore; give the outside of the boss, on diameter."
        )


def _check_worn(scene: Scene, name: str) -> None:
    """Taper, and places of damage against the length."""
    if scene.worn.diameter + scene.worn.taper <= 0.0:
        raise SceneError(
            f"{name}: [worn] taper = {scene.worn.taper:g} mm: closes the far end; give the "
            "change on diameter."
        )
    for kind in ("oil_hole", "gouge", "groove"):
        for number, place in enumerate(getattr(scene, kind), 1):
            length = _length_there(scene, place.bore)
            if place.depth > length:
                raise SceneError(
                    f"{name}: [{kind} {number}] depth = {place.depth:g} mm: deeper than the bore "
                    f"is long ({length:g} mm); measure from the entry face."
                )


def _check_areas(scene: Scene, name: str) -> None:
    """Keyways and no-weld areas: from less deep to deeper."""
    for number, way in enumerate(scene.keyway, 1):
        length = _length_there(scene, way.bore)
        if way.to_depth <= way.from_depth or way.from_depth >= length:
            raise SceneError(
                f"{name}: [keyway {number}] from_depth {way.from_depth:g} to to_depth "
                f"{way.to_depth:g} mm: must run inwards and begin inside the bore "
                f"({length:g} mm)."
            )
    for number, area in enumerate(scene.no_weld, 1):
        if area.from_at == area.to_at:
            raise SceneError(
                f"{name}: [no_weld {number}] from_at = to_at: no area, or all round; for a ring "
                "give two areas of half a turn each."
            )
        if area.to_depth <= area.from_depth:
            raise SceneError(
                f"{name}: [no_weld {number}] to_depth = {area.to_depth:g} mm: must be deeper than "
                f"from_depth {area.from_depth:g} mm."
            )


def _check_bead(scene: Scene, name: str) -> None:
    """The measured bead and its pad, and how many layers are laid already."""
    plate, pad, wire = scene.bead, scene.pad, scene.shop_values.wire_diameter
    if wire is not None and abs(wire - scene.wire.diameter) > 0.02:
        raise SceneError(
            f"{name}: [shop_values] wire_diameter_mm = {wire:g}: the job's wire is "
            f"{scene.wire.diameter:g} mm; take the values of this wire."
        )
    if pad is not None and plate is None:
        raise SceneError(
            f"{name}: [pad] given without [bead]; measure the bead's width and height too."
        )
    if scene.job.layers_done > len(scene.layers):
        raise SceneError(
            f"{name}: [job] layers_done = {scene.job.layers_done}: the scene has only "
            f"{len(scene.layers)} layers; add them or correct the count."
        )
    if plate is not None and plate.weighed is not None and plate.counted is not None:
        raise SceneError(f"{name}: [bead] both weighed and counted given; keep the one you trust.")
    if plate is not None and (plate.weighed is None and plate.counted is None) != (
        plate.wire_time is None
    ):
        raise SceneError(
            f"{name}: [bead] wire_time_s goes with weighed or counted wire; give both or neither."
        )
    if pad is not None and pad.valley >= pad.crest:
        raise SceneError(
            f"{name}: [pad] valley = {pad.valley:g} mm: must be lower than the crest "
            f"{pad.crest:g} mm; both are heights above the plate."
        )


def _check_layer(plan: LayerPlan, length: float, where: str) -> None:
    """A layer's own clock and depths."""
    if (plan.only_from is None) != (plan.only_to is None):
        raise SceneError(f"{where} give both only_from_oclock and only_to_oclock, or neither.")
    if (
        plan.start_depth is not None
        and plan.end_depth is not None
        and plan.start_depth == plan.end_depth
        and not plan.closing_start + plan.closing_end
        and plan.advance == "spiral"
    ):
        raise SceneError(
            f"{where} start_depth = end_depth = {plan.start_depth:g} mm: "
            "nothing to lay; give closing turns or a length."
        )
    for which, depth in (("start_depth", plan.start_depth), ("end_depth", plan.end_depth)):
        if depth is not None and not -60.0 <= depth <= length + 60.0:
            raise SceneError(
                f"{where} {which} = {depth:g} mm: more than 60 mm outside "
                f"the bore (0 to {length:g} mm); measure from the entry face."
            )
    if plan.only_from is not None and plan.only_from == plan.only_to:
        raise SceneError(
            f"{where} only_from = only_to: nothing to lay; leave both out to lay all round."
        )


def _check_look(scene: Scene, name: str) -> None:
    """What is wrong with what was seen or read of the pre-bored wall. Raises SceneError with one
    sentence.
    """
    if read_after(scene) and scene.pre_bore is None:
        raise SceneError(
            f'{name}: [readings] of = "pre-bored": no [pre_bore] is given; give its '
            'diameter, or of = "worn".'
        )
    if any(_looked_there(scene, one.bore) != BLACK_LEFT for one in scene.pre_bore_black):
        raise SceneError(
            f'{name}: [[pre_bore_black]] given where none was seen; set looked = "black '
            'left" in [pre_bore], or take it out.'
        )
    for k, patch in enumerate(scene.pre_bore_black, 1):
        length = _length_there(scene, patch.bore)
        if patch.depth > length:
            raise SceneError(
                f"{name}: [pre_bore_black {k}] depth = {patch.depth:g} mm: deeper than the "
                f"bore is long ({length:g} mm); measure from the entry face."
            )


def _looked_there(scene: Scene, bore: str) -> str:
    """How the pre-bored wall of the bore of this name came out."""
    number = number_of(scene, bore, "scene:")
    return scene.bore_on_bar[number - 1].looked if number else state(scene)


def _check_bar(scene: Scene, name: str) -> None:
    """What is wrong with [boring_bar]. Raises SceneError with one sentence."""
    bar, length = scene.boring_bar, scene.bore.length
    if bar is None:
        return
    where = f"{name}: [boring_bar]"
    for what in ("speed", "feed"):
        _check_range_of_bar(bar, what, where)
    if bar.held == "overhung" and (bar.span is not None or bar.before is not None):
        raise SceneError(
            f'{where} span and before go with held = "supported"; give overhang, or change held.'
        )
    if bar.held == "supported" and bar.overhang is not None:
        raise SceneError(
            f'{where} overhang goes with held = "overhung"; give span, or change held.'
        )
    if bar.span is not None and bar.span < (bar.before or 0.0) + length:
        raise SceneError(
            f"{where} span = {bar.span:g} mm: the bore of {length:g} mm does not lie between "
            "the bearings; measure from bearing to bearing."
        )


def _check_range_of_bar(bar: BoringBar, what: str, where: str) -> None:
    """Speeds or feeds of the bar: a list or a range, the range the right way round."""
    least, most = getattr(bar, f"{what}_least"), getattr(bar, f"{what}_most")
    if getattr(bar, f"{what}s") and (least is not None or most is not None):
        raise SceneError(
            f"{where} both {what}s and {what}_least or {what}_most given; keep the list, "
            "or the range."
        )
    if least is not None and most is not None and least > most:
        raise SceneError(f"{where} {what}_least is more than {what}_most; swap them.")


def _check_plan(scene: Scene, name: str) -> None:
    """What is wrong with [confidence] and [plan]. Raises SceneError with one sentence."""
    if scene.confidence.asked > 0.999:
        raise SceneError(
            f"{name}: [confidence] asked = {scene.confidence.asked:g}: no plan is certain, "
            "beads and set-up have no hard limits; ask for at most 0.999."
        )
    for what in ("overlap", "travel", "wire_feed", "rotation", "pitch"):
        least, most = getattr(scene.plan, f"{what}_least"), getattr(scene.plan, f"{what}_most")
        if least is not None and most is not None and least > most:
            raise SceneError(f"{name}: [plan] {what}_least is more than {what}_most; swap them.")


def _check_shop(scene: Scene, name: str) -> None:
    """What is wrong with [procedure], [heat], [steel] and [[dial]]. Raises SceneError with one
    sentence.
    """
    asked, heat = scene.procedure, scene.heat
    for what in ("wire_feed", "voltage", "current", "travel", "heat_input", "arc_energy"):
        least, most = getattr(asked, f"{what}_least"), getattr(asked, f"{what}_most")
        if least is not None and most is not None and least > most:
            raise SceneError(
                f"{name}: [procedure] {what}_least is more than {what}_most; swap them."
            )
    try:
        main_positions(asked.positions)
    except ValueError as fault:
        raise SceneError(
            f"{name}: [procedure] positions = {as_written(asked.positions)}: {fault}."
        ) from None
    if heat.interpass is not None and heat.interpass <= heat.air:
        raise SceneError(
            f"{name}: [heat] interpass = {heat.interpass:g} C: the part never cools below "
            f"the air's {heat.air:g} C; give a higher temperature."
        )
    metals = sum(
        getattr(scene.steel, one) or 0.0
        for one in (
            "carbon",
            "silicon",
            "manganese",
            "chromium",
            "molybdenum",
            "vanadium",
            "nickel",
            "copper",
            "boron",
        )
    )
    if metals > 50.0:
        raise SceneError(
            f"{name}: [steel] the elements add up to {metals:g} %: more than half is no "
            "steel; give % of mass."
        )
    for k, point in enumerate(scene.dial, 1):
        if point.rotation is None and point.wire_feed is None:
            raise SceneError(
                f"{name}: [dial {k}] mark = {point.mark:g}: neither rotation nor wire_feed "
                "given; say what the dial gives there."
            )
    for table in tables(scene.dial):
        dials.check(table, f"{name}: [[dial]]")


def _check_readings_after(scene: Scene, name: str) -> None:
    """What is wrong with [[reading_after]] and [update]. Raises SceneError with one sentence."""
    for k, one in enumerate(scene.reading_after, 1):
        if one.layer > len(scene.layers):
            raise SceneError(
                f"{name}: [reading_after {k}] layer = {one.layer}: the scene has "
                f"{len(scene.layers)} layer{'s' * (len(scene.layers) != 1)}; correct the "
                "number or add the layers laid."
            )
        read(
            one.table.encode(),
            name=f"{name}: [reading_after {k}] table",
            error=one.error,
            welded=True,
        )
    for known in (*filter(None, [scene.update]), *scene.update_on_bar):
        _check_told(scene, known, name)


def _check_told(scene: Scene, known: FromReadings, name: str) -> None:
    """What is wrong with what readings after layers told. Raises SceneError with one sentence."""
    if known.layers and not scene.reading_after:
        raise SceneError(
            f"{name}: [update] given without [[reading_after]]; it is worked out from "
            "readings: take it out and run `update`."
        )
    held = (
        2
        + sum(
            one is not None
            for one in (known.tie_in, known.law, known.edge, known.width, known.gravity)
        )
        + (5 if known.torch else 0)
    )
    whole = (
        len(known.torch) in (0, 4)
        and len(known.torch_spread) == len(known.torch)
        and (known.pool_run is not None) == bool(known.torch)
    )
    if not whole or len(known.links) != held * (held - 1) // 2:
        raise SceneError(
            f"{name}: [update] is not whole; take it out and run `update` on the readings again."
        )
    if known.layers > len(scene.layers):
        raise SceneError(
            f"{name}: [update] layers = {known.layers}: the scene has only "
            f"{len(scene.layers)}; take [update] out and run `update` again."
        )
