"""Guess, then see: mark where it will fall short, have it laid, and see both."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import streamlit as st

from sim.job.change import digest
from sim.job.files import decoded
from sim.job.read import parse
from sim.pictures.bored_surface import looking_in, rolled_out
from sim.pictures.charts import sections
from sim.pictures.charts.bench import add_mark, blank_wall
from sim.pictures.charts.drawn import enlarge
from sim.pictures.charts.maps import gauge_figure, stock_figure
from sim.plan.odds.verdict import decide
from sim.reference.errors import SceneError
from sim.reference.sizes_in_words import Say
from sim.reference.units import KINDS, clock_text
from sim.screens.teach import large_type as screen
from sim.shop.judge import VERDICTS
from sim.teach import the_seven
from sim.teach.exercise import LONGEST, USUAL, exercise_text, job_lines, of_scene, read_exercise
from sim.teach.marking import Marked, grade, mark, score
from sim.teach.questions import NOWHERE, QUESTIONS
from sim.teach.the_seven import SEVEN
from sim.teach.truth import CURES, Exercise, Truth, truth
from sim.tell.verdict import verdict_lines
from sim.tell.where_from import explain

FROM_FILE = "from a file"
LARGEST_MB = 5


def show() -> None:
    """Choose an exercise, answer it, see what came of it; and the trainer's corner."""
    big = screen.head("Guess, then see")
    name = st.pills(
        "Exercise",
        [*SEVEN, FROM_FILE],
        key="exercise name",
        default=next(iter(SEVEN)),
        required=True,
        format_func=_titled,
    )
    try:
        told = _from_file() if name == FROM_FILE else _one_of_seven(str(name))
    except SceneError as fault:
        st.error(str(fault))
        told = None
    if told is not None:
        _asked(told, big)
    _trainer()


def _titled(name: str) -> str:
    return SEVEN[name].title if name in SEVEN else "From a file"


def _one_of_seven(name: str) -> Truth:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        variation = st.number_input(
            "Variation (0 is the plain one)", 0, 9999, key="exercise variation", width=220
        )
        st.button("Another one like it", key="exercise another", on_click=_another)
    told: Truth = _made(name, int(variation), screen.units())
    return told


def _another() -> None:
    st.session_state["exercise variation"] = (st.session_state["exercise variation"] + 1) % 10000


def _from_file() -> Truth | None:
    file = st.file_uploader(
        "An exercise handed out by your trainer (.toml)",
        max_upload_size=LARGEST_MB,
        key="exercise file",
    )
    if file is None:
        st.write("Choose the file; the tool lays the job and looks, the answer is not in it.")
        return None
    told: Truth = _laid(read_exercise(file.getvalue(), name=file.name), screen.units())
    return told


@st.cache_resource(max_entries=40, show_spinner="laying the beads ...")  # type: ignore[untyped-decorator]
def _made(name: str, variation: int, units: str) -> Truth:
    return _in_units(the_seven.made(name, variation), units)


@st.cache_resource(  # type: ignore[untyped-decorator]
    max_entries=20,
    show_spinner="laying the beads ...",
    hash_funcs={Exercise: lambda one: (one.title, one.task, one.questions, digest(one.scene))},
)
def _laid(exercise: Exercise, units: str) -> Truth:
    return _in_units(truth(exercise), units)


def _in_units(told: Truth, units: str) -> Truth:
    scene = replace(told.scene, job=replace(told.scene.job, units=units))
    return Truth(replace(told.exercise, scene=scene), replace(told.result, scene=scene))


@st.cache_data(
    max_entries=40,
    show_spinner="looking into the bore ...",
    hash_funcs={Truth: lambda told: digest(told.scene)},
)  # type: ignore[untyped-decorator]
def _pictures(told: Truth) -> tuple[bytes, bytes]:
    return looking_in(told.result), rolled_out(told.result)


# ---- the question
# -----------------------------------------------------------------------------------------------


def _stamp(told: Truth) -> str:
    return f"{told.exercise.title} {digest(told.scene)}"


def _asked(told: Truth, big: bool) -> None:
    """The job, the questions, and after the press what came of it."""
    st.subheader(told.exercise.title)
    st.write(told.exercise.task)
    left, right = st.columns([2, 3], gap="medium")
    with left, st.container(border=True):
        st.markdown("**The job**")
        st.markdown("\n".join(f"- {what}: **{value}**" for what, value in job_lines(told.scene)))
    with right:
        answer = _answer(told, big)
        pressed = st.button("Lay it and see", key=f"see {_stamp(told)}", width="stretch")
    if pressed:
        st.session_state["exercise answer"] = (_stamp(told), answer)
    given = st.session_state.get("exercise answer")
    if given is None or given[0] != _stamp(told):
        return
    try:
        marks = mark(told, given[1])
    except SceneError as fault:
        st.error(str(fault))
        return
    _marked(told, given[1], marks, big)


