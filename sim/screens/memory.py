"""What the page remembers: the job, the jobs before it, the case kept for comparison, the units
shown.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import replace
from typing import Any

import streamlit as st

from sim.job.change import changed, digest
from sim.job.files import shipped
from sim.job.read import load
from sim.job.scene import Scene
from sim.plan.odds.verdict import Decision, Progress, decide, known
from sim.plan.remedies.advice import Advice, remedies
from sim.reference.errors import SceneError
from sim.shop.several_bores import OnBar, simulate_bar


def begin() -> None:
    """Fill the memory of a new visit: the first shipped scene, or the one named in the address."""
    if "scene" in st.session_state:
        return
    wanted = st.query_params.get("job", "")
    path = next((p for p in shipped() if p.stem == wanted), shipped()[0])
    put(load(path), remember=False)


SAID = ("between fault", "readings fault", "upload fault", "answers fault", "pitch fault")
"""What the screens said would not do; it holds for the job it was said of."""


def worked_out(name: str, stamp: Hashable, work: Callable[[], Any]) -> bool:
    """Do a long piece of work and keep what it found, or the sentence why not, with what it was
    done for; tell whether it found.
    """
    try:
        st.session_state[name] = (stamp, work())
    except SceneError as fault:
        st.session_state[f"{name} refused"] = (stamp, str(fault))
        return False
    st.session_state.pop(f"{name} refused", None)
    return True


def kept(name: str, stamp: Hashable, stale: str) -> Any:
    """What such work found, None where nothing was yet; said beside it: why it was refused this
    time, or that it is `stale`.
    """
    refused = st.session_state.get(f"{name} refused")
    if refused is not None and refused[0] == stamp:
        st.error(refused[1])
    found = st.session_state.get(name)
    if found is None:
        return None
    if found[0] != stamp:
        st.info(stale)
    return found[1]


def job() -> Scene:
    """The job as it is."""
    return st.session_state["scene"]  # type: ignore[no-any-return]


def put(scene: Scene, *, remember: bool = True) -> None:
    """Make this the job; fields are filled anew. With `remember` the one before can be brought
    back.
    """
    if remember and "scene" in st.session_state:
        remembered()
    st.session_state["scene"] = scene
    st.session_state["round"] = st.session_state.get("round", 0) + 1
    st.session_state["faults"] = {}
    unsaid()


def remembered() -> None:
    """Keep the job as it is, so that it can be brought back after the change that comes now."""
    st.session_state.setdefault("before", []).append(st.session_state["scene"])
    del st.session_state["before"][:-20]
    st.session_state["after"] = []


def opened() -> tuple[str, float]:
    """Which job is open, whatever was changed in it: its name and the length of its bore [mm]."""
    return job().job.name, job().bore.length


def unsaid() -> None:
    """Forget what would not do: the job is another now."""
    for name in SAID:
        st.session_state[name] = ""


def change(changes: Mapping[str, Any]) -> None:
    """Take a remedy or another set of changes into the job. Raises SceneError."""
    put(changed(job(), changes, name="this job"))


def can_go_back() -> bool:
    """Tell whether there is a job to go back to."""
    return bool(st.session_state.get("before"))


def back() -> None:
    """Bring back the job before the last change."""
    if can_go_back():
        st.session_state.setdefault("after", []).append(job())
        put(st.session_state["before"].pop(), remember=False)


def can_go_on() -> bool:
    """Tell whether a job that was left by going back can be brought again."""
    return bool(st.session_state.get("after"))


def on_again() -> None:
    """Bring again the job that was left by going back."""
    if can_go_on():
        st.session_state.setdefault("before", []).append(job())
        put(st.session_state["after"].pop(), remember=False)


def faults() -> dict[str, str]:
    """Sentences about fields that do not hold, by field."""
    return st.session_state.setdefault("faults", {})  # type: ignore[no-any-return]


def units() -> str:
    """Units shown on the page: mm or in."""
    return str(st.session_state.get("units", job().job.units))


def in_units(scene: Scene) -> Scene:
    """The scene told in the page's units; the job itself stays as it is."""
    return replace(scene, job=replace(scene.job, units=units()))


@st.cache_resource(  # type: ignore[untyped-decorator]
    max_entries=12, show_spinner="laying the beads ...", hash_funcs={Scene: digest}
)
def _judged(scene: Scene) -> list[OnBar]:
    return simulate_bar(scene)


@st.cache_resource(  # type: ignore[untyped-decorator]
    max_entries=12,
    show_spinner="trying remedies ...",
    hash_funcs={Scene: digest},
)
def _advice(scene: Scene) -> Advice:
    return remedies(scene, _judged(scene))


def on_bar(scene: Scene) -> list[OnBar]:
    """Every bore of a job judged, told in the page's units. Raises SceneError."""
    return [
        replace(one, result=replace(one.result, scene=in_units(one.result.scene)))
        for one in _judged(scene)
    ]


def decided(scene: Scene, progress: Progress | None = None) -> Decision:
    """The verdict on a job; remembered by what the scene says. Raises SceneError."""
    return decide(scene, [one.result for one in _judged(scene)], progress=progress)


def decided_before(scene: Scene) -> Decision | None:
    """The verdict on a job where it is known already; None: it takes a while."""
    return known(scene)


def advice(scene: Scene) -> Advice:
    """What would fix a job, kept by what its scene says. Raises SceneError."""
    found: Advice = _advice(scene)
    return found


def last_good(scene: Scene) -> tuple[list[OnBar] | None, str]:
    """The job judged, or the last that could be judged and why this one cannot."""
    try:
        found = on_bar(scene)
    except SceneError as fault:
        kept = st.session_state.get("good")
        return (on_bar(kept) if kept is not None else None), str(fault)
    st.session_state["good"] = scene
    return found, ""


def last_held() -> Scene:
    """The job that `last_good` showed."""
    return st.session_state["good"]  # type: ignore[no-any-return]
