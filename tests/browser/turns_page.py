"""The screen of the job turn by turn on a page of its own, for the browser test beside it."""

import streamlit as st

from sim.scene import parse
from sim.screens import turns
from sim.simulate import simulate
from tests.conftest import SMALL

st.set_page_config(layout="wide")
turns.show(simulate(parse(SMALL)))