@st.fragment  # type: ignore[untyped-decorator]
def _place(told: Truth, big: bool) -> None:
    """Where it will fall short: sliders, or a click on the wall."""
    unit, length = KINDS["length"][1 if screen.units() == "in" else 0], told.scene.bore.length
    stamp = f"{_stamp(told)} {unit.label}"
    most = round(unit.outside(length), 3)
    keys = (f"mark clock {stamp}", f"mark depth {stamp}", f"mark none {stamp}")
    clicked = st.session_state.get(f"picture mark {stamp}")
    points = clicked["selection"]["points"] if clicked else []
    if points and st.session_state.get("mark clicked") != (stamp, points[0]["x"], points[0]["y"]):
        st.session_state["mark clicked"] = (stamp, points[0]["x"], points[0]["y"])
        st.session_state[f"mark touched {stamp}"] = True
        st.session_state[keys[0]] = round(float(points[0]["x"]) * 4.0) / 4.0 % 12.0
        st.session_state[keys[1]] = min(max(round(float(points[0]["y"]), 1), 0.0), most)
    st.session_state.setdefault(keys[0], 6.0)
    st.session_state.setdefault(keys[1], round(0.5 * most, 1))
    touched = f"mark touched {stamp}"
    ask: dict[str, Any] = dict(on_change=_touched, args=(touched,))
    hours = st.slider("Clock [o'clock]", 0.0, 11.75, step=0.25, key=keys[0], **ask)
    depth = st.slider(
        f"Depth from the entry face [{unit.label}]",
        0.0,
        most,
        step=round(most / 80.0, 2),
        key=keys[1],
        **ask,
    )
    nowhere = st.checkbox("Nowhere: there will be metal everywhere", key=keys[2])
    drawn = blank_wall(length, screen.units())
    marked = bool(st.session_state.get(touched))
    if marked and not nowhere:
        add_mark(drawn, hours * math.pi / 6.0, unit.inside(depth), screen.units())
    if big:
        enlarge(drawn, screen.PROJECTED)
    st.plotly_chart(
        drawn.figure, width="stretch", key=f"picture mark {stamp}", on_select="rerun",
        selection_mode=("points",), alt=drawn.words, config={"displayModeBar": False}
    )  # fmt: skip
    st.caption("The wall unrolled. Click on it, or use the sliders.")
    place = (hours * math.pi / 6.0, unit.inside(depth)) if marked else None
    st.session_state[f"marked {_stamp(told)}"] = NOWHERE if nowhere else place


def _touched(key: str) -> None:
    st.session_state[key] = True


def _answer(told: Truth, big: bool) -> dict[str, Any]:
    """Every question with its field, and what was answered."""
    out: dict[str, Any] = {}
    for name in told.exercise.questions:
        asked = QUESTIONS[name]
        if asked.kind != "length":  # the label of its field says it, with the unit
            st.markdown(f"**{asked.asks}**")
        if asked.kind == "place":
            _place(told, big)
            out[name] = st.session_state.get(f"marked {_stamp(told)}")
        else:
            out[name] = _field(told, name)
    return out


def _field(told: Truth, name: str) -> Any:
    """The field of a question, blank until it is answered."""
    kind, key = QUESTIONS[name].kind, f"answer {name} {_stamp(told)} {screen.units()}"
    label = QUESTIONS[name].asks
    if kind == "layers":
        return st.number_input(label, 0, 40, None, key=key, label_visibility="collapsed")
    if kind == "choice":
        words = (
            dict.fromkeys(VERDICTS)
            if name == "verdict"
            else {one: words for one, (words, _) in CURES.items()}
        )
        return st.radio(
            label,
            list(words),
            index=None,
            format_func=lambda one: words[one] or one,
            key=key,
            label_visibility="collapsed",
        )
    if kind == "number":
        return st.number_input(label, 0.0, 100.0, None, 5.0, key=key, label_visibility="collapsed")
    unit = KINDS["length"][1 if screen.units() == "in" else 0]
    typed = st.number_input(
        f"{label} [{unit.label}]",
        0.0,
        unit.outside(3000.0),
        None,
        0.1 if unit.label == "mm" else 0.004,
        "%.3f",
        key=key,
    )
    return None if typed is None else unit.inside(float(typed))


# ---- the answer
# ---------------------------------------------------------------------------------------------------


