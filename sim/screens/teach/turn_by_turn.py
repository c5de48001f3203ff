"""Turn by turn: the build-up grows in 3-D, in the section and in the end view; and as a film to
take away.
"""

from __future__ import annotations

from contextlib import closing

import streamlit as st

from sim.job.change import digest
from sim.pictures.process.keeper import turns
from sim.pictures.turn_by_turn.film import made
from sim.pictures.turn_by_turn.film_frames import SIZE
from sim.pictures.turn_by_turn.film_shots import KINDS, Film, FilmFault
from sim.pictures.turn_by_turn.film_shots import film as film_of
from sim.pictures.turn_by_turn.growth import Growth, growth
from sim.screens.clean_up import in_the_round
from sim.shop.result import Result

HEIGHT = 980
KEY = {Result: lambda result: (digest(result.scene), result.scene.job.units)}


@st.cache_resource(max_entries=12, show_spinner=False, hash_funcs=KEY)  # type: ignore[untyped-decorator]
def grown(result: Result) -> Growth:
    """How the job grows, kept by what its scene says."""
    return growth(result)


def show(result: Result) -> None:
    """The player, and the film below it."""
    job = grown(result)
    with st.spinner("building the view ..."):
        shown = turns(
            job, theme=in_the_round.theme(), keep=f"turns of {result.scene.job.name or 'bore'}"
        )
    if shown.html is None:
        st.warning(shown.reason)
    else:
        in_the_round.framed(shown.html, key="turn by turn", height=HEIGHT)
        st.caption(
            "Space plays and pauses, left and right arrow step a turn, page up and page down "
            "a layer. White lines in the "
            "section are the beads as they were laid. Minutes leave out the waits between layers."
        )
    take_film(result, job)


def take_film(result: Result, job: Growth) -> None:
    """A film made when asked for, with its progress; kept until another job is shown."""
    kind, seconds, frames, button = st.columns(4, vertical_alignment="bottom")
    form = kind.selectbox("Film", list(KINDS), key="film kind")
    length = seconds.selectbox(
        "Length", [6, 12, 20, 30], index=1, format_func=lambda s: f"{s} s", key="film length"
    )
    count = frames.selectbox("Frames", [30, 60, 100, 150], index=1, key="film frames")
    wanted = (job.digest, form, length, count)
    if button.button("Make the film", key="make film"):
        st.session_state["film"] = (
            wanted,
            _made(film_of(result, job, frames=count, seconds=length, kind=form)),
        )
    kept = st.session_state.get("film")
    if kept is None or kept[0] != wanted or kept[1] is None:
        return
    st.image(kept[1], caption=f"{count} frames in {length} s", width=SIZE[0])
    st.download_button(
        f"Film ({form})",
        kept[1],
        f"turns.{form.lower()}",
        KINDS[form],
        on_click="ignore",
        key="take film",
    )


def _made(film: Film) -> bytes | None:
    """The film's file, its progress shown while it is made; None and a sentence where it cannot be
    made.
    """
    bar = st.progress(0.0, "drawing the film ...")
    try:
        with closing(made(film)) as steps:  # when the person goes on, the process ends at once
            for step in steps:
                if isinstance(step, bytes):
                    return step
                bar.progress(
                    step,
                    f"drawing the film: {step:.0%}"
                    if step
                    else "another film is being made first ...",
                )
    except FilmFault as fault:
        st.warning(str(fault))
    finally:
        bar.empty()
    return None
