"""The job turn by turn as moving pictures to take away: GIF or WebP, a set number of frames and a
set length.

Each frame is the engine's wall at that time (`wall_at`), shown three ways: the end view at the
depth of the torch, the wall unrolled, the axial section at one clock. Frames are drawn in a process
of its own, started for one film and ended with it, so that no other session waits:

    python -m sim.film        a Shot list as a pickle in; a line per frame, then the file's length
    and the file out
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Generator
from typing import Any, BinaryIO

from sim.pictures.turn_by_turn.film_frames import encoded, pictures
from sim.pictures.turn_by_turn.film_shots import Film, FilmFault
from sim.reference.shipped import python_path

COMMAND = (sys.executable, "-m", "sim.pictures.turn_by_turn.film")


_one_at_a_time = threading.Semaphore(1)


def made(film: Film, *, command: tuple[str, ...] = COMMAND) -> Generator[float | bytes]:
    """Make the film in a process of its own: shares done from 0 to 1, then the file. Raises
    FilmFault.

    One film at a time is made on this machine; while another is made the share stays 0.
    """
    while not _one_at_a_time.acquire(timeout=0.5):
        yield 0.0
    try:
        yield from _asked(film, command)
    finally:
        _one_at_a_time.release()


def _asked(film: Film, command: tuple[str, ...]) -> Generator[float | bytes]:
    process = subprocess.Popen(
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": python_path()},
    )
    try:
        yield from _heard(process, film)
    except OSError as fault:
        raise FilmFault(f"The film could not be made ({fault.strerror}).") from None
    finally:
        process.kill()
        process.wait()
        for stream in (process.stdin, process.stdout):
            if stream is not None and not stream.closed:
                stream.close()


def _heard(process: subprocess.Popen[bytes], film: Film) -> Generator[float | bytes]:
    if process.stdin is None or process.stdout is None:
        raise FilmFault("The film could not be made (no pipe).")
    pickle.dump(film, process.stdin, protocol=pickle.HIGHEST_PROTOCOL)
    process.stdin.close()
    for k in range(1, len(film.shots) + 1):
        if not process.stdout.readline():
            raise FilmFault(
                "The film could not be made: its process ended early; try again with fewer frames."
            )
        yield k / (len(film.shots) + 1)
    told = process.stdout.readline()
    data = process.stdout.read(int(told or b"0"))
    if not told or len(data) != int(told):
        raise FilmFault(
            "The film could not be made: its process ended early; try again with fewer frames."
        )
    yield 1.0
    yield data


def work(source: BinaryIO, out: Any) -> None:
    """Draw the film read from `source`; a line a frame, the length, the file to `out`."""
    film = pickle.load(source)
    frames = []
    for frame in pictures(film):
        frames.append(frame)
        out.write(b".\n")
        out.flush()
    data = encoded(film, frames)
    out.write(b"%d\n" % len(data))
    out.write(data)
    out.flush()


if __name__ == "__main__":
    if hasattr(os, "nice"):
        os.nice(5)
    work(sys.stdin.buffer, sys.stdout.buffer)
