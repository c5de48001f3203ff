"""`exercise`: guess, then see."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from sim.commands.shared import (
    GOOD,
    Commands,
)


def add(commands: Commands) -> None:
    """The command and its options."""
    command = commands.add_parser(
        "exercise", help="guess, then see: ask, hand out or mark an exercise; exit 0, 2 bad input"
    )
    command.add_argument(
        "what",
        nargs="?",
        help="a number from 1 to 7, an exercise file, or a scene; left out: list the seven",
    )
    command.add_argument(
        "--variation", type=int, default=0, help="a numbered variation of one of the seven (0)"
    )
    command.add_argument(
        "--questions", metavar="A,B", help="what to ask of a scene, as where,layers,short"
    )
    command.add_argument(
        "--out", metavar="FILE", help="write the exercise to hand out; the answer is not in it"
    )
    command.add_argument(
        "--answer",
        action="append",
        default=[],
        metavar="QUESTION=ANSWER",
        help="as where=9:30@50, layers=2, gauge=79.2; marks it",
    )
    command.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    """Guess, then see; returns the exit code."""
    from sim.reference.whole_files import write_whole
    from sim.teach.exercise import exercise_text, job_lines
    from sim.teach.marking import grade, mark, score
    from sim.teach.questions import QUESTIONS, parse_answer
    from sim.teach.the_seven import SEVEN

    if given.what is None:
        for kind in SEVEN.values():
            print(f"{kind.title}: {kind.task}")
        return GOOD
    told = _exercise_of(given)
    asked, scene = told.exercise, told.scene
    if given.out:
        write_whole(Path(given.out), exercise_text(asked).encode("utf-8"))
        print(f"wrote {given.out}", file=sys.stderr)
        return GOOD
    if not given.answer:
        lines = [
            asked.title,
            asked.task,
            "",
            *(f"- {what}: {value}" for what, value in job_lines(scene)),
            "",
        ]
        print("\n".join([*lines, *(f"{name}: {QUESTIONS[name].asks}" for name in asked.questions)]))
        return GOOD
    pairs = [text.partition("=")[::2] for text in given.answer]
    marks = mark(
        told, {name.strip(): parse_answer(scene, name.strip(), text) for name, text in pairs}
    )
    for one in marks:
        print(
            f"{one.asked}\n  you: {one.given}; result: {one.found}; "
            f"{100 * one.points:.0f} of 100\n{one.why}\n"
        )
    print(f"Score: {score(marks)} of 100; {grade(score(marks))}.")
    return GOOD


def _exercise_of(given: argparse.Namespace) -> Any:
    """The exercise named: one of the seven, a file of one, or a scene made into one; laid."""
    from sim.job.files import find_scene
    from sim.job.read import load
    from sim.teach.exercise import USUAL, of_scene, read_exercise
    from sim.teach.the_seven import SEVEN, made
    from sim.teach.truth import truth

    numbered = {str(number): name for number, name in enumerate(SEVEN, 1)}
    name = numbered.get(given.what, given.what)
    if name in SEVEN:
        return made(name, given.variation)
    path = find_scene(given.what)
    data = path.read_bytes() if path.is_file() else b""
    if b"\n[exercise]" in data:
        return truth(read_exercise(data, name=str(path)))
    questions = given.questions.split(",") if given.questions else USUAL
    return truth(of_scene(load(path), questions=questions))