def _marked(told: Truth, answer: dict[str, Any], marks: list[Marked], big: bool) -> None:
    """Score, every question with why, the map with the mark on it, and the same thing three ways."""
    points = score(marks)
    st.divider()
    st.subheader(f"Score: {points} of 100")
    st.progress(points / 100.0, grade(points).capitalize() + ".")
    st.write(_tally(told.exercise.title, points))
    for column, one in zip(st.columns(len(marks)), marks, strict=True):
        with column, st.container(border=True):
            st.markdown(f"**{one.asked}**")
            st.markdown(
                f"You: **{one.given}**  \nResult: **{one.found}**  \nPoints: "
                f"**{100 * one.points:.0f} of 100**"
            )
            st.write(one.why)
            screen.explained([one.explained])
    _map(told, answer, big)
    _three_ways(told, answer, big)
    with st.expander("Where the numbers come from"):
        for number in explain(told.result):
            st.markdown(
                f"**{number.what}: {number.value}**  \n{number.formula}  \n{number.inputs}  "
                f"\n*{number.how_known}: {number.source}*"
            )


def _tally(title: str, points: int) -> str:
    """The best score of each exercise done on this page so far, and their mean."""
    best: dict[str, int] = st.session_state.setdefault("exercise best", {})
    best[title] = max(points, best.get(title, 0))
    parts = [f"{name}: **{value}**" for name, value in sorted(best.items())]
    return (
        f"Best so far: {'; '.join(parts)}. Mean of {len(best)}: "
        f"**{sum(best.values()) / len(best):.0f}**."
    )


def _map(told: Truth, answer: dict[str, Any], big: bool) -> None:
    """The stock map, with the apprentice's mark on it."""
    st.subheader("Your mark, and what stays black")
    drawn = stock_figure(told.result, n_clock=180, n_depth=150)
    place = answer.get("where", NOWHERE)
    if place not in (NOWHERE, None):
        add_mark(drawn, place[0], place[1], screen.units())
    screen.shown(drawn, "your mark on the stock", big=big)


def _three_ways(told: Truth, answer: dict[str, Any], big: bool) -> None:
    """What the gauge would read, what the section shows, what the bored surface looks like."""
    st.subheader("The same thing three ways")
    result, spot = told.result, told.result.stock.spot
    gauge, section, seen = st.columns([3, 3, 4], gap="medium")
    with gauge:
        st.markdown("**1. What the gauge would read**")
        screen.shown(gauge_figure(result), "gauge and valley", big=big)
    with section:
        st.markdown(f"**2. What the section shows, at {clock_text(spot.clock)} o'clock**")
        screen.shown(sections.section(result, spot.clock), "section at the worst clock", big=big)
    with seen:
        st.markdown("**3. What the bored surface looks like**")
        into, rolled = _pictures(told)
        black = sum(one.area for one in result.low_spots)
        said = (
            "Looking in from the entry face after the last cut. Black is weld skin the tool "
            "did not reach.",
            "The same surface rolled out, 12 to 12 o'clock, depth down: "
            f"{Say(screen.units()).area(black)} stays black.",
        )
        for one, words in zip((into, rolled), said, strict=True):
            st.image(one, caption=words, alt=words, output_format="PNG", width="stretch")
    st.markdown(
        "\n".join(f"- {line}" for line in verdict_lines(result, decide(result.scene, [result])))
    )


# ---- the trainer's corner
# ---------------------------------------------------------------------------------------------


def _trainer() -> None:
    """Make an exercise from any scene and hand it out as a file."""
    with st.expander("For the trainer: make an exercise from a scene"):
        st.write(
            "Any scene will do: a file, or the job open on this page. The apprentices get "
            "the scene and the questions; the answer is not in the file."
        )
        file = st.file_uploader(
            "Scene file (.toml); leave empty for the job open on this page",
            max_upload_size=LARGEST_MB,
            key="trainer scene",
        )
        title = st.text_input("Title", key="trainer title", max_chars=100)
        task = st.text_area(
            "Task, in a sentence or two", key="trainer task", max_chars=LONGEST, height=80
        )
        asked = st.multiselect(
            "Questions",
            list(QUESTIONS),
            list(USUAL),
            format_func=lambda one: QUESTIONS[one].asks,
            key="trainer questions",
        )
        try:
            scene = (
                parse(decoded(file.getvalue(), name=file.name), name=file.name)
                if file is not None
                else st.session_state.get("scene")
            )
            if scene is None:
                st.write("No job is open; give a scene file.")
                return
            made = of_scene(scene, title=title, task=task, questions=asked)
        except SceneError as fault:
            st.error(str(fault))
            return
        st.download_button(
            "Exercise file (TOML)",
            exercise_text(made),
            f"{_file_name(made.title)}.toml",
            "application/toml",
            on_click="ignore",
            key="take exercise",
        )


def _file_name(title: str) -> str:
    plain = "".join(c if c.isalnum() else "_" for c in title.lower())
    return "_".join(part for part in plain.split("_") if part)[:40] or "exercise"
