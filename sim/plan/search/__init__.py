"""The search for the layers to lay."""
