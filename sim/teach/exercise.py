"""Guess, then see: an exercise is a scene and some questions; what is right is found by simulating,
never written down.

An exercise file is a scene file with one more section, [exercise]. The seven that come with the
tool are drawn from parameters and a variation number; each draw is laid before it is handed out, to
see that it shows what it is there for.
"""

from __future__ import annotations

import dataclasses
import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import replace

import tomli_w

from sim.job.files import decoded
from sim.job.read import from_mapping
from sim.job.saved import text_that_reads_back
from sim.job.scene import Scene
from sim.job.sections.bore import AFTER
from sim.job.sections.weld import LayerPlan
from sim.job.values import nearest, plain_text
from sim.reference.arrays import TURN
from sim.reference.errors import SceneError
from sim.reference.sizes_in_words import Say
from sim.reference.units import clock_text
from sim.set_up.axes_and_areas import AxesOf, axes_of
from sim.teach.questions import QUESTIONS
from sim.teach.truth import Exercise

LONGEST = 600
"""Letters of a title or task."""


USUAL = ("verdict", "where", "layers", "short")


def of_scene(
    scene: Scene,
    *,
    title: str = "",
    task: str = "",
    questions: Sequence[str] = USUAL,
    name: str = "the exercise",
) -> Exercise:
    """An exercise from any scene; what the scene's own note gives away is left out. Raises
    SceneError.
    """
    if scene.job.stage == AFTER:
        raise SceneError(
            f'{name}: [job] stage = "after the finish cut": a guess comes before the cut; '
            "set an earlier stage."
        )
    if scene.readings is not None and scene.readings.file:
        held = scene.readings
        scene = replace(scene, readings=replace(held, file="", table=held.text))
    plain = replace(scene, job=replace(scene.job, note=""))
    told = Exercise(
        title or scene.job.name or "Guess, then see", task or USUAL_TASK, tuple(questions), plain
    )
    _check(told, name)
    return told


USUAL_TASK = "Look at the job, then say what will come of it before anybody strikes the arc."


def _check(exercise: Exercise, name: str) -> None:
    if not exercise.questions:
        raise SceneError(
            f"{name}: [exercise] questions = []: must name at least one of {', '.join(QUESTIONS)}."
        )
    for one in exercise.questions:
        if one not in QUESTIONS:
            raise SceneError(
                f"{name}: [exercise] questions: unknown question '{one}'{nearest(one, QUESTIONS)}"
            )
    if len(set(exercise.questions)) < len(exercise.questions):
        raise SceneError(f"{name}: [exercise] questions: one of them twice; name each once.")


def exercise_text(exercise: Exercise) -> str:
    """The exercise as a file: the scene and one section more; no answer is in it."""
    import json

    lines = [
        "",
        "[exercise]  # guess, then see: the answer is not in this file, the tool lays the "
        "job and looks.",
        tomli_w.dumps({"title": exercise.title, "task": exercise.task}).rstrip("\n"),
        f"questions = {json.dumps(list(exercise.questions))}  # any of {', '.join(QUESTIONS)}",
    ]
    return text_that_reads_back(exercise.scene, whole=True) + "\n".join(lines) + "\n"


def read_exercise(data: bytes, *, name: str) -> Exercise:
    """An exercise file checked. Raises SceneError with one sentence for anything else."""
    try:
        raw = tomllib.loads(decoded(data, name=name))
    except tomllib.TOMLDecodeError as fault:
        raise SceneError(f"{name}: not valid TOML: {fault}; mend that line.") from None
    except RecursionError:
        raise SceneError(
            f"{name}: nested too deeply to be an exercise; use flat sections."
        ) from None
    asked = raw.pop("exercise", None)
    if not isinstance(asked, Mapping):
        raise SceneError(
            f"{name}: no section [exercise]; open a scene as a job, or make an exercise of "
            "it first."
        )
    fields = {f.name for f in dataclasses.fields(Exercise)} - {"scene"}
    for key, value in asked.items():
        if key not in fields:
            raise SceneError(
                f"{name}: [exercise] unknown key '{key}'{nearest(key, dict.fromkeys(fields))}"
            )
        if key == "questions":
            if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
                raise SceneError(
                    f'{name}: [exercise] questions: must be a list such as ["where", "layers"].'
                )
        elif not isinstance(value, str) or len(value) > LONGEST:
            raise SceneError(
                f"{name}: [exercise] {key}: must be text in quotes, at most {LONGEST} letters."
            )
        else:
            plain_text(value, f"{name}: [exercise] {key}", several_lines=key == "task")
    scene = from_mapping(raw, name=name)
    return of_scene(
        scene,
        title=asked.get("title", ""),
        task=asked.get("task", ""),
        questions=asked.get("questions", USUAL),
        name=name,
    )


def job_lines(scene: Scene) -> list[tuple[str, str]]:
    """The job as an apprentice needs to see it: what and how much, in the job's units."""
    say, plan, axes = Say(scene.job.units), scene.layer[0], axes_of(scene)
    before = scene.pre_bore.diameter if scene.pre_bore is not None else scene.worn.diameter
    lines = [
        ("Final size, on diameter", say.size(scene.bore.final_diameter)),
        (
            "Pre-bored to, on diameter"
            if scene.pre_bore is not None
            else "Smallest worn size, on diameter",
            say.size(before),
        ),
        ("Length of the bore", say.size(scene.bore.length, 0)),
        ("The bore", _lies(scene)),
        ("Layers laid", str(len(scene.layers))),
        (
            "Pitch",
            say.size(plan.pitch)
            if plan.pitch is not None
            else f"bead overlap {100 * float(plan.bead_overlap or 0):.0f} %",
        ),
        (
            "Bead on a plate",
            f"{say.size(scene.bead.width)} wide, {say.size(scene.bead.height)} high"
            if scene.bead
            else "not measured",
        ),
        ("Torch turns", f"{plan.turning}, seen from the entry face"),
        ("Advance", _advance(plan)),
        ("Finish axis", _finish(axes, say)),
        ("Least cut asked for", f"{say.size(scene.cut.minimum_cut)} per side"),
    ]
    return lines


def _lies(scene: Scene) -> str:
    tilt = math.degrees(scene.bore.inclination)
    return (
        "lies level"
        if abs(tilt) < 1.0
        else "stands upright"
        if abs(tilt) > 89.0
        else f"runs downhill by {tilt:.0f} degrees"
    )


def _advance(plan: LayerPlan) -> str:
    start = (
        f"start at {clock_text(plan.start_at)}, moved {math.degrees(plan.shift):.0f} degrees "
        "each layer"
    )
    if plan.advance == "step":
        return f"full turns with a step between, {start}"
    turns = f"{plan.closing_start} closing turn(s) first, {plan.closing_end} last"
    return (
        f"spiral, {turns if plan.closing_start or plan.closing_end else 'no closing turns'}, "
        f"{start}"
    )


def _finish(axes: AxesOf, say: Say) -> str:
    x, y = (f - p for f, p in zip(axes.finish.entry, axes.pre_bore.entry, strict=True))
    off = math.hypot(x, y)
    if off < 1e-9:
        return "that of the pre-bore"
    return f"{say.size(off)} off the pre-bore axis, towards {clock_text(math.atan2(x, -y) % TURN)}"
