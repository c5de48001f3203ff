"""The page: `streamlit run app.py`."""

from sim.screens.page import show

show()
