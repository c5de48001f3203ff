"""Will it clean up."""
