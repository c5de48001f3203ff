"""The job turn by turn."""
