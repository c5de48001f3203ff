"""The sections of a scene, in the order of a scene file."""
