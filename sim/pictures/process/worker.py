"""The 3-D worker: `python -m sim.pictures.process.worker` builds the pyvista scene of a picture, in
a process of its own.

One scene serves both: the still pictures are rendered from it here, and what
is no map in it (outlines, rings, finish cylinder, arrow) goes into the page. The page needs no
graphics library; the still does, and a missing one ends this process without a word, which
`sim.pictures.process.keeper` turns into a sentence.

Requests and answers are pickles on the standard streams, each after its length in 8 bytes: (name,
arguments) in, (True, value) or (False, sentence) out. The end of the input ends the worker.
"""

from __future__ import annotations

import os
import pickle
import struct
import sys
import time
from collections.abc import Callable
from typing import Any, BinaryIO

from sim.pictures.bore_3d.page import page
from sim.pictures.bore_3d.picture import Picture
from sim.pictures.bore_3d.scene import furniture
from sim.pictures.bore_3d.still import still
from sim.pictures.turn_by_turn.growth import Growth
from sim.pictures.turn_by_turn.page import page as turns_page


def _page(picture: Picture) -> str:
    return page(picture, furniture(picture))


def _turns(growth: Growth) -> str:
    return turns_page(growth, furniture(growth.picture, low=False))


def _sleep(seconds: float) -> None:
    time.sleep(seconds)


WORK: dict[str, Callable[..., Any]] = {"page": _page, "still": still, "turns": _turns}


if os.environ.get("BORE_VIEW_TEST") == "1":
    WORK["sleep"] = _sleep
    WORK["die"] = os._exit


def send(stream: BinaryIO, value: Any) -> None:
    """Write one pickle after its length."""
    data = pickle.dumps(value, protocol=pickle.HIGHEST_PROTOCOL)
    stream.write(struct.pack("<Q", len(data)))
    stream.write(data)
    stream.flush()


def receive(stream: BinaryIO) -> Any:
    """Read one pickle; raises EOFError at the end of the stream."""
    head = stream.read(8)
    if len(head) < 8:
        raise EOFError
    return pickle.loads(stream.read(struct.unpack("<Q", head)[0]))


def main() -> None:
    """Answer requests until the input ends."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what a library prints must not mix with the answers
    send(answers, (True, "ready"))
    while True:
        try:
            name, arguments = receive(sys.stdin.buffer)
        except EOFError:
            return
        try:
            send(answers, (True, WORK[name](*arguments)))
        except Exception as fault:
            send(answers, (False, f"{type(fault).__name__}: {fault}"))


if __name__ == "__main__":
    main()
