"""The 3-D worker's keeper: starts it, waits for it no longer than it says, kills and restarts it,
says why.

The graphics toolkit never enters this process: it can stop a server that runs many threads, and
without a graphics library it ends the process it is in. So it lives in one worker
(`sim.pictures.bore_3d.still`) behind a pipe. Everything asked for is answered within the time-out,
with a picture or with one sentence; the next call starts afresh.

    shown = page(picture(result), colour_by="stock")
    shown.html or shown.still_png or shown.reason
"""

from __future__ import annotations

import atexit
import contextlib
import os
import pickle
import queue
import struct
import subprocess
import sys
import threading
import time
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import IO, Any

from sim.pictures.bore_3d.page import Look, with_look
from sim.pictures.bore_3d.picture import Picture
from sim.pictures.turn_by_turn.growth import Growth
from sim.reference.shipped import python_path

WAIT = 12.0
"""Longest time [s] a call takes."""


RECYCLE = 300
"""Exports after which a worker is replaced by a fresh one, against memory that creeps up."""


KEPT = 24
"""Pages, and as many stills, kept for the next call."""


NO_GRAPHICS = 60.0
"""Time [s] for which no still is tried again after the graphics libraries have failed."""


COMMAND = (sys.executable, "-m", "sim.pictures.process.worker")


class WorkerFault(Exception):
    """The worker gave no answer; the message is one sentence."""


@dataclass(frozen=True)
class Shown:
    """What can be shown: the 3-D page, or a still picture (PNG) and why, or only why."""

    html: str | None = None
    still_png: bytes | None = None
    reason: str = ""


class Worker:
    """One worker process and the thread that reads its answers. Not safe for two threads at once."""

    def __init__(self, command: tuple[str, ...], environment: Mapping[str, str] | None) -> None:
        """Start the process; it says "ready" as its first answer."""
        self.process = subprocess.Popen(
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": python_path(), **(environment or {})},
        )
        self.served = 0
        self._answers: queue.SimpleQueue[tuple[bool, Any] | None] = queue.SimpleQueue()
        threading.Thread(
            target=self._listen, args=(self.process.stdout,), name="3-D answers", daemon=True
        ).start()
        self._ready = False

    def _listen(self, stream: IO[bytes]) -> None:
        with contextlib.suppress(Exception):
            while head := stream.read(8):
                self._answers.put(pickle.loads(stream.read(struct.unpack("<Q", head)[0])))
        self._answers.put(None)

    def ask(self, name: str, arguments: tuple[Any, ...], deadline: float) -> Any:
        """The worker's answer. Raises WorkerFault when it fails, ends or is late; it is of no use
        then.
        """
        if not self._ready:
            self._wait(deadline, "could not start")
            self._ready = True
        data = pickle.dumps((name, arguments), protocol=pickle.HIGHEST_PROTOCOL)
        self._write(struct.pack("<Q", len(data)) + data, deadline)
        self.served += 1
        return self._wait(deadline, "ended in the middle of the picture")

    def _write(self, data: bytes, deadline: float) -> None:
        """Hand over a request without waiting for ever on a worker that does not read."""
        stream = self.process.stdin

        def write() -> None:
            with contextlib.suppress(OSError, ValueError):
                if stream is not None:
                    stream.write(data)
                    stream.flush()

        thread = threading.Thread(target=write, name="3-D request", daemon=True)
        thread.start()
        thread.join(max(deadline - time.monotonic(), 0.0))
        if thread.is_alive():
            raise WorkerFault("The 3-D worker did not take the picture in time.")

    def _wait(self, deadline: float, ended: str) -> Any:
        try:
            answer = self._answers.get(timeout=max(deadline - time.monotonic(), 0.001))
        except queue.Empty:
            raise WorkerFault("The 3-D worker did not answer in time and was stopped.") from None
        if answer is None:
            raise WorkerFault(f"The 3-D worker {ended}{self._code()}.")
        good, value = answer
        if not good:
            raise WorkerFault(f"The 3-D worker could not draw the picture ({value}).")
        return value

    def _code(self) -> str:
        with contextlib.suppress(subprocess.TimeoutExpired):
            code = self.process.wait(1.0)
            return f" (signal {-code})" if code < 0 else f" (code {code})"
        return ""

    def stop(self) -> None:
        """End the process, at once."""
        self.process.kill()
        for stream in (self.process.stdin, self.process.stdout):
            with contextlib.suppress(OSError):
                if stream is self.process.stdin and stream is not None:
                    stream.close()
        self.process.wait()


