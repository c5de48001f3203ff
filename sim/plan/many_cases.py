"""Many cases through any executor, each answered in order; progress with time left; what is done is
kept.

Threads by default: the engine's kernels let go of the interpreter lock. A case computes on one
thread, so that its answer does not hang on how many there are.
"""

from __future__ import annotations

import json
import os
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from sim.bore.wall import alone, cores, one_thread
from sim.reference.errors import SceneError

Row = dict[str, Any]


Progress = Callable[[int, int, float], None]


BEGINS = '{"key": "'


AHEAD = 64  # cases handed to the executor before the first is asked for


@dataclass(frozen=True)
class Task:
    """One case: `run(*arguments)` gives its row of plain values; `key` names it: equal for equal
    cases.

    `run` stands at the top of a module, so that another process could run it too.
    """

    key: str
    run: Callable[..., Row]
    arguments: tuple[Any, ...]


def _alone(run: Callable[..., Any], arguments: tuple[Any, ...]) -> Any:
    """Run on one thread: the sweep keeps every core busy already."""
    with one_thread():
        return run(*arguments)


def in_order(
    run: Callable[..., Any], cases: Iterable[tuple[Any, ...]], executor: Executor
) -> Iterator[Any]:
    """`run(*case)` for every case, in order, a few ahead of what is asked for; stopping early
    cancels those.

    >>> with ThreadPoolExecutor(2) as pool:
    ...     list(in_order(lambda a, b: a * b, [(1, 2), (3, 4)], pool))
    [2, 12]
    """
    waiting: deque[Future[Any]] = deque()
    coming = iter(cases)
    try:
        waiting.extend(executor.submit(_alone, run, case) for case in islice(coming, AHEAD))
        while waiting:
            answer = waiting.popleft().result()
            waiting.extend(executor.submit(_alone, run, case) for case in islice(coming, 1))
            yield answer
    finally:
        for one in waiting:
            one.cancel()


def threads() -> ThreadPoolExecutor:
    """The executor used when none is given: a thread for each core."""
    return ThreadPoolExecutor(cores(), thread_name_prefix="sweep")


class Here(Executor):
    """Runs what it is given at once, in this thread."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """What `fn` gives, or its fault, as if it had been waited for."""
        done: Future[Any] = Future()
        try:
            done.set_result(fn(*args, **kwargs))
        except Exception as fault:
            done.set_exception(fault)
        return done


@contextmanager
def spare() -> Iterator[Executor]:
    """A thread for each core; this thread where a sweep keeps every core busy already."""
    if alone():
        yield Here()
    else:
        with threads() as pool:
            yield pool


def sweep(
    tasks: Sequence[Task],
    executor: Executor | None = None,
    *,
    progress: Progress | None = None,
    resume: Path | None = None,
) -> list[Row]:
    """The row of every task, in order.

    progress(done, of, seconds left) is called after every case. `resume`: a file with one JSON
    object a line, its `key` and its `row`; rows found there are taken, new ones are added as they
    come, so that an interrupted sweep goes on where it stopped. Rows are the same from a file as
    fresh. Raises SceneError for a file that cannot be used.

    >>> sweep([Task("a", dict, ()), Task("b", dict, ())])
    [{}, {}]
    """
    if executor is None:
        with threads() as own:
            return sweep(tasks, own, progress=progress, resume=resume)
    known = _kept(resume)
    new = list({task.key: task for task in tasks if task.key not in known}.values())
    done, began = len(tasks) - len(new), time.monotonic()
    answers = in_order(_run, [(task,) for task in new], executor)
    for number, (task, row) in enumerate(zip(new, answers, strict=True), 1):
        known[task.key] = row
        _keep(resume, task.key, row)
        if progress is not None:
            left = (time.monotonic() - began) / number * (len(new) - number)
            progress(done + number, len(tasks), left)
    return [known[task.key] for task in tasks]


def _run(task: Task) -> Row:
    """The task's row as it would come back from a file."""
    row: Row = json.loads(json.dumps(task.run(*task.arguments)))
    return row


def _kept(path: Path | None) -> dict[str, Row]:
    """Rows kept by an earlier run; a last line cut short by an interruption is passed over."""
    if path is None or not path.exists():
        return {}
    rows: dict[str, Row] = {}
    try:
        lines = path.read_text(encoding="utf-8").split("\n")
    except (OSError, UnicodeDecodeError) as fault:
        raise SceneError(
            f"{path}: cannot be read as kept cases ({fault}); give another file."
        ) from None
    for number, line in enumerate(lines, 1):
        if not line:
            continue
        try:
            held = json.loads(line)
            rows[held["key"]] = held["row"]
        except (ValueError, TypeError, KeyError):
            if number != len(lines) or not (line.startswith(BEGINS) or BEGINS.startswith(line)):
                raise SceneError(
                    f"{path}: line {number} is not a kept case; give another file."
                ) from None
    return rows


def _keep(path: Path | None, key: str, row: Mapping[str, Any]) -> None:
    """Add a row to the file, on a line of its own even where the last one was cut short."""
    if path is None:
        return
    try:
        with path.open("a+b") as out:
            if out.tell() and not _ends_with_a_line(out):
                _drop_part_of_a_line(out)
            out.write(json.dumps({"key": key, "row": row}).encode() + b"\n")
    except OSError as fault:
        raise SceneError(
            f"{path}: cannot be written ({fault.strerror}); choose another place for kept cases."
        ) from None


def _ends_with_a_line(out: Any) -> bool:
    out.seek(-1, os.SEEK_END)
    return bool(out.read(1) == b"\n")


def _drop_part_of_a_line(out: Any) -> None:
    out.seek(0)
    whole = out.read().rfind(b"\n") + 1
    out.truncate(whole)
