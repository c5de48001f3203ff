"""2-D figures; the only door to plotly."""
