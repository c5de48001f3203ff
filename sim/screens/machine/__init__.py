"""To the machine."""
