"""The file list of the shop is its order: five steps in the alphabet, and they run so."""

import ast
import sys
from pathlib import Path

import sim.shop
from sim import load, simulate
from sim.job.change import changed
from sim.plan.odds.verdict import decide
from tests.conftest import ROOT

SHOP = Path(sim.shop.__file__).parent
STEPS = ("as_worn", "bored_clean", "deposit", "finish", "judge")


def finished(work):
    """Steps in the order in which each has first finished something, seen while `work` runs."""
    order = []
    files = {str(SHOP / f"{step}.py"): step for step in STEPS}

    def seen(frame, event, _):
        step = files.get(frame.f_code.co_filename)
        if event == "return" and step and step not in order:
            order.append(step)

    sys.setprofile(seen)
    try:
        work()
    finally:
        sys.setprofile(None)
    return tuple(order)


def test_the_five_steps_are_in_the_alphabet_and_numbered():
    assert tuple(sorted(STEPS)) == STEPS
    for number, step in enumerate(STEPS, 1):
        words = ast.get_docstring(ast.parse((SHOP / f"{step}.py").read_text()))
        assert words.startswith(f"{number} "), step
    assert sim.shop.__doc__.split(": ")[1].rstrip(".").split(", ") == list(STEPS)


def test_a_job_goes_through_them_in_that_order():
    job = load(ROOT / "scenes" / "cleans_up.toml")
    job = changed(job, {"layer.pitch_mm": 3.27})  # a job nobody has decided in this process
    assert finished(lambda: (simulate(job), decide(job))) == STEPS


def test_no_step_imports_a_later_one():
    for number, step in enumerate(STEPS):
        tree = ast.parse((SHOP / f"{step}.py").read_text())
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and str(node.module).startswith("sim.shop."):
                assert node.module.split(".")[2] not in STEPS[number + 1 :], (step, node.module)