class Viewer:
    """Pages and stills from one worker, for any number of threads."""

    def __init__(
        self,
        *,
        wait: float = WAIT,
        recycle: int = RECYCLE,
        command: tuple[str, ...] = COMMAND,
        environment: Mapping[str, str] | None = None,
    ) -> None:
        """`wait`: longest time of a call [s]; `recycle`: exports per worker; the worker starts with
        the first call.
        """
        self.wait, self.recycle = wait, recycle
        self._command, self._environment = command, environment
        self._lock = threading.Lock()
        self._worker: Worker | None = None
        self._kept: OrderedDict[tuple[Any, ...], Any] = OrderedDict()
        self._no_stills_until = 0.0
        self.starts = 0

    def page(self, picture: Picture, look: Look, *, wait: float | None = None) -> Shown:
        """The 3-D page; failing that a still picture with the reason; failing that the reason."""
        deadline = time.monotonic() + (self.wait if wait is None else wait)
        half = time.monotonic() + 0.6 * (deadline - time.monotonic())
        try:
            html = self._get(("page", picture.digest), "page", (picture,), half)
            return Shown(html=with_look(html, look))
        except WorkerFault as fault:
            still = self._still(picture, look, deadline)
            return Shown(still_png=still.still_png, reason=str(fault))

    def turns(self, growth: Growth, look: Look, *, wait: float | None = None) -> Shown:
        """The page that lays the job turn by turn, or the reason why there is none."""
        deadline = time.monotonic() + (self.wait if wait is None else wait)
        try:
            html = self._get(("turns", growth.digest), "turns", (growth,), deadline)
        except WorkerFault as fault:
            return Shown(reason=str(fault))
        return Shown(html=with_look(html, look))

    def still(self, picture: Picture, look: Look, *, wait: float | None = None) -> Shown:
        """The bore cut open as a PNG, or the reason why there is none."""
        return self._still(picture, look, time.monotonic() + (self.wait if wait is None else wait))

    def _still(self, picture: Picture, look: Look, deadline: float) -> Shown:
        key = ("still", picture.digest, look.colour_by, look.stage, look.theme, look.tops)
        if time.monotonic() < self._no_stills_until and key not in self._kept:
            return Shown(reason=MISSING)
        try:
            return Shown(still_png=self._get(key, "still", (picture, look), deadline))
        except WorkerFault as fault:
            if "ended in the middle" not in str(fault):
                return Shown(reason=str(fault))
            self._no_stills_until = time.monotonic() + NO_GRAPHICS
            return Shown(reason=MISSING)

    def warm(self) -> None:
        """Start the worker ahead of the first call."""
        with self._lock:
            self._started()

    def close(self) -> None:
        """End the worker."""
        with self._lock:
            self._drop()

    def _get(
        self, key: tuple[Any, ...], name: str, arguments: tuple[Any, ...], deadline: float
    ) -> Any:
        if not self._lock.acquire(timeout=max(deadline - time.monotonic(), 0.0)):
            raise WorkerFault("The 3-D worker is busy with other pictures; try again.")
        try:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            self._kept[key] = value = self._asked(name, arguments, deadline)
            while len(self._kept) > 2 * KEPT:
                self._kept.popitem(last=False)
            return value
        finally:
            self._lock.release()

    def _asked(self, name: str, arguments: tuple[Any, ...], deadline: float) -> Any:
        """Ask the worker; a failed one is stopped, and the next call starts another. The lock is
        held.

        A worker that has drawn a still is stopped too: the graphics library keeps some 300 MB.
        """
        worker = self._started()
        try:
            value = worker.ask(name, arguments, deadline)
        except BaseException:
            self._drop()
            raise
        if name == "still" or worker.served >= self.recycle:
            self._drop()
        return value

    def _started(self) -> Worker:
        if self._worker is not None and self._worker.process.poll() is not None:
            self._drop()
        if self._worker is None:
            try:
                self._worker = Worker(self._command, self._environment)
            except OSError as fault:
                raise WorkerFault(f"The 3-D worker could not start ({fault.strerror}).") from None
            self.starts += 1
        return self._worker

    def _drop(self) -> None:
        if self._worker is not None:
            self._worker.stop()
            self._worker = None


MISSING = (
    "No picture could be drawn on this machine: its graphics libraries (EGL and GL) are "
    "missing or do not work; "
    "install them, or use the 3-D view or the 2-D views."
)


@cache
def viewer() -> Viewer:
    """The one viewer of this process."""
    made = Viewer()
    atexit.register(made.close)
    return made


def page(
    picture: Picture,
    *,
    colour_by: str = "stock",
    layer: int | None = None,
    theme: str = "auto",
    keep: str = "bore",
    tops: Mapping[str, float] | None = None,
    wait: float | None = None,
) -> Shown:
    """The 3-D view of a picture within `wait` seconds (WAIT), from any thread.

    layer: 0 before welding, k after layer k, None after the last. keep: views with the same word
    share what the person set (camera, cut, colouring). tops: upper ends of the colour scales [mm],
    for views side by side.
    """
    return viewer().page(picture, _look(picture, colour_by, layer, theme, keep, tops), wait=wait)


def turns(
    growth: Growth, *, theme: str = "auto", keep: str = "turns", wait: float | None = None
) -> Shown:
    """The page that lays a job turn by turn within `wait` seconds (WAIT), from any thread; see
    `page`.
    """
    return viewer().turns(growth, Look(theme=theme, keep=keep), wait=wait)


def still(
    picture: Picture,
    *,
    colour_by: str = "stock",
    layer: int | None = None,
    theme: str = "light",
    tops: Mapping[str, float] | None = None,
    wait: float | None = None,
) -> Shown:
    """A still picture (PNG) of the bore cut open, or the reason why there is none; see `page`."""
    return viewer().still(picture, _look(picture, colour_by, layer, theme, "", tops), wait=wait)


def _look(
    picture: Picture,
    colour_by: str,
    layer: int | None,
    theme: str,
    keep: str,
    tops: Mapping[str, float] | None,
) -> Look:
    if layer is not None and not 0 <= layer <= max(picture.layers):
        raise ValueError(f"layer = {layer}: must be from 0 to {max(picture.layers)}")
    stage = picture.before if layer == 0 else None if layer is None else picture.layers.index(layer)
    return Look(colour_by, stage, theme, keep, tuple(sorted((tops or {}).items())))
