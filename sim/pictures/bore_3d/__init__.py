"""The bore in 3-D."""
