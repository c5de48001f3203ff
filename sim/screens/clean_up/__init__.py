"""Look closer."""
