"""Teach it."""
