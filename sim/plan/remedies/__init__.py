"""What would make it clean up, each one simulated."""
