"""Boring passes within the bar."""
