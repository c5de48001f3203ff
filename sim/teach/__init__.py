"""Teach it: overlap bench and exercises."""
