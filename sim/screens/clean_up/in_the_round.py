"""In the round: the bore, each layer and the finish cut in 3-D, or a still picture and the reason."""

from __future__ import annotations

import importlib
import threading
from typing import Any

import streamlit as st

from sim.job.change import digest
from sim.pictures.bore_3d.from_result import picture
from sim.pictures.bore_3d.picture import Picture
from sim.pictures.process import keeper
from sim.pictures.process.keeper import page, viewer
from sim.shop.result import Result

HEIGHT = 640
_importing = threading.Lock()


@st.cache_resource(  # type: ignore[untyped-decorator]
    max_entries=12,
    show_spinner=False,
    hash_funcs={Result: lambda result: (digest(result.scene), result.scene.job.units)},
)
def seen(result: Result) -> Picture:
    """The plain arrays of the 3-D view."""
    return picture(result)


@st.cache_resource  # type: ignore[untyped-decorator]
def ready() -> bool:
    """Start the 3-D worker ahead of the first view, once; and load what two visits at once must not
    half load.
    """
    importlib.import_module(
        "pandas"
    )  # plotly takes it as it finds it, another visit's half-loaded one too
    viewer().warm()
    return True


def show(result: Result) -> None:
    """The 3-D view; it never holds up the page longer than the viewer's time-out."""
    drawn = seen(result)
    with st.spinner("building the view ..."):
        shown = page(drawn, keep=result.scene.job.name or "bore", theme=theme())
    if shown.html is not None:
        framed(shown.html, key="view in the round")
        st.caption(
            "Turn with the mouse, a finger or the arrow keys; the sliders in the picture "
            "choose the layer and cut the bore open. "
            "Made on this machine; nothing is fetched."
        )
    else:
        st.warning(shown.reason or "No 3-D view can be had here.")
        if shown.still_png is not None:
            st.image(
                shown.still_png,
                caption="A still picture of the same view, cut open.",
                width="stretch",
            )
        else:
            st.write("The sections under *Maps and sections* show the same without 3-D.")
    still(drawn)


def theme() -> str:
    """The page's theme as the browser has it: light, dark, or auto where it does not say."""
    told = getattr(st.context.theme, "type", None)
    return told if told in ("light", "dark") else "auto"


def framed(html: str, *, key: str, height: int = HEIGHT) -> None:
    """Ready-made HTML in the frame of stpyvista's component; Streamlit's own frame where that
    cannot be had.
    """
    component = _component()
    if component is None:
        st.iframe(html, height=height)
        return
    component(
        key=key,
        data={
            "_html": html,
            "backend": "trame",
            "height": height,
            "width": 1200,
            "use_container_width": True,
        },
    )


def _component() -> Any:
    """Stpyvista's component (not its exporter, which would run VTK in this process); None where it
    is missing.
    """
    with _importing:
        try:
            import stpyvista
        except Exception:
            return None
        return getattr(stpyvista, "_stpv_component", None)


def still(drawn: Picture) -> None:
    """A still picture to take away, made when asked for."""
    if st.button("Make a still picture of this (PNG)", key="make still"):
        made = keeper.still(drawn, theme="light")
        st.session_state["still"] = (drawn.digest, made)
    kept = st.session_state.get("still")
    if kept is None or kept[0] != drawn.digest:
        return
    if kept[1].still_png is None:
        st.warning(kept[1].reason)
        return
    st.image(kept[1].still_png, width="stretch")
    st.download_button(
        "Still picture (PNG)",
        kept[1].still_png,
        "bore.png",
        "image/png",
        on_click="ignore",
        key="take still",
    )
