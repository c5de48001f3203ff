"""Long work beside the page: done once, in a thread of its own, while the page goes on answering."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any

KEPT = 48  # answers kept

STEP = 0.05  # s between two looks whether it is done

_pool = ThreadPoolExecutor(2, thread_name_prefix="checking")
_asked: OrderedDict[Hashable, Future[Any]] = OrderedDict()
_lock = threading.Lock()


def begun(key: Hashable, work: Callable[[], Any]) -> Future[Any]:
    """The work of that name, begun now unless it was asked for before."""
    with _lock:
        found = _asked.get(key)
        if found is None or found.cancelled():
            found = _asked[key] = _pool.submit(work)
        _asked.move_to_end(key)
        while len(_asked) > KEPT:
            _asked.popitem(last=False)
        return found


def found(key: Hashable) -> Any:
    """What the work of that name found; None where it is not done or failed."""
    with _lock:
        future = _asked.get(key)
    if future is None or not future.done() or future.cancelled() or future.exception():
        return None
    return future.result()


def forgotten(key: Hashable) -> None:
    """Do the work of that name anew when it is next asked for."""
    with _lock:
        _asked.pop(key, None)


def waited(key: Hashable, work: Callable[[], Any], tick: Callable[[], None]) -> Any:
    """What the work of that name found; `tick` is called while it is waited for, so that the page
    can leave when something else is wanted. Raises what the work raises.
    """
    while True:
        future = begun(key, work)
        try:
            while not future.done():
                tick()
                time.sleep(STEP)
        except BaseException:
            future.cancel()  # no help to one that runs already: it is of use when asked again
            raise
        if not future.cancelled():  # by another visit that left the same work
            return future.result()
