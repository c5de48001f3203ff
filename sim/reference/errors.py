"""What a person is told when a job cannot be done: one sentence."""

from __future__ import annotations


class SceneError(ValueError):
    """Something in a person's input is wrong; the message is one sentence that says where, what and
    the way out.
    """
