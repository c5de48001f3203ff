"""The drawing process and its keeper."""
