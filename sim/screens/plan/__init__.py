"""Plan it."""
