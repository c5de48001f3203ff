"""A job as the machine is set: axes, areas, bead, tie-in, each layer's way."""
