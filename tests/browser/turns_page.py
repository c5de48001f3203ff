"""The screen of the job turn by turn on a page of its own, for the browser test beside it."""

import streamlit as st

from sim.job.read import parse
from sim.screens.teach import turn_by_turn
from sim.shop.run import simulate
from tests.conftest import SMALL

st.set_page_config(layout="wide")
turn_by_turn.show(simulate(parse(SMALL)))
