"""Words, JSON and CSV of all of these; no figure is worked out here."""
